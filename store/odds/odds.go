// Package odds says how often a part is missing from cameras that were looked at.
//
// A [Count] is x of n: n bodies were looked at for the part on arrival, x lacked
// it. A rate is never shown without its count. The plain figure is the count with
// Wilson's interval; the planning figure ([Plan]) is a Beta distribution into
// which other bodies are mixed: of sister models each as a quarter of a body, all
// together never as more than two, of other models each as an eighth, all
// together never as more than one.
//
// Bodies of one part, model and history share one rate, which nobody knows: they
// lack the part together more often than bodies that have nothing in common. So
// the chance of several bodies is no product. Every chance of the program comes
// from one place, a [Set] of bodies; how many of some cameras lack a part, from
// its counterpart [MoreLack].
//
// Its one surprising rule: under three bodies there is a figure and nothing is
// said with it, and where other models differ clearly they are left out.
package odds

import (
	"math"
	"sync"
)

// A Count is how many bodies lacked a part, of those that were looked at for it.
type Count struct {
	Missing int64 `json:"missing"`
	Looked  int64 `json:"looked_at"`
}

// Add is the count of both together.
func (c Count) Add(d Count) Count { return Count{c.Missing + d.Missing, c.Looked + d.Looked} }

// Less is the count without those of another that are among it.
func (c Count) Less(d Count) Count { return Count{c.Missing - d.Missing, c.Looked - d.Looked} }

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
	Low  float64 `json:"low"`
	High float64 `json:"high"`
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

func logChoose(n, k int64) float64 { return logFactorial(n) - logFactorial(k) - logFactorial(n-k) }

func logFactorial(n int64) float64 {
	if few := logFactorials(); int(n) < len(few) {
		return few[n]
	}
	return logGamma(float64(n + 1))
}

var logFactorials = sync.OnceValue(func() []float64 {
	out := make([]float64, 64)
	for n := range out {
		out[n] = logGamma(float64(n + 1))
	}
	return out
})

func logGamma(x float64) float64 { l, _ := math.Lgamma(x); return l }
