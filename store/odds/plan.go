package odds

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Counts are the bodies of one history that were looked at for a part: of the
// model itself, of its sister models (one family), of all other models.
type Counts struct {
	Own, Sisters, Others Count
}

// A Basis says what a chance rests on, the firmest first.
type Basis int

// The bases. Counted and Few are bodies of the model and, where they are mixed in,
// of its sisters: from three on it is counted.
const (
	Seen        Basis = iota // the piece was seen in the body
	Counted                  // three bodies or more
	Few                      // one or two
	OtherModels              // none of these, but bodies of other models
	Guess                    // nobody looked at any
)

var basisWords = [...]string{"seen", "counted", "few", "other models", "guess"}

// String is the basis in words.
func (b Basis) String() string { return basisWords[b] }

// MarshalText is the basis in words.
func (b Basis) MarshalText() ([]byte, error) { return []byte(b.String()), nil }

// Observed says that what it rests on was seen on the model or its sisters.
func (b Basis) Observed() bool { return b <= Few }

// A Plan is the planning figure of one part, model and history: a Beta
// distribution of the share of bodies that lack the part. [Planned] makes it.
type Plan struct {
	Sisters float64 // what the body of a sister counts for, 0 where none is mixed in
	Others  float64 // and of another model
	Differ  bool    // sister models are too different and are left out
	Apart   bool    // other models are, likewise
	Basis   Basis

	alpha, beta    float64
	missing, there float64 // of own and sister bodies: what edges of intervals go by
}

const (
	sisterWeight = 1.0 / 4 // of one sister body
	sisterMost   = 2       // bodies that all sisters together may count for
	otherWeight  = 1.0 / 8 // of one body of another model
	otherMost    = 1
	guard        = 0.05 // below this chance others are too different
)

// Planned mixes the counts of other models into a model's own: w is a quarter for
// sisters, at most two bodies in all, an eighth for other models, at most one body,
// and the distribution is Beta(1/2 + x + w xs + ..., 1/2 + (n-x) + w (ns-xs) + ...).
// It is a power prior with a fixed discount (Ibrahim and Chen 2000, Statistical
// Science 15:46-60, from memory) on top of Jeffreys' prior. Where Fisher's exact
// test against what is mixed already gives less than 0.05, w is 0. The weight of
// other models is ours, by simulation: it takes a third off the error where nobody
// looked at the model, and keeps the interval's 95 %.
func Planned(c Counts) Plan {
	var p Plan
	near, n := c.Own, c.Own.Looked
	p.mix(c.Own, 1)
	if p.Sisters, p.Differ = weightOf(near, c.Sisters, sisterWeight, sisterMost); p.Sisters > 0 {
		near = near.Add(c.Sisters)
		n = near.Looked
		p.mix(c.Sisters, p.Sisters)
	}
	p.alpha, p.beta = 0.5+p.missing, 0.5+p.there
	if p.Others, p.Apart = weightOf(near, c.Others, otherWeight, otherMost); p.Others > 0 {
		p.alpha += p.Others * float64(c.Others.Missing)
		p.beta += p.Others * float64(c.Others.Looked-c.Others.Missing)
	}
	switch {
	case n >= least:
		p.Basis = Counted
	case n > 0:
		p.Basis = Few
	case p.Others > 0:
		p.Basis = OtherModels
	default:
		p.Basis = Guess
	}
	return p
}

func (p *Plan) mix(c Count, w float64) {
	p.missing += w * float64(c.Missing)
	p.there += w * float64(c.Looked-c.Missing)
}

// weightOf is what one of other bodies counts for beside those that are nearer, and
// whether they are too different to count.
func weightOf(near, others Count, each, most float64) (w float64, differ bool) {
	if others.Looked == 0 {
		return 0, false
	}
	if Fisher(near, others) < guard {
		return 0, true
	}
	return math.Min(each, most/float64(others.Looked)), false
}

// Mean is the planning figure itself.
func (p Plan) Mean() float64 { return p.alpha / (p.alpha + p.beta) }

// Interval is where the share likely lies: the 2.5 % and 97.5 % points. Without
// other models it is Jeffreys' interval, of Beta(x+1/2, n-x+1/2).
func (p Plan) Interval() Interval {
	return edged(Interval{p.point(0.025), p.point(0.975)}, p.missing, p.there)
}

// point is the share below which the rate lies with a probability.
func (p Plan) point(probability float64) float64 {
	return mathext.InvRegIncBeta(p.alpha, p.beta, probability)
}

// lack is the chance that exactly x of the next k bodies lack the part
// (beta-binomial). It is not a power of the mean: the bodies share one unknown
// rate.
func (p Plan) lack(x, k int64) float64 { return p.lacking().of(x, k) }

// A lacking is a [Plan.lack] that is asked many times.
type lacking struct {
	alpha, beta, whole float64
	lacked, had        []float64 // logarithms of the gamma functions at alpha and beta plus 0, 1, ...
}

func (p Plan) lacking() *lacking {
	return &lacking{alpha: p.alpha, beta: p.beta, whole: mathext.Lbeta(p.alpha, p.beta)}
}

func (l *lacking) of(x, k int64) float64 {
	a, b := l.alpha+float64(x), l.beta+float64(k-x)
	return math.Exp(logChoose(k, x) + (upTo(&l.lacked, l.alpha, x) + upTo(&l.had, l.beta, k-x) - logGamma(a+b)) - l.whole)
}

// upTo is the logarithm of the gamma function at from plus n, reckoned once.
func upTo(list *[]float64, from float64, n int64) float64 {
	for i := int64(len(*list)); i <= n; i++ {
		*list = append(*list, logGamma(from+float64(i)))
	}
	return (*list)[n]
}
