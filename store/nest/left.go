package nest

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// A room is the largest rectangle without a flaw that a set leaves of a board, and
// whether none is larger.
type room struct {
	area  int64
	exact bool
}

// A region is a rectangle that is left of a board when a set was cut off its sides block
// by block: the last was a block of part off that side, what was left before is the region
// from of the set without part.
type region struct {
	Rect
	part  uint64
	from  int
	block int
	side  side
}

type side uint8

const (
	left side = iota
	bottom
	right
	top
)

// peelings is how many ways of dividing a set are looked at for the largest rectangle.
const peelings = 400_000

// roomLeft says what a set leaves.
func (s *solver) roomLeft(at int, set uint64) room {
	b := s.boards[at]
	if r, ok := b.lefts[set]; ok {
		return r
	}
	var r room
	if set == 0 {
		r = room{b.usable(Rect{0, 0, b.w, b.h}), true}
	} else if list := s.peeled(b, set); list != nil {
		r = room{b.usable(list[s.widest(b, list)].Rect), true}
	} else {
		d := s.draw(b, set)
		for _, rest := range d.rest {
			r.area = max(r.area, b.usable(rest))
		}
	}
	b.lefts[set] = r
	return r
}

// widest returns the region with the largest usable rectangle.
func (s *solver) widest(b *board, list []region) int {
	best, most := 0, int64(-1)
	for i, r := range list {
		if a := b.usable(r.Rect); a > most {
			best, most = i, a
		}
	}
	return best
}

// peeled returns the regions that a set leaves, or nil where that was not looked for to
// the end.
func (s *solver) peeled(b *board, set uint64) []region {
	if list := b.peels[set]; list != nil {
		return list
	}
	if b.fits[set] != yes || pairs(s.counts(set)) > peelings {
		return nil
	}
	until := s.steps + s.work/20
	list := s.regions(b, set, until)
	if s.steps > until {
		b.reset()
		return nil
	}
	return list
}

// regions returns the largest regions that a set leaves: every rectangle that is left in
// any layout lies in one. On the way from the board to that rectangle each cut takes off a
// side, and on it a block of a part of the set.
func (s *solver) regions(b *board, set uint64, until int64) []region {
	if set == 0 {
		return []region{{Rect: Rect{0, 0, b.w, b.h}}}
	}
	if list, ok := b.peels[set]; ok || s.steps > until {
		return list
	}
	var list []region
	peel := func(part uint64) {
		for i, r := range s.regions(b, set-part, until) {
			for sd := left; sd <= top; sd++ {
				if sd >= right && len(b.flaws) == 0 {
					break
				}
				s.steps++
				f := s.offSide(b, r.Rect, sd, part, until)
				k := f.within(r.W, r.H)
				if sd == left || sd == right {
					k = f.narrowest(r.W, r.H)
				}
				if k >= 0 {
					list = b.keep(list, region{r.without(sd, f[k], s.p.Kerf), part, i, k, sd})
				}
			}
		}
	}
	s.splits(s.counts(set), peel)
	peel(set)
	b.peels[set] = list
	return list
}

// narrowest returns the place of the first block that is no larger than w by h, or -1.
func (f front) narrowest(w, h int64) int {
	i := sort.Search(len(f), func(i int) bool { return f[i].h <= h })
	if i < len(f) && f[i].w <= w {
		return i
	}
	return -1
}

// offSide returns the front of a set that is cut off a side of a region.
func (s *solver) offSide(b *board, r Rect, sd side, set uint64, until int64) front {
	b, x, y := b.corner(r, sd)
	return s.from(b, x, y, set, until)
}

// corner returns the corner that a block off a side begins from, and the board as it is
// seen from there.
func (b *board) corner(r Rect, sd side) (*board, int64, int64) {
	switch {
	case len(b.flaws) == 0 || sd == left || sd == bottom:
		return b, r.X, r.Y
	case sd == right:
		return b.mirror(0), b.w - r.X - r.W, r.Y
	}
	return b.mirror(1), r.X, b.h - r.Y - r.H
}

// without is what is left of a rectangle when a block was cut off a side.
func (r Rect) without(sd side, k block, kerf int64) Rect {
	switch sd {
	case left:
		r.X += k.w + kerf
		r.W -= k.w + kerf
	case right:
		r.W -= k.w + kerf
	case bottom:
		r.Y += k.h + kerf
		r.H -= k.h + kerf
	case top:
		r.H -= k.h + kerf
	}
	r.W, r.H = max(0, r.W), max(0, r.H)
	return r
}

// keep adds a region unless one that is there is as good, and drops those it is better
// than. Without flaws only its sides matter.
func (b *board) keep(list []region, r region) []region {
	if len(b.flaws) > 0 {
		for _, o := range list {
			if o.X <= r.X && o.Y <= r.Y && o.X+o.W >= r.X+r.W && o.Y+o.H >= r.Y+r.H {
				return list
			}
		}
		list = slices.DeleteFunc(list, func(o region) bool {
			return r.X <= o.X && r.Y <= o.Y && r.X+r.W >= o.X+o.W && r.Y+r.H >= o.Y+o.H
		})
		return append(list, r)
	}
	i := sort.Search(len(list), func(i int) bool { return list[i].W >= r.W })
	if i < len(list) && list[i].H >= r.H {
		return list
	}
	j := i
	for j > 0 && list[j-1].H <= r.H {
		j--
	}
	if i < len(list) && list[i].W == r.W {
		i++
	}
	return slices.Replace(list, j, i, r)
}

// usable is the area of the largest rectangle within r that no flaw touches.
func (b *board) usable(r Rect) int64 {
	if len(b.flaws) == 0 {
		return r.Area()
	}
	xs := []int64{r.X, r.X + r.W}
	for _, f := range b.flaws {
		xs = append(xs, min(max(f.X, r.X), r.X+r.W), min(max(f.X+f.W, r.X), r.X+r.W))
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	most := int64(0)
	for i, x0 := range xs {
		for _, x1 := range xs[i+1:] {
			most = max(most, (x1-x0)*b.gap(x0, x1, r.Y, r.Y+r.H))
		}
	}
	return most
}

// gap is the longest stretch from y0 to y1 without a flaw between x0 and x1.
func (b *board) gap(x0, x1, y0, y1 int64) int64 {
	var over []Rect
	for _, f := range b.flaws {
		if f.X < x1 && f.X+f.W > x0 {
			over = append(over, f)
		}
	}
	slices.SortFunc(over, func(a, b Rect) int { return cmp.Compare(a.Y, b.Y) })
	at, longest := y0, int64(math.MinInt64)
	for _, f := range over {
		longest = max(longest, min(f.Y, y1)-at)
		at = max(at, f.Y+f.H)
	}
	return max(0, longest, y1-at)
}
