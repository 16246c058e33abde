package store

import (
	"fmt"
	"testing"

	"tinful/store/code"
)

// BenchmarkOneBag books one piece of a bag of which so much was booked before, by each
// word, on the last day and on the one before, and takes it back.
func BenchmarkOneBag(b *testing.B) {
	for _, past := range []int{1000, 10000, 100000} {
		s := oneBag(b, past)
		book := func(b *testing.B, day code.Day, fn func(*Tx) error) uint64 {
			h := head()
			h.Day, h.Today = day, day
			res, err := s.Book(h, fn)
			if err != nil {
				b.Fatal(err)
			}
			return res.Booking.Number
		}
		for _, day := range []code.Day{day0 + 1, day0} {
			for _, e := range []Entry{{What: Held, Job: "105"}, {What: Unheld, Job: "105"}, {What: Fitted, Job: "105"}, {What: Returned, Job: "105"}, {What: Lent, To: "H"}, {What: Returned, To: "H"},
				{What: Moved, To: "K1"}, {What: Graded, To: "ready"}, {What: Counted}} {
				e.Bag, e.Quantity = "B1", 1
				b.Run(fmt.Sprintf("bookings=%d/back=%t/%s%s", past, day == day0, e.What, e.To), func(b *testing.B) {
					b.ReportAllocs()
					for b.Loop() {
						if e.What == Unheld || e.What == Returned {
							b.StopTimer()
							before := e
							before.What = map[What]What{Unheld: Held, Returned: Fitted}[e.What]
							if e.Job == "" {
								before.What = Lent
							}
							book(b, day, func(t *Tx) error { return t.Enter(before) })
							b.StartTimer()
						}
						book(b, day, func(t *Tx) error { return t.Enter(e) })
					}
				})
				b.Run(fmt.Sprintf("bookings=%d/back=%t/undo of %s%s", past, day == day0, e.What, e.To), func(b *testing.B) {
					if e.What == Unheld || e.What == Returned {
						b.Skip("as that of its opposite")
					}
					for b.Loop() {
						b.StopTimer()
						n := book(b, day, func(t *Tx) error { return t.Enter(e) })
						h := head()
						h.Day, h.Today = day, day
						b.StartTimer()
						if _, err := s.Undo(h, n); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		}
	}
}

// oneBag is a store with a bag that so many movements went through.
func oneBag(b *testing.B, past int) *Store {
	b.Helper()
	s := manyBags(b, 1)
	l := &Load{Cell: func(sheet string, i int, heading string) (string, string, string) { return sheet, heading, "" }}
	for i := range past {
		what := Held
		if i%2 == 1 {
			what = Unheld
		}
		l.Moves.Add(Entry{Day: day0, What: what, Bag: "B1", Quantity: 1, Job: "105"})
	}
	_, err := s.Book(head(), func(t *Tx) error {
		p, err := PlanLoad(&t.View, l, head())
		if err != nil || len(p.Problems) > 0 {
			b.Fatal(err, p.Problems[:min(3, len(p.Problems))])
		}
		return t.TakeIn(p)
	})
	if err != nil {
		b.Fatal(err)
	}
	return s
}

// BenchmarkUndos takes so many bookings back, the latest first.
func BenchmarkUndos(b *testing.B) {
	for _, n := range []int{100, 1000} {
		b.Run(fmt.Sprintf("undos=%d", n), func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				s := manyBags(b, 10)
				s.db.NoSync = true // the disk is not what is asked
				for range n {
					if _, err := s.Book(head(), func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) }); err != nil {
						b.Fatal(err)
					}
				}
				b.StartTimer()
				for i := range n {
					if _, err := s.Undo(head(), uint64(n+1-i)); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/undo")
		})
	}
}
