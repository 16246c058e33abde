package store

import (
	"encoding/binary"
	"hash/crc32"
	"sync"
	"sync/atomic"
)

// A CRC-32C (RFC 3720, appendix B.4) is read from small tables of our own first: the
// standard library makes tables for 0.15 ms before it sums the first byte, several times
// quicker from then on. What a short answer reads is summed by then.

// manyBytes are so many that making the quick tables is worth it.
const manyBytes = 128 << 10

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
	t := slowSums()
	sum = ^sum
	for ; len(b) >= 8; b = b[8:] {
		sum ^= binary.LittleEndian.Uint32(b)
		sum = t[0][b[7]] ^ t[1][b[6]] ^ t[2][b[5]] ^ t[3][b[4]] ^
			t[4][sum>>24] ^ t[5][byte(sum>>16)] ^ t[6][byte(sum>>8)] ^ t[7][byte(sum)]
	}
	for _, x := range b {
		sum = t[0][byte(sum)^x] ^ sum>>8
	}
	return ^sum
}

// slowSums are the sums of one byte each, and behind them of one that 1 to 7 zero bytes follow.
var slowSums = sync.OnceValue(func() *[8][256]uint32 {
	t, sum := new([8][256]uint32), uint32(1)
	for i := 128; i > 0; i >>= 1 {
		low := sum & 1
		sum >>= 1
		if low == 1 {
			sum ^= crc32.Castagnoli
		}
		for j := 0; j < 256; j += 2 * i {
			t[0][i+j] = sum ^ t[0][j]
		}
	}
	for i := range t[0] {
		for k := 1; k < len(t); k++ {
			t[k][i] = t[0][byte(t[k-1][i])] ^ t[k-1][i]>>8
		}
	}
	return t
})
