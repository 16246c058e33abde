package commands

import (
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
	}
	for name := range verbs() {
		if group := line.Sub(program().Subcommands, name); !told[name] && (group == nil || group.Action == nil) {
			t.Errorf("%s is not told of in verbs.txt", name)
		}
	}
}
