package commands

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
)

// A seat is a terminal and what whoever sits there has seen on it: the job they took in
// hand and the lines of the last answer, by what was printed.
type seat struct {
	w    *world
	do   func(words ...string) int
	job  string
	list []string // bags, parts and others as printed, :1 first
}

// numbered are the listed things of an answer, each by the code behind its number; a way
// that begins with none (make one) is a line too.
var numbered = regexp.MustCompile(`(?m)^:(\d+) +([A-Z][A-Z0-9/-]*[0-9]\b)?`)

// seen takes what was printed as the last list, if it has numbered lines.
func (s *seat) seen() {
	var list []string
	for _, m := range numbered.FindAllStringSubmatch(s.w.stdout.String(), -1) {
		list = append(list, m[2])
	}
	if len(list) > 0 {
		s.list = list
	}
}

// Two bench lines and a shell in turns: no booking takes a part, bag or job that stood
// on another terminal and not on its own.
func TestTerminalsInTurns(t *testing.T) {
	demo := demoStore(t)
	const sequences, steps = 20, 300
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		if n++; n > sequences {
			return // rapid would go on to a hundred
		}
		home := t.TempDir()
		if err := os.WriteFile(filepath.Join(home, "w.db"), demo, 0o600); err != nil {
			t.Fatal(err)
		}
		seats := []*seat{{w: newWorld(t, home)}, {w: newWorld(t, home)}, {w: newWorld(t, home)}}
		for i, s := range seats[:2] {
			b := &benchLine{env: s.w.env, by: "R"}
			b.env.line, b.env.whose = fmt.Sprintf("%s %d", ownLine(), i), "R"
			s.do = func(words ...string) int { return report(b.env, b.do(quoted(words))) }
		}
		shell := seats[2]
		shell.do = func(words ...string) int { return Run(append([]string{"tinful"}, words...), shell.w.env) }
		for range steps {
			step(rt, home, rapid.SampledFrom(seats).Draw(rt, "seat"))
		}
	})
}

// step types one line at a seat and holds what was booked against what was seen there.
func step(t *rapid.T, home string, s *seat) {
	s.w.stdout.Reset()
	s.w.stderr.Reset()
	ref := fmt.Sprintf(":%d", rapid.IntRange(1, 3).Draw(t, "line"))
	switch verb := rapid.SampledFrom([]string{"on", "find", "need", "fit", "fit", "hold", "show", "off", "again"}).Draw(t, "verb"); verb {
	case "on":
		job := rapid.SampledFrom([]string{"104", "105", "106", "107"}).Draw(t, "job")
		if s.do("on", job) == exitOK {
			s.job = job
		}
	case "off":
		s.do("off")
		s.job = ""
	case "find", "need":
		words := rapid.SampledFrom([][]string{{"steel ball"}, {"counter pawl spring"}, {"screw"}, {"p54"}, {"shim"}}).Draw(t, "words")
		if verb == "need" {
			words = words[:1]
		}
		s.do(append([]string{verb}, words...)...)
		s.seen()
	case "show":
		s.do("show", ref)
	case "again":
		before := lastOf(home)
		if s.do("again") == exitOK {
			s.holds(t, home, before, "")
		}
		s.seen()
	default:
		before, list := lastOf(home), slices.Clone(s.list)
		code := s.do(verb, ref)
		s.seen()
		if code != exitOK {
			return
		}
		var meant string
		if _, err := fmt.Sscanf(ref, ":%s", &meant); err != nil || len(list) == 0 {
			t.Fatalf("%s %s was booked, and no list was printed here", verb, ref)
		}
		at := int(meant[0] - '1')
		if at >= len(list) {
			t.Fatalf("%s %s was booked, and the list here is %q", verb, ref, list)
		}
		s.holds(t, home, before, list[at])
	}
}

// holds fails where the booking after number is for another job than the one in hand
// here, or of another thing than the one meant.
func (s *seat) holds(t *rapid.T, home string, number uint64, meant string) {
	entries := entriesAfter(t, home, number)
	if len(entries) == 0 {
		t.Fatalf("nothing was booked after %d", number)
	}
	for _, e := range entries {
		if e.Job != s.job {
			t.Fatalf("booked for job %q, in hand is %q: %s%s", e.Job, s.job, s.w.stdout, s.w.stderr)
		}
		if meant != "" && e.Bag != meant && e.Part != meant {
			t.Fatalf("booked %s of %s, the line was %s", e.Bag, e.Part, meant)
		}
	}
}

type entrySeen struct{ Bag, Part, Job string }

func lastOf(home string) (number uint64) {
	s, err := store.Open(filepath.Join(home, "w.db"))
	if err != nil {
		return 0
	}
	defer s.Close()
	_ = s.View(func(v *store.View) error { number = v.LastBooking(); return nil })
	return number
}

// entriesAfter are the entries booked after number, by what log --json says.
func entriesAfter(t *rapid.T, home string, number uint64) (out []entrySeen) {
	s, err := store.Open(filepath.Join(home, "w.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.View(func(v *store.View) error {
		for n := number + 1; n <= v.LastBooking(); n++ {
			b, err := v.BookingNo(n)
			if err != nil {
				return err
			}
			entries, err := v.EntriesIn(b)
			if err != nil {
				return err
			}
			for _, e := range entries {
				bag, _ := v.Bag(e.Bag) // every bag here stays
				out = append(out, entrySeen{string(e.Bag), string(bag.Part), string(e.Job)})
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
