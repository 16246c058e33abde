package code

import (
	"cmp"
	"encoding/binary"
	"math/bits"
	"slices"
)

// Packed is a code of one to eight bytes as a number; such numbers are in the order of
// their codes. Other codes have none.
func Packed[T ~string | ~[]byte](c T) (n uint64, ok bool) {
	if len(c) == 0 || len(c) > 8 {
		return 0, false
	}
	for i := range len(c) {
		n = n<<8 | uint64(c[i])
	}
	return n << (64 - 8*len(c)), true
}

// Unpacked is the code that [Packed] made a number of.
func Unpacked(n uint64) Code {
	var b [8]byte
	return Code(UnpackTo(&b, n))
}

// UnpackTo is the bytes of the code that [Packed] made a number of.
func UnpackTo(b *[8]byte, n uint64) []byte {
	binary.BigEndian.PutUint64(b[:], n)
	return b[:8-bits.TrailingZeros64(n)/8]
}

// A Ranked is something by its place in a list, and the number by which it is put in order.
type Ranked struct {
	By uint64
	At int32
}

// Rank puts a long list in order of numbers. What has the same number stays in its order.
func Rank(list []Ranked) {
	if len(list) < 64 {
		slices.SortStableFunc(list, func(a, b Ranked) int { return cmp.Compare(a.By, b.By) })
		return
	}
	var often [8][256]int32 // of each value of each byte
	for _, x := range list {
		for i := range often {
			often[i][byte(x.By>>(8*i))]++
		}
	}
	from, to := list, []Ranked(nil)
	for i := range often {
		if often[i][byte(list[0].By>>(8*i))] == int32(len(list)) {
			continue // all have the same
		}
		if to == nil {
			to = make([]Ranked, len(list))
		}
		next, sum := &often[i], int32(0)
		for b, n := range next {
			next[b], sum = sum, sum+n
		}
		for _, x := range from {
			b := byte(x.By >> (8 * i))
			to[next[b]] = x
			next[b]++
		}
		from, to = to, from
	}
	if &from[0] != &list[0] {
		copy(list, from)
	}
}
