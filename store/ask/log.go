package ask

import (
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A LogQuery is which bookings are asked for: those that touch one of some bags, for a
// job, by a person; Most of them, all where it is below 0.
type LogQuery struct {
	Bags []code.Code // nil for any
	Job  code.Code
	By   string
	Most int
}

// A Logged is a booking with its entries.
type Logged struct {
	Booking store.Booking
	Entries []store.Entry
	Asked   []store.Entry // those of the bag or job asked for, else all
}

// Log lists bookings, the latest first, and says whether there are more.
func Log(v *store.View, q LogQuery) (list []Logged, more bool, err error) {
	berr := v.Bookings(func(b store.Booking) bool {
		l := Logged{Booking: b}
		if l.Entries, err = v.EntriesIn(b); err != nil {
			return false
		}
		asked, ok := q.asked(b, l.Entries)
		l.Asked = asked
		switch {
		case !ok:
		case q.Most >= 0 && len(list) == q.Most:
			more = true
		default:
			list = append(list, l)
		}
		return !more
	})
	if err == nil {
		err = berr
	}
	return list, more, err
}

// asked are the entries of a booking that are asked for, and whether it is at all.
func (q LogQuery) asked(b store.Booking, entries []store.Entry) ([]store.Entry, bool) {
	if q.By != "" && b.By != q.By && !slices.ContainsFunc(entries, func(e store.Entry) bool { return e.By == q.By }) {
		return nil, false
	}
	if q.Bags == nil && q.Job == "" {
		return entries, true
	}
	var asked []store.Entry
	for _, e := range entries {
		other := slices.ContainsFunc(e.Into(), func(c code.Code) bool { return slices.Contains(q.Bags, c) })
		if (q.Bags == nil || slices.Contains(q.Bags, e.Bag) || other) && (q.Job == "" || e.Job == q.Job) {
			asked = append(asked, e)
		}
	}
	return asked, len(asked) > 0
}
