// Package weigh counts pieces by weight, and says how far the number can be
// relied on.
//
// A sample is pieces counted by hand and weighed; the pile is what is to be
// counted; the tare is the empty dish the pile lies in. A balance is known by
// its last digit or by its worst error, the pieces by their spread: the standard
// deviation of one piece's mass as a share of the mean.
//
// The surprising rule: how narrow the uncertainty is says nothing alone, for 98.47
// with 0.17 is 98 or 99. The whole numbers share the probability among them, and
// a number is stated only where it has 0.95 of it. Everything else is a range, and
// what would settle it.
package weigh

import (
	"errors"
	"fmt"
	"math"
)

// Light is the mass, in micrograms, below which counting by weight goes wrong
// easily.
const Light = 10_000

// Spread is the spread of pieces that is assumed where none is given: piece
// weights of precision parts scatter by 0.5 to 1.5 % (published, a balance
// maker's guidance).
const Spread = 0.01

// recorded is the relative uncertainty of a mass that was not weighed here but
// read in a record or a table: published tables of one screw differ by up to 3 %.
const recorded = 0.03

// A Sample is pieces counted by hand, and what they weigh together without a
// dish.
type Sample struct {
	Pieces int64
	Mass   int64 // micrograms
}

// A Balance is told by its last digit, its worst error, or both, in micrograms.
type Balance struct {
	Resolution, Worst int64
}

// u is the standard uncertainty of one weighing, in micrograms. A last digit d
// is a rectangle of half-width d/2, d/sqrt(12), twice for tare and load (JCGM
// 100, F.2.2.1, from memory). A worst error w is one of half-width w for the
// whole weighing, w/sqrt(3) (JCGM 100, 4.3.7, from memory). The larger holds.
func (b Balance) u() float64 {
	return max(float64(b.Resolution)/math.Sqrt(6), float64(b.Worst)/math.Sqrt(3))
}

// A Pile is what is weighed. Without samples the mass of one piece stands for
// them.
type Pile struct {
	Samples []Sample
	Piece   int64   // micrograms a piece, from a record, a table or a formula; 0 where it is not known
	Unsure  float64 // of Piece, its relative uncertainty; 0 is that of a record
	Total   int64   // micrograms, the dish with it
	Tare    int64   // micrograms, the empty dish
	Balance Balance
	Spread  float64 // of one piece, as a share; below 0 is not known
	Within  bool    // the sample lies in the pile as well
}

// A Result is how many pieces a pile is.
type Result struct {
	Pieces    int64   // the likeliest whole number
	Likely    float64 // how likely it is, 0 to 1
	Next      float64 // and the likeliest other one
	N         float64 // before rounding
	U         float64 // standard uncertainty, in pieces
	Low, High int64   // the fewest whole numbers that hold 0.95 together
	Stated    bool    // Pieces has at least 0.95, and the weight fits it
	Sure      bool    // at least 0.99
	Fits      bool    // the weight is that of a whole number of pieces
	Mixed     bool    // the samples differ by more than weighing explains
	Mean      float64 // micrograms a piece
	Why       []Note
	Settle    []string // what would settle the number
}

// ErrInput is returned when what was weighed makes no sense.
var ErrInput = errors.New("cannot be weighed out")

// A weighing is a pile with what follows from its samples.
type weighing struct {
	Pile
	n, sample float64 // pieces and micrograms of all samples, 0 without
	load      float64 // micrograms without the dish
	mean      float64
	spread    float64
	uSample   float64
	mixed     bool // the samples differ by more than weighing explains
}

// Count returns the number of pieces of a pile: how likely each whole number is,
// by a normal likelihood in which the mean mass of a piece has a flat prior (see
// posterior). Its uncertainty is that of the law of propagation for uncorrelated
// inputs (JCGM 100, 5.1.2, equation 10). With N = M n / R
//
//	u^2 = N^2 ((u_b/M)^2 + (u_b/R)^2) + N cv^2 (1 + N/n)
//
// and where the sample lies in the pile, N cv^2 (N/n - 1) for the last term. It
// returns [ErrInput] with a sentence.
func Count(p Pile) (Result, error) {
	w, err := prepare(p)
	if err != nil {
		return Result{}, err
	}
	n := w.load / w.mean
	r := Result{N: n, U: w.u(n, w.n, w.Balance.u()), Mixed: w.mixed, Mean: w.mean}
	w.posterior(&r)
	r.Fits = math.Abs(n-float64(r.Pieces)) <= mostOff*w.sigma(r.Pieces)
	if !r.Fits {
		r.Low, r.High = min(r.Low, int64(math.Floor(n))), max(r.High, int64(math.Ceil(n)))
	}
	r.Stated = r.Likely >= stated && r.Fits && !w.mixed
	r.Sure = r.Likely >= sure && r.Stated
	r.Why = w.why(r)
	if r.Fits && !r.Sure && !w.mixed {
		r.Settle = w.settle(r)
	}
	return r, nil
}

func prepare(p Pile) (weighing, error) {
	w := weighing{Pile: p, load: float64(p.Total - p.Tare), mean: float64(p.Piece), spread: p.Spread}
	for _, s := range p.Samples {
		if s.Pieces <= 0 || s.Mass <= 0 {
			return w, fmt.Errorf("a sample of %d pieces that weigh %s %w: count some pieces and weigh them", s.Pieces, grams(float64(s.Mass)), ErrInput)
		}
		w.n += float64(s.Pieces)
		w.sample += float64(s.Mass)
	}
	w.uSample = p.Balance.u() * math.Sqrt(float64(len(p.Samples)))
	switch {
	case w.load <= 0:
		return w, fmt.Errorf("a total of %s with a dish of %s %w: nothing is left", grams(float64(p.Total)), grams(float64(p.Tare)), ErrInput)
	case w.n > 0:
		w.mean = w.sample / w.n
	case w.mean <= 0:
		return w, fmt.Errorf("pieces of unknown mass %w: weigh a counted sample", ErrInput)
	}
	if w.n > 0 && 2*w.uSample >= w.sample {
		return w, fmt.Errorf("a sample of %s on this balance %w: it is not told from nothing; take more pieces", grams(w.sample), ErrInput)
	}
	w.scatter()
	return w, nil
}

// scatter takes the spread from the samples where there are three or more and
// none is given, and tells whether they differ by more than weighing and spread
// explain: more than the mean of chi-squared and three of its deviations.
func (w *weighing) scatter() {
	k := float64(len(w.Samples))
	var sum, chi float64
	between := w.spread
	if between < 0 {
		between = Spread
	}
	for _, s := range w.Samples {
		n := float64(s.Pieces)
		d := float64(s.Mass)/n - w.mean
		sum += n * d * d
		chi += d * d / (math.Pow(w.Balance.u()/n, 2) + math.Pow(between*w.mean, 2)/n)
	}
	if w.spread < 0 {
		w.spread = Spread
		if k >= 3 {
			w.spread = max(Spread, math.Sqrt(sum/(k-1))/w.mean)
		}
	}
	w.mixed = k >= 2 && chi > k-1+3*math.Sqrt(2*(k-1))
}

// u is the uncertainty of a count of about pieces with a sample of n pieces on
// a balance of uncertainty ub.
func (w *weighing) u(pieces, n, ub float64) float64 {
	cv2 := w.spread * w.spread
	balance := pieces * pieces * math.Pow(ub/(pieces*w.mean), 2)
	if n == 0 {
		return math.Sqrt(balance + pieces*cv2 + math.Pow(pieces*w.unsure(), 2))
	}
	times := math.Sqrt(max(1, float64(len(w.Samples))))
	balance += pieces * pieces * math.Pow(ub*times/(n*w.mean), 2)
	within := pieces * cv2 * (1 + pieces/n)
	if w.Within {
		within = pieces * cv2 * max(0, pieces/n-1)
	}
	return math.Sqrt(balance + within)
}

// grams prints micrograms as grams.
func grams(ug float64) string {
	return fmt.Sprintf("%.4g g", ug/1e6)
}
