package commands

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tinful/commands/line"
)

// advised is a command within a sentence: "tinful undo 57", "edit 109 --agreed yes".
var advised = regexp.MustCompile(`\btinful ([a-z]+(?: [^;:|()$]*)?)`)

// prose are words that go on with the sentence behind an advised command.
var prose = []string{"makes", "takes", "says", "has", "looks", "opens", "comes", "goes on", "puts", "keeps", "shows", "numbers", "lists", "is", "in", "frees",
	"records", "for whom", "and", "or", "with the", "or enter", "prints", "changes", "reads", "beside"}

// Whatever command an answer advises can be typed as it is printed: it is read as a
// line of the bench, every flag known. The answers are those that the scripts hold.
func TestAdvisedCommandsAreLines(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "*", "*.t*xt*"))
	if err != nil || len(files) < 40 {
		t.Fatal(files, err)
	}
	found := map[string]bool{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for l := range strings.Lines(string(text)) {
			if strings.HasSuffix(file, ".txtar") && !strings.HasPrefix(l, "stdout ") && !strings.HasPrefix(l, "stderr ") {
				continue
			}
			l = strings.NewReplacer(`\.`, ".", `\-`, "-", `\(`, "(", `\)`, ")", `\?`, "?", `\[`, "[", `\]`, "]", `\|`, "|", "'", "").Replace(l)
			for _, m := range advised.FindAllStringSubmatch(l, -1) {
				found[command1(m[1])] = true
			}
		}
	}
	b := &benchLine{}
	n := 0
	for typed := range found {
		words, err := line.Words(typed)
		if err != nil || len(words) == 0 || strings.ContainsAny(typed, `*+^[]`) {
			continue // the rest of a pattern
		}
		if line.Sub(program().Subcommands, words[0]) == nil {
			continue // tinful as the name of the program: "another tinful is working"
		}
		args, guessed := b.meant(words)
		if _, err := line.Arrange(program(), args); err != nil || guessed != "" {
			t.Errorf("%q cannot be typed: %v", typed, err)
		}
		n++
	}
	if n < 40 {
		t.Errorf("only %d advised commands were found", n)
	}
}

// command1 is a command without the prose behind it.
func command1(text string) string {
	text, _, _ = strings.Cut(strings.TrimRight(text, ".,\n "), ", ")
	for _, word := range prose {
		text, _, _ = strings.Cut(text+" ", " "+word+" ")
	}
	return strings.TrimSpace(text)
}
