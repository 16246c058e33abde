// Package cover finds the cheapest set of parts cameras that gives the parts
// that are wanted.
//
// A body is a camera with its price; it gives pieces of some wanted parts, each
// part for certain or with a chance. A want is a part, how many pieces are
// needed of it, and how likely it must be that the chosen bodies give them
// together. Prices are whole cents, bodies and wants are named by their index.
//
// The surprising rule: a body gives all its pieces of a part or none of them,
// for it is looked at once, and bodies are taken to be independent. With one
// piece needed the chance of a set is 1-Π(1-p), a cover in logarithms; with
// more, it is computed piece by piece.
//
// The answer is exact unless the search was stopped at its limit of nodes,
// which it says. The method is branch and bound without linear programming:
// reductions, a greedy start, a lower bound by dual ascent. Sources: Beasley
// 1987, European Journal of Operational Research 31:85-93; Caprara, Toth and
// Fischetti 2000, Annals of Operations Research 98:353-371 (from memory);
// Chvátal 1979 for the greedy start and how far off it may be (from memory).
package cover

import "math"

// Limit is the number of nodes after which the search is stopped, unless the
// problem says another.
const Limit = 1_000_000

// Allowance is how far a chance may fall short of its target: 0.9 that is
// reached as 1-0.4·0.25 counts as reached.
const Allowance = 1e-9

// A Problem is what is wanted and which bodies there are.
type Problem struct {
	Bodies []Body
	Wants  []Want
	Nodes  int // the limit of nodes, 0 for [Limit]; the search for other sets has a fifth of it
}

// A Body is a parts camera: its price in cents, which is not below 0, and what
// it gives. A part stands among its gifts at most once.
type Body struct {
	Price int64
	Gives []Gift
}

// A Gift is what a body holds of one wanted part: so many pieces, with a chance
// from 0 to 1. One without pieces or chance is no gift.
type Gift struct {
	Want   int // index into Wants
	Pieces int64
	Chance float64
}

// A Want is a part that is wanted: pieces, at least 1, and how likely it must
// be that there are as many: at most 1, and a millionth at least.
type Want struct {
	Need   int64
	Target float64
}

// An Answer is the cheapest set found. Sets are indices of bodies, ascending.
type Answer struct {
	Chosen     []int
	Cost       int64     // cents, of the chosen
	Bound      int64     // cents: no set is cheaper. Equal to Cost when proven
	Proven     bool      // nothing is cheaper
	Impossible []int     // wants that all bodies together do not meet, left out
	Chances    []float64 // of each want, by the chosen

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
		limit = Limit
	}
	s.reduce()
	a.Chosen, a.Cost, a.Bound = s.cheapest(limit)
	a.Proven, a.Nodes = a.Bound == a.Cost, s.nodes
	if a.Proven {
		s.others(&a, max(1, limit/5))
	}
	a.Chances = chances(p, a.Chosen)
	return a
}

// Most is how likely all bodies together meet one want.
func Most(p Problem, want int) float64 {
	all := make([]int, len(p.Bodies))
	for b := range all {
		all[b] = b
	}
	return chances(p, all)[want]
}

// chances is how likely a set of bodies meets each want.
func chances(p Problem, set []int) []float64 {
	out := make([]float64, len(p.Wants))
	for i, w := range p.Wants {
		short := shortOf(w.Need)
		for _, b := range set {
			for _, g := range p.Bodies[b].Gives {
				if g.Want == i {
					short = add(short, g.Pieces, g.Chance)
				}
			}
		}
		out[i] = enough(short)
	}
	return out
}

// shortOf is the distribution before any body is chosen: d[k] is the chance of
// exactly k pieces, for k below the need. What is left to 1 is enough pieces.
func shortOf(need int64) []float64 {
	d := make([]float64, need)
	d[0] = 1
	return d
}

// add is the distribution after one more body, in place.
func add(d []float64, pieces int64, chance float64) []float64 {
	for k := len(d) - 1; k >= 0; k-- {
		d[k] *= 1 - chance
		if from := int64(k) - pieces; from >= 0 {
			d[k] += d[from] * chance
		}
	}
	return d
}

// enough is the chance of as many pieces as are needed.
func enough(d []float64) float64 {
	sum := 0.0
	for _, p := range d {
		sum += p
	}
	return max(0, 1-sum)
}

// weight is a chance as the logarithm that adds up: -ln(1-p).
func weight(p float64) float64 {
	if p >= 1 {
		return math.Inf(1)
	}
	return -math.Log1p(-p)
}

// met says whether a chance is as great as its target, within the allowance.
func met(p, target float64) bool { return p >= target-Allowance }
