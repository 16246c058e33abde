package nest

import "slices"

// What cannot be placed, whatever way it is cut: bounds that hold for any layout without
// overlaps, and so for one of cuts from edge to edge; flaws are not looked at, which make
// it no easier.
//
// Every side of a panel, as a share of the board's, goes through a function that is dual
// feasible: of shares that add up to no more than 1 the values add up to no more than 1.
// The products of the values of width and length then add up to no more than 1 on a board.
// Source: Fekete and Schepers 2001, Mathematical Programming 91:11-31 (u, U, phi and the
// volume bound), and 2004, Mathematical Methods of Operations Research 60:311-329; both from
// memory. Before that the board shrinks to the largest sum of sides that it has room for
// (Christofides and Whitlock 1977, Operations Research 25:30-44, normal patterns; from
// memory).

// An axis is a board's side and those of panels along it.
type axis struct {
	all   int64
	sides []int64
}

// A dual is a dual feasible function over an axis: the value of a side.
type dual func(side int64) float64

// mostU is how far u is tried.
const mostU = 8

// duals are functions worth trying over an axis.
func (a axis) duals() []dual {
	W := a.all
	list := []dual{func(x int64) float64 { return float64(x) / float64(W) }}
	for k := int64(1); k <= mostU; k++ {
		list = append(list, func(x int64) float64 {
			if n := (k + 1) * x; n%W == 0 {
				return float64(x) / float64(W)
			} else {
				return float64(n/W) / float64(k)
			}
		})
	}
	var at []int64
	for _, x := range a.sides {
		for _, e := range []int64{x, W - x, W - x + 1} {
			if e > 0 && 2*e <= W {
				at = append(at, e)
			}
		}
	}
	slices.Sort(at)
	for _, e := range slices.Compact(at) {
		list = append(list, func(x int64) float64 {
			switch {
			case x > W-e:
				return 1
			case x < e:
				return 0
			}
			return float64(x) / float64(W)
		}, func(x int64) float64 {
			switch {
			case 2*x > W:
				return 1 - float64((W-x)/e)/float64(W/e)
			case x < e:
				return 0
			}
			return 1 / float64(W/e)
		})
	}
	return list
}

// values are what functions make of sides, a row a function; those that another exceeds
// everywhere are left out.
func values(fs []dual, sides []int64) (out [][]float64) {
	for _, f := range fs {
		v := make([]float64, len(sides))
		for i, x := range sides {
			v[i] = f(x)
		}
		no := func(a, b []float64) bool { // a is nowhere more than b
			for i := range a {
				if a[i] > b[i] {
					return false
				}
			}
			return true
		}
		if slices.ContainsFunc(out, func(o []float64) bool { return no(v, o) }) {
			continue
		}
		out = append(slices.DeleteFunc(out, func(o []float64) bool { return no(o, v) }), v)
	}
	return out
}

// reached is the largest sum of some sides, each as often as it stands there, that is no
// more than all.
func reached(sides []int64, all int64) int64 {
	step := all
	for _, x := range sides {
		step = gcd(step, x)
	}
	if step <= 0 || all/step > 1<<13 {
		return all // too fine to be worth it
	}
	sums := make([]bool, all/step+1)
	sums[0] = true
	for _, x := range sides {
		n := int(x / step)
		for i := len(sums) - 1; i >= n; i-- {
			sums[i] = sums[i] || sums[i-n]
		}
	}
	for i := len(sums) - 1; ; i-- {
		if sums[i] {
			return int64(i) * step
		}
	}
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// aside allows for what numbers with a point lose.
const aside = 1e-9

// A scale is which share of a board panels take at least, by kind: one for each pair of
// functions. What lies on a board takes 1 at most.
type scale []float64

// scales are the scales of a board for n panels of each kind. Around each lies the blade,
// on a board that has room for the last one.
func (s *solver) scales(b *board, n []int) (out []scale) {
	k := s.p.Kerf
	w, h := axis{all: b.w + k}, axis{all: b.h + k}
	var wide, high []int64 // of each kind, whether it is there or not
	for t, of := range s.kinds {
		wide, high = append(wide, of.w+k), append(high, of.h+k)
		for range n[t] {
			w.sides, h.sides = append(w.sides, of.w+k), append(h.sides, of.h+k)
			if of.free { // either side may lie along either of the board's
				w.sides, h.sides = append(w.sides, of.h+k), append(h.sides, of.w+k)
			}
		}
	}
	w.all, h.all = reached(w.sides, w.all), reached(h.sides, h.all)
	if w.all == 0 || h.all == 0 {
		return nil
	}
	m := len(s.kinds)
	sides := append(slices.Clone(wide), high...)
	fw, fh := values(w.duals(), sides), values(h.duals(), sides)
	s.steps += int64(len(fw) * len(fh) * m / 4)
	for _, f := range fw {
		for _, g := range fh {
			v := make(scale, m)
			for t, of := range s.kinds {
				lies, turned := wide[t] <= w.all && high[t] <= h.all, of.free && high[t] <= w.all && wide[t] <= h.all
				switch {
				case lies && turned:
					v[t] = min(f[t]*g[m+t], f[m+t]*g[t])
				case lies:
					v[t] = f[t] * g[m+t]
				case turned:
					v[t] = f[m+t] * g[t]
				default:
					v[t] = 2 // it has no room at all
				}
			}
			out = append(out, v)
		}
	}
	return out
}

// impossible says that a set certainly has no room on a board.
func (s *solver) impossible(b *board, set uint64) bool {
	n := s.counts(set)
	return slices.ContainsFunc(s.scales(b, n), func(v scale) bool {
		sum := 0.0
		for t, c := range n {
			sum += float64(c) * v[t]
		}
		return sum > 1+aside
	})
}

// atMost is how many panels the stock has room for at most: as many as there are of those
// that take the least of it.
func (s *solver) atMost() int {
	var pieces []*board // that may be cut from; the largest new sheets stand first
	news, room := 0, 0.0
	for _, p := range s.stock {
		b := s.boards[p.board]
		if b.fresh {
			news++
		}
		if !b.fresh || s.p.Most == 0 || news <= s.p.Most {
			pieces = append(pieces, b)
			room += float64(b.cap)
		}
	}
	if len(pieces) == 0 {
		return 0
	}
	areas := make(scale, len(s.kinds))
	for t, k := range s.kinds {
		areas[t] = float64(k.area())
	}
	most := s.least(areas, room)
	if first := pieces[0]; !slices.ContainsFunc(pieces, func(b *board) bool { return b.w != first.w || b.h != first.h }) {
		for _, v := range s.scales(first, s.counts(s.all)) {
			most = min(most, s.least(v, float64(len(pieces))))
		}
	}
	return most
}

// least is how many panels there are at most that take no more than room together.
func (s *solver) least(v scale, room float64) (m int) {
	var takes []float64
	for t, c := range s.full {
		for range c {
			takes = append(takes, v[t])
		}
	}
	slices.Sort(takes)
	for sum := 0.0; m < len(takes); m++ {
		if sum += takes[m]; sum > room*(1+aside)+aside {
			break
		}
	}
	return m
}
