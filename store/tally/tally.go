// Package tally says what is counted how often, how much of a count was right, and
// how many boxes to count.
//
// Parts fall into classes A, B and C by their yearly value, so that what matters
// most is counted most. The class follows from the share of the value before a
// part, largest first: the largest is always A. A count is right when it agrees
// with the book, box by box.
//
// Its one surprising rule: one box too many never makes up for one too few.
package tally

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
	order, total := make([]int, len(items)), int64(0)
	for i, it := range items {
		order[i], total = i, total+it.Value
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(items[b].Value, items[a].Value), cmp.Compare(items[a].Part, items[b].Part))
	})
	out, before := make([]Class, len(items)), int64(0)
	for _, i := range order {
		switch it := items[i]; {
		case it.ByHand:
			out[i] = 'A'
		case it.Value <= 0:
			out[i] = 'C'
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

// SayClass says what a class is: A: these 2 of 10 items are 72 % of the yearly value.
func SayClass(items []Item, classes []Class, c Class) string {
	n, value, total := 0, int64(0), int64(0)
	for i, it := range items {
		total += it.Value
		if classes[i] == c {
			n, value = n+1, value+it.Value
		}
	}
	if total == 0 {
		return fmt.Sprintf("%s: these %d of %d items have no yearly value.", c, n, len(items))
	}
	return fmt.Sprintf("%s: these %d of %d items are %.0f %% of the yearly value.", c, n, len(items), 100*float64(value)/float64(total))
}

// A Plan is how many boxes of a class are counted how many times a year.
type Plan struct {
	Boxes, Times int64
}

// InWeek is the number of boxes to count in a week, the first being 0, when a year
// has so many working weeks. The fraction is carried over from week to week, so that
// a year has all its counts and no class is rounded up by itself.
func InWeek(plans []Plan, weeks, week int64) int64 {
	year := int64(0)
	for _, p := range plans {
		year += p.Boxes * p.Times
	}
	return (week+1)*year/weeks - week*year/weeks
}

// SayPlan says how many boxes are counted a week, and each class how often; plans are
// those of A, B and C.
func SayPlan(plans []Plan, weeks int64) string {
	year, often := int64(0), ""
	for i, p := range plans {
		year += p.Boxes * p.Times
		switch {
		case i == 0:
			often = fmt.Sprintf("every %s %s a year", Class('A'), times(p.Times))
		default:
			often += fmt.Sprintf(", %s %s", Class('A'+byte(i)), times(p.Times))
		}
	}
	about := ""
	if year%weeks != 0 {
		about = "about "
	}
	return fmt.Sprintf("Count %s%d boxes a week: %s.", about, (year+weeks/2)/weeks, often)
}

func times(n int64) string {
	if words := [...]string{"never", "once", "twice", "three times", "four times"}; n < int64(len(words)) {
		return words[n]
	}
	return fmt.Sprintf("%d times", n)
}

// A Reading is what the book has and what was counted.
type Reading struct {
	Book, Counted int64
}

// Right says whether a reading agrees with the book, within so many per cent of the
// book: 0 for parts, more for what is weighed.
func (r Reading) Right(percent float64) bool {
	return math.Abs(float64(r.Counted-r.Book)) <= percent/100*float64(r.Book)+1e-9
}

// Accuracy counts the readings that are right. The share's interval is for package
// odds to say.
func Accuracy(list []Reading, percent float64) (right, counted int64) {
	for _, r := range list {
		if r.Right(percent) {
			right++
		}
	}
	return right, int64(len(list))
}
