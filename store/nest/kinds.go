package nest

import (
	"cmp"
	"math/bits"
	"slices"
)

// A kind is panels of one size with their margins, in the direction of the grain: the
// long grain runs along h.
type kind struct {
	w, h   int64
	free   bool
	panels []int // index into Panels, once a piece
}

func (k kind) area() int64 { return k.w * k.h }

// A solver holds a problem as it is searched: kinds from large to small, boards, and what
// is known of sets of panels. A set is a number in mixed radix: so many of each kind.
type solver struct {
	p      Problem
	kinds  []kind
	full   []int // pieces of each kind
	stride []uint64
	all    uint64 // the set of all panels
	boards []*board
	large  []*board // those that no other exceeds both ways
	stock  []piece
	shape  map[uint64]front
	rooms  []rest // by the first piece
	work   int64
	ways   float64 // of dividing a set, for which its fronts are worth knowing
	steps  int64
	limit  int64 // of steps, for what is being looked for
	cut    bool  // a limit was met: the answer may not be the best
}

// A piece is one piece of stock; equal ones share a board.
type piece struct {
	sheet, board int
}

func newSolver(p Problem) (*solver, error) {
	s := &solver{p: p, shape: map[uint64]front{}, work: p.Work}
	if s.work <= 0 {
		s.work = work
	}
	for i, n := range p.Panels {
		if n.W > 0 && n.H > 0 && n.Count > 0 {
			s.addPanel(i, n)
		}
	}
	slices.SortStableFunc(s.kinds, func(a, b kind) int {
		return cmp.Or(cmp.Compare(b.area(), a.area()), cmp.Compare(b.w, a.w))
	})
	place := uint64(1)
	for _, k := range s.kinds {
		s.full = append(s.full, len(k.panels))
		s.stride = append(s.stride, place)
		s.all += place * uint64(len(k.panels))
		hi, lo := bits.Mul64(place, uint64(len(k.panels)+1))
		if hi > 0 || lo > 1<<62 {
			return nil, ErrMany
		}
		place = lo
	}
	s.addStock()
	s.ways = ways
	if all := pairs(s.full); all > ways && all*6 <= float64(s.work) { // the sets of all sets: thirteen that differ
		s.ways, s.work = all, 3*s.work
	}
	return s, nil
}

func (s *solver) addPanel(i int, n Panel) {
	k := kind{w: n.W + 2*s.p.Margin, h: n.H + 2*s.p.Margin, free: n.Free}
	if n.swapped() {
		k.w, k.h = k.h, k.w
	}
	at := slices.IndexFunc(s.kinds, func(o kind) bool { return o.w == k.w && o.h == k.h && o.free == k.free })
	if at < 0 {
		at = len(s.kinds)
		s.kinds = append(s.kinds, k)
	}
	for range n.Count {
		s.kinds[at].panels = append(s.kinds[at].panels, i)
	}
}

// swapped says whether a panel's width lies along the long side of its kind. Where grain
// does not matter the kind stands upright.
func (n Panel) swapped() bool {
	if n.Free {
		return n.W > n.H
	}
	return n.Across
}

// addStock lists the pieces: offcuts from large to small, then new sheets.
func (s *solver) addStock() {
	for i, sh := range s.p.Sheets {
		b := newBoard(s.p, sh)
		if sh.Count < 1 || b.w <= 0 || b.h <= 0 {
			continue
		}
		at := slices.IndexFunc(s.boards, b.same)
		if at < 0 {
			at = len(s.boards)
			s.boards = append(s.boards, b)
		}
		for range min(sh.Count, s.count(s.all)) {
			s.stock = append(s.stock, piece{i, at})
		}
	}
	for i, b := range s.boards {
		if !slices.ContainsFunc(s.boards[:i], b.inside) && !slices.ContainsFunc(s.boards[i+1:], func(o *board) bool { return b.inside(o) && !o.inside(b) }) {
			s.large = append(s.large, b)
		}
	}
	slices.SortStableFunc(s.stock, func(x, y piece) int {
		a, b := s.boards[x.board], s.boards[y.board]
		if a.fresh != b.fresh {
			if b.fresh {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(b.w*b.h, a.w*a.h), cmp.Compare(x.board, y.board))
	})
}

// queues are the pieces of each kind that have no place yet.
func (s *solver) queues() [][]int {
	q := make([][]int, len(s.kinds))
	for t := range s.kinds {
		q[t] = s.kinds[t].panels
	}
	return q
}

// counts says how many of each kind a set has.
func (s *solver) counts(set uint64) []int {
	n := make([]int, len(s.kinds))
	for t := len(n) - 1; t >= 0; t-- {
		n[t] = int(set / s.stride[t])
		set %= s.stride[t]
	}
	return n
}

// count says how many pieces a set has, area how much they cover with their margins.
func (s *solver) count(set uint64) int {
	sum := uint64(0)
	for t := len(s.stride) - 1; t >= 0; t-- {
		sum += set / s.stride[t]
		set %= s.stride[t]
	}
	return int(sum)
}

func (s *solver) area(set uint64) int64 {
	sum := int64(0)
	for t := len(s.stride) - 1; t >= 0; t-- {
		sum += int64(set/s.stride[t]) * s.kinds[t].area()
		set %= s.stride[t]
	}
	return sum
}

// splits calls f with every set within n that is neither empty nor n itself.
func (s *solver) splits(n []int, f func(part uint64)) {
	var has []int
	set := uint64(0)
	for t, c := range n {
		if c > 0 {
			has = append(has, t)
			set += uint64(c) * s.stride[t]
		}
	}
	part, at := uint64(0), make([]int, len(has))
	for {
		i := 0
		for ; i < len(has); i++ {
			if at[i] < n[has[i]] {
				at[i]++
				part += s.stride[has[i]]
				break
			}
			part -= uint64(at[i]) * s.stride[has[i]]
			at[i] = 0
		}
		if i == len(has) || part == set {
			return
		}
		f(part)
	}
}

// pairs is how many ways a set can be divided over all sets within it: what it costs to
// know all about it.
func pairs(n []int) float64 {
	all := 1.0
	for _, c := range n {
		all *= float64(c+1) * float64(c+2) / 2
	}
	return all
}
