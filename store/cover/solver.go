package cover

import (
	"cmp"
	"math"
	"slices"
)

// slack is what a sum of logarithms or of chances may be off by.
const slack = 1e-12

// A row is a linear cover that every set must fulfil: the weights of its bodies
// add up to at least the sum. A want whose gifts are all certain is one row of
// pieces, a want of one piece is one row of logarithms, and these are exact.
// Of a want of several pieces with chances three rows are necessary (pieces,
// logarithms, and by Markov's inequality expected pieces ≥ need × target), and
// the distribution decides.
type row struct {
	sum, left float64
	holders   []share
}

// A share is what one body adds to a row.
type share struct {
	body   int
	weight float64
}

// A part is a want that can be met.
type part struct {
	want    Want
	rows    []int
	dist    []float64 // nil where its row is exact
	holders []int     // bodies
}

// A gift is a Gift of a part that is kept: weights[k] is for the k-th of the
// part's rows.
type gift struct {
	part    int
	pieces  int64
	chance  float64
	weights []float64
}

type solver struct {
	price      []int64
	gifts      [][]gift // by body
	parts      []part
	rows       []row
	impossible []int

	must   []int  // bodies that every set has
	forced []int  // bodies that every set without the barred has
	barred []bool // bodies that the cheapest set can do without
	out    []bool // shut out or chosen, at the present node
	chosen []int  // at the present node
	cost   int64  // of the chosen
	saved  []float64

	nodes, limit int
	stopped      bool
	open         int64 // once stopped: the least bound of what was not searched
	cutoff       func() int64
	leaf         func()

	red   []float64 // prices reduced by the dual, for bound
	avail []int     // for bound: holders of each row that are left
	order []int
	fill  []share
}

// newSolver makes the rows of a problem; fewer drops wants that others imply.
func newSolver(p Problem, fewer func([]kept) []kept) *solver {
	n := len(p.Bodies)
	s := &solver{price: make([]int64, n), gifts: make([][]gift, n), barred: make([]bool, n), out: make([]bool, n), red: make([]float64, n)}
	for b, body := range p.Bodies {
		s.price[b] = max(0, body.Price)
	}
	for _, k := range fewer(s.kept(p)) {
		s.addPart(k)
	}
	s.avail = make([]int, len(s.rows))
	return s
}

// A kept want is one that can be met, with its gifts by body.
type kept struct {
	want  Want
	gifts []Gift // Want is the body here
}

// kept lists the wants that can be met, and notes the others.
func (s *solver) kept(p Problem) []kept {
	all := make([]kept, len(p.Wants))
	for i, w := range p.Wants {
		all[i].want = Want{max(1, w.Need), max(1e-6, min(w.Target, 1))}
	}
	for b, body := range p.Bodies {
		for _, g := range body.Gives {
			if g.Pieces > 0 && g.Chance > 0 {
				k := &all[g.Want]
				k.gifts = append(k.gifts, Gift{b, min(g.Pieces, k.want.Need), min(g.Chance, 1)})
			}
		}
	}
	var out []kept
	for i := range all {
		all[i].shrink()
		if !all[i].possible() {
			s.impossible = append(s.impossible, i)
			continue
		}
		out = append(out, all[i])
	}
	return out
}

// shrink divides pieces and need by what divides all pieces: yarn is counted in
// millimetres.
func (k *kept) shrink() {
	d := int64(0)
	for _, g := range k.gifts {
		for a := g.Pieces; a != 0; {
			d, a = a, d%a
		}
	}
	if d < 2 {
		return
	}
	k.want.Need = (k.want.Need + d - 1) / d
	for i := range k.gifts {
		k.gifts[i].Pieces /= d
	}
}

func (k *kept) possible() bool {
	if k.certain() {
		sum := int64(0)
		for _, g := range k.gifts {
			sum += g.Pieces
		}
		return sum >= k.want.Need
	}
	d := shortOf(k.want.Need)
	for _, g := range k.gifts {
		add(d, g.Pieces, g.Chance)
	}
	return met(enough(d), k.want.Target)
}

func (k *kept) certain() bool {
	return !slices.ContainsFunc(k.gifts, func(g Gift) bool { return g.Chance < 1 })
}

// needed drops every want that is met whenever another one is; of equals the
// first stays.
func needed(all []kept) []kept {
	gone := make([]bool, len(all))
	for a := range all {
		for b := range all {
			if a == b || gone[b] || len(all[b].gifts) > len(all[a].gifts) || !implied(all[a], all[b]) {
				continue
			}
			if a > b || !implied(all[b], all[a]) {
				gone[a] = true
				break
			}
		}
	}
	var out []kept
	for i, k := range all {
		if !gone[i] {
			out = append(out, k)
		}
	}
	return out
}

// implied says that a is met by every set that meets b: each body that gives b
// gives as much of a, as surely, and a asks no more.
func implied(a, b kept) bool {
	if a.want.Need > b.want.Need || a.want.Target > b.want.Target {
		return false
	}
	i := 0
	for _, g := range b.gifts {
		for i < len(a.gifts) && a.gifts[i].Want < g.Want {
			i++
		}
		if i == len(a.gifts) || a.gifts[i].Want != g.Want || a.gifts[i].Chance < g.Chance ||
			a.gifts[i].Pieces < min(g.Pieces, a.want.Need) {
			return false
		}
	}
	return true
}

// addPart makes the rows of a want.
func (s *solver) addPart(k kept) {
	i := len(s.parts)
	p := part{want: k.want}
	need, target := float64(k.want.Need), k.want.Target-Allowance
	type kind struct {
		sum    float64
		weight func(Gift) float64
	}
	pieces := kind{need, func(g Gift) float64 { return float64(g.Pieces) }}
	logs := kind{weight(target) - slack, func(g Gift) float64 { return weight(g.Chance) }}
	kinds := []kind{logs}
	switch {
	case k.certain():
		kinds = []kind{pieces}
	case k.want.Need > 1:
		kinds = []kind{pieces, logs, {need*target - slack, func(g Gift) float64 { return float64(g.Pieces) * g.Chance }}}
		p.dist = shortOf(k.want.Need)
	}
	for n, kd := range kinds {
		r := row{sum: kd.sum, left: kd.sum}
		for _, g := range k.gifts {
			w := min(kd.weight(g), kd.sum)
			r.holders = append(r.holders, share{g.Want, w})
			if n == 0 {
				s.gifts[g.Want] = append(s.gifts[g.Want], gift{part: i, pieces: g.Pieces, chance: g.Chance})
				p.holders = append(p.holders, g.Want)
			}
			last := &s.gifts[g.Want][len(s.gifts[g.Want])-1]
			last.weights = append(last.weights, w)
		}
		p.rows = append(p.rows, len(s.rows))
		s.rows = append(s.rows, r)
	}
	s.parts = append(s.parts, p)
}

// isOpen says that a part is not yet given by the chosen bodies.
func (s *solver) isOpen(i int) bool {
	p := &s.parts[i]
	if p.dist == nil {
		return s.rows[p.rows[0]].left > 0
	}
	return !met(enough(p.dist), p.want.Target)
}

// take chooses a body; give takes the last one back.
func (s *solver) take(b int) {
	for _, g := range s.gifts[b] {
		p := &s.parts[g.part]
		for k, r := range p.rows {
			s.saved = append(s.saved, s.rows[r].left)
			s.rows[r].left -= g.weights[k]
		}
		if p.dist != nil {
			s.saved = append(s.saved, p.dist...)
			add(p.dist, g.pieces, g.chance)
		}
	}
	s.chosen, s.cost, s.out[b] = append(s.chosen, b), s.cost+s.price[b], true
}

func (s *solver) give() {
	b := s.chosen[len(s.chosen)-1]
	pop := func(into []float64) {
		n := len(s.saved) - len(into)
		copy(into, s.saved[n:])
		s.saved = s.saved[:n]
	}
	for i := len(s.gifts[b]) - 1; i >= 0; i-- {
		p := &s.parts[s.gifts[b][i].part]
		pop(p.dist)
		for k := len(p.rows) - 1; k >= 0; k-- {
			n := len(s.saved) - 1
			s.rows[p.rows[k]].left, s.saved = s.saved[n], s.saved[:n]
		}
	}
	s.chosen, s.cost, s.out[b] = s.chosen[:len(s.chosen)-1], s.cost-s.price[b], false
}

// all takes bodies one after another, none gives all back.
func (s *solver) all(set []int) {
	for _, b := range set {
		s.take(b)
	}
}

func (s *solver) none() {
	for len(s.chosen) > 0 {
		s.give()
	}
}

// gain is how much need a body would newly cover.
func (s *solver) gain(b int) float64 {
	sum := 0.0
	for _, g := range s.gifts[b] {
		if !s.isOpen(g.part) {
			continue
		}
		p := &s.parts[g.part]
		part := 0.0
		for k, r := range p.rows {
			part += max(0, min(g.weights[k], s.rows[r].left)) / s.rows[r].sum
		}
		part /= float64(len(p.rows))
		if p.dist != nil {
			part += slack * g.chance // its rows may be fulfilled, and it is open
		}
		sum += part * float64(p.want.Need)
	}
	return sum
}

// dearness is the price for each newly covered need; infinite where a body
// covers none.
func (s *solver) dearness(b int) float64 {
	if g := s.gain(b); g > 0 {
		return float64(s.price[b]) / g
	}
	return math.Inf(1)
}

// greedy is the start: on top of what is chosen, the least dear body until all
// parts are given or no body is left that helps. It leaves the chosen as they
// were and returns the added.
func (s *solver) greedy() []int {
	from := len(s.chosen)
	for s.anyOpen() {
		best, least := -1, math.Inf(1)
		for b := range s.price {
			if s.out[b] {
				continue
			}
			if d := s.dearness(b); d < least {
				best, least = b, d
			}
		}
		if best < 0 {
			break
		}
		s.take(best)
	}
	added := slices.Clone(s.chosen[from:])
	for len(s.chosen) > from {
		s.give()
	}
	return added
}

func (s *solver) anyOpen() bool {
	for i := range s.parts {
		if s.isOpen(i) {
			return true
		}
	}
	return false
}

// trim removes what is superfluous from a set, dearest first, and says whether
// the set gives every part. Nothing may be chosen.
func (s *solver) trim(set []int) ([]int, bool) {
	set = slices.Clone(set)
	if !s.meets(set, -1) {
		return set, false
	}
	byPrice := slices.Clone(set)
	slices.SortFunc(byPrice, func(a, b int) int { return cmp.Or(cmp.Compare(s.price[b], s.price[a]), cmp.Compare(b, a)) })
	for _, b := range byPrice {
		if s.meets(set, b) {
			set = slices.DeleteFunc(set, func(x int) bool { return x == b })
		}
	}
	slices.Sort(set)
	return set, true
}

// meets says whether a set without one of its bodies gives every part.
func (s *solver) meets(set []int, without int) bool {
	for _, b := range set {
		if b != without {
			s.take(b)
		}
	}
	ok := !s.anyOpen()
	s.none()
	return ok
}

func (s *solver) sum(set []int) (cost int64) {
	for _, b := range set {
		cost += s.price[b]
	}
	return cost
}
