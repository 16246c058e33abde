package store

import (
	"errors"
	"path/filepath"
	"testing"

	"tinful/store/code"
)

// day0 is 2031-09-01.
const day0 code.Day = 22523

// newStore makes a small bench: two parts that are opposite-hand twins, a
// screw, yarn by length, two models with a shutter, bags, jobs and places. It
// checks itself when the test ends.
func newStore(tb testing.TB) *Store {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "bench.db")
	if err := create(path); err != nil {
		tb.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		h, err := s.Check()
		if err := errors.Join(err, s.Close()); err != nil {
			tb.Error(err)
		}
		for _, p := range h.Problems {
			tb.Errorf("check: %s", p)
		}
	})
	keep := int64(2)
	one := int64(1)
	mustBook(tb, s, func(t *Tx) error {
		return putAll(t,
			Place{Code: "K1"}, Place{Code: "K2"}, Place{Code: "J1"},
			Model{Code: "SH-1", Kind: "shutter"}, Model{Code: "SH-2", Kind: "shutter"},
			Model{Code: "A-1", Kind: "camera", Form: "loewenherz", Carries: []code.Code{"SH-1", "SH-2"}},
			Model{Code: "A-2", Kind: "camera", Form: "metric", Carries: []code.Code{"SH-1"}},
			Part{Code: "P1", Name: "lever spring", Class: "SPR-TOR", Keep: &keep, Twin: "P2"},
			Part{Code: "P2", Name: "lever spring", Class: "SPR-TOR", Twin: "P1"},
			Part{Code: "P3", Name: "yarn", Class: "SEA"},
			Part{Code: "P4", Name: "drive spring", Class: "SPR-EXT", Seat: "shutter"},
			Goes{Part: "P1", Model: "A-1", Degrees: []string{"direct"}, PerBody: &one},
			Goes{Part: "P4", Model: "SH-1", Degrees: []string{"direct"}},
			Job{Code: "105", Model: "A-1", Owner: "customer 5", State: "in work"},
			Job{Code: "106", Model: "A-2", Owner: "customer 6", State: "in work"},
			Job{Code: "101", Model: "A-1", Owner: "customer 1", State: "collected", Closed: day0 - 9},
		)
	})
	mustBook(tb, s, func(t *Tx) error {
		for _, b := range []Bag{
			{Code: "B1", Part: "P1", Origin: "bought", Quantity: 3, Grade: "ready", Place: "K1"},
			{Code: "B2", Part: "P1", Origin: "bought", Quantity: 2, Grade: "usable", Place: "K1"},
			{Code: "B3", Part: "P3", Origin: "bought", Quantity: 4000, Unit: "mm", Grade: "new", Place: "K2"},
			{Code: "B4", Origin: "unknown", Quantity: 37, About: true, Place: "K2"},
			{Code: "B5", Part: "P1", Origin: "bought", Quantity: 1, Grade: "ready", Place: "K1", Owner: "customer 5"},
			{Code: "B6", Part: "P1", Origin: "bought", Quantity: 1, Grade: "ready", Place: "K1", Owner: OwnerHeld},
		} {
			if _, err := t.PutIn(b); err != nil {
				return err
			}
		}
		return nil
	})
	return s
}

func putAll(t *Tx, recs ...any) error {
	for _, r := range recs {
		if err := t.Put(r); err != nil {
			return err
		}
	}
	return nil
}

func head() Head { return Head{Day: day0, Today: day0, At: 1, By: "R", Command: "test"} }

func mustBook(tb testing.TB, s *Store, fn func(*Tx) error) Result {
	tb.Helper()
	res, err := s.Book(head(), fn)
	if err != nil {
		tb.Fatal(err)
	}
	return res
}

func refused(tb testing.TB, s *Store, fn func(*Tx) error) error {
	tb.Helper()
	_, err := s.Book(head(), fn)
	if !errors.Is(err, ErrRefused) {
		tb.Fatalf("%v, want a refusal", err)
	}
	return err
}

func state(tb testing.TB, s *Store, bag code.Code) (st State) {
	tb.Helper()
	if err := s.View(func(v *View) (err error) { st, err = v.State(bag); return err }); err != nil {
		tb.Fatal(err)
	}
	return st
}

func figure(tb testing.TB, s *Store, part code.Code) (f Figure) {
	tb.Helper()
	if err := s.View(func(v *View) (err error) { f, err = v.Figure(part); return err }); err != nil {
		tb.Fatal(err)
	}
	return f
}

// create makes an empty store.
func create(path string) error { return CreateBooked(path, func(*Store) error { return nil }) }
