// Package reorder says how likely a part runs out before another is found, when
// to look for the next, and whether it is still asked for.
//
// A [Demand] is what was seen: so many jobs wanted the part in so many years, and
// finding another takes the wait. What will be wanted during the wait follows a
// Gamma-Poisson: the rate is not known, it is as uncertain as few jobs leave it.
//
// Its one surprising rule: a part that was never wanted still has a risk, for it
// counts as half a job (Jeffreys' prior). Time starts when the book begins, not
// with the first use.
package reorder

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// A Size is how many jobs took how many pieces.
type Size struct {
	Pieces, Jobs int64
}

// A Demand is what was seen of a part.
type Demand struct {
	Jobs  int64   // that wanted it
	Unmet int64   // of these, those that went without
	Held  int64   // pieces set aside for jobs and not used yet
	Years float64 // of watching, more than 0
	Wait  float64 // years until another is found
	Sizes []Size  // pieces per job; nil is one piece each
}

// shape and p are the size and chance of the negative binomial number of jobs
// during the wait: Jobs + 1/2 (Jeffreys' prior), and Years/(Years+Wait). On Bayesian
// spares: Hill 1999; Aronis and others 2004, EJOR 154:730-739 (from memory).
func (d Demand) shape() float64  { return float64(d.Jobs) + 0.5 }
func (d Demand) chance() float64 { return d.Years / (d.Years + d.Wait) }

// AtMost is the chance that at most k pieces are wanted during the wait.
func (d Demand) AtMost(k int64) float64 {
	if k < 0 {
		return 0
	}
	if d.single() {
		return jobsAtMost(d.shape(), d.chance(), k)
	}
	sum := 0.0
	for _, p := range d.pieces(k) {
		sum += p
	}
	return math.Min(sum, 1)
}

// Risk is the chance of running out before another is found, with so many free.
func (d Demand) Risk(free int64) float64 { return 1 - d.AtMost(free) }

// Level is the fewest pieces that last through the wait with the wanted chance
// (0.95): when so many are left, look for the next.
func (d Demand) Level(chance float64) int64 {
	if !d.single() {
		return d.compoundLevel(chance)
	}
	k := int64(0)
	for jobsAtMost(d.shape(), d.chance(), k) < chance && k < most {
		k++
	}
	return k
}

// most is where a search for a level ends: no bench keeps more.
const most = 1 << 20

// single says whether every job takes one piece.
func (d Demand) single() bool {
	for _, s := range d.Sizes {
		if s.Pieces != 1 && s.Jobs > 0 {
			return false
		}
	}
	return true
}

// jobsAtMost is the negative binomial P(D <= k) of size r and chance p: I_p(r, k+1).
func jobsAtMost(r, p float64, k int64) float64 {
	return mathext.RegIncBeta(r, float64(k)+1, p)
}

// pieces is the chance of 0 to k pieces: the number of jobs is negative binomial,
// pieces per job are as seen. Recursion of Panjer 1981, ASTIN Bulletin 12:22-26,
// with a = 1-p and b = (r-1)(1-p).
func (d Demand) pieces(k int64) []float64 {
	g := make([]float64, 0, min(k+1, 1024))
	for int64(len(g)) <= k {
		g = d.next(g)
	}
	return g
}

// next adds the chance of one piece more.
func (d Demand) next(g []float64) []float64 {
	r, p := d.shape(), d.chance()
	n := int64(len(g))
	if n == 0 {
		return append(g, math.Pow(p, r))
	}
	jobs := int64(0)
	for _, s := range d.Sizes {
		jobs += s.Jobs
	}
	a, b, sum := 1-p, (r-1)*(1-p), 0.0
	for _, s := range d.Sizes {
		if s.Pieces >= 1 && s.Pieces <= n {
			f := float64(s.Jobs) / float64(jobs)
			sum += (a + b*float64(s.Pieces)/float64(n)) * f * g[n-s.Pieces]
		}
	}
	return append(g, sum)
}

func (d Demand) compoundLevel(chance float64) int64 {
	var g []float64
	sum := 0.0
	for int64(len(g)) < most {
		g = d.next(g)
		if sum += g[len(g)-1]; sum >= chance {
			break
		}
	}
	return int64(len(g)) - 1
}
