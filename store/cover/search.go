package cover

import (
	"cmp"
	"math"
	"slices"
)

// never is dearer than every set.
const never = math.MaxInt64 / 4

// reduce finds the bodies that every set has and those that the cheapest can do
// without, until there are no more of either.
func (s *solver) reduce() {
	s.force(&s.must)
	s.forced = slices.Clone(s.must)
	for s.bar() && s.force(&s.forced) {
	}
}

// force adds to a list, until there are no more, the bodies that no set can do
// without, and says whether there were any.
func (s *solver) force(list *[]int) bool {
	n := len(*list)
	for only := 0; only >= 0; {
		s.begin(s.barred, *list, 0)
		if only = s.only(); only >= 0 {
			*list = append(*list, only)
		}
		s.none()
	}
	return len(*list) > n
}

// bar shuts out the bodies that are beaten, and says whether there were any.
func (s *solver) bar() (found bool) {
	s.begin(s.barred, s.forced, 0)
	for k := range s.price {
		if !s.out[k] && !s.barred[k] && s.beaten(k) {
			s.barred[k], found = true, true
		}
	}
	s.none()
	return found
}

// only is a body without which the bodies that are left cannot give a part, or
// -1.
func (s *solver) only() int {
	for i := range s.parts {
		if !s.isOpen(i) {
			continue
		}
		for _, b := range s.parts[i].holders {
			if !s.out[b] && !s.without(i, b) {
				return b
			}
		}
	}
	return -1
}

// without says whether the bodies that are left, but one, can give a part.
func (s *solver) without(i, but int) bool {
	p := s.parts[i]
	if p.set == nil {
		r := &s.rows[p.rows[0]]
		left := r.left
		for _, h := range r.holders {
			if !s.out[h.body] && h.body != but {
				left -= h.weight
			}
		}
		return left <= 0
	}
	n := 0
	for _, b := range p.holders {
		if !s.out[b] && b != but {
			g := s.giftOf(b, i)
			p.set.Add(g.group, g.pieces)
			n++
		}
	}
	ok := met(p.set.Enough(), p.want.Target)
	for range n {
		p.set.Drop()
	}
	return ok
}

func (s *solver) giftOf(b, i int) gift {
	for _, g := range s.gifts[b] {
		if g.part == i {
			return g
		}
	}
	return gift{}
}

// beaten says that a body is not better than a cheaper one: that one alone
// gives every open part of which this one gives something.
func (s *solver) beaten(k int) bool {
	for j := range s.price {
		if j == k || s.out[j] || s.barred[j] || s.price[j] > s.price[k] || s.price[j] == s.price[k] && j > k {
			continue
		}
		if s.stands(j, k) {
			return true
		}
	}
	return false
}

// stands says that body j alone gives every open part that k gives.
func (s *solver) stands(j, k int) bool {
	for _, g := range s.gifts[k] {
		if !s.isOpen(g.part) {
			continue
		}
		mine := s.giftOf(j, g.part)
		if mine.weights == nil || !s.alone(s.parts[g.part], mine) {
			return false
		}
	}
	return true
}

// alone says that a gift on top of what is chosen gives a part.
func (s *solver) alone(p *part, g gift) bool {
	if p.set == nil {
		return g.weights[0] >= s.rows[p.rows[0]].left
	}
	p.set.Add(g.group, g.pieces)
	defer p.set.Drop()
	return met(p.set.Enough(), p.want.Target)
}

// cheapest searches the cheapest set and returns it with its cost and a bound
// below which there is none.
func (s *solver) cheapest(limit int) (set []int, cost, bound int64) {
	s.begin(s.barred, s.forced, limit)
	start := s.greedy()
	s.none()
	set, _ = s.trim(slices.Concat(s.forced, start))
	set, cost = s.bettered(set)
	s.begin(s.barred, s.forced, limit)
	s.cutoff = func() int64 { return cost }
	s.leaf = func() {
		if s.cost < cost {
			set, cost = slices.Clone(s.chosen), s.cost
		}
	}
	s.search(make([]float64, 2*len(s.rows)), rootRounds)
	s.none()
	set, _ = s.trim(set) // of bodies that cost nothing
	bound = cost
	if s.stopped {
		bound = min(cost, s.open)
	}
	return set, cost, bound
}

// begin sets out from the bodies that are forced, with some shut out.
func (s *solver) begin(barred []bool, forced []int, limit int) {
	s.none()
	copy(s.out, barred)
	s.all(forced)
	s.limit, s.stopped, s.open = s.nodes+limit, false, never
}

// others finds the sets of the same cost and the next best.
func (s *solver) others(a *Answer, limit int) {
	s.every = true
	none := make([]bool, len(s.price))
	next, nextCost := s.swapped(a, none)
	more := false
	s.begin(none, s.must, limit)
	s.cutoff = func() int64 { return nextCost }
	found := [][]int{}
	s.leaf = func() {
		set := slices.Clone(s.chosen)
		slices.Sort(set)
		switch {
		case slices.Equal(set, a.Chosen) || !s.minimal():
		case s.cost > a.Cost:
			next, nextCost = set, s.cost
		case len(found) < MostTies:
			found = append(found, set)
		default:
			more = true
		}
	}
	s.search(make([]float64, 2*len(s.rows)), rootRounds)
	s.none()
	slices.SortFunc(found, slices.Compare)
	a.Ties, a.AllKnown, a.Nodes = found, !s.stopped && !more, s.nodes
	if nextCost < never {
		a.NextBest, a.NextCost = next, nextCost
	}
}

// bettered is a set made cheaper, while that can be, by doing without one of its bodies.
func (s *solver) bettered(set []int) ([]int, int64) {
	cost := s.sum(set)
	for i := 0; i < len(set); i++ {
		if next, ok := s.instead(set[i], s.barred, s.forced); ok && s.sum(next) < cost {
			set, cost, i = next, s.sum(next), -1
		}
	}
	return set, cost
}

// instead is the greedy set without a body that is not forced, trimmed; false for none.
func (s *solver) instead(b int, barred []bool, forced []int) ([]int, bool) {
	if slices.Contains(forced, b) {
		return nil, false
	}
	s.begin(barred, forced, 1)
	s.out[b] = true
	start := s.greedy()
	s.none()
	return s.trim(slices.Concat(forced, start))
}

// swapped is a next best to begin with: the greedy set without one of the chosen
// bodies.
func (s *solver) swapped(a *Answer, none []bool) (next []int, cost int64) {
	cost = never
	for _, b := range a.Chosen {
		set, ok := s.instead(b, none, s.must)
		if c := s.sum(set); ok && c > a.Cost && c < cost {
			next, cost = set, c
		}
	}
	return next, cost
}

// minimal says that no chosen body is superfluous. It leaves the chosen as
// they were.
func (s *solver) minimal() bool {
	set := slices.Clone(s.chosen)
	out := slices.Clone(s.out)
	s.none()
	ok := true
	for _, b := range set {
		ok = ok && !s.meets(set, b)
	}
	s.all(set)
	copy(s.out, out)
	return ok
}

// search looks at the present node and below it. Every set without a superfluous
// body that costs less than the cutoff is a leaf of it once: a body that was tried is
// shut out for its later brothers. u are the multipliers to begin with.
func (s *solver) search(u []float64, rounds int) {
	s.nodes++
	u = slices.Clone(u)
	at := s.bound(u, rounds)
	if at >= s.cutoff() {
		return
	}
	i := s.scarcest()
	if i < 0 {
		s.leaf()
		return
	}
	if s.nodes >= s.limit {
		s.stopped, s.open = true, min(s.open, at)
		return
	}
	shut := s.tooDear()
	for _, b := range s.inOrder(i) {
		if s.out[b] {
			continue // shut out with its twin
		}
		s.take(b)
		if s.stopped { // only how cheap it might have become
			s.open = min(s.open, max(at, s.bound(slices.Clone(u), 1)))
		} else {
			s.search(u, nodeRounds)
		}
		s.give()
		for _, twin := range s.withTwins(b) {
			if !s.out[twin] {
				s.out[twin] = true
				shut = append(shut, twin)
			}
		}
	}
	for _, b := range shut {
		s.out[b] = false
	}
}

// tooDear shuts out the bodies with which no set below the present node costs less
// than the cutoff, by their reduced price, and lists them.
func (s *solver) tooDear() (shut []int) {
	for b, red := range s.red {
		if !s.out[b] && red > 0 && s.cost+whole(s.low+red) >= s.cutoff() {
			s.out[b] = true
			shut = append(shut, b)
		}
	}
	return shut
}

// withTwins is a body with those that give the same and cost as much or more: the
// cheapest set has none of these without it. Where all sets are looked for it is
// alone.
func (s *solver) withTwins(b int) []int {
	if s.every {
		return []int{b}
	}
	return s.twins[b]
}

// scarcest is the open part with the fewest bodies left, -1 for none.
func (s *solver) scarcest() int {
	best, least := -1, math.MaxInt
	for i := range s.parts {
		if n := s.avail[s.parts[i].rows[0]]; n < least && s.isOpen(i) {
			best, least = i, n
		}
	}
	return best
}

// inOrder lists the bodies left that give a part, by price for each newly
// covered need.
func (s *solver) inOrder(i int) []int {
	type tried struct {
		body int
		dear float64
	}
	var list []tried
	for _, b := range s.parts[i].holders {
		if !s.out[b] {
			list = append(list, tried{b, s.dearness(b)})
		}
	}
	slices.SortFunc(list, func(a, b tried) int { return cmp.Or(cmp.Compare(a.dear, b.dear), cmp.Compare(a.body, b.body)) })
	out := make([]int, len(list))
	for k, t := range list {
		out[k] = t.body
	}
	return out
}
