package tell

import (
	"encoding/binary"
	"iter"
	"unsafe"
)

// A Cell is a text in a table, and how many columns it takes on a screen.
type Cell struct {
	text string
	wide int
}

// A packed is the rows of a table in a few pieces of memory: a table may have a hundred
// thousand of them, and a string a cell would take more than what is in it.
type packed struct{ pieces [][]byte }

// A piece has room for so many bytes, each for four times as many as the one before.
const (
	firstPiece = 1 << 10
	onePiece   = 1 << 16
)

// add packs a row: the number of its cells, and each behind its width and length.
func (p *packed) add(cells []Cell) {
	size := binary.MaxVarintLen64
	for _, c := range cells {
		size += 2*binary.MaxVarintLen64 + len(c.text)
	}
	last := len(p.pieces) - 1
	if last < 0 || cap(p.pieces[last])-len(p.pieces[last]) < size {
		room := firstPiece
		if last >= 0 {
			room = min(4*cap(p.pieces[last]), onePiece)
		}
		p.pieces = append(p.pieces, make([]byte, 0, max(room, size)))
		last++
	}
	b := binary.AppendUvarint(p.pieces[last], uint64(len(cells)))
	for _, c := range cells {
		b = binary.AppendUvarint(b, uint64(c.wide))
		b = append(binary.AppendUvarint(b, uint64(len(c.text))), c.text...)
	}
	p.pieces[last] = b
}

// all yields the rows; one is good until the next.
func (p *packed) all() iter.Seq[[]Cell] {
	return func(yield func([]Cell) bool) {
		var row []Cell
		for _, b := range p.pieces {
			text, at := unsafe.String(unsafe.SliceData(b), len(b)), 0 // what is packed never changes
			next := func() int {
				n, w := binary.Uvarint(b[at:])
				at += w
				return int(n)
			}
			for at < len(b) {
				row = row[:0]
				for n := next(); n > 0; n-- {
					wide, size := next(), next()
					row = append(row, Cell{text[at : at+size], wide})
					at += size
				}
				if !yield(row) {
					return
				}
			}
		}
	}
}
