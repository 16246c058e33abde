package weigh

import (
	"fmt"
	"math"
)

// why says in sentences how far the number can be relied on, and what would
// settle it.
func (w *weighing) why(r Result, whole bool) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch {
	case w.mixed:
		add("the samples differ by more than weighing explains: pieces of more than one kind or length lie here; sort them first")
	case r.Stated:
		add("%d pieces, sure to %.2g of a piece", r.Pieces, 2*r.U)
	default:
		add("between %d and %d pieces: not sure enough to name one number", r.Low, r.High)
	}
	if !whole && !w.mixed {
		add("it comes to %.1f pieces, which is no number of pieces: look at the dish's weight, the sample's count and for strange pieces", r.N)
	}
	if w.mean < Light {
		add("a piece weighs %s: under 10 mg a breath on the balance counts as pieces; count by hand what matters", milligrams(w.mean))
	}
	if w.n == 0 {
		add("no sample was weighed: the mass of a piece comes from a record, and such masses are good to 3 %%")
	} else if w.n < 10 && !r.Stated {
		add("a sample of %g is small: at least 10 pieces, better 50 to 100", w.n)
	}
	if !r.Stated && whole && !w.mixed {
		out = append(out, w.help(r)...)
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

// sure says whether a count would be relied on.
func (w *weighing) sure(pieces, n, ub float64) bool { return 2*w.u(pieces, n, ub) < 0.5 }

// help says what would settle the number.
func (w *weighing) help(r Result) []string {
	var out []string
	ub := w.Balance.u()
	for _, n := range []float64{10, 20, 50, 100, 200, 500} {
		if n > w.n && n <= r.N && w.sure(r.N, n, ub) {
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
		if mid := (low + high + 1) / 2; w.sure(float64(mid), w.n, ub) {
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
		if ub := (Balance{Resolution: int64(d)}).u(); ub < w.Balance.u() && w.sure(pieces, w.n, ub) {
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
		if d < float64(w.Balance.Worst) && w.sure(pieces, w.n, ub) {
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
