// Package cover finds the cheapest set of parts cameras that gives the parts
// that are wanted.
//
// A body is a camera with its price; it gives pieces of some wanted parts, each
// part for certain or as one of a group of bodies. A want is a part, how many
// pieces are needed of it, and how likely it must be that the chosen bodies give
// them together. Prices are whole cents, bodies and wants are named by their index.
//
// The surprising rule: bodies of a group share one unknown rate, so the chance of a
// set is no product, and this package does not reckon it: a [Reckoner] does, and
// what it says decides alone whether a set gives a part. Logarithms, pieces and
// expected pieces only bound what a set must cost.
//
// The answer is exact unless the search was stopped at its limit of nodes, which it
// says; by the chances of the reckoner, whatever they rest on. The method is branch
// and bound without linear programming: reductions, a greedy start, a lower bound by
// Lagrangian relaxation. Sources: Beasley 1987, European Journal of Operational
// Research 31:85-93; Caprara, Toth and Fischetti 2000, Annals of Operations Research
// 98:353-371 (from memory); Chvátal 1979 for the greedy start and how far off it may
// be (from memory).
package cover

import "math"

// work is how many gifts the search looks at before it is stopped, unless the problem
// says a number of nodes; each node looks at all of them. It is a second or less on a
// usual computer.
const work = 20_000_000

// allowance is how far a chance may fall short of its target: 0.9 that is reached
// as 1-0.4·0.25 counts as reached.
const allowance = 1e-9

// A Problem is what is wanted and which bodies there are.
type Problem struct {
	Bodies []Body
	Wants  []Want
	Nodes  int // the limit of nodes, 0 for the usual one; the search for other sets has a fifth of it
}

// A Body is a parts camera: its price in cents, which is not below 0, and what
// it gives. A part stands among its gifts at most once.
type Body struct {
	Price int64
	Gives []Gift
}

// A Gift is what a body holds of one wanted part: so many pieces, and by which of
// the want's groups, below 0 for certain. One without pieces is no gift.
type Gift struct {
	Want   int // index into Wants
	Pieces int64
	Group  int
}

// A Want is a part that is wanted: pieces, at least 1, and how likely it must be
// that there are as many: at most 1, and a millionth at least.
type Want struct {
	Need   int64
	Target float64
	// Reckon makes what reckons with bodies of the want's groups, for a number of
	// pieces that are needed. It may be nil where all gifts are certain.
	Reckon func(need int64) Reckoner
}

// A Reckoner says how likely the bodies that were added give enough pieces of a
// part. One more body never lowers that.
type Reckoner interface {
	Add(group int, pieces int64) // of a group, or below 0 for certain
	Drop()                       // the last added
	Enough() float64
	// Rate is how many bodies of a group count as lacking the part and as having it:
	// of m bodies and one more, all lack it with (lack+m)/(lack+have+m) of the chance
	// that m do.
	Rate(group int) (lack, have float64)
}

// An Answer is the cheapest set found. Sets are indices of bodies, ascending.
type Answer struct {
	Chosen     []int
	Cost       int64 // cents, of the chosen
	Bound      int64 // cents: no set is cheaper. Equal to Cost when proven
	Proven     bool  // nothing is cheaper
	Impossible []int // wants that all bodies together do not meet, left out

	// Ties are other sets of the same cost, at most [MostTies]; NextBest is the
	// next dearer one, nil for none. Each is without a superfluous body. They
	// are looked for only when Proven; AllKnown says that this search ended.
	Ties     [][]int
	NextBest []int
	NextCost int64
	AllKnown bool

	Nodes int // of both searches
}

// MostTies is how many sets of the same cost are listed.
const MostTies = 20

// Solve finds the cheapest set of bodies that meets every want that can be met.
func Solve(p Problem) Answer {
	s := newSolver(p, needed)
	a := Answer{Impossible: s.impossible}
	limit := p.Nodes
	if limit <= 0 {
		limit = max(1000, work/max(1, s.shares()))
	}
	s.reduce()
	a.Chosen, a.Cost, a.Bound = s.cheapest(limit)
	a.Proven, a.Nodes = a.Bound == a.Cost, s.nodes
	if a.Proven {
		s.others(&a, max(1, limit/5))
	}
	return a
}

// weight is a chance as the logarithm that adds up: -ln(1-p).
func weight(p float64) float64 {
	if p >= 1 {
		return math.Inf(1)
	}
	return -math.Log1p(-p)
}

// met says whether a chance is as great as its target, within the allowance.
func met(p, target float64) bool { return p >= target-allowance }
