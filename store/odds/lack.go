package odds

import "math"

// A Crowd is cameras of one group that may lack a part: those in the house that
// nobody looked at, and those likely to come until another piece is found. All of
// them share one rate.
type Crowd struct {
	Plan  Plan
	House int64
	Came  int64   // cameras in the years of the book; none came: none is expected
	Years float64 // of the book, more than 0 where some came
	Wait  float64 // years until another piece is found
}

// coming is the chance that exactly 0, 1, ... cameras come during the wait: negative
// binomial of size Came + 1/2 and chance Years/(Years+Wait), as demand is (Jeffreys'
// prior). What is left out is below 1e-12.
func (c Crowd) coming() []float64 {
	if c.Came == 0 || c.Years <= 0 || c.Wait <= 0 {
		return []float64{1}
	}
	size, p := float64(c.Came)+0.5, c.Years/(c.Years+c.Wait)
	at := math.Pow(p, size)
	out, sum := []float64{at}, at
	for n := 0.0; sum < 1-1e-12 && len(out) < 10_000; n++ {
		at *= (size + n) / (n + 1) * (1 - p)
		out, sum = append(out, at), sum+at
	}
	return out
}

// Mean is how many of them should lack the part.
func (c Crowd) Mean() float64 {
	n := float64(c.House)
	if c.Came > 0 && c.Years > 0 {
		n += (float64(c.Came) + 0.5) * c.Wait / c.Years
	}
	return n * c.Plan.Mean()
}

// lack is the chance that exactly 0, 1, ... most of them lack the part.
func (c Crowd) lack(most int64) []float64 {
	out, plan := make([]float64, most+1), c.Plan.lacking()
	for n, p := range c.coming() {
		for x := int64(0); x <= min(most, c.House+int64(n)); x++ {
			out[x] += p * plan.of(x, c.House+int64(n))
		}
	}
	return out
}

// MoreLack is the chance that more cameras lack a part than pieces are free: those
// that were seen to lack it, and of each crowd as many as may be. The crowds are
// taken to be independent.
func MoreLack(crowds []Crowd, seen, free int64) float64 {
	if seen > free {
		return 1
	}
	d := make([]float64, free-seen+1)
	d[0] = 1
	for _, c := range crowds {
		d = joined(d, c.lack(int64(len(d)-1)))
	}
	return rest(d)
}
