package nest

import (
	"fmt"
	"slices"
)

// The checker shares nothing with the solver: it makes the cuts one after the other, as a
// blade would, and looks at what comes off.

// checked says what is wrong with an answer, and returns the largest rectangle that it
// leaves of every piece of stock, the largest first.
func checked(p Problem, a Answer) ([]int64, error) {
	placed, used := make([]int, len(p.Panels)), make([]int, len(p.Sheets))
	var lefts []int64
	var sc Score
	for _, l := range a.Layouts {
		sh := p.Sheets[l.Sheet]
		used[l.Sheet]++
		sc.Broken++
		if sh.New {
			sc.New++
		}
		rest, err := cutUp(p, sh, l)
		if err != nil {
			return nil, fmt.Errorf("sheet %d: %w", l.Sheet, err)
		}
		most := int64(0)
		for _, r := range rest {
			most = max(most, clearOf(r, sh.Flaws))
		}
		lefts = append(lefts, most)
		for _, n := range l.Placed {
			placed[n.Panel]++
			if sh.New {
				sc.OnNew += (n.W + 2*p.Margin) * (n.H + 2*p.Margin)
			}
		}
	}
	for i, n := range p.Panels {
		if placed[i]+a.Left[i] != n.Count {
			return nil, fmt.Errorf("panel %d: %d placed, %d left, of %d", i, placed[i], a.Left[i], n.Count)
		}
		sc.Left += a.Left[i]
	}
	for i, sh := range p.Sheets {
		if used[i] > sh.Count {
			return nil, fmt.Errorf("sheet %d: %d used of %d", i, used[i], sh.Count)
		}
		for range sh.Count - used[i] {
			lefts = append(lefts, clearOf(Rect{sh.Edge, sh.Edge, sh.W - 2*sh.Edge, sh.H - 2*sh.Edge}, sh.Flaws))
		}
	}
	if sc != a.Score {
		return nil, fmt.Errorf("score %+v, counted %+v", a.Score, sc)
	}
	slices.Sort(lefts)
	slices.Reverse(lefts)
	return lefts, nil
}

// cutUp makes the cuts of a layout and returns the pieces without a panel.
func cutUp(p Problem, sh Sheet, l Layout) ([]Rect, error) {
	pieces := []Rect{{0, 0, sh.W, sh.H}}
	for _, c := range l.Cuts {
		at := slices.IndexFunc(pieces, func(r Rect) bool { return divides(c, r, p.Kerf) })
		if at < 0 {
			return nil, fmt.Errorf("cut %+v does not run from edge to edge of %v", c, pieces)
		}
		r := pieces[at]
		pieces = slices.Delete(pieces, at, at+1)
		var two [2]Rect
		if c.X1 == c.X2 {
			two = [2]Rect{{r.X, r.Y, c.X1 - r.X, r.H}, {c.X1 + p.Kerf, r.Y, r.X + r.W - c.X1 - p.Kerf, r.H}}
		} else {
			two = [2]Rect{{r.X, r.Y, r.W, c.Y1 - r.Y}, {r.X, c.Y1 + p.Kerf, r.W, r.Y + r.H - c.Y1 - p.Kerf}}
		}
		for _, n := range two {
			if n.W > 0 && n.H > 0 {
				pieces = append(pieces, n)
			}
		}
	}
	for _, n := range l.Placed {
		if err := lies(p, sh, n); err != nil {
			return nil, err
		}
		m := p.Margin
		cell := Rect{n.X - m, n.Y - m, n.W + 2*m, n.H + 2*m}
		at := slices.Index(pieces, cell)
		if at < 0 {
			return nil, fmt.Errorf("no cut sets panel %d free at %+v: %v", n.Panel, cell, pieces)
		}
		pieces = slices.Delete(pieces, at, at+1)
	}
	in := Rect{sh.Edge, sh.Edge, sh.W - 2*sh.Edge, sh.H - 2*sh.Edge}
	var rest []Rect
	for _, r := range pieces {
		if !slices.Contains(l.Rest, r) && r.X >= in.X && r.Y >= in.Y && r.X+r.W <= in.X+in.W && r.Y+r.H <= in.Y+in.H {
			return nil, fmt.Errorf("%+v is left and not listed", r)
		}
	}
	for _, r := range l.Rest {
		if !slices.Contains(pieces, r) {
			return nil, fmt.Errorf("%+v is listed and not left", r)
		}
		rest = append(rest, r)
	}
	return rest, nil
}

// divides says whether a cut runs over all of a piece. A blade may run partly beside it.
func divides(c Cut, r Rect, kerf int64) bool {
	if c.X1 == c.X2 {
		return c.Y1 == r.Y && c.Y2 == r.Y+r.H && c.X1+kerf > r.X && c.X1 < r.X+r.W
	}
	return c.Y1 == c.Y2 && c.X1 == r.X && c.X2 == r.X+r.W && c.Y1+kerf > r.Y && c.Y1 < r.Y+r.H
}

// lies says what is wrong with how a panel lies.
func lies(p Problem, sh Sheet, n Placed) error {
	of, w, h := p.Panels[n.Panel], n.W, n.H
	if n.Turned {
		w, h = h, w
	}
	if w != of.W || h != of.H {
		return fmt.Errorf("panel %d is %d by %d, placed as %+v", n.Panel, of.W, of.H, n)
	}
	if !of.Free && n.Turned != (of.Across != sh.Across) {
		return fmt.Errorf("panel %d lies across the grain: %+v", n.Panel, n)
	}
	for _, f := range sh.Flaws {
		if n.X < f.X+f.W && f.X < n.X+n.W && n.Y < f.Y+f.H && f.Y < n.Y+n.H {
			return fmt.Errorf("panel %d lies on a flaw: %+v %+v", n.Panel, n, f)
		}
	}
	return nil
}

// clearOf is the area of the largest rectangle within r without a flaw: it looks at every
// pair of lower left and upper right corners that the edges of flaws make.
func clearOf(r Rect, flaws []Rect) int64 {
	xs, ys := []int64{r.X, r.X + r.W}, []int64{r.Y, r.Y + r.H}
	for _, f := range flaws {
		xs, ys = append(xs, f.X, f.X+f.W), append(ys, f.Y, f.Y+f.H)
	}
	most := int64(0)
	for _, x0 := range xs {
		for _, x1 := range xs {
			for _, y0 := range ys {
				for _, y1 := range ys {
					if x0 < r.X || y0 < r.Y || x1 > r.X+r.W || y1 > r.Y+r.H || x1 <= x0 || y1 <= y0 {
						continue
					}
					if !slices.ContainsFunc(flaws, func(f Rect) bool { return x0 < f.X+f.W && f.X < x1 && y0 < f.Y+f.H && f.Y < y1 }) {
						most = max(most, (x1-x0)*(y1-y0))
					}
				}
			}
		}
	}
	return most
}
