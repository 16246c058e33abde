package tell

import (
	"encoding/binary"
	"iter"
)

// A packed is the rows of a table in a few pieces of memory: a table may have a hundred
// thousand of them, and a string a cell would take more than what is in it.
type packed struct{ pieces [][]byte }

// A piece has room for so many bytes, the first for fewer.
const (
	firstPiece = 1 << 10
	onePiece   = 1 << 16
)

// add packs a row: the number of its cells, and each behind its length.
func (p *packed) add(cells []string) {
	size := binary.MaxVarintLen64
	for _, c := range cells {
		size += binary.MaxVarintLen64 + len(c)
	}
	last := len(p.pieces) - 1
	if last < 0 || cap(p.pieces[last])-len(p.pieces[last]) < size {
		room := firstPiece
		if last >= 0 {
			room = onePiece
		}
		p.pieces = append(p.pieces, make([]byte, 0, max(room, size)))
		last++
	}
	b := binary.AppendUvarint(p.pieces[last], uint64(len(cells)))
	for _, c := range cells {
		b = append(binary.AppendUvarint(b, uint64(len(c))), c...)
	}
	p.pieces[last] = b
}

// all yields the rows; one is good until the next.
func (p *packed) all() iter.Seq[[]string] {
	return func(yield func([]string) bool) {
		var row []string
		for _, b := range p.pieces {
			text, at := string(b), 0
			next := func() int {
				n, w := binary.Uvarint(b[at:])
				at += w
				return int(n)
			}
			for at < len(b) {
				row = row[:0]
				for n := next(); n > 0; n-- {
					size := next()
					row = append(row, text[at:at+size])
					at += size
				}
				if !yield(row) {
					return
				}
			}
		}
	}
}
