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

// PC-11, a W2-A that nobody opened, is taken apart in the order in which things come
// off. W2-A holds five of P021, one of P034 and of P053, and none of P065 (goes.csv);
// P052 and P053 are both a release lever (parts.csv).
func TestStripIsTyped(t *testing.T) {
	run := bench(t)
	out, errs, code := run("2 p21\nwind ratchet centre screw OFF, left-hand\nunder p42 0.30\nmissing p29\n3 p999\nbent clip\n\nrelease lever usable\n1\np65\nr\nback\nback\n", "strip", "PC11")
	if code != 0 {
		t.Fatal(errs)
	}
	has(t, "stdout", out, "next: P021 top plate screw, countersunk, top, 5 here, seen present\n",
		"step 1 top: 2 P021 top plate screw, countersunk, to N1\n",
		"step 2 wind: 1 P034 wind ratchet centre screw, LEFT-HAND, loosens clockwise, to\n    N4\n",
		"    N4; under it P042 0.30; missing P029\n", "step 3 wind: 1 bent clip\n",
		":1  P053", ":2  P052", "step 4 release: 1 P053 release lever, usable, to R2\n",
		"step 5 focus: 1 P065 focusing wheel, to R4; replaced P065\n", "taken back: replaced P065\n", "taken back: step focus: off P065\n")
	has(t, "stderr", errs, `no part is called "p999" here`, `no part is called "bent clip": what is it?`, "which, :1 to :2", "P065 focusing wheel is not said to go into W2-A: (r)eplaced",
		"what was typed is kept and not booked yet: tinful strip PC-11 goes on")
	if log, _, _ := run("", "log"); strings.Contains(log, "strip") {
		t.Errorf("something is booked before stop:\n%s", log)
	}
	// Another day it goes on, and is one booking; what comes next is kept.
	out, _, _ = run("back\nstop next: bellows\n", "strip", "pc11")
	has(t, "stdout", out, "typed before, not booked yet: step 4 release: 1 P053", "taken back: step release: off P053, grade usable",
		"PC-11  step 1 to 3   whole -> part-stripped", "B302 top plate screw, countersunk  0 -> 2   in N1", "undo: tinful undo 2")
	steps, _, _ := run("", "show", "pc11", "--steps")
	has(t, "steps", steps, "2  WIND\n    first     P042 ratchet washer, steel 0.30\n", "LEFT-HAND: tightens anticlockwise, loosens clockwise\n    WRONG     P029 ",
		"3  WIND\n    put back  1 x bent clip\n    stopped   next: bellows, 2031-09-01\n")
	// Taken back, the lines are there again; without a terminal --done books them.
	run("", "undo")
	out, _, _ = run("?\n", "strip", "pc11")
	has(t, "stdout", out, "typed before, not booked yet: step 3", "P021 top plate screw, countersunk, top, 2 of 5 out, seen present\n", "  P053 release lever, release")
	if strings.Contains(out, "  P034 ") || strings.Contains(out, "  P029 ") {
		t.Errorf("what is off, or missing, is listed as left:\n%s", out)
	}
}

// done asks with a key for each part that has not come off, and keeps each answer.
func TestStripIsDone(t *testing.T) {
	run := bench(t)
	run("5 p21\n", "strip", "pc11")
	out, errs, code := run("done\npm\nd\nq\n", "strip", "pc11")
	if code != 0 {
		t.Fatal(errs)
	}
	// After P021, five of five, the list goes on with P023, P004 and P026 (seats, then codes).
	has(t, "stderr", errs, "1/", " P023 top plate screw", "2/", " P004 film stop pawl spring", "3/", " P026 ")
	has(t, "stdout", out, "PC-11  step 1   whole -> stripped", "seen damaged  P004")
	if again, _, _ := run("?\n", "strip", "pc11"); strings.Contains(again, "typed before") {
		t.Errorf("what is booked is still typed:\n%s", again)
	}
}

// What a part that is missing is not: here.
func TestStripSaysMissing(t *testing.T) {
	run := bench(t)
	out, _, _ := run("", "strip", "pc11", "--json")
	has(t, "answer", out, `"part":"P014"`)
	out, _, _ = run("", "--plain", "strip", "pc11")
	if strings.Contains(out, "here, seen missing") {
		t.Errorf("a missing part is here:\n%s", out)
	}
}

// A caution stands before the part that needs it, once.
func TestStripWarnsOnce(t *testing.T) {
	run := bench(t)
	out, _, _ := run("p7\np5\np1\nq\n", "strip", "pc11")
	if n := strings.Count(out, "CAUTION: spring under tension"); n != 1 {
		t.Errorf("the caution for springs is said %d times, want once:\n%s", n, out)
	}
	if out, _, _ := run("q\n", "strip", "pc12"); !strings.Contains(out, "nothing came off") {
		t.Error(out)
	}
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
