package store

import (
	"errors"
	"slices"
	"testing"

	diff "github.com/google/go-cmp/cmp"
)

// What a parts camera gave is the same by the index and by its bags.
func TestDrawnOf(t *testing.T) {
	s := rich(t)
	err := s.View(func(v *View) error {
		all := 0
		for _, d := range v.CodesFrom("", 1000, bDonor) {
			want, err := v.DrawnFrom(string(d))
			var got []Drawn
			err2 := v.EachBagOf(v.BagsFrom(string(d)), func(b Bag, st State) {
				if x, ok := DrawnOf(b, st); ok {
					got = append(got, x)
				}
			})
			if err := errors.Join(err, err2); err != nil || !slices.Equal(got, want) {
				t.Errorf("%s gave %+v, and by its bags %+v, %v", d, want, got, err)
			}
			all += len(got)
		}
		if all == 0 {
			t.Error("no donor gave anything")
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// Bags and what lies beside them, and what is said of parts and models, are the same however
// they are read: one by one, in a row, in short, and once they were read before.
func TestReadInARow(t *testing.T) {
	s := rich(t)
	s.Remember(nil)
	for range 2 {
		err := s.View(func(v *View) error {
			bags := v.CodesFrom("", 1000, bBag)
			var got, want []any
			err := v.EachBagOf(append(bags, "NONE"), func(b Bag, st State) { got = append(got, b, st) })
			if len(bags) < 3 || !errors.Is(err, ErrNotFound) {
				t.Errorf("%d bags, and of one that is not there %v", len(bags), err)
			}
			for _, c := range bags {
				b, err := v.Bag(c)
				st, err2 := v.State(c)
				if err := errors.Join(err, err2); err != nil {
					return err
				}
				want = append(want, b, st)
			}
			if d := diff.Diff(got, want); d != "" {
				t.Error(d)
			}
			for _, part := range v.CodesFrom("", 1000, bPart) {
				var lines []Line
				if err := v.EachLineOf(part, func(l Line) error { lines = append(lines, l); return nil }); err != nil {
					return err
				}
				if kept, err := v.LinesOf(part); err != nil || !slices.Equal(kept, lines) {
					t.Errorf("%s: %v, want %v, %v", part, kept, lines, err)
				}
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	}
}

// What is said of a part and a model in short is what the statements say but for how many
// pieces one has.
func TestSaidBriefly(t *testing.T) {
	s, three := rich(t), int64(3)
	mustBook(t, s, func(tx *Tx) error {
		return putAll(tx, Goes{Part: "P1", Model: "A-3", Degrees: []string{"direct"}, PerBody: &three, From: "100"}, Goes{Part: "P1", Model: "A-3", Degrees: []string{"rework"}, To: "99", Operation: "shorten"})
	})
	said := 0
	err := s.View(func(v *View) error {
		return v.EachGoes(func(g Goes) error {
			n, sits, err := v.SaidOn(g.Part, g.Model)
			short, brief := v.SaidBriefly(g.Part, g.Model)
			for i := range sits {
				sits[i].PerBody, sits[i].Counted = 0, false
			}
			if err != nil || short != n || !slices.Equal(brief, sits) {
				t.Errorf("%s %s: %d %v, want %d %v, %v", g.Part, g.Model, short, brief, n, sits, err)
			}
			said++
			return nil
		})
	})
	if err != nil || said < 3 {
		t.Errorf("%d statements, %v", said, err)
	}
}
