// Package stack finds which shims add up to a thickness.
//
// A shim lies in a bag of a thickness, in micrometres, of which so many are free;
// a stack takes pieces of bags, and its total is the sum of their thicknesses.
// The surprising rule: it is exact or it is nothing. 0.349 is not 0.35, and where
// nothing adds up the nearest below and the nearest above are told instead.
package stack

import "slices"

// A Bag is a number of shims of one thickness.
type Bag struct {
	Thick int64 // micrometres, above zero
	Free  int64 // pieces
}

// A Pick is a number of pieces of one bag.
type Pick struct {
	Bag int // its place in the list of bags
	N   int64
}

// A Stack is one way to add up shims.
type Stack struct {
	Picks  []Pick // in the order of the bags
	Pieces int64
	Total  int64 // micrometres
}

// Most is how many equally good stacks are told, and Thickest the thickest that
// can be asked for, in micrometres: beyond a centimetre it is no pack of shims.
const (
	Most     = 12
	Thickest = 10_000
)

// Make returns the stacks that come to want exactly, those with the fewest pieces
// alone, at most [Most] of them. Of two stacks with as many pieces the one that
// takes more of an earlier bag comes first. Where there is none it returns the
// nearest below and the nearest above, in this order, each with the fewest
// pieces, and exact false. Bags without a piece or without a thickness do not
// count. A want of less than one or more than [Thickest] gives nothing.
//
// The search is exact: dynamic programming over micrometres. A stack above want
// that is nearest exceeds it by less than its thinnest shim, so that sums up to
// want and the thickest shim are enough.
func Make(bags []Bag, want int64) (stacks []Stack, exact bool) {
	if want < 1 || want > Thickest {
		return nil, false
	}
	f := fill(bags, want)
	if f.fewest[0][want] != none {
		return f.all(want, Most), true
	}
	for s := want - 1; s > 0; s-- {
		if f.fewest[0][s] != none {
			stacks = append(stacks, f.all(s, 1)...)
			break
		}
	}
	for s := want + 1; s < int64(len(f.fewest[0])); s++ {
		if f.fewest[0][s] != none {
			return append(stacks, f.all(s, 1)...), false
		}
	}
	return stacks, false
}

// none says that a sum cannot be reached.
const none = int32(-1)

// A filled holds, for every bag, the fewest pieces of it and those behind it that
// reach each sum.
type filled struct {
	bags   []Bag
	fewest [][]int32 // by bag, then by sum; one row more than bags
}

// fill reckons from the last bag to the first.
func fill(bags []Bag, want int64) filled {
	limit := want
	for _, b := range bags {
		if b.Free > 0 && b.Thick <= Thickest {
			limit = max(limit, want+b.Thick)
		}
	}
	row := slices.Repeat([]int32{none}, int(limit)+1)
	row[0] = 0
	f := filled{bags, make([][]int32, len(bags)+1)}
	f.fewest[len(bags)] = row
	for i := len(bags) - 1; i >= 0; i-- {
		row = slices.Clone(row)
		add(row, bags[i])
		f.fewest[i] = row
	}
	return f
}

// add lets a row take up to all pieces of a bag. Lots of 1, 2, 4 ... and the rest
// make every number up to the bag's.
func add(row []int32, b Bag) {
	if b.Thick < 1 || b.Free < 1 {
		return
	}
	left := min(b.Free, int64(len(row))/b.Thick)
	for lot := int64(1); left > 0; lot *= 2 {
		n := min(lot, left)
		left -= n
		for s := int64(len(row)) - 1; s >= n*b.Thick; s-- {
			before := row[s-n*b.Thick]
			if before != none && (row[s] == none || before+int32(n) < row[s]) {
				row[s] = before + int32(n)
			}
		}
	}
}

// all lists the stacks of the fewest pieces that reach a sum, up to most.
func (f filled) all(sum int64, most int) []Stack {
	var out []Stack
	var picks []Pick
	var walk func(i int, left int64)
	walk = func(i int, left int64) {
		if len(out) == most {
			return
		}
		if i == len(f.bags) {
			out = append(out, Stack{slices.Clone(picks), int64(f.fewest[0][sum]), sum})
			return
		}
		b := f.bags[i]
		n := int64(0)
		if b.Thick > 0 {
			n = max(0, min(b.Free, left/b.Thick))
		}
		for ; n >= 0; n-- {
			// What is left behind this bag must be reached with as few as planned.
			rest := f.fewest[i+1][left-n*b.Thick]
			if rest == none || int64(rest)+n != int64(f.fewest[i][left]) {
				continue
			}
			if n > 0 {
				picks = append(picks, Pick{i, n})
			}
			walk(i+1, left-n*b.Thick)
			if n > 0 {
				picks = picks[:len(picks)-1]
			}
		}
	}
	walk(0, sum)
	return out
}
