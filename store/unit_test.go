package store

import (
	"testing"

	"tinful/store/code"
)

// Of a unit that came from outside nothing is known; of one that is whole out of a parts
// camera nothing is to be said.
func TestUnitFromOutside(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(tx *Tx) error {
		return putAll(tx, Part{Code: "P8", Name: "blade"}, Part{Code: "P9", Name: "shutter", Holds: []code.Code{"P8"}}, Donor{Code: "PC-1", Model: "A-2", Owner: Own})
	})
	for origin, want := range map[string]int{"bought": 1, "unknown": 1, "made": 0, "PC-1": 0} {
		if err := s.View(func(v *View) error {
			got, err := v.UnitDoubt(Bag{Code: "B90", Part: "P9", Origin: origin})
			if len(got) != want || want > 0 && got[0].Kind != FromOutside {
				t.Errorf("%s: %v", origin, got)
			}
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
}
