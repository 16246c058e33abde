package store

import (
	"unsafe"

	bolt "go.etcd.io/bbolt"
)

// What a question reads of the file counts as memory of the process as long as it is
// mapped there, though the system keeps it anyway. A question that goes through much of a
// large store gives back what it has read, time and again; what is read once more after
// that is mapped anew.

// mapTogether is how many bytes the system maps at a time when one of them is read: 64 KiB
// on Linux, unless it is told otherwise.
const mapTogether = 64 << 10

// mostMapped is how many bytes of the file a question keeps mapped.
const mostMapped = 12 << 20

// A mapped keeps count of the pieces of the file that a question has read.
type mapped struct {
	start, size uintptr // of the file in memory
	last        uintptr // the piece that was read last
	pieces      []uint64
	n, most     int // of pieces that are set, and that may be
	given       int // how often they were given back
}

// newMapped counts what is read in a transaction, which lets the file grow no sooner than
// it ends; nil where all of the
// file is no more than may be mapped.
func newMapped(tx *bolt.Tx, most int) *mapped {
	m := &mapped{start: tx.DB().Info().Data, size: uintptr(tx.Size()), most: most / mapTogether}
	if m.size <= uintptr(most) {
		return nil
	}
	m.pieces = make([]uint64, m.size/mapTogether/64+1)
	return m
}

// read notes that bytes were read, which may lie anywhere. A nil mapped notes nothing.
func (m *mapped) read(b []byte) {
	if m == nil {
		return
	}
	first := unsafe.Pointer(unsafe.SliceData(b))
	at := uintptr(first) - m.start
	piece := at / mapTogether
	if piece == m.last || at >= m.size {
		return
	}
	m.last = piece
	word, bit := &m.pieces[piece/64], uint64(1)<<(piece%64)
	if *word&bit != 0 {
		return
	}
	*word |= bit
	if m.n++; m.n <= m.most {
		return
	}
	clear(m.pieces)
	m.n = 0
	m.given++
	giveBack(unsafe.Slice((*byte)(unsafe.Add(first, -int(at))), m.size))
}
