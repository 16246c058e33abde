package store

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tinful/store/code"
)

// byClock is a booking of a day that the clock says, at noon.
func byClock(day code.Day, said bool) Head {
	return Head{Day: day, Today: day, Clock: day, Said: said, At: day.Time().Unix() + 12*3600, By: "R", Command: "test"}
}

// A clock that is more than 400 days ahead of the last booking made here is asked
// about; who says that it is right is believed from then on, until that is taken back.
func TestFarClock(t *testing.T) {
	s := emptyStore(t)
	book := func(day code.Day, said bool) (Result, error) {
		return s.Book(byClock(day, said), func(x *Tx) error { return x.Put(Place{Code: "K1", Where: day.String()}) })
	}
	for _, tt := range []struct {
		day  code.Day
		said bool
		ok   bool
	}{
		{day0, false, true},
		{day0 + 400, false, true},
		{day0 + 801, false, false},
		{day0 + 801, true, true},
		{day0 + 802, false, true},
	} {
		_, err := book(tt.day, tt.said)
		e, asked := errors.AsType[*ClockError](err)
		if tt.ok != (err == nil) || !tt.ok && (!asked || !errors.Is(err, ErrRefused) || e.Last != day0+400 || e.Clock != tt.day) {
			t.Errorf("%s: %v", tt.day, err)
			continue
		}
		if asked {
			if q := e.Question(); q.What != AskClock || q.Known != "no" || !slices.Contains(q.Words, "yes") {
				t.Errorf("asks %+v", q)
			}
			const want = "the clock says 2033-11-10, 401 days after the last booking made here (booking 2 on 2032-10-05)"
			if err.Error() != want {
				t.Errorf("%q, want %q", err, want)
			}
		}
	}
}

// A clock that was years behind once does not make the right one wrong.
func TestClockThatWasBehind(t *testing.T) {
	s := emptyStore(t)
	for i, tt := range []struct {
		day code.Day
		ok  bool
	}{{day0, true}, {day0 - 3000, true}, {day0 - 2999, true}, {day0 + 401, false}, {day0 + 1, true}, {day0 + 401, true}} {
		h := byClock(tt.day, false)
		h.Day, h.Today = max(tt.day, day0), max(tt.day, day0) // the book is there already
		_, err := s.Book(h, func(x *Tx) error { return x.Put(Place{Code: "K1", Where: fmt.Sprint(i)}) })
		if (err == nil) != tt.ok {
			t.Errorf("%d, %s: %v", i, tt.day, err)
		}
	}
}

// Where the book is ahead of every clock here, the last of them speaks.
func TestBookAheadOfEveryClock(t *testing.T) {
	s := emptyStore(t)
	behind := func(clock code.Day) Head {
		h := byClock(clock, false)
		h.Day, h.Today = day0+3000, day0+3000
		return h
	}
	for i, tt := range []struct {
		h  Head
		ok bool
	}{
		{Head{Day: day0 + 3000, Today: day0 + 3000, By: "R", Command: "import"}, true},
		{behind(day0), true},
		{behind(day0 + 401), false},
		{behind(day0 + 400), true},
	} {
		_, err := s.Book(tt.h, func(x *Tx) error { return x.Put(Place{Code: "K1", Where: fmt.Sprint(i)}) })
		if (err == nil) != tt.ok {
			t.Errorf("%d: %v", i, err)
		}
	}
}

// Bookings that a clock far ahead made are one row, and no row once they are taken back.
func TestFarDays(t *testing.T) {
	s := emptyStore(t)
	far := day0 + 3000
	book := func(h Head, c code.Code) uint64 {
		res, err := s.Book(h, func(x *Tx) error { return x.Put(Place{Code: c}) })
		if err != nil {
			t.Fatal(err)
		}
		return res.Booking.Number
	}
	book(byClock(day0, false), "K1")
	ahead := []uint64{book(byClock(far, true), "K2"), book(byClock(far, true), "K3")}
	days := func() (out []FarDay) {
		if err := s.View(func(v *View) (err error) { out, err = v.FarDays(day0); return err }); err != nil {
			t.Fatal(err)
		}
		return out
	}
	if got := days(); !slices.Equal(got, []FarDay{{ahead[0], ahead[1], far, 3000}}) {
		t.Errorf("%+v", got)
	}
	for _, n := range slices.Backward(ahead) {
		if _, err := s.Undo(byClock(day0, false), n); err != nil {
			t.Fatal(err)
		}
	}
	if got := days(); len(got) > 0 {
		t.Errorf("taken back: %+v", got)
	}
}
