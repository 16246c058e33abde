package commands_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// What may come of an injury.
const (
	survived = iota // every answer is right
	said            // refused in a sentence, or check names it
	lost            // what was answered is not in the book
	wrong           // an answer differs and check says nothing
	trace           // the program died of it
	hang            // it did not end
	outcomes
)

// tallies count what came of the injuries of each kind, in the order of the first.
var tallies struct {
	sync.Mutex
	kinds []string
	of    map[string]*[outcomes]int
}

// injured counts an injury, and fails where nobody may live with what came of it.
func injured(t *testing.T, kind string, came int, about ...any) {
	t.Helper()
	tallies.Lock()
	if tallies.of == nil {
		tallies.of = map[string]*[outcomes]int{}
	}
	if tallies.of[kind] == nil {
		tallies.kinds, tallies.of[kind] = append(tallies.kinds, kind), new([outcomes]int)
	}
	tallies.of[kind][came]++
	tallies.Unlock()
	if came > said {
		t.Errorf("%s: %s: %s", kind, []string{lost: "lost", wrong: "wrong and not said", trace: "a trace", hang: "a hang"}[came], fmt.Sprint(about...))
	}
}

// proven runs the tests, and writes the table of injuries to the file TINFUL_PROOF.
type proven struct{ m testscript.TestingM }

func (p proven) Run() int {
	code := p.m.Run()
	file := os.Getenv("TINFUL_PROOF")
	if file == "" || len(tallies.kinds) == 0 {
		return code
	}
	var out strings.Builder
	fmt.Fprintf(&out, "%-34s %6s %9s %5s %5s %6s %7s %6s\n", "injury", "tried", "survived", "said", "lost", "wrong", "traces", "hangs")
	for _, kind := range tallies.kinds {
		n, tried := tallies.of[kind], 0
		for _, x := range n {
			tried += x
		}
		fmt.Fprintf(&out, "%-34s %6d %9d %5d %5d %6d %7d %6d\n", kind, tried, n[survived], n[said], n[lost], n[wrong], n[trace], n[hang])
	}
	if err := os.WriteFile(file, []byte(out.String()), 0o666); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return code
}

// ran is a command that ended: its exit code, its texts, and whether it died or hung.
type ran struct {
	code        int
	out, err    string
	died, hangs bool
}

// run runs the program to its end, a minute at most, with lines for a pipe.
func (b bench) run(t *testing.T, lines string, args ...string) ran {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	cmd, stdout, stderr := b.command(ctx, args...)
	if lines != "" {
		cmd.Stdin = strings.NewReader(lines)
	}
	err := cmd.Run()
	r := ran{out: stdout.String(), err: stderr.String(), hangs: ctx.Err() != nil}
	if e, failed := errors.AsType[*exec.ExitError](err); failed {
		r.code = e.ExitCode()
	} else if err != nil {
		t.Fatal(err)
	}
	r.died = r.code < 0 || strings.Contains(r.err, "goroutine ") || strings.Contains(r.err, "panic:")
	return r
}

// questions read every bucket: what they answer is what a person sees of a store.
const questions = "find cheese\nfind --wire .2\nshow 105\nshow b283\nshow p003\nlow\nout\ntoday\nlog\ncount list\nexport - --csv\n"

// answers is what the program answers of a store, and what all lies in it.
func (b bench) answers(t *testing.T) (string, ran) {
	t.Helper()
	folder := filepath.Join(b.dir, "answers")
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	r := b.run(t, strings.Replace(questions, "export - --csv", "export "+folder, 1), "--keep-going", "--quiet")
	var all strings.Builder
	for l := range strings.Lines(r.out) {
		if !strings.HasPrefix(l, "last copy of the store") { // a killed program made none
			all.WriteString(l)
		}
	}
	files, _ := filepath.Glob(filepath.Join(folder, "*.*"))
	pictures, _ := filepath.Glob(filepath.Join(folder, "pictures", "*"))
	for _, name := range slices.Concat(files, pictures) {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(text)
	}
	return all.String(), r
}

// judge is what came of an injury to the store: right are the answers that would be.
func (b bench) judge(t *testing.T, right ...string) (int, string) {
	t.Helper()
	got, asked := b.answers(t)
	checked := b.run(t, "", "check", "--quiet")
	switch {
	case asked.died || checked.died:
		return trace, asked.err + checked.err
	case asked.hangs || checked.hangs:
		return hang, ""
	case checked.code != 0:
		return said, checked.out + checked.err
	case slices.Contains(right, got):
		return survived, ""
	}
	return wrong, asked.err + difference(right[len(right)-1], got)
}

// difference is the first line in which two texts differ.
func difference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("%q in place of %q", b[i], a[i])
		}
	}
	return fmt.Sprintf("%d lines in place of %d", len(b), len(a))
}

// lay puts a store at its place, with no copies beside it.
func (b bench) lay(t *testing.T, raw []byte) {
	t.Helper()
	err := errors.Join(os.RemoveAll(filepath.Join(b.dir, "backups")), os.WriteFile(b.store, raw, 0o600))
	if err != nil {
		t.Fatal(err)
	}
}

func (b bench) bytes(t *testing.T) []byte {
	t.Helper()
	raw, err := os.ReadFile(b.store)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Clone(raw)
}
