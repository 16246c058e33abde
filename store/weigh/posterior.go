package weigh

import "math"

const (
	stated  = 0.95 // how likely a number is at least that is named
	sure    = 0.99 // and one that counts as counted by hand
	mostOff = 3    // standard uncertainties that a weight may be off a whole number of pieces
	tooWide = 2000 // pieces of uncertainty beyond which whole numbers are not told apart
)

// posterior fills in how likely the whole numbers are. With V(N) the variance of
// the pile's weight were it N pieces, in pieces (sigma squared),
//
//	P(N) ~ V(N)^(-1/2) exp(-(N0 - N)^2 / (2 V(N)))
//
// where N0 is the number before rounding. That is a normal likelihood with a flat
// prior for the mean mass, which is integrated out, and for N from 1, or from the
// sample's number where it lies in the pile; V is taken at the sample's mean.
func (w *weighing) posterior(r *Result) {
	least := int64(1)
	if w.Within {
		least = max(1, int64(w.n))
	}
	if r.U > tooWide {
		r.Pieces, r.Likely = max(least, int64(math.Round(r.N))), 1/(r.U*math.Sqrt(2*math.Pi))
		r.Next = r.Likely
		r.Low, r.High = max(least, int64(r.N-1.96*r.U)), int64(math.Ceil(r.N+1.96*r.U))
		return
	}
	from := max(least, int64(math.Floor(r.N-14*r.U)))
	to := max(from, int64(math.Ceil(r.N+16*r.U)))
	p := make([]float64, to-from+1)
	best := 0
	for i := range p {
		s := w.sigma(from + int64(i))
		p[i] = -math.Log(s) - math.Pow((r.N-float64(from)-float64(i))/s, 2)/2
		if p[i] > p[best] {
			best = i
		}
	}
	greatest, sum := p[best], 0.0
	for i := range p {
		p[i] = math.Exp(p[i] - greatest)
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	low, high := smallest(p, best)
	r.Pieces, r.Likely, r.Low, r.High = from+int64(best), p[best], from+int64(low), from+int64(high)
	for _, i := range []int{best - 1, best + 1} {
		if i >= 0 && i < len(p) {
			r.Next = max(r.Next, p[i])
		}
	}
}

// smallest is the smallest run of numbers around the best that holds 0.95: the more
// likely neighbour is added, on a tie the lower.
func smallest(p []float64, best int) (low, high int) {
	at := func(i int) float64 {
		if i < 0 || i >= len(p) {
			return -1
		}
		return p[i]
	}
	low, high = best, best
	for sum := p[best]; sum < stated && (low > 0 || high < len(p)-1); {
		if at(low-1) >= at(high+1) {
			low--
			sum += p[low]
		} else {
			high++
			sum += p[high]
		}
	}
	return low, high
}

// sigma is the standard deviation of the weight of so many pieces, in pieces. A
// balance and pieces without any spread are off by a billionth.
func (w *weighing) sigma(pieces int64) float64 {
	return max(1e-9, w.u(float64(pieces), w.n, w.Balance.u()))
}

// unsure is the relative uncertainty of the mass of a piece that was not weighed.
func (w *weighing) unsure() float64 {
	if w.Unsure > 0 {
		return w.Unsure
	}
	return recorded
}
