package commands

import (
	"slices"
	"strings"
	"testing"

	"tinful/commands/line"
)

// Every verb has its text in verbs.txt, and every text its verb.
func TestVerbsAndTextsMeet(t *testing.T) {
	told := map[string]bool{}
	for _, path := range leaves(program().Subcommands) {
		name := line.PathName(path)
		told[name] = true
		if path[len(path)-1].Action == nil {
			t.Errorf("%s is told of in verbs.txt and does nothing", name)
		}
		purpose := path[len(path)-1].Usage
		_, behind, _ := strings.Cut(verbTexts, "## "+name+"\n"+purpose)
		ends := slices.ContainsFunc([]string{"\n\n", "\nUsage: ", "\n#"}, func(next string) bool { return strings.HasPrefix(behind, next) })
		if !ends || strings.Contains(purpose, "{") {
			t.Errorf("%s: a purpose is one line that needs no list: %q", name, purpose)
		}
	}
	for name := range verbs() {
		if group := line.Sub(program().Subcommands, name); !told[name] && (group == nil || group.Action == nil) {
			t.Errorf("%s is not told of in verbs.txt", name)
		}
	}
}
