package reorder

import (
	"fmt"
	"slices"
	"testing"
)

// The series of a general forecasting library (sktime, test_croston.py).
var golden = []float64{0, 0, 2, 7, 0, 0, 0, 5, 0, 0, 0, 0, 3}

// Lubricant product C of Hyndman and Athanasopoulos, Forecasting: Principles and
// Practice, 2nd edition.
var productC = []float64{0, 2, 0, 1, 0, 11, 0, 0, 0, 0, 2, 0, 6, 3, 0, 0, 0, 0, 0, 7, 0, 0, 0, 0, 0, 0, 0, 3, 1, 0, 0, 1, 0, 1, 0, 0}

func TestTSB(t *testing.T) {
	for _, c := range []struct {
		name                   string
		series                 []float64
		a, b                   float64
		chance, size, forecast float64
		within                 float64
		source                 string
	}{
		// The size is Croston's, which that library prints: 2.775.
		{"golden", golden, 0.1, 0.1, 0.3140171956, 2.775, 0.8713977178, 1e-9, "R 4.2.2 and Python 3.11 from the definition"},
		// Croston's figure stays at 0.887 here; this one falls.
		{"golden and 20 quiet", slices.Concat(golden, make([]float64, 20)), 0.1, 0.1, 0.0381771601, 2.775, 0.1059416193, 1e-9, "R 4.2.2 and Python 3.11"},
		{"product C", productC, 0.2, 0.05, 0.3291883514, 2.5743975424, 0.8474616828, 1e-9, "R 4.2.2 and Python 3.11"},
		// Wanted every month, so the chance stays 1 and the size is simple exponential
		// smoothing, as Croston's is.
		{"air passengers", passengers, 0.1, 0.05, 1, 460.302772481884, 460.302772481884, 1e-8, "R forecast 8.20, croston()"},
	} {
		_, now := TSB(c.series, c.a, c.b)
		near(t, c.name+" chance ("+c.source+")", now.Chance, c.chance, c.within)
		near(t, c.name+" size ("+c.source+")", now.Size, c.size, c.within)
		near(t, c.name+" rate ("+c.source+")", now.Rate(), c.forecast, c.within)
	}
	if last, now := TSB(make([]float64, 9), 0.1, 0.05); last != (Trend{}) || now != (Trend{}) {
		t.Errorf("never wanted gives %v and %v, want nothing", last, now)
	}
}

func TestDying(t *testing.T) {
	// By hand: wanted once a month for 6 months the chance is 1, the need 12 a year;
	// after 20 quiet months it is 12 * 0.95^20 = 4.30, after 13 it is 6.16.
	steady := []float64{1, 1, 1, 1, 1, 1}
	then, now, dying := Dying(slices.Concat(steady, make([]float64, 20)))
	near(t, "need then", then, 12, 1e-9)
	near(t, "need now", now, 4.3018, 1e-4)
	if !dying {
		t.Error("20 quiet months after 6 busy ones are not called dying")
	}
	if _, now, dying := Dying(slices.Concat(steady, make([]float64, 13))); dying || now < 6.16 || now > 6.17 {
		t.Errorf("13 quiet months: need %g, dying %t; want 6.16 and no", now, dying)
	}
	if _, _, dying := Dying(slices.Concat(steady[:4], make([]float64, 90))); dying {
		t.Error("four demands are too few to call it dying")
	}
}

func TestSentences(t *testing.T) {
	three := Demand{Jobs: 3, Years: 4, Wait: 0.5}
	for _, c := range []struct{ got, want string }{
		// Figures: the Gamma-Poisson rows of R 4.2.2, rounded.
		{three.Say(1, 0.95, percent), "3 jobs in 4 years took 3. With 1 left: 8 % chance of running out before you find more (6 months). Keep 2."},
		{three.Say(0, 0.95, percent), "3 jobs in 4 years took 3. With none left: 34 % chance of running out before you find more (6 months). Keep 2."},
		{Demand{Jobs: 3, Unmet: 1, Years: 4, Wait: 0.5}.Say(1, 0.95, percent),
			"2 jobs in 4 years took 2; asked for in vain once. With 1 left: 8 % chance of running out before you find more (6 months). Keep 2."},
		// Figures of testdata/jobs.json.
		{Demand{Jobs: 1, Years: 7.0 / 12, Wait: 0.5, Sizes: []Size{{10, 1}}}.Say(4, 0.95, percent),
			"1 job in 7 months, it took 10. 60 % chance of another before you find more (6 months). 4 left: not enough for one like it. Keep 10."},
		{Demand{Jobs: 5, Years: 2, Wait: 0.5, Sizes: []Size{{1, 4}, {10, 1}}}.Say(5, 0.95, percent),
			"5 jobs in 2 years took 14, most 1, one 10. With 5 left: 24 % chance of running out before you find more (6 months). Keep 13."},
		{Demand{Jobs: 3, Years: 1, Wait: 0.5, Sizes: []Size{{2, 2}, {10, 1}}}.Say(14, 0.95, percent),
			"3 jobs in 1 year took 14, most 2, one 10. With 14 left: 17 % chance of running out before you find more (6 months). Keep 14, all that were ever wanted; to be 95 % sure it would take 26, but 3 jobs say little."},
		{Demand{Jobs: 2, Unmet: 2, Years: 4, Wait: 0.5}.Say(0, 0.95, percent),
			"Asked for in vain 2 times in 4 years. 26 % chance of another before you find more (6 months). None left. Keep 1."},
		{Demand{Years: 5, Wait: 1, Held: 1}.Say(3, 0.95, percent), "Not used once in 5 years; 9 % chance that somebody wants it in the next year."},
		{Demand{Years: 5, Wait: 1}.Say(3, 0.95, percent), "Not wanted once in 5 years; 9 % chance that somebody wants it in the next year."},
		{SayDying(20, 10.456, 1.271), "Last wanted 20 months ago; the yearly need has fallen from about 10 to about 1."},
		{SayDying(1, 2.6, 0.43), "Last wanted 1 month ago; the yearly need has fallen from about 3 to about 0.4."},
		{Span(0.63), "8 months"}, {Span(1), "1 year"}, {Span(1.5), "18 months"}, {Span(7.2), "7 years"}, {Span(0.01), "1 month"},
	} {
		if c.got != c.want {
			t.Errorf("says\n  %s\nwant\n  %s", c.got, c.want)
		}
	}
}

// AirPassengers of the R datasets, 144 months.
var passengers = []float64{
	112, 118, 132, 129, 121, 135, 148, 148, 136, 119, 104, 118, 115, 126, 141, 135, 125, 149, 170, 170, 158, 133, 114, 140,
	145, 150, 178, 163, 172, 178, 199, 199, 184, 162, 146, 166, 171, 180, 193, 181, 183, 218, 230, 242, 209, 191, 172, 194,
	196, 196, 236, 235, 229, 243, 264, 272, 237, 211, 180, 201, 204, 188, 235, 227, 234, 264, 302, 293, 259, 229, 203, 229,
	242, 233, 267, 269, 270, 315, 364, 347, 312, 274, 237, 278, 284, 277, 317, 313, 318, 374, 413, 405, 355, 306, 271, 306,
	315, 301, 356, 348, 355, 422, 465, 467, 404, 347, 305, 336, 340, 318, 362, 348, 363, 435, 491, 505, 404, 359, 310, 337,
	360, 342, 406, 396, 420, 472, 548, 559, 463, 407, 362, 405, 417, 391, 419, 461, 472, 535, 622, 606, 508, 461, 390, 432,
}

func percent(chance float64) string { return fmt.Sprintf("%.0f %%", 100*chance) }
