package nest

import (
	"cmp"
	"slices"
)

// A board is the usable rectangle of a piece of stock, its lower left corner at 0,0,
// with the grain along h.
type board struct {
	w, h   int64
	fresh  bool
	margin int64
	flaws  []Rect
	anchor map[anchor]front // what is known of sets from a corner on
	flip   [2]*board        // the same seen in a mirror: left for right, bottom for top
	cap    int64            // the largest area of panels it can take
	fits   map[uint64]verdict
	lefts  map[uint64]room
	peels  map[uint64][]region
	most   map[uint64]filling
}

// An anchor is a set that is cut from a corner on, to the right and upwards.
type anchor struct {
	x, y int64
	set  uint64
}

// A verdict says whether a set can be cut from a board.
type verdict uint8

const (
	no      verdict = iota + 1
	yes             // by fronts
	packed          // by the quick way alone: fronts were not asked
	unknown         // the quick way found nothing, fronts were not asked
)

func newBoard(p Problem, sh Sheet) *board {
	b := &board{w: sh.W - 2*sh.Edge, h: sh.H - 2*sh.Edge, fresh: sh.New, margin: p.Margin}
	for _, f := range sh.Flaws {
		f.X, f.Y = f.X-sh.Edge, f.Y-sh.Edge
		b.flaws = append(b.flaws, f)
	}
	if sh.Across {
		b.w, b.h = b.h, b.w
		for i, f := range b.flaws {
			b.flaws[i] = Rect{f.Y, f.X, f.H, f.W}
		}
	}
	b.flaws = slices.DeleteFunc(b.flaws, func(f Rect) bool {
		return f.W <= 0 || f.H <= 0 || f.X >= b.w || f.Y >= b.h || f.X+f.W <= 0 || f.Y+f.H <= 0
	})
	slices.SortFunc(b.flaws, func(a, b Rect) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.W, b.W), cmp.Compare(a.H, b.H))
	})
	b.reset()
	b.fits, b.lefts, b.most = map[uint64]verdict{}, map[uint64]room{}, map[uint64]filling{}
	return b
}

// reset forgets what is known from corners on.
func (b *board) reset() {
	b.anchor = map[anchor]front{}
	b.flip = [2]*board{}
	b.peels = map[uint64][]region{}
}

func (b *board) same(o *board) bool {
	return b.w == o.w && b.h == o.h && b.fresh == o.fresh && slices.Equal(b.flaws, o.flaws)
}

func (b *board) inside(o *board) bool { return b.w <= o.w && b.h <= o.h }

// mirror returns the board seen in a mirror: side 0 changes left and right, side 1 bottom
// and top.
func (b *board) mirror(side int) *board {
	if b.flip[side] == nil {
		m := &board{w: b.w, h: b.h, margin: b.margin, anchor: map[anchor]front{}}
		for _, f := range b.flaws {
			if side == 0 {
				f.X = b.w - f.X - f.W
			} else {
				f.Y = b.h - f.Y - f.H
			}
			m.flaws = append(m.flaws, f)
		}
		b.flip[side] = m
	}
	return b.flip[side]
}

// clear says whether a panel with its margin, w by h, may lie there.
func (b *board) clear(x, y, w, h int64) bool {
	m := b.margin
	if x+w > b.w || y+h > b.h {
		return false
	}
	for _, f := range b.flaws {
		if x+m < f.X+f.W && x+w-m > f.X && y+m < f.Y+f.H && y+h-m > f.Y {
			return false
		}
	}
	return true
}

// plain says whether no flaw matters from a corner on.
func (b *board) plain(x, y int64) bool {
	return !slices.ContainsFunc(b.flaws, func(f Rect) bool { return f.X+f.W > x+b.margin && f.Y+f.H > y+b.margin })
}

// starts are where a panel may begin from a corner on: at it, or where a flaw ends.
func (b *board) starts(x, y int64) (xs, ys []int64) {
	xs, ys = []int64{x}, []int64{y}
	for _, f := range b.flaws {
		if e := f.X + f.W - b.margin; e > x {
			xs = append(xs, e)
		}
		if e := f.Y + f.H - b.margin; e > y {
			ys = append(ys, e)
		}
	}
	return xs, ys
}

// from returns the front of a set that is cut from a corner of a board on: sizes of the
// blocks that begin there. A panel is pushed to the left and down until the corner or a flaw
// stops it, which never makes a block larger. Nil once the steps are used up.
func (s *solver) from(b *board, x, y int64, set uint64, until int64) front {
	if x >= b.w || y >= b.h || s.steps > until {
		return nil
	}
	flawless := s.shapes(set)
	if len(flawless) == 0 || b.plain(x, y) {
		return flawless
	}
	key := anchor{x, y, set}
	if f, ok := b.anchor[key]; ok {
		return f
	}
	f, n := front{}, s.counts(set)
	if s.count(set) == 1 {
		f = s.oneFrom(b, x, y, s.kinds[slices.IndexFunc(n, func(c int) bool { return c == 1 })])
	} else if flawless[0].w <= b.w-x && flawless[len(flawless)-1].h <= b.h-y {
		s.splits(n, func(part uint64) { f = s.joinFrom(f, b, x, y, part, set, until) })
	}
	b.anchor[key] = f
	return f
}

func (s *solver) oneFrom(b *board, x, y int64, k kind) front {
	f := front{}
	xs, ys := b.starts(x, y)
	for _, px := range xs {
		for _, py := range ys {
			s.steps++
			if b.clear(px, py, k.w, k.h) {
				f = f.with(block{w: px + k.w - x, h: py + k.h - y, dx: px - x, dy: py - y})
			}
			if k.free && b.clear(px, py, k.h, k.w) {
				f = f.with(block{w: px + k.h - x, h: py + k.w - y, dx: px - x, dy: py - y, how: quarter})
			}
		}
	}
	return f
}

func (s *solver) joinFrom(f front, b *board, x, y int64, part, set uint64, until int64) front {
	for i, a := range s.from(b, x, y, part, until) {
		if x+a.w > b.w || y+a.h > b.h {
			continue
		}
		for j, c := range s.from(b, x+a.w+s.p.Kerf, y, set-part, until) {
			s.steps++
			if w, h := a.w+s.p.Kerf+c.w, max(a.h, c.h); x+w <= b.w && y+h <= b.h {
				f = f.with(block{w: w, h: h, how: beside, part: part, first: int32(i), second: int32(j)})
			}
		}
		for j, c := range s.from(b, x, y+a.h+s.p.Kerf, set-part, until) {
			s.steps++
			if w, h := max(a.w, c.w), a.h+s.p.Kerf+c.h; x+w <= b.w && y+h <= b.h {
				f = f.with(block{w: w, h: h, how: above, part: part, first: int32(i), second: int32(j)})
			}
		}
	}
	return f
}
