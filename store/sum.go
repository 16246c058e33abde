package store

import (
	"hash/crc32"
	"sync"
	"sync/atomic"
)

// A CRC-32C (RFC 3720, appendix B.4) is read from a small table of our own first: the
// standard library makes tables for 0.15 ms before it sums the first byte, ten times
// quicker from then on. What a short answer reads is summed by then.

// manyBytes are so many that making the quick tables is worth it.
const manyBytes = 64 << 10

var (
	quickSums atomic.Pointer[crc32.Table] // nil until many bytes were summed
	slowly    atomic.Int64                // bytes summed without it
)

// summed is the CRC-32C of what sum is that of, and b behind it.
func summed(sum uint32, b []byte) uint32 {
	if quick := quickSums.Load(); quick != nil {
		return crc32.Update(sum, quick, b)
	}
	if slowly.Add(int64(len(b))) > manyBytes {
		quickSums.Store(crc32.MakeTable(crc32.Castagnoli))
	}
	table := slowSums()
	sum = ^sum
	for _, x := range b {
		sum = table[byte(sum)^x] ^ sum>>8
	}
	return ^sum
}

// slowSums are the sums of one byte each.
var slowSums = sync.OnceValue(func() *[256]uint32 {
	table, sum := new([256]uint32), uint32(1)
	for i := 128; i > 0; i >>= 1 {
		low := sum & 1
		sum >>= 1
		if low == 1 {
			sum ^= crc32.Castagnoli
		}
		for j := 0; j < 256; j += 2 * i {
			table[i+j] = sum ^ table[j]
		}
	}
	return table
})
