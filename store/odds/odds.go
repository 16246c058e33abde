// Package odds says how often a part is missing from cameras that were looked at.
//
// A [Count] is x of n: n bodies were looked at for the part on arrival, x lacked
// it. A rate is never shown without its count. The plain figure is the count with
// Wilson's interval; the planning figure ([Plan]) is a Beta distribution into
// which sister models are mixed, each of their bodies as a quarter of a body and
// all of them together never as more than two.
//
// Its one surprising rule: under three bodies there is a figure and nothing is
// said with it, and where sister models differ clearly they are left out.
package odds

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// A Count is how many bodies lacked a part, of those that were looked at for it.
type Count struct {
	Missing, Looked int64
}

// Add is the count of both together.
func (c Count) Add(d Count) Count { return Count{c.Missing + d.Missing, c.Looked + d.Looked} }

// Rate is the share that lacked it, 0 where nothing was looked at.
func (c Count) Rate() float64 {
	if c.Looked == 0 {
		return 0
	}
	return float64(c.Missing) / float64(c.Looked)
}

// least is the number of bodies from which something is said.
const least = 3

// Enough says whether the count says something: from three bodies on.
func (c Count) Enough() bool { return c.Looked >= least }

// An Interval is where a share likely lies, 95 times in 100; both ends are 0 to 1.
type Interval struct {
	Low, High float64
}

// z is the 97.5 % point of the standard normal distribution.
const z = 1.959963984540054

// Wilson returns the 95 % interval of a share after x of n (Wilson 1927, JASA
// 22:209-212; recommended for small n by Brown, Cai, DasGupta 2001, Statistical
// Science 16:101-133). For n 0 it is everything, 0 to 1. It holds for any share
// of n, such as right records among counted ones.
func Wilson(x, n int64) Interval {
	if n <= 0 {
		return Interval{0, 1}
	}
	k, m := float64(x), float64(n)
	centre := (k + z*z/2) / (m + z*z)
	half := z * math.Sqrt(k*(m-k)/m+z*z/4) / (m + z*z)
	return edged(Interval{centre - half, centre + half}, k, m-k)
}

// edged sets an end to exactly 0 where nothing was missing, to exactly 1 where
// nothing was there (Brown, Cai, DasGupta 2001).
func edged(i Interval, missing, there float64) Interval {
	if missing == 0 {
		i.Low = 0
	}
	if there == 0 {
		i.High = 1
	}
	return i
}

// A Plan is the planning figure: a Beta distribution of the share that lacks the
// part, and how sister models came into it.
type Plan struct {
	Alpha, Beta float64
	Weight      float64 // what one sister body counts for, 0 where none is mixed in
	Differ      bool    // sister models are too different and are left out

	missing, there float64 // what Beta holds beside the 1/2 of the prior
}

const (
	sisterWeight = 0.25 // of one sister body
	sisterMost   = 2    // bodies that all sisters together may count for
	guard        = 0.05 // below this chance sisters are too different
)

// Planned mixes the counts of sister models into a model's own: w is a quarter,
// at most two bodies in all, and the distribution is Beta(1/2 + x + w xs,
// 1/2 + (n-x) + w (ns-xs)). It is a power prior with a fixed discount (Ibrahim
// and Chen 2000, Statistical Science 15:46-60, from memory) on top of Jeffreys'
// prior. When Fisher's exact test between both gives less than 0.05, w is 0.
func Planned(own, sisters Count) Plan {
	var p Plan
	if sisters.Looked > 0 {
		p.Differ = Fisher(own, sisters) < guard
		if !p.Differ {
			p.Weight = math.Min(sisterWeight, sisterMost/float64(sisters.Looked))
		}
	}
	p.missing = float64(own.Missing) + p.Weight*float64(sisters.Missing)
	p.there = float64(own.Looked-own.Missing) + p.Weight*float64(sisters.Looked-sisters.Missing)
	p.Alpha, p.Beta = 0.5+p.missing, 0.5+p.there
	return p
}

// Mean is the planning figure itself.
func (p Plan) Mean() float64 { return p.Alpha / (p.Alpha + p.Beta) }

// Interval is where the share likely lies: the 2.5 % and 97.5 % points. Without
// sister models it is Jeffreys' interval, of Beta(x+1/2, n-x+1/2).
func (p Plan) Interval() Interval {
	i := Interval{mathext.InvRegIncBeta(p.Alpha, p.Beta, 0.025), mathext.InvRegIncBeta(p.Alpha, p.Beta, 0.975)}
	return edged(i, p.missing, p.there)
}

// Missing is the chance that exactly x of the next k bodies lack the part
// (beta-binomial). It is not a power of the mean: the bodies share one unknown
// rate.
func (p Plan) Missing(x, k int64) float64 {
	a, b := float64(x), float64(k-x)
	return math.Exp(logChoose(k, x) + mathext.Lbeta(p.Alpha+a, p.Beta+b) - mathext.Lbeta(p.Alpha, p.Beta))
}

// OneHas is the chance that at least one of the next k bodies has the part.
func (p Plan) OneHas(k int64) float64 { return 1 - p.Missing(k, k) }

// Fisher is Fisher's exact test, two-sided: how likely two counts that differ as
// much or more are when both come from one rate (Fisher 1935). It is 1 where
// either looked at nothing.
func Fisher(a, b Count) float64 {
	both := a.Add(b)
	lo, hi := max(0, both.Missing-b.Looked), min(both.Missing, a.Looked)
	seen := logTable(a.Missing, a.Looked, both)
	sum := 0.0
	for x := lo; x <= hi; x++ {
		// Tables as unlikely as the one seen count; rounding must not shut one out.
		if t := logTable(x, a.Looked, both); t <= seen+1e-7 {
			sum += math.Exp(t)
		}
	}
	return math.Min(sum, 1)
}

// logTable is the logarithm of the chance that x of the missing are among the
// first n of all (hypergeometric).
func logTable(x, n int64, all Count) float64 {
	return logChoose(all.Missing, x) + logChoose(all.Looked-all.Missing, n-x) - logChoose(all.Looked, n)
}

func logChoose(n, k int64) float64 {
	f := func(i int64) float64 { l, _ := math.Lgamma(float64(i + 1)); return l }
	return f(n) - f(k) - f(n-k)
}
