package store

import (
	"cmp"
	"errors"
	"strings"
	"testing"

	"tinful/store/code"
)

// What undo alone takes back: the latest booking of the person that stands, never an
// import, a closed count or an undo. Without one the import is named.
func TestLatest(t *testing.T) {
	s := emptyStore(t)
	book := func(by, kind string, c code.Code) uint64 {
		h := head()
		h.By, h.Kind = by, kind
		res, err := s.Book(h, func(x *Tx) error { return x.Put(Place{Code: c}) })
		if err != nil {
			t.Fatal(err)
		}
		return res.Booking.Number
	}
	latest := func(by string, want uint64, text string) {
		t.Helper()
		if err := s.View(func(v *View) error {
			b, err := v.Latest(by)
			if b.Number != want || text == "" && err != nil || text != "" && (!errors.Is(err, ErrNotFound) || err.Error() != text) {
				t.Errorf("the latest of %s is %d, %v; want %d %q", by, b.Number, err, want, text)
			}
			return nil
		}); err != nil {
			t.Error(err)
		}
	}
	book("K", "import", "K1")
	latest("K", 0, "K has no booking to take back")
	latest("R", 0, "R has no booking to take back")
	first, second := book("R", "", "K2"), book("R", "", "K3")
	book("K", "", "K4")
	latest("R", second, "")
	for _, tt := range []struct{ back, then uint64 }{{second, first}, {first, 0}} {
		if _, err := s.Undo(head(), tt.back); err != nil { // by R
			t.Fatal(err)
		}
		text := ""
		if tt.then == 0 {
			text = "R has no booking to take back"
		}
		latest("R", tt.then, text)
	}
}

// What was made cannot be taken away while something else names it, which is said;
// once that is taken back, it can.
func TestUndoOfWhatIsNamed(t *testing.T) {
	in := func(b Bag) func(*Tx) error {
		return func(x *Tx) error { _, err := x.PutIn(b); return err }
	}
	put := func(recs ...any) func(*Tx) error { return func(x *Tx) error { return putAll(x, recs...) } }
	thing := Part{Code: "P9", Name: "knob"}
	camera := Donor{Code: "PC-9", Model: "A-1", Owner: Own}
	for _, tt := range []struct {
		name       string
		make, uses func(*Tx) error
		text       string
	}{
		{"a bag of a part", put(thing), in(Bag{Code: "B9", Part: "P9", Origin: "bought", Quantity: 1}), "part P9 cannot be taken away: bag B9 names it"},
		{"a unit that holds it", put(thing), put(Part{Code: "P10", Name: "unit", Holds: []code.Code{"P9"}}), "part P9 cannot be taken away: unit P10 names it"},
		{"a statement", put(thing), put(Goes{Part: "P9", Model: "A-1", Degrees: []string{"direct"}}), "part P9 cannot be taken away: a statement about model A-1 names it"},
		{"a want", put(thing), put(Want{Date: day0, Part: "P9"}), "part P9 cannot be taken away: a want of 2031-09-01 names it"},
		{"what was seen", put(thing), put(Seen{Job: "105", Part: "P9", Seen: "present"}), "part P9 cannot be taken away: what was seen on "},
		{"an old piece", put(thing), put(Old{Job: "105", Nth: 1, Part: "P9", Quantity: 1, Why: "worn"}), "part P9 cannot be taken away: an old piece of job 105 names it"},
		{"a remark", put(thing), put(Remark{Kind: bPart, Code: "P9", Nth: 1, Day: day0, Text: "brittle"}), "part P9 cannot be taken away: a note of 2031-09-01 names it"},
		{"a picture", put(thing), put(Picture{Kind: bPart, Code: "P9", Nth: 1, Day: day0, Hash: strings.Repeat("5e", 32)}), "part P9 cannot be taken away: a picture of 2031-09-01 names it"},
		{"a picture of a step", put(Step{Kind: "job", Camera: "105", Nth: 1, Seat: "wind"}), put(Picture{Kind: bJob, Code: "105", Nth: 1, Step: 1, Day: day0, Hash: strings.Repeat("5e", 32)}), "step 1 of 105 cannot be taken away: a picture of 2031-09-01 shows it"},
		{"a parts camera of a model", put(Model{Code: "A-9", Kind: "camera"}), put(Donor{Code: "PC-9", Model: "A-9", Owner: Own}), "model A-9 cannot be taken away: donor PC-9 names it"},
		{"a job of a model", put(Model{Code: "A-9", Kind: "camera"}), put(Job{Code: "109", Model: "A-9"}), "model A-9 cannot be taken away: job 109 names it"},
		{"a camera that carries it", put(Model{Code: "SH-9", Kind: "shutter"}), put(Model{Code: "A-8", Kind: "camera", Carries: []code.Code{"SH-9"}}), "model SH-9 cannot be taken away: camera A-8 names it"},
		{"a bag from a parts camera", put(camera), in(Bag{Code: "B9", Part: "P1", Origin: "PC-9", Quantity: 1}), "donor PC-9 cannot be taken away: bag B9 names it"},
		{"what was typed of it", put(camera), put(Draft{Kind: "donor", Camera: "PC-9", Lines: []string{"off P1"}}), "donor PC-9 cannot be taken away: what was typed of its strip-down names it"},
		{"a step of it", put(camera), put(Step{Kind: "donor", Camera: "PC-9", Nth: 1, Seat: "wind"}), "donor PC-9 cannot be taken away: step 1 of its strip-down names it"},
		{"a tray", put(Place{Code: "J9"}), put(Job{Code: "109", Model: "A-1", Tray: "J9"}), "place J9 cannot be taken away: job 109 names it"},
		{"a count of a place", put(Place{Code: "K9"}), put(Count{Number: 1, Places: []code.Code{"K9"}, Day: day0}), "place K9 cannot be taken away: count "},
		{"a bag that was moved there", put(Place{Code: "K9"}), func(x *Tx) error { return x.Enter(Entry{What: Moved, Bag: "B1", To: "K9"}) }, "place K9 cannot be taken away: bag B1 names it"},
		{"a bag that has left it", put(Place{Code: "K9"}), func(x *Tx) error {
			return cmp.Or(x.Enter(Entry{What: Moved, Bag: "B1", To: "K9"}), x.Enter(Entry{What: Moved, Bag: "B1", To: "K2"}))
		}, "place K9 cannot be taken away: booking 4 (moved B1) names it"},
		{"a bag that was booked in there", put(Place{Code: "K9"}), func(x *Tx) error {
			return cmp.Or(in(Bag{Code: "B9", Part: "P1", Origin: "bought", Quantity: 1, Place: "K9"})(x), x.Enter(Entry{What: Moved, Bag: "B9", To: "K2"}))
		}, "place K9 cannot be taken away: bag B9 was booked in there"},
		{"pieces held for a job", put(Job{Code: "109", Model: "A-1"}), func(x *Tx) error { return x.Hold(Take{Bag: "B1", N: 1, Job: "109"}) }, "job 109 cannot be taken away: bag B1 names it"},
		{"a want of a job", put(Job{Code: "109", Model: "A-1"}), put(Want{Date: day0, Part: "P2", Job: "109"}), "job 109 cannot be taken away: a want of 2031-09-01 names it"},
		{"an old piece of a job", put(Job{Code: "109", Model: "A-1"}), put(Old{Job: "109", Nth: 1, Piece: "strap lug", Quantity: 1, Why: "worn"}), "job 109 cannot be taken away: an old piece of its camera names it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newStore(t)
			made, used := mustBook(t, s, tt.make), mustBook(t, s, tt.uses)
			if _, err := s.Undo(head(), made.Booking.Number); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), tt.text) {
				t.Errorf("%v, want %q", err, tt.text)
			}
			for _, n := range []uint64{used.Booking.Number, made.Booking.Number} {
				if _, err := s.Undo(head(), n); err != nil {
					t.Errorf("booking %d: %v", n, err)
				}
			}
		})
	}
}

// The workbook that made a store is taken back when nothing else stands, and nothing is
// left then.
func TestUndoOfTheFirstWorkbook(t *testing.T) {
	p, err := PlanLoad(nil, workbook(), head())
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	path := t.TempDir() + "/bulk.db"
	if _, err := CreateFrom(path, p, nil, nil); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	later := mustBook(t, s, func(x *Tx) error { return x.Put(Place{Code: "K9"}) })
	const want = "booking 1 cannot be taken back: booking 2 (test) stands on it"
	if _, err := s.Undo(head(), 1); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), want) {
		t.Errorf("%v, want %q", err, want)
	}
	for _, n := range []uint64{later.Booking.Number, 1} {
		if _, err := s.Undo(head(), n); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.View(func(v *View) error {
		left := 0
		return errors.Join(v.EachPart(func(Part) error { left++; return nil }), v.EachBag(func(Bag) error { left++; return nil }),
			v.EachPlace(func(Place) error { left++; return nil }), v.EachJob(func(Job) error { left++; return nil }), func() error {
				if left > 0 {
					t.Errorf("%d records are left", left)
				}
				return nil
			}())
	}); err != nil {
		t.Error(err)
	}
}
