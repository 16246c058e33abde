package store

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/words"
)

// reads books readings on a day and returns the number of the count of the last.
func reads(tb testing.TB, s *Store, day code.Day, list ...Given) (number uint64) {
	tb.Helper()
	h := head()
	h.Day = day
	_, err := s.Book(h, func(t *Tx) error {
		counts, err := t.ReadAll(list, 0)
		for _, c := range counts {
			number = max(number, c.Number)
		}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return number
}

func of(bag code.Code, n int64) Given { return Given{Bag: bag, Qty: code.Qty{N: n}} }

func countLine(tb testing.TB, s *Store, id CountID, bag code.Code) (line CountLine) {
	tb.Helper()
	err := s.View(func(v *View) error {
		lines, err := v.CountLines(id)
		for _, l := range lines {
			if l.Bag.Code == bag {
				line = l
			}
		}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return line
}

func closing(tb testing.TB, s *Store, id CountID, bags ...code.Code) (c Settling) {
	tb.Helper()
	mustBook(tb, s, func(t *Tx) (err error) {
		c, err = t.CloseCount(id, func(l CountLine) (string, bool) {
			for _, b := range bags {
				if b == l.Bag.Code {
					return "accepted", true
				}
			}
			return "", false
		}, func(Loose) bool { return false })
		return err
	})
	return c
}

// The bench of newStore: B1 holds 3, B2 holds 2, both in K1; 1 of B1 is lent and
// 1 held. On hand less lent, held included, is 2.
func TestBookOfACount(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error {
		return cmp.Or(t.Hold(Take{Bag: "B1", N: 1, Job: "105"}), t.Lend(Take{Bag: "B1", N: 1, To: "another bench"}))
	})
	n := reads(t, s, day0, of("B1", 2), of("B2", 1))
	if l := countLine(t, s, CountID{Number: n}, "B1"); l.Book != 2 || l.Difference() != 0 || l.Open() {
		t.Errorf("B1: %+v", l)
	}
	if l := countLine(t, s, CountID{Number: n}, "B2"); l.Difference() != -1 || !l.Open() || !l.Judged() {
		t.Errorf("B2: %+v", l)
	}
	if st := state(t, s, "B2"); st.OnHand() != 2 {
		t.Errorf("a reading changed B2 to %d", st.OnHand())
	}
	if c := closing(t, s, CountID{Number: n}); c.Closed || len(c.Open) != 1 {
		t.Errorf("closed without accepting: %+v", c)
	}
	if c := closing(t, s, CountID{Number: n}, "B2"); !c.Closed {
		t.Errorf("%+v", c)
	}
	if st := state(t, s, "B2"); st.OnHand() != 1 || st.Corrected != -1 {
		t.Errorf("B2 holds %d, corrected %d", st.OnHand(), st.Corrected)
	}
	refused(t, s, func(t *Tx) error {
		_, err := t.CloseCount(CountID{Number: n}, func(CountLine) (string, bool) { return "", true }, func(Loose) bool { return true })
		return err
	})
}

// What moves between the beginning and the reading: whoever counted before and
// whoever counted after it is right. What moves later is set apart.
func TestCutOff(t *testing.T) {
	for name, counted := range map[string]int64{"counted before the fitting": 3, "counted after it": 2} {
		t.Run(name, func(t *testing.T) {
			s := newStore(t)
			var n uint64
			mustBook(t, s, func(t *Tx) error {
				c, err := t.BeginCount([]code.Code{"K1"}, 0)
				n = c.Number
				return err
			})
			mustBook(t, s, func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) })
			mustBook(t, s, func(t *Tx) error { return t.ReadIn(n, of("B1", counted)) })
			mustBook(t, s, func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) })
			l := countLine(t, s, CountID{Number: n}, "B1")
			if l.Difference() != 0 || len(l.Since) != 1 || len(l.After) != 1 || l.AtCut != (counted == 3) {
				t.Errorf("%+v", l)
			}
			if c := closing(t, s, CountID{Number: n}); !c.Closed {
				t.Errorf("%+v", c)
			}
			if st := state(t, s, "B1"); st.OnHand() != 1 {
				t.Errorf("3 less 2 fitted is 1, the book has %d", st.OnHand())
			}
		})
	}
}

// A fitting that was forgotten and is booked back to its day settles the reading
// by itself.
func TestBookedBackAgrees(t *testing.T) {
	s := newStore(t)
	n := reads(t, s, day0+3, of("B1", 2))
	h := head()
	if _, err := s.Book(h, func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) }); err != nil {
		t.Fatal(err)
	}
	if l := countLine(t, s, CountID{Number: n}, "B1"); l.Open() || l.Book != 2 {
		t.Errorf("%+v", l)
	}
}

// Only an exact count makes an about figure exact; an about one that is accepted
// makes it about.
func TestAboutAndExact(t *testing.T) {
	s := newStore(t)
	about := Given{Bag: "B4", Qty: code.Qty{N: 37, About: true}}
	closing(t, s, CountID{Number: reads(t, s, day0, about)})
	if st := state(t, s, "B4"); !st.About {
		t.Error("an about count made B4 exact")
	}
	n := reads(t, s, day0, of("B4", 37))
	if l := countLine(t, s, CountID{Number: n}, "B4"); l.Judged() || l.Open() {
		t.Errorf("a figure that is about is judged: %+v", l)
	}
	closing(t, s, CountID{Number: n})
	if st := state(t, s, "B4"); st.About || st.OnHand() != 37 {
		t.Errorf("about %v, %d", st.About, st.OnHand())
	}
	n = reads(t, s, day0, of("B4", 30))
	mustBook(t, s, func(t *Tx) error { return t.PutMore("B4", code.Qty{N: 20, About: true}, "") })
	closing(t, s, CountID{Number: n}, "B4")
	if st := state(t, s, "B4"); !st.About || st.OnHand() != 50 {
		t.Errorf("37 counted as 30 and about 20 more: about %v, %d", st.About, st.OnHand())
	}
}

// A recount keeps both, and the last one holds; a count in another place stands
// by itself.
func TestRecount(t *testing.T) {
	s := newStore(t)
	n := reads(t, s, day0, of("B1", 1))
	if m := reads(t, s, day0, of("B1", 3)); m != n {
		t.Errorf("counted anew in count %d, not %d", m, n)
	}
	l := countLine(t, s, CountID{Number: n}, "B1")
	if l.Open() || len(l.Earlier) != 1 || l.Earlier[0].Quantity != 1 {
		t.Errorf("%+v", l)
	}
	if m := reads(t, s, day0, of("B4", 37)); m == n {
		t.Error("K2 is counted in the count of K1")
	}
	mustBook(t, s, func(t *Tx) error { return t.ReadIn(n, Given{Bag: "B4", Qty: code.Qty{N: 2}, Seen: "K1"}) })
	if l := countLine(t, s, CountID{Number: n}, "B4"); l.Seen != "K1" || l.Place != "K2" || l.Difference() != -35 {
		t.Errorf("%+v", l)
	}
}

func TestCountRefusals(t *testing.T) {
	s := newStore(t)
	for _, bag := range []code.Code{"B5", "B6"} { // a customer's, and an uncollected repair's
		refused(t, s, func(t *Tx) error { _, err := t.ReadAll([]Given{of(bag, 1)}, 0); return err })
	}
	mustBook(t, s, func(t *Tx) error { return t.Hold(Take{Bag: "B2", N: 2, Job: "105"}) })
	n := reads(t, s, day0, of("B2", 0))
	refused(t, s, func(t *Tx) error { // what is held must be booked first
		_, err := t.CloseCount(CountID{Number: n}, func(CountLine) (string, bool) { return "", true }, func(Loose) bool { return true })
		return err
	})
	if _, err := s.Book(head(), func(t *Tx) error { _, err := t.BeginCount([]code.Code{"K9"}, 0); return err }); !errors.Is(err, ErrNotFound) {
		t.Errorf("a place that is not there: %v", err)
	}
	refused(t, s, func(t *Tx) error { _, err := t.BeginCount([]code.Code{"K1", "K2"}, 0); return err }) // K1 is open without K2
}

// A booking that began a count is taken back only when nothing stands in it.
func TestUndoACount(t *testing.T) {
	s := newStore(t)
	n := reads(t, s, day0, of("B1", 1))
	var began uint64
	if err := s.View(func(v *View) error { began = v.LastBooking(); return nil }); err != nil {
		t.Fatal(err)
	}
	reads(t, s, day0, of("B2", 2))
	if _, err := s.Undo(head(), began); !errors.Is(err, ErrRefused) {
		t.Errorf("%v, want a refusal", err)
	}
	if _, err := s.Undo(head(), began+1); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Undo(head(), began); err != nil {
		t.Fatal(err)
	}
	err := s.View(func(v *View) error { _, err := v.CountNo(n); return err })
	if !errors.Is(err, ErrNotFound) {
		t.Errorf("the count is there: %v", err)
	}
	if m := reads(t, s, day0, of("B1", 3)); m == n {
		t.Errorf("count %d was taken back and is given again", m)
	}
}

// Pieces without a bag become one when they are accepted.
func TestLoose(t *testing.T) {
	s := newStore(t)
	n := reads(t, s, day0, Given{Part: "P1", Qty: code.Qty{N: 4}, Seen: "K2"})
	if c := closing(t, s, CountID{Number: n}); c.Closed || len(c.Loose) != 1 {
		t.Errorf("%+v", c)
	}
	mustBook(t, s, func(t *Tx) error {
		_, err := t.CloseCount(CountID{Number: n}, nil, func(l Loose) bool { return l.Part == "P1" })
		return err
	})
	if f := figure(t, s, "P1"); f.OnHand() != 9 {
		t.Errorf("5 and 4 are 9, the book has %d", f.OnHand())
	}
}

// Pieces out of the unsorted tin: about 37 less 5 is about 32, the 5 are exact.
func TestSortOut(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error {
		_, err := t.SortOut("B4", Bag{Part: "P1", Quantity: 5, Grade: "unknown", Place: "K1"}, "B1")
		return err
	})
	if from, to := state(t, s, "B4"), state(t, s, "B1"); from.OnHand() != 32 || !from.About || to.OnHand() != 8 || to.About {
		t.Errorf("%+v and %+v", from, to)
	}
	refused(t, s, func(t *Tx) error { _, err := t.SortOut("B4", Bag{Part: "P1", Quantity: 33}, ""); return err })
	refused(t, s, func(t *Tx) error { _, err := t.SortOut("B1", Bag{Part: "P1", Quantity: 1}, ""); return err })
}

// Readings that came with a workbook are a count of their day until a count goes on with
// all of them; what of a place was not read yet is named. workbook reads B3, with
// 4 of 5 in K2, on the day given here.
func TestCountOfAWorkbook(t *testing.T) {
	s := emptyStore(t)
	takenInto(t, s, workbook())
	day := day0 - 9
	is := func(want CountID, uncounted string, count uint64) {
		t.Helper()
		if err := s.View(func(v *View) error {
			id, err := v.CountOn(day)
			if days := v.ReadingDays(); id != want || !slices.Equal(days, []code.Day{day}) {
				t.Errorf("the count of %s is %+v, want %+v; days %v", day, id, want, days)
			}
			if count == 0 {
				return err
			}
			c, err2 := v.CountNo(count)
			left, err3 := v.Uncounted(c)
			if got := words.And(left); got != uncounted {
				t.Errorf("not counted: %s, want %s", got, uncounted)
			}
			return errors.Join(err, err2, err3)
		}); err != nil {
			t.Error(err)
		}
	}
	is(CountID{Day: day}, "", 0)
	if l := countLine(t, s, CountID{Day: day}, "B3"); l.Difference() != -1 || !l.Open() {
		t.Errorf("%+v", l)
	}
	var c Count
	mustBook(t, s, func(x *Tx) (err error) { c, err = x.BeginCount([]code.Code{"K2"}, 0); return err })
	if c.Since != day {
		t.Errorf("%+v does not go on with the readings of %s", c, day)
	}
	is(CountID{Number: c.Number}, "B2", c.Number)
	mustBook(t, s, func(x *Tx) error { return x.ReadIn(c.Number, of("B2", 15)) })
	is(CountID{Number: c.Number}, "", c.Number)
	readings := 0
	s.View(func(v *View) error { return v.EachReading(func(Noted, []byte) error { readings++; return nil }) })
	if readings != 2 {
		t.Errorf("%d readings, want the workbook's and one", readings)
	}
	res := mustBook(t, s, func(x *Tx) error {
		_, err := x.CloseCount(CountID{Number: c.Number}, func(CountLine) (string, bool) { return "accepted", true }, func(Loose) bool { return false })
		return err
	})
	_, err := s.Undo(head(), 1)
	if no, ok := errors.AsType[*Refusal](err); !ok || no.Kind != UndoneFirst || string(no.Codes[0]) != fmt.Sprint(res.Booking.Number) || !strings.Contains(no.Text, "stands on its reading of B3") {
		t.Errorf("the workbook of a reading that a closed count stands on: %v", err)
	}
	if st := state(t, s, "B3"); st.OnHand() != 4 {
		t.Errorf("B3 has %d, counted were 4", st.OnHand())
	}
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Error(err)
	}
}
