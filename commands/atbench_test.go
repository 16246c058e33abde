package commands

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// bench runs lines as at a terminal, where questions are asked, in the demo
// workshop.
func bench(t *testing.T) func(stdin string, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	home := t.TempDir()
	run := func(stdin string, terminal bool, args ...string) (string, string, int) {
		var out, errs bytes.Buffer
		env := Env{Stdin: io.Reader(strings.NewReader(stdin)), Stdout: &out, Stderr: &errs, Terminal: terminal,
			Now: func() time.Time { return time.Date(2031, 9, 1, 10, 0, 0, 0, time.UTC) },
			Getenv: func(name string) string {
				return map[string]string{"TINFUL_BY": "R", "TINFUL_STORE": filepath.Join(home, "w.db"), "XDG_STATE_HOME": home}[name]
			},
			Demo: os.DirFS(filepath.Join("..", "testdata", "demo"))}
		code := Run(append([]string{"tinful"}, args...), env)
		return out.String(), errs.String(), code
	}
	if _, errs, code := run("", false, "import", filepath.Join("..", "testdata", "demo")); code != 0 {
		t.Fatal(errs)
	}
	return func(stdin string, args ...string) (string, string, int) { return run(stdin, true, args...) }
}

func has(t *testing.T, what, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("%s lacks %q:\n%s", what, w, text)
		}
	}
}

// PC-08, a meddled C-2, has nothing left to look at but P012: testdata/demo,
// goes.csv and seen.csv. Another key is asked for again.
func TestLookAsks(t *testing.T) {
	run := bench(t)
	out, errs, code := run("x\nm\n", "look", "pc8")
	if code != 0 {
		t.Fatal(errs)
	}
	has(t, "stderr", errs, "1/1 P012 Haldur 00 pallet spring (light), shutter:", "x is no answer here: p, m, d, r, s, q or Enter")
	has(t, "stdout", out, "P012 Haldur 00 pallet spring (light)  missing   undo: tinful undo 2")
	if n := strings.Count(errs, "1/1 P012"); n != 2 {
		t.Errorf("asked %d times, want twice", n)
	}
}

// The part that cameras of the model and history, or of its sisters, lacked most
// comes first. Besides PC-05 no W3-B was meddled, and of its sisters PC-03 alone was.
// Of what PC-03 lacked (seen.csv) only P045 goes into a W3-B (goes.csv) and is not
// noted for PC-05: it leads.
func TestLookIsStopped(t *testing.T) {
	run := bench(t)
	out, errs, code := run("m\nq", "look", "pc5")
	if code != 0 {
		t.Fatal(errs)
	}
	has(t, "stderr", errs, "1/", " P045 focus shim, focus:", "2/")
	if !strings.HasPrefix(errs, "1/") || !strings.HasPrefix(errs[strings.Index(errs, " P"):], " P045") {
		t.Errorf("P045 is not asked for first: %s", errs)
	}
	if strings.Contains(errs, "3/") {
		t.Error("it went on after q")
	}
	has(t, "stdout", out, "missing   undo: tinful undo 2")
	if out, _, _ := run("", "look", "pc5"); !strings.Contains(out, "nothing was looked at") {
		t.Errorf("an input that ends at once says %q", out)
	}
}

// PC-12, a W1-B: the list asks in the order of seats, takes numbers and a word, and
// keeps what was answered when it is stopped.
func TestStripAsks(t *testing.T) {
	run := bench(t)
	out, errs, code := run("\n2 usable\nmany\nd\nq", "strip", "pc12")
	if code != 0 {
		t.Fatal(errs)
	}
	has(t, "stderr", errs, `"many" is no number`)
	has(t, "stdout", out, "how many", "PC-12  step 1", "whole -> part-stripped", "0 -> 2")
	steps, _, _ := run("", "show", "pc12", "--steps")
	has(t, "steps", steps, "1  TOP", "stopped   next: P", "2 x P")
	// It goes on where it was left: what is out is not asked for again.
	_, again, _ := run("q", "strip", "pc12")
	part := strings.Fields(again)[0]
	if strings.Contains(steps, "2 x "+part) {
		t.Errorf("%s is asked for once more", part)
	}
}

// A caution stands before the part that needs it, once.
func TestStripWarnsOnce(t *testing.T) {
	run := bench(t)
	out, _, _ := run(strings.Repeat("\n", 80), "strip", "pc11")
	if n := strings.Count(out, "CAUTION: spring under tension"); n != 1 {
		t.Errorf("the caution for springs is said %d times, want once", n)
	}
	has(t, "stdout", out, "nothing came off")
}

func TestBoughtAsksForHistory(t *testing.T) {
	run := bench(t)
	out, errs, code := run("f\n", "bought", "w2b", "47800", "22")
	if code != 0 {
		t.Fatal(errs)
	}
	has(t, "stderr", errs, "(m)eddled, (s)erviced [unknown]")
	has(t, "stdout", out, "failed, in D1")
	// Enter takes what the signs point to.
	out, errs, _ = run("\n", "bought", "w2b", "47801", "22", "--sign", "slots chewed")
	has(t, "stderr", errs, "[meddled]")
	has(t, "stdout", out, "meddled, in D1")
}
