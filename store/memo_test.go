package store

import (
	"errors"
	"slices"
	"testing"

	"tinful/store/code"
)

// What a parts camera gave is the same whether its bags were read before or not.
func TestDrawnFromWhatWasRead(t *testing.T) {
	s := rich(t)
	s.Remember(nil)
	err := s.View(func(v *View) error {
		drawn := 0
		var donors []code.Code
		if err := v.EachDonor(func(d Donor) error { donors = append(donors, d.Code); return nil }); err != nil {
			return err
		}
		for _, d := range donors {
			before, err := v.DrawnFrom(string(d))
			if err != nil {
				return err
			}
			for _, x := range before {
				_, err := v.Bag(x.Bag)
				_, err2 := v.State(x.Bag)
				if err := errors.Join(err, err2); err != nil {
					return err
				}
			}
			after, err := v.DrawnFrom(string(d))
			if err != nil || !slices.Equal(after, before) {
				t.Errorf("%s gave %+v, and once its bags were read %+v, %v", d, before, after, err)
			}
			drawn += len(after)
		}
		if drawn == 0 {
			t.Error("no donor gave anything")
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}
