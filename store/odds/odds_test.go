package odds

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, within)
	}
}

const (
	newcombe = "Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3"
	lumen    = "printed example of binomCI in the R package lumen"
	r        = "R 4.2.2"
)

func TestIntervals(t *testing.T) {
	clopper := func(x, n int64) Interval {
		// The ends of Clopper and Pearson 1934: quantiles of two Beta distributions.
		a, b := float64(x), float64(n-x)
		return Interval{mathext.InvRegIncBeta(a, b+1, 0.025), mathext.InvRegIncBeta(a+1, b, 0.975)}
	}
	jeffreys := func(x, n int64) Interval { return Planned(Counts{Own: Count{x, n}}).Interval() }
	wilson := Wilson
	for _, c := range []struct {
		what      string
		of        func(x, n int64) Interval
		x, n      int64
		low, high float64
		within    float64
		source    string
	}{
		{"wilson 81 of 263", wilson, 81, 263, 0.2553, 0.3662, 5e-05, newcombe},
		{"wilson 15 of 148", wilson, 15, 148, 0.0624, 0.1605, 5e-05, newcombe},
		{"wilson 1 of 29", wilson, 1, 29, 0.0061, 0.1718, 5e-05, newcombe},
		{"wilson 37 of 43", wilson, 37, 43, 0.7273641, 0.9344428, 1e-07, lumen},
		{"wilson 35 of 43", wilson, 35, 43, 0.67383, 0.9025825, 1e-07, lumen},
		{"wilson 23 of 43", wilson, 23, 43, 0.3891564, 0.6748894, 1e-07, lumen},
		{"wilson 4 of 19", wilson, 4, 19, 0.0850767663, 0.4333428, 1e-07, lumen},
		{"jeffreys 37 of 43", jeffreys, 37, 43, 0.734811, 0.9395927, 1e-07, lumen},
		{"jeffreys 42 of 50", jeffreys, 42, 50, 0.7206737, 0.9213325, 1e-07, lumen},
		{"jeffreys 35 of 60", jeffreys, 35, 60, 0.457104, 0.7017365, 1e-07, lumen},
		{"jeffreys 22 of 80", jeffreys, 22, 80, 0.1863875, 0.3795587, 1e-07, lumen},
		{"clopper 37 of 43", clopper, 37, 43, 0.7206752, 0.9470234, 1e-07, lumen},
		{"clopper 4 of 19", clopper, 4, 19, 0.0605245377, 0.4556531, 1e-07, lumen},
		{"wilson 7 of 9", wilson, 7, 9, 0.4525889691, 0.9367748929, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 0 of 9", wilson, 0, 9, 0, 0.2991450484, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 1 of 9", wilson, 1, 9, 0.0198908876, 0.4349997056, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 0 of 1", wilson, 0, 1, 0, 0.7934506856, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 0 of 3", wilson, 0, 3, 0, 0.5614970318, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 1 of 2", wilson, 1, 2, 0.0945312057, 0.9054687943, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 2 of 3", wilson, 2, 3, 0.2076596008, 0.9385080553, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 5 of 5", wilson, 5, 5, 0.5655175352, 1, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 10 of 20", wilson, 10, 20, 0.2992980082, 0.7007019918, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"jeffreys 7 of 9", jeffreys, 7, 9, 0.4561755669, 0.950698077, 1e-09, "edge rule of Brown, Cai, DasGupta 2001; " + r + " qbeta"},
		{"jeffreys 9 of 9", jeffreys, 9, 9, 0.7623899014, 1, 1e-09, "edge rule of Brown, Cai, DasGupta 2001; " + r + " qbeta"},
		{"wilson 46 of 50", wilson, 46, 50, 0.8116175308, 0.9684504859, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 30 of 30", wilson, 30, 30, 0.8864866068, 1, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
		{"wilson 485 of 500", wilson, 485, 500, 0.9510963332, 0.9817367868, 1e-09, "Wilson 1927; " + r + " prop.test(correct=FALSE)"},
	} {
		got := c.of(c.x, c.n)
		near(t, c.what+" low ("+c.source+")", got.Low, c.low, c.within)
		near(t, c.what+" high ("+c.source+")", got.High, c.high, c.within)
	}
	for _, c := range []Count{{0, 9}, {0, 1}} {
		if i := Wilson(c.Missing, c.Looked); i.Low != 0 {
			t.Errorf("Wilson %v begins at %g, not at 0", c, i.Low)
		}
	}
	if i := Wilson(5, 5); i.High != 1 {
		t.Errorf("Wilson 5 of 5 ends at %g, not at 1", i.High)
	}
}

// The discount and its figures: R 4.2.2 qbeta, scipy 1.10.1 agrees.
func TestPlanned(t *testing.T) {
	for _, c := range []struct {
		own, sisters                         Count
		weight, alpha, beta, mean, low, high float64
	}{
		{Count{2, 3}, Count{10, 20}, 0.1, 3.5, 2.5, 0.5833333333, 0.2094166641, 0.9056096727},
		{Count{1, 1}, Count{3, 4}, 0.25, 2.25, 0.75, 0.75, 0.2319991619, 0.9969314443},
		{Count{0, 2}, Count{6, 8}, 0.25, 2, 3, 0.4, 0.0675859865, 0.8058795503},
		{Count{7, 9}, Count{0, 0}, 0, 7.5, 2.5, 0.75, 0.4561755669, 0.950698077},
	} {
		p := Planned(Counts{Own: c.own, Sisters: c.sisters})
		what := fmt.Sprint(c.own, c.sisters)
		near(t, what+" weight", p.Sisters, c.weight, 1e-9)
		near(t, what+" alpha", p.alpha, c.alpha, 1e-9)
		near(t, what+" beta", p.beta, c.beta, 1e-9)
		near(t, what+" mean", p.Mean(), c.mean, 1e-9)
		near(t, what+" low", p.Interval().Low, c.low, 1e-9)
		near(t, what+" high", p.Interval().High, c.high, 1e-9)
	}
	// 4 of 6 and 3 of 24 are shut out by the guard; before it the mixture is Beta(4.75, 4.25).
	shut := Planned(Counts{Own: Count{4, 6}, Sisters: Count{3, 24}})
	if !shut.Differ || shut.Sisters != 0 || shut.alpha != 4.5 || shut.beta != 2.5 {
		t.Errorf("4 of 6 and 3 of 24 give %+v, want Beta(4.5, 2.5) alone: Fisher's p is 0.0157", shut)
	}
	mixed := Plan{alpha: 4.75, beta: 4.25, missing: 4.25, there: 3.75}
	near(t, "mean before the guard", mixed.Mean(), 0.5277777778, 1e-9)
	near(t, "low before the guard", mixed.Interval().Low, 0.2214176839, 1e-9)
	near(t, "high before the guard", mixed.Interval().High, 0.8225025968, 1e-9)
}

func TestFisher(t *testing.T) {
	for _, c := range []struct {
		a, b   Count
		want   float64
		source string
	}{
		{Count{4, 6}, Count{3, 24}, 0.0157382847, "R 4.2.2 fisher.test"},
		{Count{0, 2}, Count{6, 8}, 0.1333333333, "R 4.2.2 fisher.test"},
		{Count{46, 50}, Count{20, 30}, 0.0059940868, "R 4.2.2 fisher.test"},
		// One-sided it is 17/70 = 0.2428571429; the table is symmetric, so two-sided is twice that.
		{Count{3, 4}, Count{1, 4}, 34.0 / 70, "the lady tasting tea, Fisher 1935: 0.4857 two-sided"},
		{Count{2, 3}, Count{}, 1, "nothing to compare with"},
	} {
		near(t, fmt.Sprint("Fisher ", c.a, c.b, " (", c.source, ")"), Fisher(c.a, c.b), c.want, 1e-9)
	}
}

// Beta-binomial: B(9.5, 2.5)/B(7.5, 2.5) = 7.5*8.5/(10*11), by hand.
func TestNextBodies(t *testing.T) {
	p := Planned(Counts{Own: Count{7, 9}})
	near(t, "both of the next two lack it", p.lack(2, 2), 0.5795454545, 1e-9)
	near(t, "both of the next two lack it, by hand", p.lack(2, 2), 7.5*8.5/110, 1e-12)
	near(t, "one of the next two has it", Of(p, 2).Enough(), 0.4204545455, 1e-9)
	near(t, "none, one or two lack it", p.lack(0, 2)+p.lack(1, 2)+p.lack(2, 2), 1, 1e-12)
}

// Tumours of 70 groups of rats (Tarone 1982; Gelman et al., Bayesian Data Analysis,
// 3rd edition, section 5.1).
var rats = []Count{
	{0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 19}, {0, 19}, {0, 19},
	{0, 19}, {0, 18}, {0, 18}, {0, 17}, {1, 20}, {1, 20}, {1, 20}, {1, 20}, {1, 19}, {1, 19},
	{1, 18}, {1, 18}, {3, 27}, {2, 25}, {2, 24}, {2, 23}, {2, 20}, {2, 20}, {2, 20}, {2, 20},
	{2, 20}, {2, 20}, {1, 10}, {5, 49}, {2, 19}, {5, 46}, {2, 17}, {7, 49}, {7, 47}, {3, 20},
	{3, 20}, {2, 13}, {9, 48}, {10, 50}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {4, 20},
	{4, 20}, {10, 48}, {4, 19}, {4, 19}, {4, 19}, {5, 22}, {11, 46}, {12, 49}, {5, 20}, {5, 20},
	{6, 23}, {5, 19}, {6, 22}, {6, 20}, {6, 20}, {6, 20}, {16, 52}, {15, 46}, {15, 47}, {9, 24},
}

// The book fits a Beta by moments, Beta(1.4, 8.6), and after 4 of 14 has mean 0.223
// and standard deviation 0.083; more digits are from R 4.2.2.
func TestBetaByMoments(t *testing.T) {
	var sum, squares float64
	for _, c := range rats {
		sum += c.Rate()
	}
	mean := sum / float64(len(rats))
	for _, c := range rats {
		squares += (c.Rate() - mean) * (c.Rate() - mean)
	}
	near(t, "mean of the rates", mean, 0.1360065389, 1e-6)
	size := mean*(1-mean)/(squares/float64(len(rats)-1)) - 1
	near(t, "alpha by moments", mean*size, 1.356149391, 1e-6)
	near(t, "beta by moments", (1-mean)*size, 8.615057891, 1e-6)
	after := Plan{alpha: mean*size + 4, beta: (1-mean)*size + 10}
	near(t, "mean after 4 of 14", after.Mean(), 0.2234409526, 1e-6)
	// The chance that the next two lack it is the mean of the squared rate.
	near(t, "deviation after 4 of 14", math.Sqrt(after.lack(2, 2)-after.Mean()*after.Mean()), 0.08335830195, 1e-6)
}

// The likelihood of the same groups is highest at Beta(2.304768, 14.079707), allowed
// within 0.0005 (vignette of the R package BayesGOF; R 4.2.2 nlm and VGAM 1.1-7 agree).
func TestBetaByLikelihood(t *testing.T) {
	like := func(a, b float64) (sum float64) {
		p := Plan{alpha: a, beta: b}
		for _, c := range rats {
			sum += math.Log(p.lack(c.Missing, c.Looked))
		}
		return sum
	}
	a, b := 2.0, 12.0
	const h = 1e-3
	for range 30 { // Newton's steps
		at := like(a, b)
		ga, gb := (like(a+h, b)-like(a-h, b))/(2*h), (like(a, b+h)-like(a, b-h))/(2*h)
		haa, hbb := (like(a+h, b)-2*at+like(a-h, b))/(h*h), (like(a, b+h)-2*at+like(a, b-h))/(h*h)
		hab := (like(a+h, b+h) - like(a+h, b-h) - like(a-h, b+h) + like(a-h, b-h)) / (4 * h * h)
		det := haa*hbb - hab*hab
		a, b = a-(hbb*ga-hab*gb)/det, b-(haa*gb-hab*ga)/det
	}
	near(t, "alpha", a, 2.304768, 5e-4)
	near(t, "beta", b, 14.079707, 5e-4)
}
