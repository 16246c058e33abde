package cover

import (
	"cmp"
	"math"
	"slices"
)

// An active row is one that is not fulfilled at the present node, over its sum, so
// that every set adds up to at least 1 of it.
type active struct {
	mult     int // its multiplier
	from, to int // its entries
}

// An entry is what one body that is left adds to an active row.
type entry struct {
	body   int
	weight float64
}

// Rounds of the search for multipliers: at the root and at each node below.
const (
	rootRounds = 400
	nodeRounds = 12
)

// bound is what every set below the present node costs at least, at most the cutoff,
// by Lagrangian relaxation: with a multiplier u for each row no set costs less than
// the sum of u and of what the prices less the rows' u are below zero. The multipliers
// are bettered by steps along the subgradient (Held, Wolfe and Crowder 1974,
// Mathematical Programming 6:62-88, from memory) and left at their best, with the
// reduced prices in red. It is never where the bodies left cannot fill a row.
func (s *solver) bound(u []float64, rounds int) int64 {
	if !s.activate() {
		return never
	}
	aim := float64(min(s.cutoff(), s.whole) - s.cost)
	best, scale, stall := math.Inf(-1), 1.0, 0
	s.best = append(s.best[:0], u...)
	for round := range rounds {
		at := s.value(u)
		if at > best {
			best, stall = at, 0
			copy(s.best, u)
		} else if stall++; stall > 8 {
			scale, stall = scale/2, 0
			copy(u, s.best)
			at = s.value(u)
		}
		if best >= aim || round == rounds-1 || !s.step(u, scale*(1.05*aim-at)) {
			break
		}
	}
	copy(u, s.best)
	s.low = s.value(u)
	return s.cost + whole(s.low)
}

// whole is a cost rounded up to cents. What rounding may have added is less than the
// part of a cent taken off.
func whole(x float64) int64 { return int64(math.Ceil(x - 1e-6 - math.Abs(x)*1e-12)) }

// activate gathers the rows that are open with the bodies left, and counts these for
// scarcest; it is false where they cannot fill a row.
func (s *solver) activate() bool {
	s.active, s.entries = s.active[:0], s.entries[:0]
	for i := range s.rows {
		r := &s.rows[i]
		s.avail[i] = 0
		if r.left <= 0 {
			continue
		}
		from, sum := len(s.entries), 0.0
		for _, h := range r.holders {
			if s.out[h.body] {
				continue
			}
			w := min(r.weight(h), r.left)
			s.entries = append(s.entries, entry{h.body, w / r.left})
			sum += w
		}
		if s.avail[i] = len(s.entries) - from; sum < r.left-slack {
			return false
		}
		s.active = append(s.active, active{2 * i, from, len(s.entries)})
		if r.falls != nil {
			s.atLeast(i)
		}
	}
	s.openRows()
	return true
}

// atLeast adds a row for the fewest bodies that can fill a row of falling weights: the
// weights say that half of two bodies are one, and it is two of a group, or one that is
// certain.
func (s *solver) atLeast(i int) {
	r := &s.rows[i]
	k := s.fewest(r)
	if k < 2 {
		return // the row itself says as much
	}
	from := len(s.entries)
	for _, h := range r.holders {
		switch {
		case s.out[h.body]:
		case h.group < 0:
			s.entries = append(s.entries, entry{h.body, 1})
		default:
			s.entries = append(s.entries, entry{h.body, 1 / float64(k)})
		}
	}
	s.active = append(s.active, active{2*i + 1, from, len(s.entries)})
}

// fewest is how many bodies of groups fill a row at least: those that add most.
func (s *solver) fewest(r *row) int {
	s.steps = s.steps[:0]
	p := r.falls
	s.taken = slices.Grow(s.taken[:0], len(p.steps))[:len(p.steps)]
	clear(s.taken)
	for _, h := range r.holders {
		if s.out[h.body] || h.group < 0 {
			continue
		}
		s.steps = append(s.steps, p.steps[h.group][p.in[h.group]+s.taken[h.group]])
		s.taken[h.group]++
	}
	slices.SortFunc(s.steps, func(a, b float64) int { return cmp.Compare(b, a) })
	left := r.left
	for k, step := range s.steps {
		if left -= step; left <= slack {
			return k + 1
		}
	}
	return len(s.steps) + 1
}

// openRows counts the bodies of parts that are open though all their rows are
// fulfilled, for scarcest.
func (s *solver) openRows() {
	for _, p := range s.parts {
		if p.set == nil || s.rows[p.rows[0]].left > 0 {
			continue
		}
		for _, b := range p.holders {
			if !s.out[b] {
				s.avail[p.rows[0]]++
			}
		}
	}
}

// value is the bound by some multipliers, and leaves the reduced prices in red.
func (s *solver) value(u []float64) float64 {
	for b, p := range s.price {
		s.red[b] = float64(p)
	}
	sum := 0.0
	for _, a := range s.active {
		y := u[a.mult]
		if y == 0 {
			continue
		}
		sum += y
		for _, e := range s.entries[a.from:a.to] {
			s.red[e.body] -= y * e.weight
		}
	}
	for b, red := range s.red {
		if red < 0 && !s.out[b] {
			sum += red
		}
	}
	return sum
}

// step moves the multipliers along the subgradient: up where the bodies below zero do
// not fill a row, down where they more than do. It is false where all is filled.
func (s *solver) step(u []float64, far float64) bool {
	s.grad = s.grad[:0]
	norm := 0.0
	for _, a := range s.active {
		g := 1.0
		for _, e := range s.entries[a.from:a.to] {
			if s.red[e.body] < 0 {
				g -= e.weight
			}
		}
		if g < 0 && u[a.mult] == 0 {
			g = 0
		}
		s.grad = append(s.grad, g)
		norm += g * g
	}
	if norm < 1e-12 {
		return false
	}
	for i, a := range s.active {
		u[a.mult] = max(0, u[a.mult]+far/norm*s.grad[i])
	}
	return true
}
