package ask

import (
	"encoding/binary"
	"iter"
	"math"

	"tinful/store/code"
)

// A ShortPart is a part with less free than to keep.
type ShortPart struct {
	Part, Name, Left []byte // good until the next one; Left is [store.LeftHand]
	Free, Keep, held int64
}

// Called is the name as lines show it.
func (p ShortPart) Called() string { return filled(string(p.Name), string(p.Left)) }

// A ShortList is parts that have less than to keep, the worst first. There may be tens of
// thousands: they lie behind each other in pieces of memory that are never copied.
type ShortList struct {
	pieces [][]byte
	order  []code.Ranked // at which byte of all pieces each begins
	n      int
}

// inShort is how many bytes a piece has.
const inShort = 1 << 16

// Len is how many parts there are.
func (s *ShortList) Len() int { return len(s.order) }

// All yields the parts.
func (s *ShortList) All() iter.Seq[ShortPart] {
	return func(yield func(ShortPart) bool) {
		for _, r := range s.order {
			if p, _ := readShort(s.pieces[r.At/inShort][r.At%inShort:]); !yield(p) {
				return
			}
		}
	}
}

func (s *ShortList) add(p ShortPart) {
	var b []byte // the piece with room for it
	if last := len(s.pieces) - 1; last >= 0 {
		b = s.pieces[last]
	}
	if room := len(p.Part) + len(p.Name) + len(p.Left) + 6*binary.MaxVarintLen64; b == nil || len(b)+room > inShort {
		b = make([]byte, 0, max(room, inShort))
		s.pieces = append(s.pieces, b)
	}
	for _, n := range [...]int64{p.Free, p.Keep, p.held} {
		b = binary.AppendVarint(b, n)
	}
	for _, text := range [...][]byte{p.Part, p.Name, p.Left} {
		b = append(binary.AppendUvarint(b, uint64(len(text))), text...)
	}
	s.pieces[len(s.pieces)-1] = b
	s.n++
}

// readShort reads a part, and what follows it.
func readShort(b []byte) (p ShortPart, rest []byte) {
	for _, n := range [...]*int64{&p.Free, &p.Keep, &p.held} {
		x, w := binary.Varint(b)
		*n, b = x, b[w:]
	}
	for _, text := range [...]*[]byte{&p.Part, &p.Name, &p.Left} {
		n, w := binary.Uvarint(b)
		*text, b = b[w:w+int(n)], b[w+int(n):]
	}
	return p, b
}

// rank puts the parts in order: the least share of what is to be kept first, then what
// lacks most, then as they were added.
func (s *ShortList) rank() {
	s.order = make([]code.Ranked, 0, s.n)
	for i, piece := range s.pieces {
		for b := piece; len(b) > 0; {
			at := i*inShort + len(piece) - len(b)
			p, rest := readShort(b)
			b = rest
			share := math.Float32bits(float32(p.Free) / float32(p.Keep))
			if share>>31 == 0 {
				share |= 1 << 31
			} else {
				share = ^share
			}
			lacking := uint32(p.Keep-p.Free) ^ math.MaxInt32 // the most first
			s.order = append(s.order, code.Ranked{By: uint64(share)<<32 | uint64(lacking), At: int32(at)})
		}
	}
	code.Rank(s.order)
}

// cut takes the first parts off the list.
func (s *ShortList) cut(n int) (first ShortList) {
	first = ShortList{pieces: s.pieces, order: s.order[:n]}
	s.order = s.order[n:]
	return first
}
