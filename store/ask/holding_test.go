package ask

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// Bodies of several models that are read together are those that the records say: all that
// are not stripped, and of those of which is noted who sold them the one that was bought last.
// Of several of one day it is the last in order of the models' codes, its own first, then of
// their own.
func TestBodiesReadTogether(t *testing.T) {
	of := func(c code.Code, kind string, carries ...code.Code) store.Model {
		return store.Model{Code: c, Kind: kind, Maker: "Ossa", Name: string(c), Carries: carries}
	}
	s := bench(t, map[code.Day]func(*store.Tx) error{begun: func(tx *store.Tx) error {
		if err := put(tx, of("S-1", "shutter"), of("S-2", "shutter"), of("L-1", "lens"), of("C-1", "camera", "S-1", "S-2", "L-1"), of("C-2", "camera", "S-1"), of("C-3", "camera", "S-2", "L-1")); err != nil {
			return err
		}
		for i := range 120 {
			d := store.Donor{Code: code.Code(fmt.Sprintf("D%d", i)), Model: []code.Code{"C-1", "C-2", "C-3", "S-1"}[i%4], Bought: begun - code.Day(i*i%5), Owner: store.Own, State: store.DonorStates[i%6]}
			if d.Model != "S-1" {
				d.Lens = []code.Code{"L-1", ""}[i/4%2]
				d.Shutter = []code.Code{"S-1", "S-2", ""}[i/8%3]
			}
			if d.Model == "C-2" && d.Shutter != "" {
				d.Shutter = "S-1"
			}
			if i%7 > 1 {
				d.From, d.Price = "a market", new(code.Cents)
			}
			if i%11 == 0 {
				d.Code = code.Code(fmt.Sprintf("DONOR-NUMBER-%d", i)) // longer than eight bytes
			}
			if err := put(tx, d); err != nil {
				return err
			}
		}
		return nil
	}})
	models := []code.Code{"S-1", "C-1", "L-1", "S-2", "C-2", "C-3", "S-1"}
	view(t, s, func(v *store.View) error {
		together, alone := newLooking(read(v)), newLooking(read(v))
		together.readBodies(models...)
		for _, model := range models {
			var unstripped []code.Code
			var last store.Donor
			for _, cam := range append([]code.Code{model}, v.CarriedBy(model)...) {
				for _, c := range v.DonorsOf(cam) {
					d, err := v.Donor(c)
					if err != nil {
						return err
					}
					if !alone.holds(d.Camera(), model) {
						continue
					}
					if d.State != "stripped" && d.State != "shell" {
						unstripped = append(unstripped, c)
					}
					if d.From != "" && d.Price != nil && d.Bought >= last.Bought {
						last = d
					}
				}
			}
			for how, o := range map[string]*looking{"together": together, "alone": alone} {
				got := o.donorsWith(model)
				var codes []code.Code
				for _, d := range got.unstripped {
					codes = append(codes, d.Code)
				}
				slices.Sort(codes)
				slices.Sort(unstripped)
				if !slices.Equal(codes, unstripped) || got.last != last.Code || len(codes) == 0 || last.Code == "" {
					t.Errorf("read %s, %s is in %v, the last bought being %q; by the records in %v, and %q", how, model, codes, got.last, unstripped, last.Code)
				}
			}
		}
		return errors.Join(together.v.err, alone.v.err)
	})
}
