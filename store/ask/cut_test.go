package ask

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// leather is a store with coverings: sizes in millimetres, by hand.
func leather(t *testing.T) *store.Store {
	s := newStore(t)
	size := func(w, l, thick int64) map[dim.Field]int64 {
		return map[dim.Field]int64{dim.Width: w * 1000, dim.Length: l * 1000, dim.Thick: thick * 10}
	}
	look := func(grain, colour string) map[dim.Field]string {
		return map[dim.Field]string{dim.Grain: grain, dim.Colour: colour}
	}
	book(t, s, 22523, func(tx *store.Tx) error {
		for _, p := range []store.Part{
			{Code: "C1", Name: "back", Class: "COV", Dims: size(57, 128, 45), Marks: look("fine", "black"), Rim: 400, Holes: []dim.Spot{{Width: 8000, X: 20_000, Y: 10_000}}},
			{Code: "C2", Name: "front", Class: "COV", Dims: size(57, 34, 35), Marks: look("fine", "black"), Rim: 400},
			{Code: "C3", Name: "case lid", Class: "COV", Dims: size(50, 50, 0), Marks: look("pebble", "brown"), Corner: 2000},
			{Code: "C4", Name: "no size", Class: "COV", Corner: 1000},
			{Code: "S1", Name: "calf", Class: "COV-NEW", Dims: size(210, 297, 35), Marks: look("fine", "black")},
			{Code: "S2", Name: "goat", Class: "COV-NEW", Dims: size(210, 297, 50), Marks: look("Fine", "black")},
			{Code: "S3", Name: "pebble", Class: "COV-NEW", Dims: size(100, 100, 40), Marks: look("pebble", "brown")},
		} {
			if err := tx.Put(p); err != nil {
				return err
			}
		}
		return nil
	})
	book(t, s, 22523, func(tx *store.Tx) error {
		for _, b := range []store.Bag{
			{Code: "A1", Part: "S1", Quantity: 2}, {Code: "A2", Part: "S1", Quantity: 1, Dims: size(80, 150, 35)},
			{Code: "A3", Part: "S2", Quantity: 1}, {Code: "A4", Part: "S3", Quantity: 1, Runs: "width"}, {Code: "A5", Part: "C1", Quantity: 1},
			{Code: "A6", Part: "S1", Quantity: 1, Owner: "customer 9"}, {Code: "A7", Part: "S1", Quantity: 1, Grade: "scrap"},
		} {
			if _, err := tx.PutIn(b); err != nil {
				return err
			}
		}
		return nil
	})
	return s
}

// cutOf lays out and says from which bags, and what is not placed.
func cutOf(t *testing.T, s *store.Store, q CutQuery) (c Cutting, bags []string) {
	t.Helper()
	view(t, s, func(v *store.View) error {
		var err error
		c, err = FindCut(v, q)
		return err
	})
	for _, sh := range c.Sheets {
		bags = append(bags, string(sh.Bag))
	}
	return c, bags
}

func kindsOf(list store.Reasons) string {
	var out []string
	for _, k := range store.ReasonKinds(list) {
		out = append(out, string(k))
	}
	return strings.Join(out, " ")
}

// Which coverings are taken: an offcut before a new sheet, one that need not be thinned
// before one that must be, what looks alike from one covering; nothing of a customer's, no
// scrap, a panel of a camera only where it is named. Sizes by hand.
func TestWhatIsCutFrom(t *testing.T) {
	s := leather(t)
	for _, tt := range []struct {
		name     string
		q        CutQuery
		bags     string
		unplaced string
		notes    string
		would    string
	}{
		{"one fits the offcut", CutQuery{Panels: []Wanted{{"C1", 1}}, Margin: UsualMargin}, "A2", "", "", ""},
		{"two need a sheet as well", CutQuery{Panels: []Wanted{{"C1", 2}}, Margin: UsualMargin}, "A1 A2", "", "", ""},
		{"thinner before thicker, though that needs two sheets", CutQuery{Panels: []Wanted{{"C1", 8}}, Margin: UsualMargin}, "A1 A1 A2", "", "", ""},
		{"the thicker one is named, for panels of 0.35", CutQuery{Panels: []Wanted{{"C1", 1}}, From: []code.Code{"A3"}, Margin: UsualMargin}, "A3", "", "to-thin", ""},
		{"another look from another covering", CutQuery{Panels: []Wanted{{"C1", 1}, {"C3", 1}}, Margin: UsualMargin}, "A2 A4", "", "", ""},
		{"no size", CutQuery{Panels: []Wanted{{"C4", 1}}, Margin: UsualMargin}, "", "", "no-size", ""},
		{"a panel as stock, 3 mm in: 51 x 122, the hole left out", CutQuery{Sizes: []CutSize{{40_000, 50_000, 2}}, From: []code.Code{"A5"}, Margin: 1000}, "A5", "", "panel-as-stock", ""},
		{"the spare is one more", CutQuery{Panels: []Wanted{{"C2", 2}}, Spare: true, From: []code.Code{"A2"}, Margin: UsualMargin}, "A2", "", "", ""},
		{"too wide for the offcut: turned it would do", CutQuery{Sizes: []CutSize{{140_000, 75_000, 1}}, From: []code.Code{"A2"}, Margin: 2000}, "", "140x75", "", "turned-panel"},
		{"a margin of 2 would do", CutQuery{Sizes: []CutSize{{76_000, 146_000, 1}}, From: []code.Code{"A2"}, Margin: UsualMargin}, "", "76x146", "", "margin"},
		{"a sheet more would do", CutQuery{Sizes: []CutSize{{200_000, 280_000, 3}}, From: []code.Code{"A1"}, Margin: UsualMargin}, "A1 A1", "200x280", "", "more-sheets"},
		{"one sheet at most", CutQuery{Sizes: []CutSize{{200_000, 280_000, 2}}, From: []code.Code{"A1"}, Margin: UsualMargin, Sheets: 1}, "A1", "200x280", "", "more-sheets"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, bags := cutOf(t, s, tt.q)
			slices.Sort(bags)
			c.Notes = slices.DeleteFunc(c.Notes, func(r store.Reason) bool { return r.Kind == OtherGrain || r.Kind == OtherColour })
			if got := strings.Join(bags, " "); got != tt.bags || strings.Join(c.Unplaced, " ") != tt.unplaced || kindsOf(c.Notes) != tt.notes || kindsOf(c.WouldDo) != tt.would {
				t.Errorf("from %s, unplaced %v, notes %s, would do %s", got, c.Unplaced, kindsOf(c.Notes), kindsOf(c.WouldDo))
			}
			if !c.Proven || c.Placed() != c.Panels-len(c.Unplaced) {
				t.Errorf("proven %v, %d of %d", c.Proven, c.Placed(), c.Panels)
			}
		})
	}
}

// Grain: a sheet whose grain runs along its width has the panel turned; a turned panel's
// holes turn with it, clockwise: 8@20,10 of a back 57 wide lies 10 to the right and
// 57-20 = 37 up. By hand.
func TestTurnedWithTheGrain(t *testing.T) {
	s := leather(t)
	c, _ := cutOf(t, s, CutQuery{Sizes: []CutSize{{60_000, 30_000, 1}}, From: []code.Code{"A4"}, Margin: UsualMargin})
	if len(c.Sheets) != 1 || !c.Sheets[0].Placed[0].Turned || c.Sheets[0].Placed[0].W != 30 || c.Sheets[0].Placed[0].H != 60 {
		t.Fatalf("%+v", c.Sheets)
	}
	back := store.Panel{Width: 57_000, Length: 128_000, Holes: []dim.Spot{{Width: 8000, X: 20_000, Y: 10_000}, {Width: 6000, Length: 3000, X: 20_000, Y: 5000}}}
	p := PlacedPanel{CutRect: CutRect{X: 4, Y: 7, W: 128, H: 57}, Turned: true, Outline: back}
	if got := dim.FormatSpots(p.HolesOnSheet()); got != "8@14,44; 3x6@9,38" {
		t.Errorf("holes %s", got)
	}
}

// What scripts rely on: names of the answer, and the sum of a sheet's area.
func TestCuttingAsJSON(t *testing.T) {
	s := leather(t)
	c, _ := cutOf(t, s, CutQuery{Panels: []Wanted{{"C1", 1}, {"C2", 2}}, Margin: UsualMargin})
	b, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Sheets []struct {
			Sheet, Bag string
			W, H       float64
			Placed     []struct {
				Panel      string
				X, Y, W, H float64
				Turned     bool
			}
			Waste float64 `json:"waste_mm2"`
			Left  []struct{ X, Y, W, H float64 }
		}
		Unplaced, WouldDo []string
		Proven            bool
		AreaWouldDo       *bool `json:"area_would_do"`
		Margin            float64
	}
	if err := json.Unmarshal(b, &got); err != nil || got.AreaWouldDo == nil || got.Unplaced == nil || !got.Proven || got.Margin != 4 || len(got.Sheets) == 0 {
		t.Fatalf("%s %v", b, err)
	}
	for _, sh := range got.Sheets {
		sum := sh.Waste
		for _, p := range sh.Placed {
			sum += p.W * p.H
		}
		for _, l := range sh.Left {
			sum += l.W * l.H
		}
		if sum != sh.W*sh.H || sh.Bag == "" || sh.Sheet != "S1" {
			t.Errorf("%+v: %v of %v", sh, sum, sh.W*sh.H)
		}
	}
}

// One rule says what suits, for cut, find and need: a thicker leather is thinned and comes
// last, vinyl is not (trade practice: artificial coverings are not skived). C1 has room for
// 0.35 mm: a rim of 0.4 less 0.05 of glue.
func TestOneRuleOfWhatSuits(t *testing.T) {
	s := leather(t)
	book(t, s, 22523, func(tx *store.Tx) error {
		vinyl := store.Part{Code: "S4", Name: "vinyl", Class: "COV-NEW", Dims: map[dim.Field]int64{dim.Width: 300_000, dim.Length: 300_000, dim.Thick: 500},
			Marks: map[dim.Field]string{dim.Grain: "fine", dim.Colour: "black", dim.Material: "vinyl, backed"}}
		if err := tx.Put(vinyl); err != nil {
			return err
		}
		_, err := tx.PutIn(store.Bag{Code: "A8", Part: "S4", Quantity: 1})
		return err
	})
	c, bags := cutOf(t, s, CutQuery{Sizes: []CutSize{{250_000, 250_000, 1}}, Margin: UsualMargin})
	if len(bags) != 1 || bags[0] != "A8" {
		t.Errorf("a size of no thickness from %v", bags)
	}
	c, bags = cutOf(t, s, CutQuery{Panels: []Wanted{{"C1", 9}}, Margin: UsualMargin, Sheets: 2})
	if slices.Contains(bags, "A8") || !strings.Contains(strings.Join(store.Texts(c.Notes), "\n"), "too thick, not taken: A8 vinyl, 300 x 300 mm, 0.5 mm, and vinyl, backed is not thinned") {
		t.Errorf("from %v, notes %v", bags, store.Texts(c.Notes))
	}
	c, bags = cutOf(t, s, CutQuery{Panels: []Wanted{{"C1", 1}}, Margin: UsualMargin, From: []code.Code{"A8"}})
	if len(bags) != 1 || kindsOf(c.Notes) != "not-thinned" {
		t.Errorf("named: from %v, notes %v", bags, store.Texts(c.Notes))
	}
	view(t, s, func(v *store.View) error {
		p, err := v.PanelOf("C1")
		if err != nil {
			return err
		}
		list, err := SheetsFor(v, p)
		var got []string
		for _, f := range list {
			got = append(got, string(f.Bag))
		}
		if len(list) != 3 || strings.Join(got, " ") != "A2 A1 A3" || list[2].Thin != 0.15 || list[0].Thin != 0 || list[2].Another {
			t.Errorf("sheets %v: %+v", got, list)
		}
		return err
	})
}
