package store

import (
	"errors"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"tinful/store/code"
)

// jotted keeps lines about PC-1, a donor of A-2, and returns what the last one left.
func jotted(t *testing.T, s *Store, lines ...string) (out Jotted) {
	t.Helper()
	for _, line := range lines {
		var err error
		if out, err = s.Jot(head(), Jotting{On: Ref{"donor", "PC-1"}, Line: line}); err != nil || len(out.Problems) > 0 {
			t.Fatalf("%s: %v %v", line, err, out.Problems)
		}
	}
	return out
}

func draftStore(t *testing.T) *Store {
	s := newStore(t)
	mustBook(t, s, func(tx *Tx) error {
		return putAll(tx, Donor{Code: "PC-1", Model: "A-2", Owner: Own, State: "whole"}, Donor{Code: "PC-10", Model: "A-2", Owner: Own, State: "whole"},
			Part{Code: "P21", Name: "top screw", Class: "SCR-CSK", Seat: "top"}, Part{Code: "P22", Name: "top screw", Class: "SCR-CHS", Seat: "top"},
			Part{Code: "P23", Name: "click spring", Seat: "wind"})
	})
	return s
}

// Lines are kept one by one outside the book, as steps that are numbered on, and are
// one booking at the end; undo gives them back before what was typed since.
func TestJot(t *testing.T) {
	s := draftStore(t)
	number := func() (n uint64) {
		s.View(func(v *View) error { n = v.LastBooking(); return nil })
		return n
	}
	before := number()
	out := jotted(t, s, "missing p23", "2 p21, to k1", "under p23 0.30", "click spring off, to K1")
	if len(out.Steps) != 2 || out.Steps[0].Nth != 1 || out.Steps[0].Seat != "top" || out.Steps[0].Off[0].Quantity != 2 || len(out.Steps[0].Under) != 1 ||
		out.Steps[1].Nth != 2 || out.Steps[1].Seat != "wind" || out.Steps[1].Off[0].Part != "P23" || out.Steps[1].Off[0].Bag == "" {
		t.Errorf("typed: %+v", out.Steps)
	}
	if number() != before {
		t.Error("a typed line is a booking")
	}
	// A line that cannot be booked is not kept: no place is called Q9.
	for _, line := range []string{"p21, to q9", "hole 3, turns x", "2 p21, grade fine"} {
		if bad, err := s.Jot(head(), Jotting{On: Ref{"donor", "PC-1"}, Line: line}); err != nil || len(bad.Problems) == 0 {
			t.Errorf("%s: %v, problems %v", line, err, bad.Problems)
		}
	}
	strip := func() Result {
		return mustBook(t, s, func(tx *Tx) error {
			_, problems, err := tx.StripDown(StripDown{Kind: "donor", Camera: "PC-1", Typed: true})
			if len(problems) > 0 {
				t.Error(problems)
			}
			return err
		})
	}
	res := strip()
	lines := func(c code.Code) (out []string) {
		s.View(func(v *View) error { d, err := v.DraftOf(Ref{"donor", c}); out = d.Lines; return err })
		return out
	}
	if number() != before+1 || len(lines("PC-1")) > 0 || len(res.Bags) != 2 {
		t.Errorf("booking %d after %d, %d bags, left %q", number(), before, len(res.Bags), lines("PC-1"))
	}
	jotted(t, s, "2 p21, to k1")
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	want := []string{"missing P23", "step top: off 2 P21, to k1", "under P23 0.30", "step wind: off P23, to K1", "step top: off 2 P21, to k1"}
	if got := lines("PC-1"); !slices.Equal(got, want) {
		t.Errorf("after undo %q, want %q", got, want)
	}
	if got := lines("PC-10"); got != nil {
		t.Errorf("PC-10 has %q", got)
	}
	back, err := s.Jot(head(), Jotting{On: Ref{"donor", "PC-1"}, Back: true})
	if err != nil || back.Back != want[4] || len(back.Steps) != 2 {
		t.Errorf("taken back %q, %d steps, %v", back.Back, len(back.Steps), err)
	}
	strip()
}

// Words that name several parts, or none, are the caller's to ask about.
func TestJotAsks(t *testing.T) {
	s := draftStore(t)
	j := Jotting{On: Ref{"donor", "PC-1"}, Line: "2 top screw, to K1"}
	_, err := s.Jot(head(), j)
	several, ok := errors.AsType[*ChoiceError](err)
	if !ok || len(several.Rows) != 2 {
		t.Fatalf("two parts are called top screw: %v", err)
	}
	j.Chosen = []code.Code{"P22"}
	if out, err := s.Jot(head(), j); err != nil || out.Steps[0].Off[0].Part != "P22" {
		t.Errorf("%+v, %v", out, err)
	}
	j = Jotting{On: Ref{"donor", "PC-1"}, Line: "bent clip"}
	if _, err := s.Jot(head(), j); !errors.Is(err, ErrNotFound) {
		t.Errorf("nothing is called bent clip: %v", err)
	}
	j.Called = true
	if out, err := s.Jot(head(), j); err != nil || out.Steps[1].Off[0].Piece != "bent clip" {
		t.Errorf("%+v, %v", out, err)
	}
	if _, err := s.Jot(head(), Jotting{On: Ref{"donor", "PC-10"}, Back: true}); !errors.Is(err, ErrRefused) {
		t.Errorf("nothing is typed of PC-10: %v", err)
	}
	mustBook(t, s, func(tx *Tx) error { return tx.Put(Donor{Code: "PC-2", Model: "A-2", Owner: OwnerHeld}) })
	if _, err := s.Jot(head(), Jotting{On: Ref{"donor", "PC-2"}, Line: "p21"}); !errors.Is(err, ErrRefused) {
		t.Errorf("nothing is taken from an uncollected repair: %v", err)
	}
}

// A store in which nobody typed anything yet may lack the bucket.
func TestNoDrafts(t *testing.T) {
	s := draftStore(t)
	if err := s.db.Update(func(tx *bolt.Tx) error { return tx.DeleteBucket([]byte(bDraft)) }); err != nil {
		t.Fatal(err)
	}
	if err := s.View(func(v *View) error {
		d, err := v.DraftOf(Ref{"donor", "PC-1"})
		if len(d.Lines) > 0 {
			t.Error(d)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Check(); err != nil {
		t.Fatal(err)
	}
	mustBook(t, s, func(tx *Tx) error { return tx.Put(Place{Code: "Z1"}) })
	jotted(t, s, "p23, to K1")
}
