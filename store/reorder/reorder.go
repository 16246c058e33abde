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
	"cmp"
	"math"
	"slices"

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

// Wanted is how many pieces were ever wanted, met or not.
func (d Demand) Wanted() int64 {
	if len(d.Sizes) == 0 {
		return d.Jobs
	}
	n := d.Unmet
	for _, s := range d.Sizes {
		n += s.Pieces * s.Jobs
	}
	return n
}

// Keep is how many to keep: the level, and never more than were ever wanted. One job
// that took ten in a young book would have a level of four such jobs; with the years
// the level comes down and the cap goes by itself.
func (d Demand) Keep(chance float64) int64 { return min(d.Level(chance), d.Wanted()) }

// Job is the chance that at least one job wants the part during the wait.
func (d Demand) Job() float64 { return 1 - jobsAtMost(d.shape(), d.chance(), 0) }

// usual is what a job takes, the lower median, and largest what the greatest took.
func (d Demand) usual() (usual, largest int64) {
	jobs := int64(0)
	for _, s := range d.Sizes {
		jobs += s.Jobs
	}
	sizes := slices.SortedFunc(slices.Values(d.Sizes), func(a, b Size) int { return cmp.Compare(a.Pieces, b.Pieces) })
	at := int64(0)
	for _, s := range sizes {
		if before := at; before < (jobs+1)/2 && before+s.Jobs >= (jobs+1)/2 {
			usual = s.Pieces
		}
		at, largest = at+s.Jobs, s.Pieces
	}
	return max(1, usual), max(1, largest)
}

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
