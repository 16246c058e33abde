package store

import (
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

// The size of a sheet stands on its bag, else on its part; a panel of a camera is used
// 3 mm inside its edge and around its holes; glue takes 0.05 of the rim. Source: trade
// practice (edges 3 mm in, eyelets left out, depth less 0.05 for adhesive), and by hand.
func TestSheetAndPanelAsTheyStand(t *testing.T) {
	s := newStore(t)
	a4 := map[dim.Field]int64{dim.Width: 210_000, dim.Length: 297_000, dim.Thick: 500}
	mustBook(t, s, func(tx *Tx) error {
		return putAll(tx,
			Part{Code: "P80", Name: "goatskin", Class: "COV-NEW", Dims: a4, Marks: map[dim.Field]string{dim.Grain: "hard"}},
			Part{Code: "P81", Name: "back", Class: "COV", Dims: map[dim.Field]int64{dim.Width: 57_000, dim.Length: 128_000, dim.Thick: 450}, Rim: 400,
				Up: "width", Holes: []dim.Spot{{Width: 8_000, X: 28_000, Y: 10_000}}},
			Part{Code: "P82", Name: "leathercloth", Class: "COV", Dims: a4},
		)
	})
	mustBook(t, s, func(tx *Tx) error {
		for _, b := range []Bag{
			{Code: "B80", Part: "P80", Quantity: 3}, {Code: "B81", Part: "P81", Quantity: 1, Flaws: []dim.Spot{{Width: 5_000, X: 40_000, Y: 90_000}}},
			{Code: "B82", Part: "P82", Quantity: 1, Runs: "width", Dims: map[dim.Field]int64{dim.Width: 90_000, dim.Length: 120_000}}, {Code: "B83", Part: "P1", Quantity: 1},
		} {
			if _, err := tx.PutIn(b); err != nil {
				return err
			}
		}
		return nil
	})
	err := s.View(func(v *View) error {
		for _, want := range []struct {
			bag             string
			w, l, edge, thk int64
			flaws           string
			runs            string
			panel, covering bool
		}{
			{"B80", 210_000, 297_000, 0, 500, "", "length", false, true},
			{"B81", 57_000, 128_000, 3_000, 450, "5@40,90; 8@28,10", "length", true, true},
			{"B82", 90_000, 120_000, 0, 500, "", "width", false, true},
			{"B83", 0, 0, 0, 0, "", "", false, false},
		} {
			got, ok, err := v.SheetOf(code.Code(want.bag))
			if err != nil || ok != want.covering || got.Width != want.w || got.Length != want.l || got.Edge != want.edge || got.Thick != want.thk ||
				dim.FormatSpots(got.Flaws) != want.flaws || got.Runs != want.runs || got.Panel != want.panel {
				t.Errorf("%s is %+v, %v, want %+v (%v)", want.bag, got, ok, want, err)
			}
		}
		p, err := v.PanelOf("P81")
		if p.Most != 350 || p.Thick != 450 || p.Up != "width" || p.Runs != "length" || len(p.Holes) != 1 {
			t.Errorf("P81 is %+v", p)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// How a covering stretches, as it is typed.
func TestParseStretch(t *testing.T) {
	for typed, want := range map[string]string{
		"": "", "little": "along little, across little", "along little, across much": "along little, across much", "Much across; little along": "along little, across much",
		"across much": "across much", "along": "?", "little much": "?", "soft": "?", "little along much": "?",
	} {
		got, err := ParseStretch(typed)
		if err != nil {
			got = "?"
		}
		if got != want {
			t.Errorf("%q reads as %q, want %q", typed, got, want)
		}
	}
}
