package store

import (
	"errors"
	"slices"
	"testing"

	"tinful/store/code"
	"tinful/store/notes"
)

// Shares by hand, largest remainder: what does not divide goes a cent each to the
// first that are given nothing.
func TestShares(t *testing.T) {
	c := func(n code.Cents) *code.Cents { return &n }
	tests := []struct {
		name  string
		total code.Cents
		given []*code.Cents
		want  []code.Cents
	}{
		{"lot L1 of the demo: 66.00 for three", 6600, make([]*code.Cents, 3), []code.Cents{2200, 2200, 2200}},
		{"10.00 for three: 3.33 and one cent over", 1000, make([]*code.Cents, 3), []code.Cents{334, 333, 333}},
		{"0.02 for three", 2, make([]*code.Cents, 3), []code.Cents{1, 1, 0}},
		{"30.00 of 66.00 is given, 36.01 left", 6601, []*code.Cents{nil, c(3000), nil}, []code.Cents{1801, 3000, 1800}},
		{"all is given", 500, []*code.Cents{c(200), c(300)}, []code.Cents{200, 300}},
		{"nothing was paid", 0, make([]*code.Cents, 2), []code.Cents{0, 0}},
	}
	for _, tt := range tests {
		got, err := Shares(tt.total, tt.given)
		if err != nil || !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, %v; want %v", tt.name, got, err, tt.want)
		}
	}
	for name, given := range map[string][]*code.Cents{"more than there is": {c(600), nil}, "less, and nobody is open": {c(100), c(300)}, "below zero": {c(-1), nil}} {
		if got, err := Shares(500, given); !errors.Is(err, ErrRefused) {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}

// stripped books notes about a donor of A-2, which carries SH-1 alone.
func stripped(t *testing.T, s *Store, d Donor, text string) Stripped {
	t.Helper()
	f, problems := notes.Parse(text)
	var out Stripped
	mustBook(t, s, func(tx *Tx) error {
		if err := tx.Put(d); err != nil {
			return err
		}
		var more []notes.Problem
		var err error
		out, more, err = tx.StripDown(StripDown{Kind: "donor", Camera: d.Code, Notes: f})
		if len(problems)+len(more) > 0 {
			t.Errorf("mistakes: %v %v", problems, more)
		}
		return err
	})
	return out
}

// What a part out of a parts camera proves: the rule of proof.go, case by case. Of
// P4, a part of the shutter, it is stated of SH-1 already that it goes in.
func TestWhatAPartProves(t *testing.T) {
	tests := []struct {
		history, part, text string
		want                code.Code // the model of the statement, empty for none
	}{
		{"unopened", "P3", "step back: off 40cm p3", "A-2"},
		{"failed", "P3", "step back: off 40cm p3", "A-2"},
		{"serviced", "P3", "step back: off 40cm p3", "A-2"},
		{"meddled", "P3", "step back: off 40cm p3", ""},
		{"unknown", "P3", "step back: off 40cm p3", ""},
		{"unopened", "P3", "step back: off 40cm p3, replaced p3", ""},
		{"unopened", "P4", "step shutter: off p4, to K1", ""},
		{"unopened", "P8", "step shutter: off p8, to K1", "SH-1"},
		{"serviced", "P9", "step top: off p9, to K1", ""},
		{"unopened", "P9", "step top: off p9, to K1", "A-2"},
	}
	for _, tt := range tests {
		s := newStore(t)
		mustBook(t, s, func(tx *Tx) error {
			return putAll(tx, Part{Code: "P8", Name: "blade", Class: "BLD", Seat: "shutter"}, Part{Code: "P9", Name: "cover screw", Class: "SCR-CSK", Seat: "top"})
		})
		out := stripped(t, s, Donor{Code: "PC-1", Model: "A-2", Owner: Own, History: tt.history, State: "whole"}, tt.text)
		switch {
		case tt.want == "" && len(out.Goes) > 0:
			t.Errorf("%s, %s: %v is stated", tt.history, tt.text, out.Goes)
		case tt.want != "" && (len(out.Goes) != 1 || out.Goes[0].Model != tt.want || out.Goes[0].Part != code.Code(tt.part) || out.Goes[0].Evidence != "compared"):
			t.Errorf("%s, %s: %v is stated, want one of %s", tt.history, tt.text, out.Goes, tt.want)
		}
	}
}

// Pieces go where their sisters of the grade lie, then where sisters lie, then
// where their class lies, and never into a job's tray.
func TestPlaceFor(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(tx *Tx) error {
		if err := putAll(tx, Part{Code: "P7", Name: "door spring", Class: "SPR-TOR"}, Part{Code: "P8", Name: "blade", Class: "BLD"},
			Job{Code: "107", Model: "A-1", Tray: "J1"}); err != nil {
			return err
		}
		for _, b := range []Bag{
			{Code: "B11", Part: "P1", Origin: "bought", Quantity: 1, Grade: "rework", Place: "K2"},
			{Code: "B12", Part: "P8", Origin: "bought", Quantity: 1, Grade: "ready", Place: "J1"},
		} {
			if _, err := tx.PutIn(b); err != nil {
				return err
			}
		}
		return nil
	})
	for _, tt := range []struct {
		part  code.Code
		grade string
		want  code.Code
	}{
		{"P1", "rework", "K2"}, // B11 alone is rework
		{"P1", "usable", "K1"}, // B2
		{"P1", "scrap", "K1"},  // two bags in K1, one in K2
		{"P7", "rework", "K2"}, // no bag of its own: torsion springs that are rework
		{"P8", "ready", ""},    // only in a job's tray
	} {
		err := s.View(func(v *View) error {
			p, err := v.Part(tt.part)
			if err != nil {
				return err
			}
			got, _, err := v.PlaceFor(p, tt.grade)
			if got != tt.want {
				t.Errorf("%s %s goes to %q, want %q", tt.part, tt.grade, got, tt.want)
			}
			return err
		})
		if err != nil {
			t.Error(err)
		}
	}
}

// A second evening adds to the bags of the first, and undo takes only its own back.
func TestStripGoesOn(t *testing.T) {
	s := newStore(t)
	d := Donor{Code: "PC-1", Model: "A-2", Owner: Own, History: "meddled", State: "whole"}
	stripped(t, s, d, "step 1 wind: off 2 p1, grade usable")
	d.State = "part-stripped"
	out := stripped(t, s, d, "step 1 wind: off 2 p1, grade usable\nstep 2 wind: off 1 p1, grade usable\ndone")
	if len(out.Known) != 1 || len(out.Steps) != 1 || out.State != "stripped" {
		t.Errorf("known %v, new %v, state %s; want step 1, one step, stripped", out.Known, out.Steps, out.State)
	}
	held := func(want int64) {
		t.Helper()
		err := s.View(func(v *View) error {
			var sum int64
			for _, c := range v.BagsFrom("PC-1") {
				st, err := v.State(c)
				if err != nil {
					return err
				}
				sum += st.OnHand()
			}
			if sum != want {
				t.Errorf("the bags of PC-1 hold %d, want %d", sum, want)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	}
	held(3)
	var last uint64
	s.View(func(v *View) error { last = v.LastBooking(); return nil })
	if _, err := s.Undo(Head{Day: day0, Today: day0}, last); err != nil {
		t.Fatal(err)
	}
	held(2)
}
