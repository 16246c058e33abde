// Package tally says what is counted how often, and how many bags to count to know
// how the book stands.
//
// Parts fall into classes A, B and C by their yearly value, so that what matters
// most is counted most. How much of a count was right is for package odds to say.
//
// Its one surprising rule: the class follows from the share of the value before a
// part, largest first, so that the largest is always A, however large.
package tally

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Class is A, B or C.
type Class byte

// String is the letter.
func (c Class) String() string { return string(c) }

// An Item is one part with its yearly value in cents: what is likely used in a
// year times what one costs to replace.
type Item struct {
	Part  string
	Value int64
	// ByHand is set for a part that cannot be had at any price: it is A.
	ByHand bool
}

// Cuts are the shares of the yearly value, in per cent, at which A and B end.
type Cuts struct {
	A, B int64
}

// Usual are the cuts unless others are set.
var Usual = Cuts{A: 70, B: 95}

// Classes gives every item its class, in the order of items. An item is A when the
// larger ones have less than 70 % of the value together, B below 95 %, else C;
// without value it is C; equal values go by part number. This is the rule "before":
// with the rule "after" a large item that crosses a cut would fall below it.
func Classes(items []Item, cuts Cuts) []Class {
	order, total := []int(nil), int64(0) // of what has a value
	out, before := make([]Class, len(items)), int64(0)
	for i, it := range items {
		total += it.Value
		switch {
		case it.Value > 0:
			order = append(order, i)
		case it.ByHand:
			out[i] = 'A'
		default:
			out[i] = 'C'
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(items[b].Value, items[a].Value), cmp.Compare(items[a].Part, items[b].Part))
	})
	for _, i := range order {
		switch it := items[i]; {
		case it.ByHand:
			out[i] = 'A'
		case below(before, total, cuts.A):
			out[i] = 'A'
		case below(before, total, cuts.B):
			out[i] = 'B'
		default:
			out[i] = 'C'
		}
		before += items[i].Value
	}
	return out
}

// below says whether part is less than so many per cent of total.
func below(part, total, percent int64) bool {
	return float64(part)*100 < float64(total)*float64(percent)
}

// SayClass says what a class is: A: 16 parts in 18 bags, 71 % of what is used in a year
// by value. The share is of all classes, 0 to 1.
func SayClass(c Class, parts, bags int64, share float64) string {
	s := fmt.Sprintf("%s: %s in %s, ", c, several(parts, "part"), several(bags, "bag"))
	switch percent := math.Round(100 * share); {
	case share <= 0:
		return s + "without a value"
	case percent < 1:
		return s + "under 1 % of what is used in a year by value"
	default:
		return s + fmt.Sprintf("%.0f %% of what is used in a year by value", percent)
	}
}

// several is a number with its word: 1 bag, 2 bags.
func several(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// A Plan is how many bags of a class are counted how many times a year.
type Plan struct {
	Bags, Times int64
}

// InWeek is the number of bags to count in a week, the first being 0, when a year
// has so many working weeks. The fraction is carried over from week to week, so that
// a year has all its counts and no class is rounded up by itself.
func InWeek(plans []Plan, weeks, week int64) int64 {
	year := int64(0)
	for _, p := range plans {
		year += p.Bags * p.Times
	}
	return (week+1)*year/weeks - week*year/weeks
}

// SayPlan says how many bags are counted a week, and each class how often: 16 a week:
// every A four times a year, B twice, C once. Plans are those of A, B and C.
func SayPlan(plans []Plan, weeks int64) string {
	year, often := int64(0), ""
	for i, p := range plans {
		year += p.Bags * p.Times
		switch {
		case i == 0:
			often = fmt.Sprintf("every %s %s a year", Class('A'), Times(p.Times))
		default:
			often += fmt.Sprintf(", %s %s", Class('A'+byte(i)), Times(p.Times))
		}
	}
	week := fmt.Sprintf("%.1f", float64(year)/float64(weeks))
	return fmt.Sprintf("%s a week: %s", strings.TrimSuffix(week, ".0"), often)
}

// Times is how often, as people say it: once, twice, three times.
func Times(n int64) string {
	if words := [...]string{"never", "once", "twice", "three times", "four times"}; n < int64(len(words)) {
		return words[n]
	}
	return fmt.Sprintf("%d times", n)
}
