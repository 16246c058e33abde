package store

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tinful/store/code"
)

// What is in the house: trays and their jobs, cameras, what is others', old pieces that
// are open, and since when something came from where.
func TestInTheHouse(t *testing.T) {
	s := newStore(t)
	tray := func(c code.Code) Place { return Place{Code: c, For: "open job"} }
	job := func(c, tray code.Code, state string, closed code.Day) Job {
		return Job{Code: c, Model: "A-1", Owner: "customer 5", Tray: tray, State: state, Closed: closed}
	}
	mustBook(t, s, func(x *Tx) error {
		return putAll(x, tray("J2"), tray("J3"), tray("J4"), tray("J5"), job("110", "J2", "in work", 0), job("111", "J3", "collected", day0-3), job("112", "J4", "ready", day0-2), job("113", "J2", "collected", day0-1),
			Donor{Code: "PC-1", Model: "A-1", Owner: "customer 7"}, Donor{Code: "PC-2", Model: "A-1", Owner: Own},
			Old{Job: "110", Nth: 1, Piece: "strap lug", Quantity: 1, Why: "worn"}, Old{Job: "110", Nth: 2, Piece: "knob", Quantity: 1, Why: "split", Fate: "returned", Settled: day0})
	})
	mustBook(t, s, func(x *Tx) error {
		_, err := x.PutIn(Bag{Code: "B9", Part: "P1", Origin: "PC-2", Quantity: 1, Place: "J5"})
		return err
	})
	if err := s.View(func(v *View) error {
		trays, err := v.Trays()
		var got, house, owned, old []string
		for _, x := range trays {
			got = append(got, fmt.Sprintf("%s:%s:%s:%t", x.Place.Code, x.Job, x.Done, x.Full))
		}
		same := func(what, want string, got []string) {
			if strings.Join(got, " ") != want {
				t.Errorf("%s: %v, want %s", what, got, want)
			}
		}
		same("trays", "J2:110:113:false J3::111:false J4:112::false J5:::true", got)
		if free, ok := FreeTray(trays); !ok || free.Place.Code != "J3" {
			t.Errorf("the free tray is %s: J2 and J4 have a camera, J5 pieces as well as J3 a job that is gone", free.Place.Code)
		}
		if _, ok := FreeTray(trays[:1]); ok {
			t.Error("a tray with a camera in it is free")
		}
		of := v.JobOfTray()
		if of["J2"] != "110" || of["J3"] != "111" || of["J5"] != "" {
			t.Errorf("jobs of trays: %v", of)
		}
		err = errors.Join(err,
			v.EachInHouse(func(j Job) error { house = append(house, string(j.Code)); return nil }),
			v.EachOwned(func(owner, kind string, c code.Code) error {
				owned = append(owned, owner+"/"+kind+"/"+string(c))
				return nil
			}),
			v.EachOldOpen(func(o Old) error { old = append(old, o.Piece); return nil }))
		same("in the house", "105 106 110 112", house)
		same("others'", "customer 5/bag/B5 customer 7/donor/PC-1 held/bag/B6", owned)
		same("old pieces", "strap lug", old)
		if a, b := v.CameFrom("PC-2"), v.CameFrom("PC-1"); a != day0 || b != 0 {
			t.Errorf("from PC-2 on %s, from PC-1 on %s", a, b)
		}
		return err
	}); err != nil {
		t.Error(err)
	}
}

// A list that was taken in and taken back can be taken in again, and is then the same
// workshop.
func TestWorkbookTakenBackAndIn(t *testing.T) {
	once, s := emptyStore(t), emptyStore(t)
	takenInto(t, once, workbook())
	h := head()
	h.Kind = "import"
	for range 2 {
		l := workbook()
		if day, sheet, cell := l.LastDay(); day != day0-9 || sheet != "Moves" || cell != "Date" { // the twelfth movement
			t.Errorf("the last day is %s at %s %s", day, sheet, cell)
		}
		res, err := s.Book(h, func(x *Tx) error {
			p, err := PlanLoad(&x.View, l, h)
			if err != nil || len(p.Problems) > 0 {
				return fmt.Errorf("%v %+v", err, p)
			}
			return x.TakeIn(p)
		})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Undo(head(), res.Booking.Number); err != nil {
			t.Fatal(err)
		}
	}
	takenInto(t, s, workbook())
	for _, bag := range []code.Code{"B1", "B2", "B3"} {
		a, b := state(t, once, bag), state(t, s, bag)
		if a.OnHand() != b.OnHand() || a.Free() != b.Free() || a.Held() != b.Held() || a.Lent() != b.Lent() || a.Place != b.Place || a.Grade != b.Grade {
			t.Errorf("%s: %+v, taken in once %+v", bag, b, a)
		}
	}
}

// A movement that a list brought and that was taken back is new when the list brings it
// again, and not when what took it back stands in the list too.
func TestMovementTakenBack(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	h := head()
	h.Kind = "import"
	scrapped := Entry{Day: day0 - 1, What: Scrapped, Bag: "B3", Quantity: 1, By: "R"}
	res, err := s.Book(h, func(x *Tx) error {
		l := workbook()
		l.Moves.Add(scrapped)
		p, err := PlanLoad(&x.View, l, h)
		if err != nil || len(p.Problems) > 0 {
			return fmt.Errorf("%v %+v", err, p)
		}
		return x.TakeIn(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	news := func(more ...Entry) (n int) {
		if err := s.View(func(v *View) error {
			l := workbook()
			for _, e := range more {
				l.Moves.Add(e)
			}
			p, err := PlanLoad(v, l, head())
			n, _ = p.Counts()
			return err
		}); err != nil {
			t.Fatal(err)
		}
		return n
	}
	if n := news(scrapped); n != 0 {
		t.Errorf("taken in again %d are new", n)
	}
	undone, err := s.Undo(head(), res.Booking.Number)
	if err != nil {
		t.Fatal(err)
	}
	var back []Entry
	if err := s.View(func(v *View) (err error) { back, err = v.EntriesIn(undone.Booking); return err }); err != nil {
		t.Fatal(err)
	}
	if n := news(scrapped); n != 1 {
		t.Errorf("taken back and brought again %d are new, want 1", n)
	}
	if n := news(append(back, scrapped)...); len(back) != 1 || n != 0 {
		t.Errorf("brought with what took it back (%+v) %d are new", back, n)
	}
}
