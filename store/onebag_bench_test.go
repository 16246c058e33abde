package store

import (
	"fmt"
	"testing"

	"tinful/store/code"
)

// BenchmarkOneBag books one piece of a bag of which so much was booked before.
func BenchmarkOneBag(b *testing.B) {
	for _, past := range []int{1000, 10000, 100000} {
		s := oneBag(b, past)
		fit := func(day code.Day) error {
			h := head()
			h.Day, h.Today = day, day
			_, err := s.Book(h, func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) })
			return err
		}
		for _, day := range []code.Day{day0 + 1, day0} {
			b.Run(fmt.Sprintf("bookings=%d/back=%t", past, day == day0), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := fit(day); err != nil {
						b.Fatal(err)
					}
				}
			})
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
