// Package cost shares the price of a parts camera among what came out of it.
//
// The measure is net realisable value: what a line should fetch, less what it
// takes to make it saleable, times the chance that it works. By-products, small
// things such as screws, come off the price first at their value; the rest of
// the price is shared by value over the other lines, of which what stays in the
// body is one. Sources: International Accounting Standard 2, paragraph 14
// (by-products at net realisable value, deducted from the cost of the main
// products); the rest is common practice.
//
// The surprising rule: a share may be greater than the line's value. When the
// parts fetch less than was paid, all that was paid is shared all the same, and
// [Split.Loss] says by how much it is more: whether to write it down is for the
// owner to decide.
package cost

import (
	"cmp"
	"math/big"
	"slices"
)

// Sure is the chance of a thing that works for certain: chances are in
// hundredths.
const Sure = 100

// A Line is one thing that came out of the body, or what stays in it.
type Line struct {
	Value     int64 // cents it should fetch when it works, all its pieces, not below 0
	Further   int64 // cents to make it saleable, for all its pieces
	Chance    int64 // hundredths, from 0 to [Sure], that it works
	Count     int64 // pieces: what is shared by when nothing has a value
	ByProduct bool
}

// Net is the net realisable value in hundredths of a cent, not below 0.
func (l Line) Net() int64 { return max(0, l.Value-l.Further) * min(max(l.Chance, 0), Sure) }

// A Split is a price that is shared.
type Split struct {
	Shares    []int64 // cents for each line; they add up to the price
	ByProduct int64   // cents that came off the price first
	Net       int64   // cents all lines should fetch, rounded
	Loss      int64   // cents by which the price is more than they should fetch, else 0
	ByCount   bool    // no line has a value: shared by pieces
}

// Share splits a price in cents, not below 0, over lines. It returns no shares
// for no lines.
//
// By-products take their net value, and together no more than the price. What
// is left goes to the other lines by net value, or to the by-products where
// there are no others of any value. Where nothing has a value, the lines share
// by their pieces, a physical measure, and equally where no pieces are told.
func Share(price int64, lines []Line) Split {
	s := Split{Shares: make([]int64, len(lines))}
	var small, main []int64 // net values of each line, 0 for one of the other kind
	var all, rest int64
	for _, l := range lines {
		n := l.Net()
		all += n
		if l.ByProduct {
			small, main = append(small, n), append(main, 0)
		} else {
			small, main = append(small, 0), append(main, n)
			rest += n
		}
	}
	s.Net = (all + Sure/2) / Sure
	s.Loss = max(0, price-s.Net)
	switch {
	case len(lines) == 0:
	case all == 0:
		s.ByCount, s.Shares = true, Proportional(price, pieces(lines))
	case rest == 0:
		s.ByProduct, s.Shares = price, Proportional(price, small)
	default:
		s.ByProduct = min(price, (all-rest+Sure/2)/Sure)
		s.Shares = Proportional(s.ByProduct, small)
		for i, c := range Proportional(price-s.ByProduct, main) {
			s.Shares[i] += c
		}
	}
	return s
}

// pieces are the counts of lines, or one each where none has any.
func pieces(lines []Line) []int64 {
	out, sum := make([]int64, len(lines)), int64(0)
	for i, l := range lines {
		out[i] = max(0, l.Count)
		sum += out[i]
	}
	for i := range out {
		if sum == 0 {
			out[i] = 1
		}
	}
	return out
}

// Proportional shares a total, not below 0, in whole units by weights, so that
// the shares add up to it: each has the whole part of its exact quota, and what
// is left goes one by one to the largest remainders, of equal ones to the
// earlier (the method of largest remainder, or Hamilton's). Where no weight is
// above 0, all shares are 0.
func Proportional(total int64, weights []int64) []int64 {
	out := make([]int64, len(weights))
	sum := new(big.Int)
	for _, w := range weights {
		sum.Add(sum, big.NewInt(w))
	}
	if sum.Sign() == 0 {
		return out
	}
	type remainder struct {
		line int
		size *big.Int
	}
	left, rest := total, make([]remainder, len(weights))
	for i, w := range weights {
		quota, r := new(big.Int), new(big.Int)
		quota.QuoRem(new(big.Int).Mul(big.NewInt(total), big.NewInt(w)), sum, r)
		out[i], rest[i] = quota.Int64(), remainder{i, r}
		left -= out[i]
	}
	slices.SortStableFunc(rest, func(a, b remainder) int { return cmp.Or(b.size.Cmp(a.size), cmp.Compare(a.line, b.line)) })
	for _, r := range rest[:left] {
		out[r.line]++
	}
	return out
}
