package ask

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"

	diff "github.com/google/go-cmp/cmp"
)

// What the file of each job of the demo says: what is still to do, what the camera
// carries, what must not go in and what its model lacks, by the sheets.
func TestDemoJobFiles(t *testing.T) {
	for _, tt := range []struct {
		job    code.Code
		traps  store.ReasonKind // the first; empty: what never goes in comes first, if anything
		toDo   string           // kinds and codes
		lent   string
		pieces string
		source string
	}{
		{"101", LookWhich, "", "", "B202 B214", "moves.csv; the shutter was not noted, W1-B carries two"},
		{"102", "", "", "", "B295 B242", "moves.csv; W2-B carries one"},
		{"103", "", "waits P057", "", "", "wants.csv"},
		{"104", "", "ask-agreed 104, waits P080", "", "", "jobs.csv: used parts not yet answered; wants.csv"},
		{"105", "", "held-still B281, held-still B284", "", "B281 held, B284 held", "moves.csv"},
		{"106", "", "held-still B252, waits P070, hand-back PC-13", "PC-13", "B252 held", "moves.csv, wants.csv, fault 7"},
		{"107", "", "", "", "B208 B223", "moves.csv"},
		{"108", "", "waits P078", "", "", "wants.csv"},
	} {
		t.Run(string(tt.job), func(t *testing.T) {
			view(t, demo(t), func(v *store.View) error {
				f, err := JobFileOf(v, tt.job)
				if err != nil {
					return err
				}
				kinds := func(list store.Reasons) string {
					var out []string
					for _, r := range list {
						out = append(out, string(r.Kind)+" "+string(r.Codes[0]))
					}
					return strings.Join(out, ", ")
				}
				var pieces, lent []string
				for _, p := range f.Pieces {
					pieces = append(pieces, string(p.Bag.Code)+map[bool]string{true: " held,"}[p.Held])
					if f.Name(p.Bag.Part) == "" {
						t.Errorf("%s has no name in the file", p.Bag.Part)
					}
				}
				for _, l := range f.Notes.Lent {
					lent = append(lent, string(cmp.Or(l.Donor, l.Bag)))
				}
				got := []string{kinds(f.ToDo), strings.Join(lent, " "), strings.TrimSuffix(strings.Join(pieces, " "), ",")}
				if d := diff.Diff([]string{tt.toDo, tt.lent, tt.pieces}, got); d != "" {
					t.Errorf("%s: to do, lent, pieces (-want +got)\n%s", tt.source, d)
				}
				if traps := store.ReasonKinds(f.Notes.Traps); tt.traps != "" && (len(traps) == 0 || traps[0] != tt.traps) {
					t.Errorf("traps %q, want %s first", f.Notes.Traps, tt.traps)
				}
				neverByTheSheet(t, f)
				lacksByTheSheet(t, f)
				return nil
			})
		})
	}
	view(t, demo(t), func(v *store.View) error {
		if _, err := JobFileOf(v, "999"); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("a job that is none: %v", err)
		}
		return nil
	})
}

// What must not go into a job's model is what goes.csv forbids, the other hand first,
// five by name.
func neverByTheSheet(t *testing.T, f JobFile) {
	t.Helper()
	var want []code.Code
	for _, degree := range []string{"opposite-hand", "no"} {
		for _, g := range sheet(t, "goes") {
			if g.code("Model") == f.Job.Model && g["Degree"] == degree {
				want = append(want, g.code("Part"))
			}
		}
	}
	var got []code.Code
	for _, r := range f.Notes.Traps {
		if r.Kind == NeverGoes {
			got = append(got, r.Codes[0])
		}
	}
	if d := diff.Diff(want[:min(len(want), 5)], got); d != "" && len(want)+len(got) > 0 {
		t.Errorf("what never goes in (-goes.csv +got)\n%s", d)
	}
	if more := slices.Contains(store.ReasonKinds(f.Notes.Traps), MoreNever); more != (len(want) > 5) {
		t.Errorf("%d never go in, and that there are more is said: %t", len(want), more)
	}
}

// What cameras of a job's model lack is what seen.csv has as missing on donors of it.
func lacksByTheSheet(t *testing.T, f JobFile) {
	t.Helper()
	of := map[string]string{}
	for _, d := range sheet(t, "donors") {
		of[d["Donor"]] = d["Model"]
	}
	missing, looked := map[code.Code]int64{}, map[code.Code]int64{}
	for _, s := range sheet(t, "seen") {
		if of[s["Donor"]] != string(f.Job.Model) {
			continue
		}
		looked[s.code("Part")]++
		if s["Seen"] == "missing" {
			missing[s.code("Part")]++
		}
	}
	for i, l := range f.Notes.Lacks {
		if l.Missing != missing[l.Part] || l.LookedAt != looked[l.Part] || i > 0 && f.Notes.Lacks[i-1].Missing < l.Missing {
			t.Errorf("%+v, by seen.csv %d of %d", l, missing[l.Part], looked[l.Part])
		}
	}
	if len(f.Notes.Lacks) != len(missing) {
		t.Errorf("%d parts are lacking, by seen.csv %d", len(f.Notes.Lacks), len(missing))
	}
}

// The cautions of a job are for the parts with a hazard that go into its model, its
// shutter and lens: of F-L P010, a mainspring, goes into ORL-00 only (goes.csv).
func TestDemoJobCautions(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		f, err := JobFileOf(v, "104")
		if text := strings.Join(f.Notes.Cautions, "\n"); !strings.Contains(text, "P078, P011: stored energy: let the shutter down") || strings.Contains(text, "P010") {
			t.Errorf("a C-1 with a HAL-00 has its shutter's cautions and no other's: %s", text)
		}
		if want := "HAL-00: pin spanner 22; drivers 1.0, 1.2"; !slices.Contains(f.Notes.Tools, want) || f.Notes.Tools[0] != "drivers 1.4, 2.0" {
			t.Errorf("tools %q, want those of models.csv, with %q", f.Notes.Tools, want)
		}
		return err
	})
}

// The day of the demo on one screen (README: held, lent, what is not the workshop's;
// jobs.csv, wants.csv).
func TestDemoToday(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		d, err := TodayOn(v, demoDay)
		var jobs, others, lent, short, idle []string
		for _, j := range d.Jobs {
			jobs = append(jobs, fmt.Sprint(j.Job.Tray, " ", j.Job.Code))
			for _, w := range j.Waits {
				jobs = append(jobs, "waits for "+string(w.Part)+w.Here)
			}
		}
		for _, o := range d.Others {
			others = append(others, fmt.Sprint(o.Code, " of ", o.Owner))
		}
		for _, l := range d.Lent {
			lent = append(lent, fmt.Sprint(l.N, " of ", l.Bag, " with ", l.To, " since ", l.Since))
		}
		for _, s := range d.Short {
			short = append(short, fmt.Sprint(s.Part.Code, " for ", codeText(s.Jobs)))
		}
		for _, x := range d.Idle {
			idle = append(idle, string(x.Code))
		}
		for _, x := range []struct{ name, want, got string }{
			{"jobs", "J1 103, waits for P057, J2 104, waits for P080, J3 105, J4 106, waits for P070", strings.Join(jobs, ", ")},
			{"others", "PC-13 of customer 6, PC-14 of held", strings.Join(others, ", ")},
			{"lent", "1 of B220 with another bench since 2031-08-20", strings.Join(lent, ", ")},
			{"short", "P057 for 103, P070 for 106, P080 for 104", strings.Join(short, ", ")},
			{"idle", "PC-11, PC-05, PC-08, PC-12", strings.Join(idle, ", ")}, // donors.csv: own, not stripped, by day of purchase
		} {
			if x.got != x.want {
				t.Errorf("%s: %s, want %s", x.name, x.got, x.want)
			}
		}
		at, err2 := StandIn(v, "D1")
		if len(at) != 6 { // donors.csv: PC-05, 08, 11, 12, 13, 14
			t.Errorf("%d stand on D1, want 6", len(at))
		}
		return errors.Join(err, err2)
	})
}

// A camera comes again: what was fitted then, what is still owed to the customer and
// what ends a wait.
func TestJobStory(t *testing.T) {
	s := demo(t)
	steps := []struct {
		name string
		book func(*store.Tx) error
		toDo []string // of job 110, beginnings
		wait string   // waits that are over
	}{
		{"job 101's camera is back", func(x *store.Tx) error {
			return put(x, store.Job{Code: "110", Model: "W1-B", BodyNo: "22418", Owner: "customer 1", State: "in work", Opened: x.Day()},
				store.Want{Date: x.Day(), Part: "P005", Job: "110", Model: "W1-B"})
		}, []string{"ask whether used or made parts are agreed to", "look which shutter it carries", "look which lens it carries", "P005 back latch spring is wanted since 2031-09-01; the wait is over: B225 has 1 free in K1"}, "P005"},
		{"a piece comes off and lies in an envelope, another is lost", func(x *store.Tx) error {
			_, err := x.TakeOut(store.Old{Job: "110", Part: "P005", Quantity: 1, Why: "worn", Fate: "envelope", Where: "E 12"}, false)
			_, err2 := x.TakeOut(store.Old{Job: "110", Piece: "strap lug", Quantity: 2, Why: "fell", Fate: "lost"}, false)
			_, err3 := x.TakeOut(store.Old{Job: "110", Piece: "felt", Quantity: 1, Why: "crumbled"}, false)
			return errors.Join(err, err2, err3)
		}, []string{"hand the old P005 back latch spring back: it lies in envelope E 12", "2 strap lug of the customer's was lost here on 2031-09-01", "hand the old felt back, or ask whether it is wanted"}, "P005"},
		{"both latch springs go into other cameras", func(x *store.Tx) error {
			return errors.Join(x.Fit(store.Take{Bag: "B225", N: 1, Job: "103"}), x.Fit(store.Take{Bag: "B251", N: 1, Job: "103"}))
		}, []string{"P005 back latch spring is wanted since 2031-09-01"}, ""},
		{"the job is closed with a piece held", func(x *store.Tx) error {
			j, err := x.Job("110")
			if err != nil {
				return err
			}
			j.State, j.Closed, j.Agreed = "collected", x.Day(), "yes"
			return errors.Join(x.Hold(store.Take{Bag: "B242", N: 1, Job: "110"}), x.Put(j))
		}, []string{"P035 front door screw, domed is held and the job is closed"}, ""},
	}
	for _, step := range steps {
		if _, err := s.Book(store.Head{Day: day("2031-09-01"), Today: day("2031-09-01"), By: "R"}, step.book); err != nil {
			t.Fatalf("%s: %v", step.name, err)
		}
		view(t, s, func(v *store.View) error {
			f, err := JobFileOf(v, "110")
			hasAll(t, store.Texts(f.ToDo), step.toDo)
			out, err2 := OutOfHouse(v, false)
			over := ""
			for _, w := range out.Waits {
				over += string(w.Want.Part)
			}
			if over != step.wait {
				t.Errorf("%s: the wait is over for %q, want %q", step.name, over, step.wait)
			}
			if b := f.Notes.Before; len(b) != 1 || b[0].Job != "101" || len(b[0].Fitted) != 2 {
				t.Errorf("%s: before it was here %+v, want job 101 with B202 and B214 (moves.csv)", step.name, b)
			}
			return errors.Join(err, err2)
		})
	}
	view(t, s, func(v *store.View) error {
		f, err := JobFileOf(v, "110")
		var left []string
		out, err2 := OutOfHouse(v, false)
		for _, o := range out.Olds {
			left = append(left, string(o.Job)+" "+o.Fate)
		}
		if want := []string{"110 envelope", "110 lost", "110 "}; len(f.OldsOpen()) != 3 || !slices.Equal(left, want) {
			t.Errorf("left of closed jobs: %q, open in the file %d; want %q", left, len(f.OldsOpen()), want)
		}
		d, err3 := TodayOn(v, day("2031-09-01"))
		var olds []string
		for _, o := range d.Others {
			if o.What != "" {
				olds = append(olds, o.What)
			}
		}
		if want := []string{"old piece", "old strap lug", "old felt"}; !slices.Equal(olds, want) {
			t.Errorf("not the workshop's: %q, want %q", olds, want)
		}
		return errors.Join(err, err2, err3)
	})
}

// A body number outside those of its model is a trap that names the sister which has
// it (models.csv: W1-A 10001-18420, W1-B 18421-31999).
func TestNumberTraps(t *testing.T) {
	for _, tt := range []struct {
		model  code.Code
		number string
		shut   code.Code
		want   string // of the first trap; empty: no such trap
	}{
		{"W1-A", "12260", "ORV-00", ""},
		{"W1-A", "19000", "ORV-00", "body 19000 is not among the numbers of W1-A (10001-18420): W1-B has 18421-31999; look which it is"},
		{"W1-A", "99999", "ORV-00", "body 99999 is not among the numbers of W1-A (10001-18420): look which model it is"},
		{"C-1", "4711", "HAL-00", ""}, // none on the body
		{"C-2", "CB9999", "HAL-00S", "body CB9999 is not among the numbers of C-2"},
		{"W2-A", "44871", "ORV-00", "W2-A is not known to carry the shutter ORV-00: it may have been changed"},
		{"W1-B", "20000", "", "it carries ORV-00 or HAL-00: look which before a part of its shutter is promised"},
	} {
		view(t, demo(t), func(v *store.View) error {
			r := read(v)
			n := notesOf(r, store.Job{Model: tt.model, BodyNo: tt.number, Shutter: tt.shut})
			got := slices.DeleteFunc(n.Traps, func(r store.Reason) bool { return r.Kind == NeverGoes || r.Kind == MoreNever })
			if len(got) == 0 != (tt.want == "") || len(got) > 0 && !strings.HasPrefix(got[0].Text, tt.want) {
				t.Errorf("%s %s with %s: %q, want %q", tt.model, tt.number, tt.shut, got, tt.want)
			}
			return r.err
		})
	}
}
