package store

import (
	"errors"
	"testing"

	"tinful/store/code"
)

// The order is the rule of FreeTray, worked out by hand.
func TestFreeTray(t *testing.T) {
	tray := func(c, job, done code.Code, full bool) Tray { return Tray{Place{Code: c}, job, done, full} }
	tests := []struct {
		name  string
		trays []Tray
		want  code.Code
	}{
		{"none at all", nil, ""},
		{"all taken", []Tray{tray("J1", "105", "", false)}, ""},
		{"the first free one", []Tray{tray("J1", "105", "", false), tray("J2", "", "", false), tray("J3", "", "", false)}, "J2"},
		{"an empty one before a full one", []Tray{tray("J1", "", "", true), tray("J2", "", "", false)}, "J2"},
		{"one that no closed job names first", []Tray{tray("J1", "", "101", false), tray("J2", "", "", false)}, "J2"},
		{"a full one that nobody has", []Tray{tray("J1", "105", "", false), tray("J2", "", "101", true)}, "J2"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := FreeTray(tt.trays)
			if got.Place.Code != tt.want || ok != (tt.want != "") {
				t.Errorf("%q, %t; want %q", got.Place.Code, ok, tt.want)
			}
		})
	}
}

// The words are those of the demo workshop's places.csv, and places a bench may have.
func TestIsTray(t *testing.T) {
	for _, tt := range []struct {
		where, use string
		want       bool
	}{
		{"job tray J1", "open job", true}, {"tray on the left", "jobs in work, job tray", true}, {"shelf 2", "open job", true},
		{"springs cabinet K, drawer 1", "springs, torsion", false}, {"seed tray", "small screws", false}, {"donor shelf D1", "whole and opened donors", false},
	} {
		if got := IsTray(Place{Where: tt.where, For: tt.use}); got != tt.want {
			t.Errorf("%q, %q: %t", tt.where, tt.use, got)
		}
	}
}

func TestSameBody(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"22418", "22418", true}, {"CB1187", "cb 1187", true}, {"22418", "22419", false},
		{"none", "none", false}, {"", "", false}, {"none seen", "none", false},
	} {
		if got := SameBody(tt.a, tt.b); got != tt.want {
			t.Errorf("%q and %q: %t", tt.a, tt.b, got)
		}
	}
}

// A statement names the last three cameras and keeps what else its note says.
func TestNoteBody(t *testing.T) {
	note := "same spring"
	for _, j := range []Job{{Code: "1", BodyNo: "11"}, {Code: "2", BodyNo: "none"}, {Code: "3", BodyNo: "33"}, {Code: "4", BodyNo: "44"}} {
		note = noteBody(note, "run", j)
	}
	want := "same spring; run in job 2; run in body 33 (job 3); run in body 44 (job 4)"
	if note != want {
		t.Errorf("%q, want %q", note, want)
	}
	if again := noteBody(note, "run", Job{Code: "4", BodyNo: "44"}); again != want {
		t.Errorf("said twice: %q", again)
	}
	if tried := noteBody("tried in job 2", "run", Job{Code: "2"}); tried != "run in job 2" {
		t.Errorf("the stronger word stands: %q", tried)
	}
}

// What was fitted teaches, what was not used goes back, and undo leaves the store
// as it was; newStore checks it.
func TestDoneAndUndo(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, fit("B1", 2, "105"))
	mustBook(t, s, func(x *Tx) error { return x.Hold(Take{Bag: "B2", N: 1, Job: "105"}) })
	mustBook(t, s, fit("B3", 400, "105"))
	refused(t, s, func(x *Tx) error { _, err := x.Done(Closing{Job: "105"}); return err })
	res := mustBook(t, s, func(x *Tx) error {
		c, err := x.Done(Closing{Job: "105", Answers: map[code.Code]Answer{"B1": {Evidence: "run"}, "B3": {Unused: true}}})
		if err == nil && (len(c.Learnt) != 1 || c.Learnt[0].Goes.Evidence != "run" || c.Learnt[0].Was != "") {
			t.Errorf("learnt %+v", c.Learnt)
		}
		return err
	})
	if got := state(t, s, "B3"); got.OnHand() != 4000 {
		t.Errorf("yarn that was not used: %d mm, want 4000", got.OnHand())
	}
	if got := state(t, s, "B2"); got.Held() != 0 {
		t.Errorf("%d still held", got.Held())
	}
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	err := s.View(func(v *View) error {
		j, err := v.Job("105")
		said, err2 := v.GoesOn("P1", "A-1")
		if j.Closed != 0 || j.State != "in work" || len(said) != 1 || said[0].Evidence != "" || said[0].Note != "" {
			t.Errorf("after undo %+v, %+v", j, said)
		}
		return errors.Join(err, err2)
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := state(t, s, "B2"); got.HeldForJob("105") != 1 {
		t.Errorf("undo gives the hold back: %+v", got)
	}
}

// Evidence is raised and never lowered; the degree stays; what must not go in
// teaches nothing. The order is that of Evidences.
func TestLearn(t *testing.T) {
	s := newStore(t)
	learn := func(was Goes, a Answer) (out Learnt) {
		mustBook(t, s, func(x *Tx) error {
			p, err := x.Part("P1")
			if err != nil {
				return err
			}
			if was.Part != "" {
				if err := x.Put(was); err != nil {
					return err
				}
			}
			out, err = x.learnOne(p, Job{Code: "105", Model: "A-1", BodyNo: "77"}, a)
			return err
		})
		return out
	}
	said := func(degree, evidence string) Goes {
		return Goes{Part: "P1", Model: "A-1", Degrees: []string{degree}, Evidence: evidence}
	}
	tests := []struct {
		name     string
		was      Goes
		a        Answer
		degree   string
		evidence string
	}{
		{"raised", said("looks-wrong", "guess"), Answer{Evidence: "tried"}, "looks-wrong", "tried"},
		{"not lowered", said("direct", "run"), Answer{Evidence: "tried"}, "direct", "run"},
		{"unproven went straight in", said("unproven", "photo"), Answer{Evidence: "run", Went: "direct"}, "direct", "run"},
		{"unproven was only looked at", said("unproven", "photo"), Answer{Evidence: "run", Went: "looked"}, "unproven", "compared"},
		{"looked at, then reworked", Goes{}, Answer{Evidence: "tried", Went: "rework", Work: "end filed"}, "rework", "tried"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := learn(tt.was, tt.a)
			if l.Goes.Degrees[0] != tt.degree || l.Goes.Evidence != tt.evidence || l.Why.Kind != "" {
				t.Errorf("%+v, want %s by %s", l, tt.degree, tt.evidence)
			}
		})
	}
	if l := learn(said("no", "tried"), Answer{Evidence: "run"}); l.Why.Kind != Forbidden {
		t.Errorf("a part that must not go in taught %+v", l.Goes)
	}
	if l := learn(said("unproven", "photo"), Answer{Evidence: "run"}); l.Why.Kind != Unsaid || l.Goes.Evidence != "photo" {
		t.Errorf("without an answer it taught %+v", l)
	}
}

// A customer's piece is numbered by its job, settled once, and no stock.
func TestOldPieces(t *testing.T) {
	s := newStore(t)
	before := figure(t, s, "P1")
	mustBook(t, s, func(x *Tx) error {
		a, err := x.TakeOut(Old{Job: "105", Part: "P1", Quantity: 1, Why: "broken"}, false)
		b, err2 := x.TakeOut(Old{Job: "105", Piece: "a stud", Quantity: 1, Why: "lost", Fate: "lost"}, false)
		if a.Nth != 1 || b.Nth != 2 || !a.Open() || !b.Open() {
			t.Errorf("%+v, %+v", a, b)
		}
		return errors.Join(err, err2)
	})
	if figure(t, s, "P1") != before {
		t.Errorf("a customer's piece is stock")
	}
	settle := func(nth uint64, fate string) func(*Tx) error {
		return func(x *Tx) error { _, err := x.Settle("105", nth, fate, "", ""); return err }
	}
	mustBook(t, s, settle(1, "returned"))
	refused(t, s, settle(1, "refused"))
	mustBook(t, s, settle(2, ""))
	refused(t, s, settle(2, "returned"))
	refused(t, s, func(x *Tx) error {
		_, err := x.TakeOut(Old{Job: "101", Part: "P1", Quantity: 1, Why: "broken"}, false)
		return err
	})
	if _, err := s.Book(head(), settle(9, "returned")); !errors.Is(err, ErrNotFound) {
		t.Errorf("a piece that is not there: %v", err)
	}
}
