package ask

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// cutNow lays out and books.
func cutNow(t *testing.T, s *store.Store, q CutQuery) (c Cutting, res store.Result) {
	t.Helper()
	res, err := s.Book(store.Head{Day: 22530, Today: 22530, By: "R", Command: "cut"}, func(x *store.Tx) (err error) {
		if c, err = FindCut(&x.View, q); err != nil {
			return err
		}
		return BookCut(x, q, c, "", "")
	})
	if err != nil {
		t.Fatal(err)
	}
	return c, res
}

// everyBag is every bag with what the book says of it, and every figure.
func everyBag(t rapid.TB, s *store.Store) (out map[string]string) {
	t.Helper()
	out = map[string]string{}
	err := s.View(func(v *store.View) error {
		err := v.EachBag(func(b store.Bag) error {
			st, err := v.State(b.Code)
			st.Book, st.LastDay = nil, 0 // what is taken back stays in the book
			out["bag "+string(b.Code)] = fmt.Sprintf("%+v %+v", b, st)
			return err
		})
		if err != nil {
			return err
		}
		return v.EachPart(func(p store.Part) error {
			f, err := v.Figure(p.Code)
			out["part "+string(p.Code)] = fmt.Sprintf("%+v", f)
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Whatever is cut from whatever sheets: panels, offcuts and waste are the sheets, to the
// square micrometre; what arises costs what the sheets cost, to the cent; a flaw lies on
// an offcut where it lay on the sheet; figures count what arose; the waste that is told
// is that of the layout; and taken back, all is as it was.
func TestWhatIsCutAddsUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStore(t)
		mm := func(what string, from, to int) int64 {
			return 500 * rapid.Int64Range(2*int64(from), 2*int64(to)).Draw(rt, what)
		}
		sheets := store.Part{Code: "S1", Name: "calf", Class: "COV-NEW", Dims: map[dim.Field]int64{dim.Width: mm("width", 60, 150), dim.Length: mm("length", 60, 200)}}
		cost := code.Cents(rapid.Int64Range(0, 5000).Draw(rt, "cost"))
		n := rapid.Int64Range(1, 3).Draw(rt, "sheets")
		bag := store.Bag{Code: "A1", Part: "S1", Origin: "bought", Quantity: n, Cost: &cost}
		for range rapid.IntRange(0, 2).Draw(rt, "flaws") {
			f := dim.Spot{Width: mm("flaw", 2, 20), X: mm("x", 1, 50), Y: mm("y", 1, 50)}
			if rapid.Bool().Draw(rt, "rectangle") {
				f.Length = mm("flaw long", 2, 20)
			}
			bag.Flaws = append(bag.Flaws, f)
		}
		q := CutQuery{Margin: mm("margin", 0, 4), Kerf: mm("kerf", 0, 1), Spare: rapid.Bool().Draw(rt, "spare"), work: 20_000}
		for range rapid.IntRange(1, 3).Draw(rt, "kinds") {
			q.Sizes = append(q.Sizes, CutSize{mm("w", 15, 60), mm("l", 15, 60), rapid.Int64Range(1, 3).Draw(rt, "n")})
		}
		q.Turn = rapid.Bool().Draw(rt, "turn")
		head := store.Head{Day: 22530, Today: 22530, By: "R", Command: "test"}
		if _, err := s.Book(head, func(x *store.Tx) error {
			if err := x.Put(sheets); err != nil {
				return err
			}
			_, err := x.PutIn(bag)
			return err
		}); err != nil {
			rt.Fatal(err)
		}
		before := everyBag(rt, s)
		var c Cutting
		res, err := s.Book(head, func(x *store.Tx) (err error) {
			if c, err = FindCut(&x.View, q); err != nil {
				return err
			}
			return BookCut(x, q, c, "", "")
		})
		if err != nil {
			rt.Fatal(err)
		}
		if c.Placed() == 0 {
			return // nothing is booked
		}
		err = s.View(func(v *store.View) error {
			addsUp(rt, v, c, bag, sheets, cost)
			return nil
		})
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := s.Undo(head, res.Booking.Number); err != nil {
			rt.Fatal(err)
		}
		for name, was := range everyBag(rt, s) {
			if before[name] != was {
				rt.Errorf("%s is %s, was %s", name, was, before[name])
			}
			delete(before, name)
		}
		if len(before) > 0 {
			rt.Errorf("gone: %v", before)
		}
	})
}

func addsUp(t rapid.TB, v *store.View, c Cutting, bag store.Bag, part store.Part, cost code.Cents) {
	st, err := v.State("A1")
	if err != nil || st.Cut != int64(len(c.Sheets)) || st.OnHand() != bag.Quantity-st.Cut {
		t.Errorf("%d sheets are cut, the book says %+v (%v)", len(c.Sheets), st, err)
	}
	area, pieces, sum := int64(0), int64(0), code.Cents(0)
	var offcuts []store.Bag
	for _, o := range v.BagsOf("S1") {
		b, err := v.Bag(o)
		if err != nil || b.Cut == "" {
			continue
		}
		area, pieces, sum = area+b.Quantity*b.Dims[dim.Width]*b.Dims[dim.Length], pieces+b.Quantity, sum+*b.Cost
		if b.Material == "" {
			offcuts = append(offcuts, b)
		}
	}
	waste, left := int64(0), []CutRect{}
	for _, sh := range c.Sheets {
		waste, left = waste+sh.Waste, append(left, sh.Left...)
	}
	all := st.Cut * part.Dims[dim.Width] * part.Dims[dim.Length]
	if wasted := all - area; wasted < 0 || wasted/1_000_000-waste > int64(len(c.Sheets)) || wasted/1_000_000 < waste {
		t.Errorf("of %d um2 %d are panels and offcuts: %d mm2 of waste, the layout says %d", all, area, wasted/1_000_000, waste)
	}
	if want := math.Round(float64(cost) * float64(st.Cut) / float64(bag.Quantity)); math.Abs(float64(sum)-want) > 0.5 {
		t.Errorf("what arose costs %d, %d of %d sheets of %d cost %v", sum, st.Cut, bag.Quantity, cost, want)
	}
	f, err := v.Figure("S1")
	if err != nil || f.Free() != bag.Quantity-st.Cut+pieces || f.Cut != st.Cut || f.Scrapped != 0 {
		t.Errorf("%d sheets less %d and %d pieces that arose, the figures say %+v (%v)", bag.Quantity, st.Cut, pieces, f, err)
	}
	if len(offcuts) != len(left) {
		t.Errorf("%d offcuts, the layout leaves %v", len(offcuts), left)
		return
	}
	for i, b := range offcuts {
		flawsLie(t, b, left[i], bag.Flaws)
	}
	w, err := WasteOf(v, WasteQuery{})
	if err != nil || len(w.Lines) != 1 || math.Abs(w.Lines[0].Wasted-float64(all-area)/1e8) > 0.006 {
		t.Errorf("waste %+v (%v), want %d um2", w, err, all-area)
	}
}

// flawsLie holds flaws of an offcut against those of its sheet, point by point.
func flawsLie(t rapid.TB, b store.Bag, at CutRect, flaws []dim.Spot) {
	on := func(list []dim.Spot, x, y float64) bool {
		for _, f := range list {
			fx, fy, fw, fl := float64(f.X)/1000, float64(f.Y)/1000, float64(f.Width)/1000, float64(f.Length)/1000
			if f.Length == 0 && math.Hypot(x-fx, y-fy) < fw/2 || f.Length != 0 && x > fx && x < fx+fw && y > fy && y < fy+fl {
				return true
			}
		}
		return false
	}
	for x := 0.3; x < at.W; x += 1.7 {
		for y := 0.3; y < at.H; y += 1.7 {
			if on(flaws, at.X+x, at.Y+y) && !on(b.Flaws, x, y) {
				t.Errorf("%s at %+v has a flaw at %v,%v and does not say so: %v", b.Code, at, x, y, b.Flaws)
				return
			}
		}
	}
	for _, f := range b.Flaws {
		if x1, y1, x2, y2 := f.Box(); x1 < 0 || y1 < 0 || x2 > b.Dims[dim.Width] || y2 > b.Dims[dim.Length] {
			t.Errorf("%s: the flaw %s lies outside", b.Code, f)
		}
	}
}

// Three sheets that cost 10.00 together, cut one by one: 3.33, 3.34 and 3.33, so that not a
// cent is lost. By hand.
func TestTheLastCent(t *testing.T) {
	s := newStore(t)
	cost := code.Cents(1000)
	book(t, s, 22523, func(x *store.Tx) error {
		if err := x.Put(store.Part{Code: "S1", Name: "calf", Class: "COV-NEW", Dims: map[dim.Field]int64{dim.Width: 50_000, dim.Length: 50_000}}); err != nil {
			return err
		}
		_, err := x.PutIn(store.Bag{Code: "A1", Part: "S1", Origin: "bought", Quantity: 3, Cost: &cost})
		return err
	})
	for i, want := range []code.Cents{333, 334, 333} {
		_, res := cutNow(t, s, CutQuery{Sizes: []CutSize{{50_000, 50_000, 1}}, From: []code.Code{"A1"}})
		if b := res.Bags[len(res.Bags)-1].Bag; b.Cost == nil || *b.Cost != want {
			t.Errorf("the %d. sheet: %+v, want %s", i+1, b, want)
		}
	}
}

// Waste, by hand: S1 is 210 x 297 = 623.7 cm2. A back of 57 x 128 = 72.96 for a model,
// with 4 around it; kept is what the layout keeps. Then the back is spoilt. A front of
// 57 x 34 = 19.38 is cut from the back of a camera, 57 x 128, of which nothing is kept:
// 53.58 of waste, 73 %, more than the half that is usual.
func TestWasteByHand(t *testing.T) {
	s := leather(t)
	book(t, s, 22523, func(x *store.Tx) error { return x.Put(store.Model{Code: "M-1", Kind: "camera"}) })
	q := CutQuery{Camera: store.Camera{Model: "M-1"}, Panels: []Wanted{{"C1", 1}}, From: []code.Code{"A1"}, Margin: UsualMargin}
	c, _ := cutNow(t, s, q)
	kept := 0.0
	for _, l := range c.Sheets[0].Left {
		kept += l.W * l.H / 100
	}
	cutNow(t, s, CutQuery{Panels: []Wanted{{"C2", 1}}, From: []code.Code{"A5"}, Turn: true})
	of := func(q WasteQuery) (w Waste) {
		view(t, s, func(v *store.View) (err error) { w, err = WasteOf(v, q); return err })
		return w
	}
	w := of(WasteQuery{})
	if len(w.Lines) != 2 || len(w.Sums) != 2 {
		t.Fatalf("%+v", w)
	}
	if l := w.Lines[0]; l.Model != "" || !l.Camera || l.Cut != 72.96 || l.Panels != 19.38 || l.Wasted != 53.58 || l.Share != 0.734 || !l.Over || l.Kept != 0 {
		t.Errorf("from a panel: %+v", l)
	}
	l := w.Lines[1]
	if l.Model != "M-1" || l.Grain != "fine" || l.Cut != 623.7 || l.Panels != 72.96 || math.Abs(l.Kept-kept) > 0.01 || math.Abs(l.Wasted-(623.7-72.96-kept)) > 0.01 || l.Spoilt != 0 {
		t.Errorf("from a sheet: %+v, kept %v", l, kept)
	}
	was := l.Wasted
	var lost Spoilt
	book(t, s, 22560, func(x *store.Tx) (err error) {
		lost, err = Spoil(x, store.Ref{Kind: "part", Code: "C1"}, "the blade slipped", CutQuery{Margin: UsualMargin})
		return err
	})
	if lost.Sheet != "A1" || lost.CM2 != 72.96 || lost.Left != 0 || lost.Again.Placed() != 1 {
		t.Errorf("%+v", lost)
	}
	w = of(WasteQuery{Model: "M-1", Period: "2031-09"}) // the month of the cut
	if len(w.Lines) != 1 || w.Lines[0].Panels != 0 || w.Lines[0].Spoilt != 72.96 || math.Abs(w.Lines[0].Wasted-was-72.96) > 0.011 || !w.Lines[0].Over {
		t.Errorf("spoilt: %+v", w)
	}
	if w = of(WasteQuery{Period: "2031-10"}); len(w.Lines) != 0 {
		t.Errorf("the month after it: %+v", w)
	}
}
