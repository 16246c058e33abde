package store

import (
	"slices"

	"tinful/store/code"
)

// longBook is from how many entries on a balance keeps how its bag stood day by day.
// Tests shorten it.
var longBook = 512

// A Past is how a bag with a long book stood at the end of each day that the book
// speaks of: what an entry on an earlier day is held against. Where a balance lacks it
// the book is read.
type Past struct {
	Born code.Day `cbor:"1,keyasint"` // when the bag came
	Days []DayEnd `cbor:"2,keyasint"`
}

// A DayEnd is one day of a [Past].
type DayEnd struct {
	Day  code.Day `cbor:"1,keyasint"`
	N    int64    `cbor:"2,keyasint"`           // entries of the day
	Free int64    `cbor:"3,keyasint,omitempty"` // after the last of them
	Low  int64    `cbor:"4,keyasint,omitempty"` // after the one that left fewest
}

// ended adds an entry of the last day, or of a later one, which leaves so many free.
func ended(days []DayEnd, day code.Day, free int64) []DayEnd {
	n := len(days) - 1
	if n < 0 || days[n].Day < day {
		return append(days, DayEnd{day, 1, free, free})
	}
	d := &days[n]
	d.N, d.Free, d.Low = d.N+1, free, min(d.Low, free)
	return days
}

// after is the past once e, of the last day or a later one, leaves so many free. A bag
// that is booked in anew has none.
func (p *Past) after(e Entry, free int64) *Past {
	if p == nil || e.First || len(p.Days) > 0 && e.Day < p.Days[len(p.Days)-1].Day {
		return nil
	}
	return &Past{p.Born, ended(slices.Clone(p.Days), e.Day, free)}
}

// datedBack is the state after an entry on a day before the last. It is false where
// the days that the state keeps do not prove that nothing runs short then or later:
// the book has to be folded. No entry may be later on that day.
func datedBack(s State, e Entry) (State, bool) {
	p := s.Past
	if p == nil || e.Day < p.Born || !onlyTakes(e) {
		return s, false
	}
	s.Past = nil
	now, err := fold(s, e)
	if err != nil {
		return s, false
	}
	more := now.Free() - s.Free()
	i, n := 0, int64(0)
	for ; i < len(p.Days) && p.Days[i].Day <= e.Day; i++ {
		n += p.Days[i].N
	}
	if i == 0 {
		return s, false
	}
	days := append(ended(slices.Clone(p.Days[:i]), e.Day, p.Days[i-1].Free+more), p.Days[i:]...)
	for j := i - 1; j < len(days); j++ {
		if d := &days[j]; d.Day > e.Day {
			d.Free, d.Low = d.Free+more, d.Low+more
		}
		if more < 0 && days[j].Day >= e.Day && days[j].Low < 0 {
			return s, false
		}
	}
	now.Past, now.Book = &Past{p.Born, days}, slices.Insert(slices.Clone(s.Book), int(n), e.Seq)
	return now, true
}

// onlyTakes says that an entry changes what a bag holds and who has it, and nothing
// else: on whatever day it is put, all later balances differ by the same. What brings
// back from a job or a borrower does not belong here, for whoever has it on that day may
// have given it back later.
func onlyTakes(e Entry) bool {
	switch e.What {
	case In, Fitted, Held, Lost, Found, Scrapped, Sold, Cut, Split, Joined:
		return e.Quantity >= 0 && !e.About && !e.First && e.Undoes == 0
	}
	return false
}
