package store

import (
	"errors"
	"testing"

	"tinful/store/code"
)

// What a job's camera, a strip-down and a count leave is kept under its key
// alone, is read back whole, and goes with the booking that made it.
func TestOldStepCount(t *testing.T) {
	s := newStore(t)
	h := Head{Day: 100, Today: 100, By: "R", Command: "by hand"}
	res, err := s.Book(h, func(tx *Tx) error {
		return errors.Join(
			tx.Put(Old{Job: "105", Nth: 256, Part: "P3", Quantity: 1, Why: "broken", Day: 100}),
			tx.Put(Old{Job: "105", Nth: 1, Piece: "a stud", Quantity: 1, Why: "broken", Day: 100}),
			tx.Put(Donor{Code: "PC-1", Model: "A-1"}),
			tx.Put(Step{Kind: "donor", Camera: "PC-1", Nth: 1, Seat: "wind"}),
			tx.Put(Step{Kind: "job", Camera: "105", Nth: 1, Seat: "top"}),
			tx.Put(Count{Number: 1, Places: []code.Code{"K1"}, Day: 100}),
		)
	})
	if err != nil {
		t.Fatal(err)
	}
	look := func(v *View, olds, steps, counts int) {
		t.Helper()
		o, err := v.OldOf("105")
		st, err2 := v.StepsOf("donor", "PC-1")
		n := 0
		err3 := v.EachCount(func(c Count) error { n += int(c.Number); return nil })
		if err := errors.Join(err, err2, err3); err != nil {
			t.Fatal(err)
		}
		if len(o) != olds || len(st) != steps || n != counts {
			t.Errorf("%d old pieces, %d steps, count %d; want %d, %d, %d", len(o), len(st), n, olds, steps, counts)
		}
		if olds == 2 && (o[0].Nth != 1 || o[0].Job != "105" || o[1].Nth != 256 || o[1].Part != "P3") {
			t.Errorf("old pieces read back as %+v", o)
		}
		if steps == 1 && (st[0].Kind != "donor" || st[0].Camera != "PC-1" || st[0].Nth != 1 || st[0].Seat != "wind") {
			t.Errorf("the step reads back as %+v", st[0])
		}
	}
	s.View(func(v *View) error { look(v, 2, 1, 1); return nil })
	if _, err := s.Undo(h, res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	s.View(func(v *View) error { look(v, 0, 0, 0); return nil })
}
