package store

import (
	"encoding/binary"
	"slices"
)

// packedBlock is about how many bytes of rows go to the disk together, and packedAt how
// many blocks of a list stay in memory; a test makes them small.
var (
	packedBlock = 64 << 10
	packedAt    = 16
)

// packed are rows as bytes, one behind the other in blocks: the first in memory, the
// others on the disk beside a store. The zero packed is empty, and beside no store.
type packed struct {
	n      int
	first  []int32 // the number of the first row of every block
	blocks []extent
	held   [][]byte
	disk   scratch
	filled []byte // the last block, to which rows are added
	seek   packedReader
	err    error // the first that the disk gave
}

// add packs a row behind the others.
func (p *packed) add(row []byte) {
	if len(p.filled) == 0 {
		p.first = append(p.first, int32(p.n))
	}
	p.filled = append(binary.AppendUvarint(p.filled, uint64(len(row))), row...)
	p.seek.of = nil // it may stand in this block
	if p.n++; len(p.filled) >= packedBlock {
		p.put()
	}
}

// put lets go of the block that is filled.
func (p *packed) put() {
	if len(p.held) < packedAt {
		p.held, p.filled = append(p.held, p.filled), make([]byte, 0, packedBlock+packedBlock/8)
		return
	}
	at, err := p.disk.append(p.filled)
	if p.err == nil {
		p.err = err
	}
	p.blocks, p.filled = append(p.blocks, extent{at, at + int64(len(p.filled))}), p.filled[:0]
}

// block is a block by its number, in room where it lies on the disk.
func (p *packed) block(i int, room []byte) []byte {
	switch far := i - len(p.held); {
	case far < 0:
		return p.held[i]
	case far == len(p.blocks):
		return p.filled
	default:
		x := p.blocks[far]
		room = slices.Grow(room[:0], int(x.end-x.at))[:x.end-x.at]
		if _, err := p.disk.file.ReadAt(room, x.at); err != nil && p.err == nil {
			p.err = unreadable(err)
		}
		if p.err != nil {
			return nil
		}
		return room
	}
}

// at is the bytes of row i, good until the next are asked for; nil where the disk does
// not give them.
func (p *packed) at(i int) []byte {
	r := &p.seek
	b, found := slices.BinarySearch(p.first, int32(i))
	if !found {
		b--
	}
	if r.of != p || r.block != b || r.next > i || len(r.rest) == 0 {
		*r = packedReader{of: p, block: b - 1, next: int(p.first[b]), room: r.room}
	}
	for r.next <= i {
		if !r.advance() {
			return nil
		}
	}
	return r.row
}

// each goes through the rows from the first. Nothing may be added meanwhile.
func (p *packed) each() *packedReader { return &packedReader{of: p, block: -1} }

// close lets go of everything.
func (p *packed) close() {
	p.disk.close()
	*p = packed{disk: scratch{path: p.disk.path}, err: p.err}
}

// A packedReader goes through packed rows.
type packedReader struct {
	of    *packed
	block int // at hand
	next  int // the number of the next row
	room  []byte
	rest  []byte // of the block
	row   []byte // at hand
}

// advance goes to the next row, and says whether there is one.
func (r *packedReader) advance() bool {
	for len(r.rest) == 0 {
		if r.next >= r.of.n || r.block+1 >= len(r.of.first) {
			return false
		}
		r.block++
		b := r.of.block(r.block, r.room)
		if r.block >= len(r.of.held) && r.block-len(r.of.held) < len(r.of.blocks) {
			r.room = b
		}
		if r.rest = b; len(b) == 0 {
			return false
		}
	}
	r.row, r.rest = cut(r.rest)
	r.next++
	return true
}
