package store

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestRowsOfTheBook takes in rows that are there, rows that differ and rows that stand
// twice, in any order, where they fit into memory and where they do not: of equal rows
// the book has the first ones.
func TestRowsOfTheBook(t *testing.T) {
	for _, room := range []int{1, 1 << 20} {
		soon(t, room)
		s := emptyStore(t)
		first := workbook()
		takenInto(t, s, first)
		random := rand.New(rand.NewPCG(15, uint64(room)))
		for range 20 {
			var rows []Entry
			for _, e := range first.Moves.All() {
				for range random.IntN(3) {
					rows = append(rows, e)
				}
				if e.Why += "again"; random.IntN(3) == 0 { // which is the same movement
					rows = append(rows, e)
				}
				if e.Quantity++; random.IntN(3) == 0 {
					rows = append(rows, e)
				}
			}
			random.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
			l := workbook()
			l.Moves = Moves{}
			had := map[string]int{}
			for _, e := range first.Moves.All() {
				had[string(keyOfMove(nil, &e))]++
			}
			var want []int32
			for i, e := range rows {
				l.Moves.Add(e)
				if k := string(keyOfMove(nil, &e)); had[k] > 0 {
					had[k]--
				} else {
					want = append(want, int32(i))
				}
			}
			err := s.View(func(v *View) error {
				p := &Plan{Sheets: map[string]*Tally{}, load: l, view: v}
				got, err := p.newMoves()
				if !slices.Equal(got, want) || p.tally("Moves").Same != len(rows)-len(want) {
					t.Errorf("of %d rows %v are new and %d the same, want %v", len(rows), got, p.tally("Moves").Same, want)
				}
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
}
