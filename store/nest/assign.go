package nest

import (
	"cmp"
	"slices"
)

const (
	// ways is how many ways of dividing a set are worth knowing all its fronts: ten
	// panels that all differ.
	ways = 150_000
	// wide is how many states are kept after a piece of stock, and how many sets are
	// looked at for one piece in one of them.
	wide = 20_000
	sets = 20_000
)

// A state is what is not placed yet after some pieces of stock, and how it came to that.
type state struct {
	todo   uint64
	score  Score // Left is counted at the end; OnNew is what went on to new sheets until now
	spare  int64 // the sum of squares of what is left of pieces cut into: more is better
	before *state
	pick   pick
	lefts  []int64 // largest rectangles left of all stock, the largest first (roomiest only)
}

// A pick is a set out of one piece of stock.
type pick struct {
	piece int
	set   uint64
}

// picks are those of a state, the first first.
func (t *state) picks() []pick {
	var list []pick
	for ; t != nil && t.before != nil; t = t.before {
		list = append(list, t.pick)
	}
	slices.Reverse(list)
	return list
}

func (a Score) compare(b Score) int {
	return cmp.Or(cmp.Compare(a.Left, b.Left), cmp.Compare(a.New, b.New), cmp.Compare(a.OnNew, b.OnNew), cmp.Compare(a.Broken, b.Broken))
}

// fit says whether a set can be cut from a board.
func (s *solver) fit(at int, set uint64) verdict {
	b := s.boards[at]
	if v, ok := b.fits[set]; ok {
		return v
	}
	v := s.look(b, set)
	b.fits[set] = v
	return v
}

func (s *solver) look(b *board, set uint64) verdict {
	if s.area(set) > b.w*b.h {
		return no
	}
	if pairs(s.counts(set)) > s.ways || s.steps > s.limit {
		if s.steps <= s.limit+s.work && s.impossible(b, set) {
			return no
		}
		if s.steps <= s.limit+s.work && s.pack(b, set) != nil {
			return packed
		}
		return unknown
	}
	if s.shapes(set).within(b.w, b.h) < 0 {
		return no
	}
	if len(b.flaws) == 0 {
		return yes
	}
	until := s.steps + s.work/20
	f := s.from(b, 0, 0, set, until)
	if s.steps <= until {
		if f.within(b.w, b.h) < 0 {
			return no
		}
		return yes
	}
	b.reset()
	if s.pack(b, set) != nil {
		return packed
	}
	return unknown
}

// fits says whether a set is known to fit, and notes where that is not known.
func (s *solver) fits(at int, set uint64) bool {
	v := s.fit(at, set)
	s.cut = s.cut || v == unknown
	return v == yes || v == packed
}

// capped leaves of a set no more of a kind than a board holds.
func (s *solver) capped(at int, set uint64) uint64 {
	var out uint64
	for t, c := range s.counts(set) {
		n := uint64(0)
		for n < uint64(c) && s.fits(at, (n+1)*s.stride[t]) {
			n++
		}
		out += n * s.stride[t]
	}
	return out
}

// fillings are the sets out of todo that fit a board and to which no more can be added,
// those with more of the large kinds first; at most most of them.
func (s *solver) fillings(at int, todo uint64, most int) []uint64 {
	b := s.boards[at]
	todo = s.capped(at, todo)
	l, ok := b.most[todo]
	if !ok {
		n := s.counts(todo)
		l.cut = s.watched(func() {
			s.each(at, n, sets, func(set uint64, of []int) bool {
				if s.brim(at, set, of, n) {
					l.sets = append(l.sets, set)
				}
				return len(l.sets) <= most
			})
		})
		if len(l.sets) <= most { // else there may be more than were looked for
			b.most[todo] = l
		}
	}
	s.cut = s.cut || l.cut || len(l.sets) > most
	return l.sets[:min(most, len(l.sets))]
}

// A filling is the sets that fill a board, and whether there may be others.
type filling struct {
	sets []uint64
	cut  bool
}

// watched says whether f met a limit, and leaves what was noted of that before.
func (s *solver) watched(f func()) bool {
	before := s.cut
	s.cut = false
	f()
	met := s.cut
	s.cut = before
	return met
}

// brim says whether nothing of todo can be added to a set, n of each kind.
func (s *solver) brim(at int, set uint64, n, todo []int) bool {
	for t := range n {
		if n[t] < todo[t] && s.fits(at, set+s.stride[t]) {
			return false
		}
	}
	return true
}

// each calls f with the sets out of todo that fit a board, but for the empty one, until
// it returns false; at most most of them.
func (s *solver) each(at int, todo []int, most int, f func(set uint64, n []int) bool) {
	n, seen, more := make([]int, len(todo)), 0, true
	var down func(t int, set uint64)
	down = func(t int, set uint64) {
		if t == len(todo) {
			if set == 0 {
				return
			}
			if seen == most || s.steps > s.limit && seen > 0 {
				s.cut, more = true, false
				return
			}
			seen++
			s.steps += int64(len(todo))
			more = f(set, n)
			return
		}
		for c := todo[t]; c >= 0 && more; c-- {
			with := set + uint64(c)*s.stride[t]
			s.steps++
			if c > 0 && !s.fits(at, with) {
				continue
			}
			n[t] = c
			down(t+1, with)
		}
		n[t] = 0
	}
	down(0, 0)
}
