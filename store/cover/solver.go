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
// pieces, and it is exact. Of a want with chances the rows are only necessary, and
// the reckoner decides: -ln of the chance that none has it, in which one more body
// of a group adds less than the one before, so that the next one's weight bounds
// each; pieces; and by Markov's inequality expected pieces ≥ need × target.
type row struct {
	sum, left float64
	falls     *part // weights are those of the next body of a group of it
	holders   []share
}

// A share is what one body adds to a row.
type share struct {
	body   int
	weight float64
	group  int // for a row whose weights fall
}

// weight is what a body adds to the row at the present node.
func (r *row) weight(h share) float64 {
	if r.falls == nil || h.group < 0 {
		return h.weight
	}
	return r.falls.step(h.group)
}

// A part is a want that can be met.
type part struct {
	want    Want
	rows    []int
	set     Reckoner    // of the chosen bodies; nil where its row is exact
	steps   [][]float64 // weight of the next body of a group, by how many are in
	in      []int       // bodies of each group that are chosen
	holders []int       // bodies
}

func (p *part) step(group int) float64 { return p.steps[group][p.in[group]] }

// A gift is a Gift of a part that is kept: weights[k] is for the k-th of the
// part's rows.
type gift struct {
	part    int
	pieces  int64
	group   int
	weights []float64
}

type solver struct {
	price      []int64
	gifts      [][]gift // by body
	parts      []*part
	rows       []row
	impossible []int

	must   []int  // bodies that every set has
	forced []int  // bodies that every set without the barred has
	barred []bool // bodies that the cheapest set can do without
	out    []bool // shut out or chosen, at the present node
	chosen []int  // at the present node
	cost   int64  // of the chosen
	saved  []float64

	twins [][]int // by body: itself and those that give the same for as much or more
	every bool    // all sets are looked for, twins too

	nodes, limit int
	stopped      bool
	open         int64 // once stopped: the least bound of what was not searched
	cutoff       func() int64
	leaf         func()

	whole   int64     // cents, of all bodies
	red     []float64 // prices reduced by the multipliers, for bound
	low     float64   // what the set below the node adds to the cost at least
	best    []float64
	grad    []float64
	active  []active
	entries []entry
	avail   []int     // holders of each row that are left
	steps   []float64 // for fewest, and taken
	taken   []int
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
	for _, c := range s.price {
		s.whole += c
	}
	s.pair()
	return s
}

// pair finds the twins of each body.
func (s *solver) pair() {
	same := func(a, b gift) bool { return a.part == b.part && a.pieces == b.pieces && a.group == b.group }
	s.twins = make([][]int, len(s.price))
	for a := range s.price {
		for b := range s.price {
			dearer := s.price[b] > s.price[a] || s.price[b] == s.price[a] && b >= a
			if dearer && slices.EqualFunc(s.gifts[a], s.gifts[b], same) {
				s.twins[a] = append(s.twins[a], b)
			}
		}
	}
}

// addPart makes the rows of a want.
func (s *solver) addPart(k kept) {
	p := &part{want: k.want}
	if !k.certain() {
		p.reckon(k)
	}
	for _, g := range k.gifts {
		p.holders = append(p.holders, g.Want)
		s.gifts[g.Want] = append(s.gifts[g.Want], gift{part: len(s.parts), pieces: g.Pieces, group: g.Group})
	}
	need, target := float64(k.want.Need), k.want.Target-allowance
	pieces := func(g Gift) float64 { return float64(g.Pieces) }
	if p.set == nil {
		s.addRow(p, k, need, false, pieces)
	} else {
		s.addRow(p, k, weight(target)-slack, true, func(g Gift) float64 {
			if g.Group < 0 {
				return math.Inf(1)
			}
			return p.step(g.Group)
		})
		if k.want.Need > 1 {
			s.addRow(p, k, need, false, pieces)
			s.addRow(p, k, need*target-slack, false, func(g Gift) float64 { return float64(g.Pieces) * p.share(g.Group) })
		}
	}
	s.parts = append(s.parts, p)
}

// reckon makes what reckons with the bodies of a want.
func (p *part) reckon(k kept) {
	p.set = k.want.Reckon(k.want.Need)
	for _, g := range k.gifts {
		for len(p.steps) <= g.Group {
			p.steps, p.in = append(p.steps, nil), append(p.in, 0)
		}
		if g.Group < 0 {
			continue
		}
		lack, have := p.set.Rate(g.Group)
		m := float64(len(p.steps[g.Group]))
		p.steps[g.Group] = append(p.steps[g.Group], math.Log((lack+have+m)/(lack+m)))
	}
	for i := range p.steps {
		p.steps[i] = append(p.steps[i], 0) // where all are in
	}
}

// share is the share of the bodies of a group that should have the part.
func (p *part) share(group int) float64 {
	if group < 0 {
		return 1
	}
	lack, have := p.set.Rate(group)
	return have / (lack + have)
}

func (s *solver) addRow(p *part, k kept, sum float64, falls bool, weight func(Gift) float64) {
	r := row{sum: sum, left: sum}
	if falls {
		r.falls = p
	}
	for _, g := range k.gifts {
		w := min(weight(g), sum)
		r.holders = append(r.holders, share{g.Want, w, g.Group})
		last := &s.gifts[g.Want][len(s.gifts[g.Want])-1]
		last.weights = append(last.weights, w)
	}
	p.rows = append(p.rows, len(s.rows))
	s.rows = append(s.rows, r)
}

// shares is how much one node looks at.
func (s *solver) shares() (n int) {
	for _, r := range s.rows {
		n += len(r.holders)
	}
	return n
}

// isOpen says that a part is not yet given by the chosen bodies.
func (s *solver) isOpen(i int) bool {
	p := s.parts[i]
	if p.set == nil {
		return s.rows[p.rows[0]].left > 0
	}
	return !met(p.set.Enough(), p.want.Target)
}

// take chooses a body; give takes the last one back.
func (s *solver) take(b int) {
	for _, g := range s.gifts[b] {
		p := s.parts[g.part]
		for k, r := range p.rows {
			row := &s.rows[r]
			s.saved = append(s.saved, row.left)
			row.left -= row.weight(share{weight: g.weights[k], group: g.group})
		}
		if p.set != nil {
			p.set.Add(g.group, g.pieces)
			if g.group >= 0 {
				p.in[g.group]++
			}
		}
	}
	s.chosen, s.cost, s.out[b] = append(s.chosen, b), s.cost+s.price[b], true
}

func (s *solver) give() {
	b := s.chosen[len(s.chosen)-1]
	for i := len(s.gifts[b]) - 1; i >= 0; i-- {
		g := s.gifts[b][i]
		p := s.parts[g.part]
		if p.set != nil {
			p.set.Drop()
			if g.group >= 0 {
				p.in[g.group]--
			}
		}
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
		p := s.parts[g.part]
		part := 0.0
		for k, r := range p.rows {
			row := &s.rows[r]
			part += max(0, min(row.weight(share{weight: g.weights[k], group: g.group}), row.left)) / row.sum
		}
		part /= float64(len(p.rows))
		if p.set != nil {
			part += slack * p.share(g.group) // its rows may be fulfilled, and it is open
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
