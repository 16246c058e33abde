package store

import (
	"errors"
	"testing"

	"tinful/store/code"
)

// Wants of one part: for a job, for a model, twice on one day; what settles which.
func TestWants(t *testing.T) {
	s := newStore(t)
	book := func(fn func(*Tx) error) error {
		_, err := s.Book(Head{Day: 22100, Today: 22100, By: "R", Command: "test"}, fn)
		return err
	}
	err := book(func(x *Tx) error {
		for _, r := range []any{Part{Code: "P1", Name: "rack"}, Model{Code: "W1", Kind: "camera"}, Job{Code: "105", Model: "W1"}} {
			if err := x.Put(r); err != nil {
				return err
			}
		}
		for range 2 {
			if _, err := x.NoteWant(Want{Date: x.Day(), Part: "P1", Model: "W1"}); err != nil {
				return err
			}
		}
		_, err := x.NoteWant(Want{Date: x.Day(), Part: "P1", Model: "W1", Job: "105"})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	open := func(job code.Code) (n int64, since code.Day) {
		_ = s.View(func(v *View) (err error) {
			n = v.OpenWants("P1")
			since, err = v.WantedSince("P1", job)
			return err
		})
		return n, since
	}
	if n, since := open("105"); n != 3 || since != 22100 {
		t.Errorf("%d open, for the job since %d, want 3 since 22100", n, since)
	}
	if err := book(func(x *Tx) error {
		_, err := x.SettleWants(Want{Part: "P1", Job: "105", Instead: "packed"})
		return err
	}); err != nil {
		t.Error(err)
	}
	if n, since := open("105"); n != 2 || since != 0 {
		t.Errorf("%d open, for the job since %d, want 2 and none", n, since)
	}
	if err := book(func(x *Tx) error { _, err := x.SettleWants(Want{Part: "P1"}); return err }); err != nil {
		t.Error(err)
	}
	if err := book(func(x *Tx) error { _, err := x.SettleWants(Want{Part: "P1"}); return err }); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v, want nothing open", err)
	}
	err = book(func(x *Tx) error {
		met, err := x.SettleWants(Want{Part: "P1", Date: x.Day(), Instead: "made"})
		if len(met) != 1 || met[0].Met != 22100 {
			t.Errorf("%+v, want what was done instead noted", met)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}
