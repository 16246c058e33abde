package weigh

import (
	"fmt"
	"math"
)

// A Note is a sentence about a count by weight, and in one word what it is about:
// mixed, misfit, light, record, few, another.
type Note struct {
	Kind, Text string
}

// Say says the number in a line: one where it may be relied on, else a range.
func (r Result) Say() string {
	switch {
	case r.Mixed:
		return "not to be counted by weight"
	case r.Sure:
		return fmt.Sprintf("%d pieces, sure", r.Pieces)
	case r.Stated:
		return fmt.Sprintf("%d pieces, %s", r.Pieces, percent(r.Likely))
	case !r.Fits:
		return fmt.Sprintf("%d or %d pieces, and neither fits", r.Low, r.High)
	case r.High == r.Low+1:
		other := r.Low + r.High - r.Pieces
		return fmt.Sprintf("%d or %d pieces (%s and %s)", r.Pieces, other, percent(r.Likely), percent(r.Next))
	}
	return fmt.Sprintf("%d to %d pieces, most likely %d (%s)", r.Low, r.High, r.Pieces, percent(r.Likely))
}

// Book says how a reading by weight was come by, beside the number in the book.
func (r Result) Book() string {
	switch {
	case r.Sure:
		return "by weight, sure"
	case r.Stated:
		return "by weight, " + percent(r.Likely)
	}
	return fmt.Sprintf("by weight, %d to %d", r.Low, r.High)
}

// percent is a probability in whole per cents, never 100 %.
func percent(p float64) string { return fmt.Sprintf("%.0f %%", min(99, math.Round(100*p))) }

// why says what the number rests on.
func (w *weighing) why(r Result) (out []Note) {
	add := func(kind, format string, args ...any) { out = append(out, Note{kind, fmt.Sprintf(format, args...)}) }
	if w.mixed {
		add("mixed", "the samples differ by more than weighing explains: pieces of more than one kind or length lie here; sort them first")
	}
	if !r.Fits && !w.mixed {
		add("misfit", "it comes to %.1f pieces, which is no number of pieces: look at the dish's weight, the sample's count and for strange pieces", r.N)
	}
	if w.mean < Light {
		add("light", "a piece weighs %s: under 10 mg a breath on the balance counts as pieces; count by hand what matters", milligrams(w.mean))
	}
	if w.n == 0 {
		add("record", "no sample was weighed: the mass of a piece comes from a record, and is good to %.0f %%", 100*w.unsure())
	} else if w.n < 10 && !r.Stated {
		add("few", "a sample of %g is small: at least 10 pieces, better 50 to 100", w.n)
	}
	return out
}

// milligrams prints micrograms as milligrams, from a gram on as grams.
func milligrams(ug float64) string {
	if ug >= 999.5e3 {
		return grams(ug)
	}
	return fmt.Sprintf("%.3g mg", ug/1e3)
}

// settles says whether a count with such an uncertainty is likely to be stated. At
// 0.22 of a piece it is nine times in ten (200,000 draws; 0.95 at 0.20, 0.80 at
// 0.25).
func (w *weighing) settles(pieces, n, ub float64) bool { return w.u(pieces, n, ub) <= 0.22 }

// settle says what would settle the number.
func (w *weighing) settle(r Result) (out []string) {
	ub := w.Balance.u()
	if w.settles(r.N, w.n, ub) {
		return []string{"weigh again with another counted sample"}
	}
	for _, n := range []float64{10, 20, 50, 100, 200, 500} {
		if n > w.n && n <= r.N && w.settles(r.N, n, ub) {
			out = append(out, fmt.Sprintf("a counted sample of %g would settle it", n))
			break
		}
	}
	if most := w.most(r.N, ub); w.n > 0 && most >= 5 {
		out = append(out, fmt.Sprintf("in piles of at most %d pieces each can be counted by weight", most))
	}
	if d := w.finer(r.N); d > 0 {
		out = append(out, fmt.Sprintf("a balance that reads %s would do", grams(d)))
	} else if d := w.truer(r.N); d > 0 {
		out = append(out, fmt.Sprintf("a balance that is off by at most %s would do", grams(d)))
	}
	if len(out) == 0 {
		out = append(out, "count by hand")
	}
	return out
}

// most is the largest pile that can be relied on with the same sample.
func (w *weighing) most(pieces, ub float64) int64 {
	low, high := int64(0), int64(math.Ceil(pieces))
	for low < high {
		if mid := (low + high + 1) / 2; w.settles(float64(mid), w.n, ub) {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return low
}

// steps are the balances that are proposed, in micrograms, the coarsest first.
var steps = []float64{10_000, 1_000, 100}

// finer is the last digit, in micrograms, of the coarsest balance that would do
// with the same sample, 0 where none would, the balance is fine enough, or it is its
// worst error that counts.
func (w *weighing) finer(pieces float64) float64 {
	if w.Balance.Worst > 0 {
		return 0
	}
	for _, d := range steps {
		if ub := (Balance{Resolution: int64(d)}).u(); ub < w.Balance.u() && w.settles(pieces, w.n, ub) {
			return d
		}
	}
	return 0
}

// truer is the worst error, in micrograms, of the coarsest balance that would do,
// where it is told by its worst error.
func (w *weighing) truer(pieces float64) float64 {
	for _, d := range steps {
		ub := Balance{Worst: int64(d), Resolution: min(w.Balance.Resolution, int64(d))}.u()
		if d < float64(w.Balance.Worst) && w.settles(pieces, w.n, ub) {
			return d
		}
	}
	return 0
}

// Differs says in a sentence that a sample does not weigh what is expected of
// its pieces, and nothing where it does within 5 % and what the balance allows.
// mean is that of a result, expected is in micrograms, whose is "P026" or "DIN
// 84 M2x4".
func Differs(p Pile, mean float64, expected int64, whose string) string {
	if len(p.Samples) == 0 || expected <= 0 {
		return ""
	}
	w, err := prepare(p)
	if err != nil {
		return ""
	}
	e := float64(expected)
	allowed := 0.05*e + 2*mean*math.Hypot(w.uSample/w.sample, w.spread/math.Sqrt(w.n))
	if math.Abs(mean-e) <= allowed {
		return ""
	}
	return fmt.Sprintf("the sample weighs %s a piece and %s should weigh %s: another part, another material, or a slip in the sample's count",
		milligrams(mean), whose, milligrams(e))
}
