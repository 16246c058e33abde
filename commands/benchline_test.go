package commands

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// aBench is a bench line on the demo workshop.
func aBench(t *testing.T) (b *benchLine, stdout, stderr *bytes.Buffer) {
	t.Helper()
	home := t.TempDir()
	vars := map[string]string{"TINFUL_STORE": filepath.Join(home, "w.db"), "XDG_STATE_HOME": home, "XDG_DATA_HOME": home, "USER": "R"}
	stdout, stderr = &bytes.Buffer{}, &bytes.Buffer{}
	env := Env{Stdin: strings.NewReader(""), Stdout: stdout, Stderr: stderr, Getenv: func(k string) string { return vars[k] },
		Now: func() time.Time { return time.Date(2031, 9, 1, 10, 0, 0, 0, time.UTC) }}
	if err := run(env, program(), []string{"import", filepath.Join("..", "testdata", "demo")}); err != nil {
		t.Fatal(err)
	}
	stdout.Reset()
	b = &benchLine{env: env, by: "R"}
	return b, stdout, stderr
}

// What is no command and no code is looked for: the bench line as README and help
// bench describe it.
func TestWhatALineMeans(t *testing.T) {
	b := &benchLine{}
	tests := []struct{ line, want string }{
		{"fit b230 2", "fit b230 2"},
		{"--job 105 fit b230", "--job 105 fit b230"},
		{"b203", "b203"},
		{"b203 --json", "b203 --json"},
		{":2", ":2"},
		{"105", "105"},
		{"counter pawl", "find counter pawl"},
		{"e-clip 1.5", "find e-clip 1.5"},
		{"1.5 e-clip", "find 1.5 e-clip"},
		{"--model W2-B pawl", "find --model W2-B pawl"},
		{"--wire 0.20 --od 2", "find --wire 0.20 --od 2"},
		{"add part", "add part"},
		{"--help", "--help"},
		{"--version", "--version"},
		{"--json", ""},
		{"--store x.db --quiet", ""},
	}
	for _, tt := range tests {
		got, _ := b.meant(strings.Fields(tt.line))
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%q means %q, want %q", tt.line, got, tt.want)
		}
	}
}

// The codes are those of testdata/demo; the words those of its parts.
func TestComplete(t *testing.T) {
	b, stdout, stderr := aBench(t)
	tests := []struct {
		line string // | is the cursor, else it is at the end
		head string
		want []string
	}{
		{"tinful unh", "tinful ", []string{"unhold "}},
		{"tem", "", []string{"template "}},
		{"qui", "", []string{"quit "}},
		{"add mo", "add ", []string{"model "}},
		{"help be", "help ", []string{"bench "}},
		{"completion z", "completion ", []string{"zsh "}},
		{"on 10", "on ", []string{"101", "102", "103", "104", "105", "106", "107", "108"}},
		{"fit b28", "fit ", []string{"B280", "B281", "B282", "B283", "B284", "B285", "B286", "B287", "B288", "B289"}},
		{"fit --job=10", "fit --job=", []string{"101", "102", "103", "104", "105", "106", "107", "108"}},
		{"fit b203 --job 105 --anyw", "fit b203 --job 105 ", []string{"--anyway "}},
		{"find --grade us", "find --grade ", []string{"usable "}},
		{"find --model W3", "find --model ", []string{"W3-A", "W3-B"}},
		{"show pc1", "show ", []string{"PC-10", "PC-11", "PC-12", "PC-13", "PC-14", "PC-01"}},
		{"need klinken", "need ", []string{"klinkenfeder "}},
		{"need KLINKEN", "need ", []string{"klinkenfeder "}},
		{`find "film stop whis`, `find "film stop `, []string{"whisker "}},
		{"fit b203| 2", "fit ", []string{"B203"}},
		{"fit ", "fit ", nil},
		{"show zzz", "show ", nil},
	}
	for _, tt := range tests {
		before, after, _ := strings.Cut(tt.line, "|")
		head, found, tail := b.complete(before+after, len([]rune(before)))
		var got []string
		for _, o := range found {
			got = append(got, o.text)
		}
		slices.Sort(tt.want)
		if diff := cmp.Diff(tt.want, got); diff != "" || head != tt.head || tail != after {
			t.Errorf("%q: head %q, tail %q: %s", tt.line, head, tail, diff)
		}
	}
	os.Remove(b.env.Getenv("TINFUL_STORE"))
	if _, got, _ := b.complete("fit b28", 7); len(got) > 0 || stdout.Len()+stderr.Len() > 0 {
		t.Errorf("without a store: %q %s%s", got, stdout, stderr)
	}
}

// Jobs and their models are those of testdata/demo/jobs.csv.
func TestPrompt(t *testing.T) {
	b, _, _ := aBench(t)
	hold := func(want string) {
		t.Helper()
		if got := b.prompt(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	do := func(line string) {
		t.Helper()
		if err := b.do(line); err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
	hold("tinful> ")
	do("on 105")
	hold("105 F-L> ")
	day := b.env.Now
	b.env.Now = func() time.Time { return day().AddDate(0, 0, 1) }
	hold("105 F-L?> ")
	b.env.Now = day
	do("me H")
	hold("H tinful> ")
	do("on 106")
	hold("H 106 W3-A> ")
	do("me R")
	hold("105 F-L> ")
	do(`me "Ä. 主ばねさん und Sohn"`)
	hold("Ä. 主ばねさ~ tinful> ") // twelve columns: 3, two for each of four signs (UAX 11), 1
	if err := b.do("me \u0007X"); err == nil {
		t.Error("a name with a control character is taken")
	}
	do("me R")
	os.Remove(b.env.Getenv("TINFUL_STORE"))
	hold("105 F-L> ")
	do("off")
	hold("tinful> ")
}

// The history is kept by store and person, for its owner alone, and is cut to the
// latest thousand lines.
func TestHistoryOfLines(t *testing.T) {
	b, _, stderr := aBench(t)
	if got := b.history(); got != nil {
		t.Errorf("%q before anything was typed", got)
	}
	for i := range mostLines + 5 {
		b.remember(fmt.Sprint("line ", i))
	}
	b.bookAs("H")
	b.remember("line of H")
	if got := b.history(); !slices.Equal(got, []string{"line of H"}) {
		t.Errorf("H typed %q", got)
	}
	b.bookAs("R")
	for range 2 { // when it is cut, and afterwards
		got := b.history()
		if len(got) != 1000 || got[0] != "line 5" || got[999] != "line 1004" {
			t.Errorf("%d lines from %q to %q", len(got), got[0], got[len(got)-1])
		}
	}
	file, err := b.historyFile()
	if err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(file)
	if err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	b.env.Getenv = func(string) string { return "" }
	b.remember("x")
	b.remember("y")
	if n := strings.Count(stderr.String(), "not kept"); n != 1 {
		t.Errorf("said %d times: %s", n, stderr)
	}
}
