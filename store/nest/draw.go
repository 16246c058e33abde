package nest

import (
	"cmp"
	"math"
	"slices"
)

// A drawing is a layout of a board in the making, in the board's coordinates.
type drawing struct {
	s      *solver
	kerf   int64
	rule   rule
	cells  []cell
	cuts   []Cut
	rest   []Rect
	mw, mh int64 // above 0: what is drawn now is seen in a mirror of that width or height
}

// A cell is a panel of a kind with its margin.
type cell struct {
	Rect
	kind   int
	turned bool
}

// A rule says which strip is cut off first where several lie around a rectangle.
type rule uint8

const (
	largestFirst rule = iota
	uprightFirst
	levelFirst
	rules
)

// draw returns the layout of a set that fits: with the largest rectangle left where that
// is known, else by its block, else the quick way.
func (s *solver) draw(b *board, set uint64) *drawing {
	d := &drawing{s: s, kerf: s.p.Kerf}
	whole := Rect{0, 0, b.w, b.h}
	if b.fits[set] != yes {
		return s.pack(b, set)
	}
	if list := s.peeled(b, set); list != nil {
		d.rest = append(d.rest, d.region(b, set, s.widest(b, list)))
		return d
	}
	f := s.from(b, 0, 0, set, math.MaxInt64)
	d.block(b, 0, 0, f[f.within(b.w, b.h)], set, whole)
	return d
}

// region draws what was cut off before a region was left, and returns it.
func (d *drawing) region(b *board, set uint64, at int) Rect {
	if set == 0 {
		return Rect{0, 0, b.w, b.h}
	}
	r := d.s.regions(b, set, math.MaxInt64)[at]
	before := d.region(b, set-r.part, r.from)
	from, x, y := b.corner(before, r.side)
	k := d.s.from(from, x, y, r.part, math.MaxInt64)[r.block]
	off := Rect{x, y, k.w, k.h}
	if r.side == left || r.side == right {
		off.H = before.H
		d.mirrored(b, r.side, func() {
			if k.w < before.W {
				d.upright(x+k.w, y, before.H)
			}
			d.block(from, x, y, k, r.part, off)
		})
	} else {
		off.W = before.W
		d.mirrored(b, r.side, func() {
			if k.h < before.H {
				d.level(x, y+k.h, before.W)
			}
			d.block(from, x, y, k, r.part, off)
		})
	}
	return r.Rect
}

// mirrored draws in the mirror that a side is seen in.
func (d *drawing) mirrored(b *board, sd side, f func()) {
	if len(b.flaws) > 0 && sd == right {
		d.mw = b.w
	}
	if len(b.flaws) > 0 && sd == top {
		d.mh = b.h
	}
	f()
	d.mw, d.mh = 0, 0
}

// turn returns a rectangle out of the mirror.
func (d *drawing) turn(r Rect) Rect {
	if d.mw > 0 {
		r.X = d.mw - r.X - r.W
	}
	if d.mh > 0 {
		r.Y = d.mh - r.Y - r.H
	}
	return r
}

// upright draws a cut that begins at x,y and is h long; level one that is w long.
func (d *drawing) upright(x, y, h int64) {
	r := d.turn(Rect{x, y, d.kerf, h})
	d.cuts = append(d.cuts, Cut{r.X, r.Y, r.X, r.Y + r.H})
}

func (d *drawing) level(x, y, w int64) {
	r := d.turn(Rect{x, y, w, d.kerf})
	d.cuts = append(d.cuts, Cut{r.X, r.Y, r.X + r.W, r.Y})
}

// block draws the cuts of a block of a set whose corner is x,y and that lies in r.
func (d *drawing) block(b *board, x, y int64, k block, set uint64, r Rect) {
	d.trim(r, Rect{x, y, k.w, k.h})
	if k.how == single || k.how == quarter {
		t := slices.IndexFunc(d.s.counts(set), func(c int) bool { return c == 1 })
		c := Rect{x + k.dx, y + k.dy, k.w - k.dx, k.h - k.dy}
		d.trim(Rect{x, y, k.w, k.h}, c)
		d.cells = append(d.cells, cell{d.turn(c), t, k.how == quarter})
		return
	}
	first := d.s.from(b, x, y, k.part, math.MaxInt64)[k.first]
	if k.how == beside {
		x2 := x + first.w + d.kerf
		second := d.s.from(b, x2, y, set-k.part, math.MaxInt64)[k.second]
		d.upright(x+first.w, y, k.h)
		d.block(b, x, y, first, k.part, Rect{x, y, first.w, k.h})
		d.block(b, x2, y, second, set-k.part, Rect{x2, y, second.w, k.h})
		return
	}
	y2 := y + first.h + d.kerf
	second := d.s.from(b, x, y2, set-k.part, math.MaxInt64)[k.second]
	d.level(x, y+first.h, k.w)
	d.block(b, x, y, first, k.part, Rect{x, y, k.w, first.h})
	d.block(b, x, y2, second, set-k.part, Rect{x, y2, k.w, second.h})
}

// trim cuts a rectangle out of another, strip by strip.
func (d *drawing) trim(r, to Rect) {
	for r != to {
		strips := [4]Rect{
			{r.X, r.Y, to.X - r.X, r.H},
			{r.X, r.Y, r.W, to.Y - r.Y},
			{to.X + to.W, r.Y, r.X + r.W - to.X - to.W, r.H},
			{r.X, to.Y + to.H, r.W, r.Y + r.H - to.Y - to.H},
		}
		best := -1
		for i, st := range strips {
			if st.W > 0 && st.H > 0 && (best < 0 || d.rule.before(st, i, strips[best], best)) {
				best = i
			}
		}
		r = d.strip(r, to, strips[best], side(best))
	}
}

func (w rule) before(a Rect, i int, b Rect, j int) bool {
	if w != largestFirst && i%2 != j%2 {
		return (i%2 == 0) == (w == uprightFirst)
	}
	return a.Area() > b.Area()
}

// strip cuts a strip off a side, and returns what is left of r.
func (d *drawing) strip(r, to, st Rect, sd side) Rect {
	switch sd {
	case left:
		d.upright(to.X-d.kerf, r.Y, r.H)
		st.W -= d.kerf
		r.X, r.W = to.X, r.X+r.W-to.X
	case bottom:
		d.level(r.X, to.Y-d.kerf, r.W)
		st.H -= d.kerf
		r.Y, r.H = to.Y, r.Y+r.H-to.Y
	case right:
		d.upright(to.X+to.W, r.Y, r.H)
		st.X, st.W = st.X+d.kerf, st.W-d.kerf
		r.W = to.X + to.W - r.X
	case top:
		d.level(r.X, to.Y+to.H, r.W)
		st.Y, st.H = st.Y+d.kerf, st.H-d.kerf
		r.H = to.Y + to.H - r.Y
	}
	if st.W > 0 && st.H > 0 {
		d.rest = append(d.rest, d.turn(st))
	}
	return r
}

// layout is a drawing as it lies on its sheet; the panels are taken from the queue of
// their kind.
func (s *solver) layout(k pick, queue [][]int) Layout {
	d := s.draw(s.boards[s.stock[k.piece].board], k.set)
	at := s.stock[k.piece].sheet
	sh := s.p.Sheets[at]
	out := Layout{Sheet: at}
	put := func(r Rect) Rect {
		if sh.Across {
			r = Rect{r.Y, r.X, r.H, r.W}
		}
		r.X, r.Y = r.X+sh.Edge, r.Y+sh.Edge
		return r
	}
	frame := drawing{kerf: s.p.Kerf}
	frame.trim(Rect{0, 0, sh.W, sh.H}, Rect{sh.Edge, sh.Edge, sh.W - 2*sh.Edge, sh.H - 2*sh.Edge})
	out.Cuts = frame.cuts
	for _, c := range d.cuts {
		r := put(Rect{c.X1, c.Y1, c.X2 - c.X1, c.Y2 - c.Y1})
		out.Cuts = append(out.Cuts, Cut{r.X, r.Y, r.X + r.W, r.Y + r.H})
	}
	for _, c := range d.cells {
		i := queue[c.kind][0]
		queue[c.kind] = queue[c.kind][1:]
		r, m := put(c.Rect), s.p.Margin
		turned := s.p.Panels[i].swapped() != (c.turned != sh.Across)
		out.Placed = append(out.Placed, Placed{i, Rect{r.X + m, r.Y + m, r.W - 2*m, r.H - 2*m}, turned})
	}
	for _, r := range d.rest {
		if r.Area() > 0 {
			out.Rest = append(out.Rest, put(r))
		}
	}
	slices.SortStableFunc(out.Rest, func(a, b Rect) int { return cmp.Compare(b.Area(), a.Area()) })
	return out
}
