package store

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tinful/store/code"
)

// told is what a count says of a bag: what the book has, what differs, what is set apart.
type told struct {
	Book, Difference int64
	Place, Seen      code.Code
	Open, AtCut      bool
	Since, After     int
}

// A slip is a booking that is taken back: what was booked, on which days, and before
// which of the other bookings both were typed.
type slip struct {
	what        What
	n           int64
	day, undone code.Day
	at, back    int
}

func (s slip) book(t *Tx) error {
	k := Take{Bag: "B1", N: s.n, Job: "105", Why: "a slip"}
	switch s.what {
	case Fitted:
		return t.Fit(k)
	case Moved:
		return t.Move(Take{Bag: "B1", To: "K2"})
	}
	return t.Away(s.what, Take{Bag: "B1", N: s.n, Why: "a slip"})
}

// A slip and what takes it back, each on any day and anywhere among the other bookings,
// change nothing of what a count says: it is compared with the same bench where the slip
// was never typed.
func TestSlipChangesNoCount(t *testing.T) {
	type bench struct {
		begun   bool
		counted int64
	}
	without := map[bench]told{}
	booked := 0
	rapid.Check(t, func(rt *rapid.T) {
		b := bench{rapid.Bool().Draw(rt, "begun before the reading"), rapid.Int64Range(0, 4).Draw(rt, "counted")}
		day := rapid.IntRange(0, 7)
		s := slip{what: rapid.SampledFrom([]What{Fitted, Scrapped, Lost, Moved}).Draw(rt, "slip"), n: rapid.Int64Range(1, 2).Draw(rt, "pieces"),
			day: day0 + code.Day(day.Draw(rt, "day")), undone: day0 + code.Day(day.Draw(rt, "day of the undo")), at: rapid.IntRange(0, 3).Draw(rt, "typed before")}
		s.back = rapid.IntRange(s.at, 3).Draw(rt, "taken back before")
		want, known := without[b]
		if !known {
			want, _ = slippedCount(t, b.begun, b.counted, nil)
			without[b] = want
		}
		got, ok := slippedCount(t, b.begun, b.counted, &s)
		if ok {
			booked++
		}
		if ok && got != want {
			rt.Fatalf("with the slip %+v, without %+v", got, want)
		}
	})
	if booked == 0 {
		t.Error("no slip could be booked")
	}
}

// slippedCount counts B1, of 3 pieces: the count begins, one piece is fitted, the bag is read,
// a day each. It is false where a slip was refused, as one dated before what it takes.
func slippedCount(t *testing.T, begun bool, counted int64, s *slip) (out told, ok bool) {
	bench, number, typed := newStore(t), uint64(0), uint64(0)
	book := func(day code.Day, do func(*Tx) error) error {
		h := head()
		h.Day, h.Today = day, day0+9
		res, err := bench.Book(h, do)
		typed = res.Booking.Number
		return err
	}
	slip := uint64(0)
	for i, do := range []func(*Tx) error{
		func(x *Tx) error {
			if !begun {
				return x.Enter(Entry{What: Graded, Bag: "B2", To: "ready"})
			}
			c, err := x.BeginCount([]code.Code{"K1"}, 0)
			number = c.Number
			return err
		},
		func(x *Tx) error { return x.Fit(Take{Bag: "B1", N: 1, Job: "105"}) },
		func(x *Tx) error {
			if begun {
				return x.ReadIn(number, of("B1", counted))
			}
			counts, err := x.ReadAll([]Given{of("B1", counted)}, 0)
			for _, c := range counts {
				number = c.Number
			}
			return err
		},
		nil,
	} {
		if s != nil && s.at == i {
			if err := book(s.day, s.book); errors.Is(err, ErrRefused) {
				return out, false
			} else if err != nil {
				t.Fatal(err)
			}
			slip = typed
		}
		if s != nil && s.back == i {
			h := head()
			h.Day, h.Today = s.undone, day0+9
			if _, err := bench.Undo(h, slip); errors.Is(err, ErrRefused) {
				return out, false
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if do == nil {
			continue
		}
		if err := book(day0+code.Day(2*i+1), do); err != nil {
			if s != nil && errors.Is(err, ErrRefused) {
				return out, false // the slip left nothing to fit
			}
			t.Fatal(err)
		}
	}
	l := countLine(t, bench, CountID{Number: number}, "B1")
	return told{l.Book, l.Difference(), l.Place, l.Seen, l.Open(), l.AtCut, len(l.Since), len(l.After)}, true
}
