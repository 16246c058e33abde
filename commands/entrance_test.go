package commands

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tinful/commands/line"
)

// demoStore imports the demo workshop and returns the bytes of its store.
func demoStore(t *testing.T) []byte {
	t.Helper()
	home := t.TempDir()
	w := newWorld(t, home)
	if code := Run([]string{"tinful", "import", filepath.Join("..", "testdata", "demo")}, w.env); code != exitOK {
		t.Fatal(w.stderr)
	}
	b, err := os.ReadFile(filepath.Join(home, "w.db"))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A world is a store, and what a program in it writes.
type world struct {
	env            Env
	stdout, stderr *bytes.Buffer
}

func newWorld(t *testing.T, home string) *world {
	t.Helper()
	vars := map[string]string{"TINFUL_STORE": filepath.Join(home, "w.db"), "XDG_STATE_HOME": home, "XDG_DATA_HOME": home, "USER": "R", "TINFUL_TERMINAL": "one"}
	w := &world{stdout: &bytes.Buffer{}, stderr: &bytes.Buffer{}}
	ended, end := context.WithCancel(context.Background())
	end() // what is served ends at once, unless a test says otherwise
	w.env = Env{Stdin: strings.NewReader(""), Stdout: w.stdout, Stderr: w.stderr, Demo: os.DirFS(demoFolder(t)),
		Getenv: func(k string) string { return vars[k] },
		Now:    func() time.Time { return time.Date(2031, 9, 1, 10, 0, 0, 0, time.UTC) }, until: ended}
	return w
}

// example is the first line of a command's examples without "tinful" and without what a
// shell does with it, its name alone where it has none.
func example(path []*command) []string {
	first, _, _ := strings.Cut(path[len(path)-1].Whole().UsageText, "\n")
	words, err := line.Words(first)
	if err != nil || len(words) == 0 || words[0] != "tinful" {
		return strings.Fields(line.PathName(path))
	}
	for i, w := range words {
		if strings.ContainsAny(w, "<>|\\") {
			words = words[:i]
			break
		}
	}
	return words[1:]
}

// typedValue is a value that a flag may take, by the word that stands for it.
func typedValue(f *line.Flag, folder string) string {
	switch f.Value() {
	case "JOB":
		return "105"
	case "BAG", "PIECE":
		return "b255"
	case "PART":
		return "p3"
	case "PLACE":
		return "k1"
	case "MODEL":
		return "w1a"
	case "DONOR":
		return "pc1"
	case "DAY":
		return "2031-08-31"
	case "N", "NUMBER":
		return "2"
	case "AMOUNT":
		return "1.00"
	case "FILE":
		return filepath.Join(folder, "file.csv")
	}
	return "x"
}

// Every verb with every one of its flags is the same typed at the bench line and in the
// shell: exit code, answer and notes.
func TestEveryFlagAtBothEntrances(t *testing.T) {
	store := demoStore(t)
	shellHome, benchHome := t.TempDir(), t.TempDir()
	tried := 0
	for _, path := range leaves(program().Subcommands) {
		name := line.PathName(path)
		if name == "demo" || name == "complete" || name == "page" {
			continue // they print where the store lies; a page is open until it is ended
		}
		flags := append([]*line.Flag{{Name: "json", Kind: line.Switch}}, program().Flags...)
		for _, cmd := range path {
			flags = append(flags, cmd.Takes()...)
		}
		for _, f := range flags {
			if f.Name == "store" {
				continue
			}
			words := example(path)
			typed := "--" + f.Name
			if f.TakesValue() {
				typed += "=" + typedValue(f, "nowhere")
			}
			words = append(words, typed)
			run := func(home string, play func(w *world) int) (int, string, string) {
				if err := os.WriteFile(filepath.Join(home, "w.db"), store, 0o600); err != nil {
					t.Fatal(err)
				}
				w := newWorld(t, home)
				t.Chdir(home)
				code := play(w)
				return code, strings.ReplaceAll(w.stdout.String(), home, "HOME"), strings.ReplaceAll(w.stderr.String(), home, "HOME")
			}
			code, stdout, stderr := run(shellHome, func(w *world) int { return Run(append([]string{"tinful"}, words...), w.env) })
			bcode, bstdout, bstderr := run(benchHome, func(w *world) int {
				b := &benchLine{env: w.env, by: "R"}
				return report(w.env, b.do(quoted(words)))
			})
			if code != bcode || stdout != bstdout || stderr != bstderr {
				t.Errorf("%q\nshell: %d %s%s\nbench: %d %s%s", words, code, stdout, stderr, bcode, bstdout, bstderr)
			}
			if strings.Contains(stderr, "unknown flag") || strings.Contains(stderr, "has no flag") {
				t.Errorf("%q: %s", words, stderr)
			}
			tried++
		}
	}
	if tried < 400 {
		t.Errorf("only %d lines were tried", tried)
	}
}

// quoted is a line as it is typed at the bench line.
func quoted(words []string) string {
	var out []string
	for _, w := range words {
		out = append(out, "'"+w+"'")
	}
	return strings.Join(out, " ")
}

// demoFolder is where the sheets of the demo lie, wherever a test goes.
func demoFolder(t *testing.T) string {
	t.Helper()
	folder, err := filepath.Abs(filepath.Join("..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	return folder
}
