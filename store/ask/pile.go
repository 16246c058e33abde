package ask

import (
	"cmp"
	"iter"
	"math"
	"math/bits"
	"strings"

	"tinful/store/code"
)

// A pile is a long list that grows without being copied.
type pile[T any] struct{ pieces [][]T }

const inPiece = 4096 // of a pile

func (p *pile[T]) add(x T) {
	last := len(p.pieces) - 1
	switch {
	case last < 0:
		p.pieces, last = [][]T{nil}, 0 // the first one grows
	case len(p.pieces[last]) == inPiece:
		p.pieces, last = append(p.pieces, make([]T, 0, inPiece)), last+1
	}
	p.pieces[last] = append(p.pieces[last], x)
}

func (p *pile[T]) at(i int) *T { return &p.pieces[i/inPiece][i%inPiece] }

func (p *pile[T]) len() int {
	last := len(p.pieces) - 1
	if last < 0 {
		return 0
	}
	return last*inPiece + len(p.pieces[last])
}

func (p *pile[T]) all() iter.Seq2[int, *T] {
	return func(yield func(int, *T) bool) {
		for i, piece := range p.pieces {
			for j := range piece {
				if !yield(i*inPiece+j, &piece[j]) {
					return
				}
			}
		}
	}
}

// A tags has a number for codes, by which they sort where no code is longer than eight
// bytes: of others it is that of their coming.
type tags struct{ long code.Index }

func tagged[T ~string | ~[]byte](t *tags, c T) uint64 {
	n, ok := code.Packed(c)
	if !ok {
		i, _ := t.long.Add(code.Code(c))
		n = uint64(i)
	}
	return n
}

// find is the number of a code, if it has one.
func (t *tags) find(c code.Code) (n uint64, ok bool) {
	if n, ok = code.Packed(c); !ok {
		var i int
		i, ok = t.long.Number(c)
		n = uint64(i)
	}
	return n, ok
}

// isLong says that a number is that of a code longer than eight bytes, or of none.
func (t *tags) isLong(n uint64) bool { return n < uint64(t.long.Len()) }

// atMost is how many columns the code that has a number takes at most.
func (t *tags) atMost(n uint64) int {
	if t.isLong(n) || n&0x8080808080808080 != 0 {
		return math.MaxInt
	}
	return 8 - bits.TrailingZeros64(n)/8
}

// compare compares the codes that have numbers.
func (t *tags) compare(a, b uint64) int {
	if t.isLong(a) || t.isLong(b) {
		return cmp.Compare(t.of(a), t.of(b))
	}
	return cmp.Compare(a, b)
}

// within is the code that has a number, as a part of a longer text, of which many codes
// are made.
func (t *tags) within(b *strings.Builder, n uint64) code.Code {
	if t.isLong(n) {
		return t.long.At(int(n))
	}
	if b.Cap()-b.Len() < 8 {
		*b = strings.Builder{}
		b.Grow(1 << 12)
	}
	from := b.Len()
	var bytes [8]byte
	b.Write(code.UnpackTo(&bytes, n))
	return code.Code(b.String()[from:])
}

// of is the code that has a number.
func (t *tags) of(n uint64) code.Code {
	if t.isLong(n) {
		return t.long.At(int(n))
	}
	return code.Unpacked(n)
}
