package store

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tinful/store/code"
)

// BenchmarkFit books one piece in an open store of many bags, beside what the disk
// alone takes for the pages of such a booking: 32768 bytes and 4096 of the page
// that says which are valid, with a sync after each.
func BenchmarkFit(b *testing.B) {
	const bags = 20000
	b.Run(fmt.Sprintf("bags=%d", bags), func(b *testing.B) {
		s := manyBags(b, bags)
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			bag := code.Code(fmt.Sprintf("B%d", 1+i%bags))
			i += 7919 // far apart, as bags in drawers are
			_, err := s.Book(head(), func(t *Tx) error { return t.Fit(Take{Bag: bag, N: 1, Job: "105"}) })
			if err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("disk=32768+4096", func(b *testing.B) {
		f, err := os.Create(filepath.Join(b.TempDir(), "pages"))
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		pages := make([]byte, 32768)
		for b.Loop() {
			_, err := f.WriteAt(pages, 4096)
			if err == nil {
				err = f.Sync()
			}
			if err == nil {
				_, err = f.WriteAt(pages[:4096], 0)
			}
			if err == nil {
				err = f.Sync()
			}
			if err != nil {
				b.Fatal(err)
			}
		}
	})
}

// manyBags is a store with so many bags of a thousand pieces, ten to a part.
func manyBags(b *testing.B, n int) *Store {
	b.Helper()
	path := filepath.Join(b.TempDir(), "bench.db")
	load := &Load{Models: []Model{{Code: "A-1", Kind: "camera"}}, Jobs: ListOf(Job{Code: "105", Model: "A-1", Owner: "customer 5"}), Places: []Place{{Code: "K1"}},
		Cell: func(sheet string, i int, heading string) (string, string, string) { return sheet, heading, "" }}
	for i := range n {
		part := code.Code(fmt.Sprintf("P%d", 1+i/10))
		if i%10 == 0 {
			load.Parts.Add(Part{Code: part, Name: "spring " + string(part), Class: "SPR-TOR"})
		}
		load.Bags.Add(Bag{Code: code.Code(fmt.Sprintf("B%d", 1+i)), Part: part, Origin: "bought", Quantity: 1000, Unit: "pc", Grade: "ready", Place: "K1", Owner: Own, Booked: day0})
	}
	p, err := PlanLoad(nil, load, head())
	if err != nil || len(p.Problems) > 0 {
		b.Fatal(err, p.Problems)
	}
	if _, err := CreateFrom(path, p, nil, nil); err != nil {
		b.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	return s
}
