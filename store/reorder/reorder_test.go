package reorder

import (
	"fmt"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, within)
	}
}

// known is a demand whose rate is as good as known: watched for so long that the
// Gamma-Poisson is a Poisson of this mean, to six figures.
func known(mean float64) Demand {
	const long = 1e8
	return Demand{Jobs: int64(math.Round(mean * long)), Years: long, Wait: 1}
}

// Cumulative Poisson table of four figures (scribd 37416648; statsmasters.pages.dev).
func TestKnownRateIsPoisson(t *testing.T) {
	for _, c := range []struct {
		mean float64
		cdf  []float64
	}{
		{0.5, []float64{0.6065, 0.9098, 0.9856, 0.9982, 0.9998}},
		{1, []float64{0.3679, 0.7358, 0.9197, 0.981, 0.9963, 0.9994}},
		{2, []float64{0.1353, 0.406, 0.6767, 0.8571, 0.9473, 0.9834, 0.9955}},
		{4, []float64{0.0183, 0.0916, 0.2381, 0.4335, 0.6288, 0.7851, 0.8893, 0.9489, 0.9786}},
	} {
		for k, want := range c.cdf {
			near(t, fmt.Sprintf("Poisson %g at most %d", c.mean, k), known(c.mean).AtMost(int64(k)), want, 6e-5)
		}
	}
	// E[(D-s)+] of mean 1, the sum of P(D > k) from s on: R 4.2.2.
	for s, want := range []float64{1, 0.367879441171, 0.103638323514, 0.0233369264429} {
		sum := 0.0
		for k := int64(s); k < 40; k++ {
			sum += known(1).Risk(k)
		}
		near(t, fmt.Sprintf("expected short with %d", s), sum, want, 1e-6)
	}
	// Gelman and others, Bayesian Data Analysis, 3rd edition, section 2.6 (from memory):
	// a rate of Gamma(6, 7) or Gamma(33, 25) lies above 1 with 0.30 or 0.93. Of a Gamma of
	// whole shape that is P(D <= shape-1) of a Poisson. Digits: R 4.2.2 pgamma.
	near(t, "Gamma(6, 7) above 1", known(7).AtMost(5), 0.3007082762, 1e-6)
	near(t, "Gamma(33, 25) above 1", known(25).AtMost(32), 0.9285439688, 1e-6)
}

// Smallest stock that lasts with 90, 95 and 99 %: R 4.2.2 qpois, and the same table.
// At mean 2 P(D<=4) is 0.9473, at mean 4 P(D<=7) 0.9489: both just miss 95 %.
func TestLevelOfAKnownRate(t *testing.T) {
	for _, c := range []struct {
		mean float64
		want [3]int64
	}{
		{0.5, [3]int64{1, 2, 3}},
		{1, [3]int64{2, 3, 4}},
		{2, [3]int64{4, 5, 6}},
		{2.5, [3]int64{5, 5, 7}},
		{4, [3]int64{7, 8, 9}},
		{5, [3]int64{8, 9, 11}},
	} {
		for i, chance := range []float64{0.9, 0.95, 0.99} {
			if got := known(c.mean).Level(chance); got != c.want[i] {
				t.Errorf("level of Poisson %g for %g is %d, want %d", c.mean, chance, got, c.want[i])
			}
		}
	}
}

// Exact limits of a Poisson count (Garwood 1936, Biometrika 28:437-442; R 4.2.2
// qchisq): at the upper one so few come 2.5 times in 100, at the lower one so many.
func TestGarwood(t *testing.T) {
	for _, c := range []struct {
		count     int64
		low, high float64
	}{
		{1, 0.02531780798, 5.571643391},
		{2, 0.2422092785, 7.224687668},
		{4, 1.089865374, 10.24158868},
		{5, 1.62348639, 11.66833208},
	} {
		near(t, fmt.Sprintf("at most %d at the upper limit", c.count), known(c.high).AtMost(c.count), 0.025, 1e-6)
		near(t, fmt.Sprintf("at least %d at the lower limit", c.count), known(c.low).Risk(c.count-1), 0.025, 1e-6)
	}
}

// R 4.2.2 pnbinom with size n+1/2 and prob T/(T+L).
func TestGammaPoisson(t *testing.T) {
	for _, c := range []struct {
		d     Demand
		cdf   []float64
		level int64
	}{
		{Demand{Jobs: 3, Years: 4, Wait: 0.5}, []float64{0.6621649236, 0.919673505, 0.9840506503, 0.9971645133, 0.9995322941}, 2},
		{Demand{Jobs: 0, Years: 5, Wait: 1}, []float64{0.9128709292, 0.9889435066, 0.9984525788}, 1},
		{Demand{Jobs: 0, Years: 1, Wait: 1}, []float64{0.7071067812, 0.8838834765, 0.9501747372, 0.9777960959}, 2},
	} {
		for k, want := range c.cdf {
			near(t, fmt.Sprintf("%v at most %d", c.d, k), c.d.AtMost(int64(k)), want, 1e-9)
		}
		if got := c.d.Level(0.95); got != c.level {
			t.Errorf("%v: level %d, want %d", c.d, got, c.level)
		}
	}
	d := Demand{Jobs: 3, Years: 4, Wait: 0.5}
	near(t, "two or more wanted", d.Risk(1), 0.080326495, 1e-9)
	near(t, "two or more wanted, were the rate known", known(0.375).Risk(1), 0.0549772417, 1e-6)
	near(t, "one or more in the next year after 5 quiet ones", Demand{Years: 5, Wait: 1}.Risk(0), 0.0871290708, 1e-9)
	if d.AtMost(-1) != 0 {
		t.Error("less than none can be wanted")
	}
}

// Mites on 150 apple leaves (Bliss and Fisher 1953, Biometrics 9:176-200): mean
// 1.14667, size 1.0246, and the leaves expected with 0 to 7; digits R 4.2.2.
func TestNegativeBinomial(t *testing.T) {
	const size, mean = 1.0245924, 172.0 / 150
	p, before := size/(size+mean), 0.0
	expected := []float64{69.488, 37.5999, 20.1011, 10.7026, 5.6869, 3.0181, 1.6004, 0.8482}
	for k, want := range []float64{0.463253184, 0.713918988, 0.847926222, 0.91927711, 0.957189995, 0.977310701, 0.987980228} {
		at := jobsAtMost(size, p, int64(k))
		near(t, fmt.Sprintf("at most %d", k), at, want, 1e-6)
		near(t, fmt.Sprintf("leaves with %d", k), 150*(at-before), expected[k], 5e-4)
		before = at
	}
}

// Jobs of one or two pieces, half each: Python 3.11, Panjer's recursion and direct
// convolution.
func TestPiecesPerJob(t *testing.T) {
	d := Demand{Jobs: 3, Years: 4, Wait: 0.5, Sizes: []Size{{1, 2}, {2, 2}}}
	for k, want := range []float64{0.66216492358, 0.128754290696, 0.144848577033, 0.033827805542, 0.021159971241, 0.005521975997, 0.002589782219} {
		near(t, fmt.Sprintf("exactly %d", k), d.AtMost(int64(k))-d.AtMost(int64(k)-1), want, 1e-10)
	}
	if got := d.Level(0.95); got != 3 {
		t.Errorf("level %d, want 3", got)
	}
	// Two pieces every time: at most 2k+1 pieces are at most k jobs (R 4.2.2 pnbinom).
	two := Demand{Jobs: 3, Years: 4, Wait: 0.5, Sizes: []Size{{2, 3}}}
	for k, want := range []float64{0.6621649236, 0.919673505, 0.9840506503} {
		near(t, fmt.Sprintf("at most %d pairs and a single", k), two.AtMost(int64(2*k+1)), want, 1e-9)
	}
}
