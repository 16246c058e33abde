package store

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tinful/store/code"
)

// aheadMost is by how many days the clock may be ahead of the last booking made
// here: a bench that stood still for a year and a month. Ours.
const aheadMost = 400

// A ClockError says that the clock is so far ahead of the last booking made here that
// it may be wrong. Its Unwrap returns [ErrRefused].
type ClockError struct {
	Clock, Last code.Day
	Booking     uint64 // the last one made here
}

// Error says both days.
func (e *ClockError) Error() string {
	return fmt.Sprintf("the clock says %s, %d days after the last booking made here (booking %d on %s)", e.Clock, e.Clock-e.Last, e.Booking, e.Last)
}

// Unwrap returns [ErrRefused].
func (e *ClockError) Unwrap() error { return ErrRefused }

// Question asks whether the clock is right.
func (e *ClockError) Question() Question {
	return Question{What: AskClock, Words: []string{"yes", "no"}, Known: "no"}
}

// believe refuses the day of a clock that is far ahead of the last booking made here.
// A day that was said on purpose is taken, and the instant is then one of that day.
func (t *Tx) believe() error {
	h := &t.head
	if h.Clock == 0 || t.Setting("demo") == "yes" {
		return nil
	}
	last, err := t.lastHere(h.Undoes)
	day := code.DayOf(time.Unix(last.At, 0))
	switch {
	case err != nil || last.At == 0 || h.Clock-day <= aheadMost:
		return err
	case !h.Said:
		return &ClockError{h.Clock, day, last.Number}
	}
	h.At = h.Day.Time().Add(12 * time.Hour).Unix()
	return nil
}

// lastHere is the last booking but one that was made by a clock here and stands, the
// zero Booking for none. The days of imported rows are no clock's; a booking that got a
// day far ahead of its clock, since the book was there already, speaks only where no
// other does: its clock may have been behind.
func (v *View) lastHere(but uint64) (last Booking, err error) {
	var behind Booking
	err = v.Bookings(func(b Booking) bool {
		switch here := b.Number != but && b.Undone == 0 && b.At != 0; {
		case here && b.Day-code.DayOf(time.Unix(b.At, 0)) <= aheadMost:
			last = b
		case here && behind.Number == 0:
			behind = b
		}
		return last.Number == 0
	})
	if last.Number == 0 {
		last = behind
	}
	return last, err
}

// A calendar finds the last day of the book. What was taken back on an earlier day
// than its own counts on that earlier day.
type calendar struct {
	last map[uint64]code.Day // of the entries of a booking
	back map[uint64]code.Day // when it was taken back
}

func newCalendar() calendar { return calendar{map[uint64]code.Day{}, map[uint64]code.Day{}} }

func (c calendar) add(e Entry) {
	c.last[e.Booking] = max(c.last[e.Booking], e.Day)
	if e.Undoes != 0 {
		c.back[e.Undoes] = e.Day
	}
}

// lastDay is the last day that a booking but one holds.
func (c calendar) lastDay(but uint64) (day code.Day) {
	for b, d := range c.last {
		if back, ok := c.back[b]; ok {
			d = min(d, back)
		}
		if b != but {
			day = max(day, d)
		}
	}
	return day
}

// undoDay gives an undo the day of the clock, be the book ahead of it or not, and finds
// the last day of what stands. The book is read for it only where the booking may have
// held that day.
func (t *Tx) undoDay(b Booking, entries []Entry) error {
	h := &t.head
	if h.Clock != 0 && !h.Said && t.Setting("demo") != "yes" {
		h.Day = h.Clock
	}
	if h.Day >= t.lastDay || !slices.ContainsFunc(entries, func(e Entry) bool { return e.Day == t.lastDay }) {
		return nil
	}
	c := newCalendar()
	err := t.EachEntry(func(e Entry) error { c.add(e); return nil })
	t.lastDay = c.lastDay(b.Number)
	return err
}

// inOrder puts the entries of a bag by day, then number. What was taken back on an
// earlier day than its own never was: it stands on that earlier day, and it and its
// counter-entry lose their word.
func inOrder(entries []Entry) []Entry {
	byDay := func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Seq, b.Seq)) }
	if !slices.ContainsFunc(entries, func(e Entry) bool { return e.Undoes != 0 }) && slices.IsSortedFunc(entries, byDay) {
		return entries
	}
	out := slices.SortedFunc(slices.Values(entries), func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	made := map[uint64][]*Entry{} // by booking, which is taken back from its end
	for i := range out {
		e := &out[i]
		stack := made[e.Undoes]
		if e.Undoes == 0 {
			made[e.Booking] = append(made[e.Booking], e)
		} else if n := len(stack) - 1; n >= 0 {
			if made[e.Undoes] = stack[:n]; stack[n].Day > e.Day {
				stack[n].Day, stack[n].What, e.What = e.Day, 0, 0
			}
		}
	}
	slices.SortStableFunc(out, byDay)
	return out
}

// A FarDay is a day that bookings in a row hold and that lies far ahead of the clock,
// or of what was booked after them: every later booking gets it.
type FarDay struct {
	First, Last uint64 // bookings, all of them standing
	Day         code.Day
	Ahead       int // days
}

// FarDays finds the days out of line, the latest bookings first.
func (v *View) FarDays(clock code.Day) (out []FarDay, err error) {
	if v.Setting("demo") == "yes" {
		return nil, nil
	}
	err = v.Bookings(func(b Booking) bool {
		if b.Undone != 0 || b.Kind == "undo" {
			return true
		}
		last := len(out) - 1
		switch ahead := int(b.Day - clock); {
		case ahead <= aheadMost:
		case last >= 0 && out[last].Day == b.Day:
			out[last].First = b.Number
		default:
			out = append(out, FarDay{b.Number, b.Number, b.Day, ahead})
		}
		// Of a booking whose day is far ahead of its own clock that clock may have been behind.
		if at := code.DayOf(time.Unix(b.At, 0)); b.At != 0 && b.Day-at <= aheadMost {
			clock = min(clock, at)
		}
		return true
	})
	return out, err
}
