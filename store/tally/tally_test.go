package tally

import (
	"fmt"
	"math"
	"testing"
)

// A chip manufacturer's ten items: Heizer and Render, Operations Management, example
// 12.EX.1 (holooly.com): units a year times the cost of one, in cents.
var chips = []Item{
	{Part: "10286", Value: 9000000},
	{Part: "11526", Value: 7700000},
	{Part: "12760", Value: 2635000},
	{Part: "10867", Value: 1500100},
	{Part: "10500", Value: 1250000},
	{Part: "12572", Value: 850200},
	{Part: "14075", Value: 120000},
	{Part: "01036", Value: 85000},
	{Part: "01307", Value: 50400},
	{Part: "10572", Value: 15000},
}

func TestClasses(t *testing.T) {
	classes := Classes(chips, Usual)
	for i, want := range "AABBBCCCCC" {
		if classes[i] != Class(want) {
			t.Errorf("%s is %s, the book has %c", chips[i].Part, classes[i], want)
		}
	}
	// With A up to 80 % the rule "after" would leave 10500, which ends at 95.17 %, in C;
	// by the rule "before" it begins at 89.78 % and is B, as is 10867, beginning at 83.32 %.
	wider := Classes(chips, Cuts{80, 95})
	if got := fmt.Sprint(wider[:5]); got != "[A A A B B]" {
		t.Errorf("with 80 and 95 the first five are %s, want [A A A B B]: they begin at 0, 38.8, 72.0, 83.3 and 89.8 %%", got)
	}
}

// By hand: 50 and 50 of 100. P1 begins at 0 % and P2 at 50 %, both below 70 %; what
// has no value is C unless it was set to A.
func TestClassesAtTheEdges(t *testing.T) {
	items := []Item{{Part: "P3"}, {Part: "P2", Value: 50}, {Part: "P4", ByHand: true}, {Part: "P1", Value: 50}}
	if got := fmt.Sprint(Classes(items, Usual)); got != "[C A A A]" {
		t.Errorf("classes are %s, want [C A A A]", got)
	}
	// At a cut of 50 % P2 begins exactly there and is B: the tie goes by part number.
	if got := fmt.Sprint(Classes(items, Cuts{50, 95})); got != "[C B A A]" {
		t.Errorf("classes are %s, want [C B A A]", got)
	}
}

func TestSayClass(t *testing.T) {
	for _, tt := range []struct {
		parts, bags int64
		share       float64
		want        string
	}{
		{2, 3, 0.7197, "A: 2 parts in 3 bags, 72 % of what is used in a year by value"}, // the book's A has 71.97 %
		{1, 1, 0.004, "A: 1 part in 1 bag, under 1 % of what is used in a year by value"},
		{33, 39, 0, "A: 33 parts in 39 bags, without a value"},
	} {
		if got := SayClass('A', tt.parts, tt.bags, tt.share); got != tt.want {
			t.Errorf("says %q, want %q", got, tt.want)
		}
	}
}

func TestInWeek(t *testing.T) {
	sum := func(plans []Plan, of, weeks int64) (n, least, most int64) {
		least = math.MaxInt64
		for w := range weeks {
			k := InWeek(plans, of, w)
			n, least, most = n+k, min(least, k), max(most, k)
		}
		return n, least, most
	}
	// By hand: 40 A four times, 120 B twice, 400 C once are 800 a year, 16 in each of 50.
	workshop := []Plan{{40, 4}, {120, 2}, {400, 1}}
	if n, least, most := sum(workshop, 50, 50); n != 800 || least != 16 || most != 16 {
		t.Errorf("%d a year, %d to %d a week; want 800 and always 16", n, least, most)
	}
	if got, want := SayPlan(workshop, 50), "16 a week: every A four times a year, B twice, C once"; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	// By hand: 6 * 10 in 52 weeks are 1.15.
	if got, want := SayPlan([]Plan{{6, 10}}, 52), "1.2 a week: every A 10 times a year"; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	// A truck maker counts 500 every 20 days, 1750 every 60, 2750 every 120, which is 77.08
	// a day (Heizer and Render, example 12.EX.2): 77 on 11 days and 78 on the 12th, 925 in 12.
	trucks := []Plan{{500, 12}, {1750, 4}, {2750, 2}}
	if n, least, most := sum(trucks, 240, 12); n != 925 || least != 77 || most != 78 {
		t.Errorf("%d in 12 days, %d to %d a day; want 925, 77 to 78", n, least, most)
	}
	// Same page: with 1500 B and 3000 C it is 75 a day.
	if n := InWeek([]Plan{{500, 12}, {1500, 4}, {3000, 2}}, 240, 0); n != 75 {
		t.Errorf("%d a day, want 75", n)
	}
}

// Exact: R 4.2.2 phyper. The quick formula of Cannon and Roe 1982 comes close from
// below: (1 - 0.05^(1/D)) (N - (D-1)/2).
func TestHowMany(t *testing.T) {
	for _, c := range []struct {
		all, wrong, want int64
		formula          float64
	}{
		{100, 10, 25, 24.72166011},
		{50, 5, 22, 21.63454696},
		{300, 15, 54, 53.04362785},
		{120, 6, 47, 46.18193786},
	} {
		got := HowMany(c.all, c.wrong, 0.95)
		if got != c.want {
			t.Errorf("count %d of %d when %d are wrong, want %d", got, c.all, c.wrong, c.want)
		}
		if math.Abs(float64(got)-c.formula) > 1 {
			t.Errorf("count %d, the quick formula says %g", got, c.formula)
		}
	}
	// By hand: all are wrong, one is enough; none is wrong, none can be met; 1 of 20
	// wrong, 19 counted leave it out once in 20, which is just enough.
	for _, c := range [][3]int64{{10, 10, 1}, {10, 0, 10}, {20, 1, 19}} {
		if got := HowMany(c[0], c[1], 0.95); got != c[2] {
			t.Errorf("count %d of %d when %d are wrong, want %d", got, c[0], c[1], c[2])
		}
	}
	// By hand: leaving out the one of 100 that is wrong has a chance of (100-n)/100, 5 % with 95.
	for _, tt := range []struct {
		all, wrong int64
		want       string
	}{
		{100, 10, "count 25 of the 100 bags: if 10 are wrong you meet one 19 times in 20"},
		{100, 1, "count 95 of the 100 bags: if 1 is wrong you meet one 19 times in 20"},
		{1, 1, "count 1 of the 1 bag: if 1 is wrong you meet one 19 times in 20"},
	} {
		if got := SayHowMany(tt.all, tt.wrong); got != tt.want {
			t.Errorf("says %q, want %q", got, tt.want)
		}
	}
}
