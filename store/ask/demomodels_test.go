package ask

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// Which camera is it? models.csv says the numbers, what each carries and what it is
// told by.
func TestDemoWhich(t *testing.T) {
	for _, tt := range []struct {
		name    string
		marks   Marks
		best    code.Code
		pro     []string
		against []string // of the best
		note    string
	}{
		{"a body number", Marks{Number: "19902"}, "W1-B", []string{"body 19902 lies in 18421-31999"}, nil, "one mark alone decides nothing"},
		{"a number of another model and its shutter", Marks{Number: "19902", Shutter: "ORV-00"}, "W1-B", []string{"body 19902", "may carry ORV-00, or HAL-00"}, nil, "these are guesses"},
		{"no number", Marks{Number: "none"}, "C-1", []string{"it has no body number, and none is claimed for it"}, nil, "one mark alone"},
		{"a lens number that a camera's cell claims", Marks{LensNo: "TA 4410"}, "C-1", []string{"lens TA 4410 lies in 2000-9100", "carries TAR-45/3.5 and no other lens"}, nil, "one mark alone"},
		{"what it is told by", Marks{Told: "lever wind"}, "W3-B", []string{"it is told by: coupled, lever wind, cocking rack thin"}, nil, "one mark alone"},
		{"a shutter that was changed is no evidence", Marks{Number: "27766", ShutterNo: "O 301 777"}, "W1-B", []string{"body 27766"}, nil, "these are guesses"},
		{"a scale", Marks{Scale: "m", Shutter: "HAL-00"}, "W2-A", []string{"carries HAL-00 and no other shutter", "its scale is in m"}, nil, "these are guesses"},
		{"marks that do not agree", Marks{Number: "41090", Lens: "OMB-50/2.8", Scale: "ft"}, "W2-A", []string{"body 41090 lies in 40001-46250"}, []string{"carries OMB-50/3.5 and not OMB-50/2.8", "its scale is in m, not ft"}, "these are guesses"},
		{"a shutter by itself", Marks{Kind: "shutter", Number: "H 150 000"}, "HAL-00S", []string{"shutter H 150 000 lies in H 125 001-H 195 000"}, nil, "one mark alone"},
		{"a lens by itself, of two series", Marks{Kind: "lens", Number: "OM 62000"}, "OMB-50/2.8", []string{"lens OM 62000 lies in OM 30000-OM 62000"}, nil, "one mark alone"},
		{"nothing that any model has", Marks{Told: "gilded eagle"}, "", nil, nil, ""},
	} {
		view(t, demo(t), func(v *store.View) error {
			w, err := Which(v, tt.marks)
			if tt.best == "" {
				if len(w.Hypotheses)+len(w.Notes) > 0 {
					t.Errorf("%s: %+v", tt.name, w)
				}
				return err
			}
			if len(w.Hypotheses) == 0 || !hypothesis(w.Hypotheses, tt.best) {
				t.Errorf("%s: %+v, want %s among the best", tt.name, w.Hypotheses, tt.best)
				return err
			}
			i := slices.IndexFunc(w.Hypotheses, func(h Hypothesis) bool { return h.Model == tt.best })
			hasAll(t, w.Hypotheses[i].For, tt.pro)
			hasAll(t, w.Hypotheses[i].Against, tt.against)
			if len(w.Hypotheses[i].For) != len(tt.pro) || !strings.HasPrefix(w.Notes[0], tt.note) {
				t.Errorf("%s: %q for it and %q, want %q and %q", tt.name, w.Hypotheses[i].For, w.Notes, tt.pro, tt.note)
			}
			return err
		})
	}
}

// hypothesis says whether nothing speaks more for another model than for one.
func hypothesis(list []Hypothesis, model code.Code) bool {
	i := slices.IndexFunc(list, func(h Hypothesis) bool { return h.Model == model })
	return i >= 0 && list[i].weight >= list[0].weight
}

// Every parts camera of the demo comes in again: as the model it was booked as, which
// its numbers bear out; PC-12's shutter is not its own (fault 9).
func TestDemoCame(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		err := v.EachDonor(func(d store.Donor) error {
			c, err := CameOf(v, d, MarksOf(d))
			if len(c.Model.Against) > 0 || c.Model.Weak() || len(c.Others) > 0 || c.Twin != "" {
				t.Errorf("%s: %+v", d.Code, c)
			}
			if late := c.Late != ""; late != (d.Code == "PC-12") {
				t.Errorf("%s: %q", d.Code, c.Late)
			}
			return err
		})
		twin := store.Donor{Code: "PC-30", Model: "W1-A", BodyNo: "14207"} // PC-01's
		c, err2 := CameOf(v, twin, Marks{Number: "14207", Told: "lever wind"})
		if c.Twin != "PC-01" || len(c.Others) != 1 || c.Others[0].Model != "W3-B" {
			t.Errorf("%+v, want PC-01 as its twin, and that what was seen speaks for a W3-B", c)
		}
		_, err3 := CameOf(v, store.Donor{Model: "NONE"}, Marks{})
		if !errors.Is(err3, store.ErrNotFound) {
			t.Errorf("an unknown model: %v", err3)
		}
		return errors.Join(err, err2)
	})
	if q := HistoryAsked([]string{"chewed slots"}); q.Known != "meddled" || HistoryAsked(nil).Known != "unknown" {
		t.Errorf("chewed slots point to %q", q.Known)
	}
}

// A shutter out of step with its body, by models.csv: years and evenly run numbers, a
// body of later years with an earlier shutter.
func TestShutterSteps(t *testing.T) {
	for _, tt := range []struct {
		model   code.Code
		shutter code.Code
		no      string
		want    string // beginning; empty: in step
	}{
		{"W1-A", "ORV-00", "O 118 402", ""},
		{"W3-A", "HAL-00", "H 30 000", ""},                                                                       // older than the body says nothing
		{"W1-A", "HAL-00S", "H 130 000", "it was made from 1948 on, and W1-A until 1936"},                        // 1948-57
		{"W1-B", "HAL-00", "H 120 000", "its number H 120 000 is later than the body: it points to about 1951"},  // 1934-51, at 99/104 of 18 years
		{"W2-A", "HAL-00", "H 99 115", "its number H 99 115 is later than the body: it points to about 1947"},    // at 79/105 of 18 years: 1947
		{"W1-A", "HAL-00", "H 55 211", "its number H 55 211 is later than the body: it points to about 1940 if"}, // at 35/105: 1940
		{"W1-A", "", "O 320 000", "its number O 320 000 is later"},                                               // which shutter follows from the number
		{"W1-A", "", "X 1", ""},
		{"W1-B", "ORV-00", "O 240 020", "its number O 240 020 is later than O 240 019 of PC-03, a W2-B of 1939-41, and W1-B was made 1936-38"},
	} {
		view(t, demo(t), func(v *store.View) error {
			r := read(v)
			got := outOfStep(r, r.known(tt.model), Marks{Self: "PC-30", Shutter: tt.shutter, ShutterNo: tt.no})
			if (got == "") != (tt.want == "") || !strings.HasPrefix(got, tt.want) {
				t.Errorf("%s with %s %s: %q, want %q", tt.model, tt.shutter, tt.no, got, tt.want)
			}
			return r.err
		})
	}
	view(t, demo(t), func(v *store.View) error {
		l, err := LookedOn(v, store.Ref{Kind: "donor", Code: "PC-12"}, store.LookNews{Now: []store.Seen{{Part: "P010", Seen: "present"}, {Part: "P077", Seen: "replaced"}, {Part: "P005", Seen: "present"}}})
		if len(l.Remarks) != 1 || !slices.Equal(l.Remarks[0].Codes, []code.Code{"P010", "PC-12"}) || l.Name("P005") == "" {
			t.Errorf("%q, want that P010 sits in a foreign shutter", l.Remarks)
		}
		_, err2 := LookedOn(v, store.Ref{Kind: "donor", Code: "PC-99"}, store.LookNews{})
		if !errors.Is(err2, store.ErrNotFound) {
			t.Errorf("PC-99: %v", err2)
		}
		return err
	})
}

// What comes next in a strip-down of a W3-B: in the order in which the pieces of PC-06
// were booked in (bags.csv) where that is named, else by where parts sit.
func TestDemoGuide(t *testing.T) {
	var order []code.Code
	for _, b := range sheet(t, "bags") {
		if b["Origin"] == "PC-06" {
			order = append(order, b.code("Part"))
		}
	}
	into, seen := map[code.Code]bool{}, map[code.Code]bool{} // what belongs into a W3-B with HAL-00S and OMB-50/2.8
	for _, g := range sheet(t, "goes") {
		if slices.Contains([]string{"W3-B", "HAL-00S", "OMB-50/2.8"}, g["Model"]) && slices.Contains([]string{"direct", "unit", "matched"}, g["Degree"]) {
			into[g.code("Part")] = true
		}
	}
	for _, s := range sheet(t, "seen") {
		if s["Donor"] == "PC-05" {
			seen[s.code("Part")] = true
		}
	}
	view(t, demo(t), func(v *store.View) error {
		s, err := SubjectOf(v, store.Ref{Kind: "donor", Code: "PC-05"})
		if err != nil {
			return err
		}
		like, err := StripGuide(v, s, &store.Ref{Kind: "donor", Code: "PC-06"})
		if len(like.Lines) != len(into) {
			t.Errorf("%d parts, by goes.csv %d", len(like.Lines), len(into))
		}
		for i, part := range order {
			if like.Lines[i].Part != part {
				t.Errorf("%d. is %s, PC-06 gave %s then", i+1, like.Lines[i].Part, part)
			}
		}
		said := map[string]int{}
		for _, l := range like.Lines {
			if !into[l.Part] || (l.Seen != "") != seen[l.Part] {
				t.Errorf("%s: %+v", l.Part, l)
			}
			for _, c := range l.Cautions {
				said[c]++
			}
		}
		for c, n := range said {
			if n != 1 {
				t.Errorf("said %d times: %q", n, c)
			}
		}
		free, err2 := StripGuide(v, s, nil) // no W3-B has steps: by seat, then code
		at := func(l GuideLine) int { return slices.Index(store.Seats, l.Seat) }
		if free.Like != nil || !slices.IsSortedFunc(free.Lines, func(a, b GuideLine) int { return at(a) - at(b) }) {
			t.Errorf("like %v: %+v", free.Like, free.Lines)
		}
		list, err3 := Checklist(v, s)
		if len(list.Lines) != len(into)-len(slices.DeleteFunc(sheetCodes(t, "parts", "Part"), func(c code.Code) bool { return !into[c] || !seen[c] })) {
			t.Errorf("%d are left to look at", len(list.Lines))
		}
		return errors.Join(err, err2, err3)
	})
}

// The steps of a strip-down lead the next of the model, with how each piece came off;
// a donor before a job of the same day.
func TestGuideOfSteps(t *testing.T) {
	s := demo(t)
	thick, thin, turns, teeth := int64(200), int64(155), int64(1500), int64(1)
	steps := []store.Step{
		{Kind: "donor", Camera: "PC-06", Nth: 1, Day: demoDay, Off: []store.Off{{Part: "P022", Quantity: 7, Hole: "12"}, {Part: "P014", Quantity: 1}}, Tools: "driver 1.6"},
		{Kind: "donor", Camera: "PC-06", Nth: 2, Day: demoDay, Off: []store.Off{{Part: "P019", Quantity: 1, Hand: "left"}}, Turns: &turns, Teeth: &teeth, Facing: "hook up",
			Under: []store.Layer{{Part: "P041", Thick: &thick}, {Piece: "paper", Thick: &thin}}, Over: []store.Layer{{Part: "P042"}}},
		{Kind: "job", Camera: "103", Nth: 1, Day: demoDay, Off: []store.Off{{Part: "P005", Quantity: 1}, {Piece: "felt", Quantity: 1}}},
	}
	if _, err := s.Book(store.Head{Day: demoDay, Today: demoDay, By: "R"}, func(x *store.Tx) error {
		var errs []error
		for _, step := range steps {
			errs = append(errs, x.Put(step))
		}
		return errors.Join(errs...)
	}); err != nil {
		t.Fatal(err)
	}
	view(t, s, func(v *store.View) error {
		subject, err := SubjectOf(v, store.Ref{Kind: "donor", Code: "PC-05"})
		if err != nil {
			return err
		}
		g, err := StripGuide(v, subject, nil)
		if g.Like == nil || g.Like.Code != "PC-06" {
			t.Errorf("like %+v, want PC-06, a donor before a job of the same day", g.Like)
		}
		for i, want := range []GuideLine{
			{Part: "P022", Step: 1, Hint: "hole 12"},
			{Part: "P014", Step: 1, Hint: "with driver 1.6"},
			{Part: "P019", Step: 2, Hint: "LEFT-HAND; under it P041 0.20; under it paper 0.155; over it P042; hook up; 1.5 turns and 1 tooth"},
		} {
			if l := g.Lines[i]; l.Part != want.Part || l.Step != want.Step || l.Hint != want.Hint {
				t.Errorf("%d. is %+v, want %+v", i+1, l, want)
			}
		}
		job, err2 := SubjectOf(v, store.Ref{Kind: "job", Code: "103"})
		own, err3 := StripGuide(v, job, nil)
		i := slices.IndexFunc(own.Lines, func(l GuideLine) bool { return l.Part == "P005" })
		if own.Lines[i].Out != 1 || job.Owner != "customer 3" || job.History != "unknown" {
			t.Errorf("one P005 came off job 103: %+v of %+v", own.Lines[i], job)
		}
		all, err4 := StepCautions(v, []store.Step{steps[1], {Off: []store.Off{{Part: "P007"}, {Part: "P999"}, {Piece: "felt"}}}})
		if len(all[0]) != 2 || len(all[1]) != 0 { // P019: stored energy, a clock spring; P007 has stored energy again
			t.Errorf("%q", all)
		}
		_, err5 := SubjectOf(v, store.Ref{Kind: "job", Code: "999"})
		_, err6 := SubjectOf(v, store.Ref{Kind: "donor", Code: "PC-99"})
		if !errors.Is(err5, store.ErrNotFound) || !errors.Is(err6, store.ErrNotFound) {
			t.Errorf("cameras that are not here: %v, %v", err5, err6)
		}
		return errors.Join(err, err2, err3, err4)
	})
}
