package ask

import (
	"fmt"
	"slices"
	"testing"

	"tinful/store"
	"tinful/store/code"
)

// The lists, against every bag, statement and observation of the demo, one by one.
func TestListsHoldWhatTheBookHolds(t *testing.T) {
	view(t, demo(t), func(v *store.View) error {
		lying, err := LyingIn(v, nil)
		if err != nil {
			return err
		}
		free, err := FreeByModel(v, "")
		if err != nil {
			return err
		}
		grid, err := SeenOnDonors(v, "")
		if err != nil {
			return err
		}
		want, got := map[string]int64{}, map[string]int64{}
		if err := v.EachBag(func(b store.Bag) error {
			st, err := v.State(b.Code)
			if n := st.OnHand() - st.Lent(); n > 0 && b.Part != "" && !v.IsTray(b.Place) && b.Place != "" {
				owner := ""
				if b.Owner != store.Own {
					owner = b.Owner
				}
				want[fmt.Sprint(b.Part, b.Place, owner)] += n
			}
			return err
		}); err != nil {
			return err
		}
		for _, l := range lying {
			got[fmt.Sprint(l.Part, l.Place, l.Theirs)] += l.Pieces
		}
		agrees(t, "what lies where", got, want)

		want, got = map[string]int64{}, map[string]int64{}
		if err := v.EachGoes(func(g store.Goes) error {
			f, err := v.Figure(g.Part)
			if f.Free() > 0 && !slices.Contains(g.Degrees, "no") && !slices.Contains(g.Degrees, "opposite-hand") {
				want[fmt.Sprint(g.Model, " ", g.Part)] = f.Free()
			}
			return err
		}); err != nil {
			return err
		}
		for _, l := range free {
			got[fmt.Sprint(l.Model, " ", l.Part)] += l.Free
		}
		agrees(t, "what is free", got, want)

		want, got = map[string]int64{}, map[string]int64{}
		if err := v.EachLook(func(s store.Seen) error { want[fmt.Sprint(s.Donor, s.Part, s.Seen)]++; return nil }); err != nil {
			return err
		}
		for _, r := range grid.Rows {
			for i, word := range r.Seen {
				if word != "" {
					got[fmt.Sprint(grid.Cameras[i], r.Part, word)]++
				}
			}
		}
		agrees(t, "what was seen", got, want)

		// P034 is left-hand by parts.csv, and says so on the wall.
		if !slices.ContainsFunc(lying, func(l Lying) bool { return l.Part == "P034" && l.Left != "" }) {
			t.Error("P034 is not LEFT-HAND where it lies")
		}
		one, err := LyingIn(v, []code.Code{"K1"})
		if slices.ContainsFunc(one, func(l Lying) bool { return l.Place != "K1" }) || len(one) == 0 {
			t.Errorf("of K1 there are %d lines", len(one))
		}
		return err
	})
}

func agrees(t *testing.T, what string, got, want map[string]int64) {
	t.Helper()
	if len(want) == 0 || len(got) != len(want) {
		t.Errorf("%s: %d lines, want %d", what, len(got), len(want))
	}
	for k, n := range want {
		if got[k] != n {
			t.Errorf("%s: %s is %d, want %d", what, k, got[k], n)
		}
	}
}
