package store

import (
	"slices"
	"unsafe"

	bolt "go.etcd.io/bbolt"
)

// What a question reads of the file counts as memory of the process as long as it is
// mapped there, though the system keeps it anyway. A question that goes through much of a
// large store gives back what it has read long ago; what is read once more after that is
// mapped anew.

// mapTogether is how many bytes the system maps at a time when one of them is read: 64 KiB
// on Linux, unless it is told otherwise.
const mapTogether = 64 << 10

// How many bytes of the file a question keeps mapped, besides the branches that lead to
// them: one alone few; one that has given back some four times more, and one of many that
// are asked in a row, which come back to what another has read.
const (
	mostMapped = 5 << 19
	manyMapped = 12 << 20
)

// newView reads in a transaction that books nothing.
func newView(tx *bolt.Tx, m *memo) *View {
	most := manyMapped
	if m == nil {
		m = &memo{brief: true}
		if tx.DB().IsReadOnly() { // bookings come back to what is read beside them
			most = mostMapped
		}
	}
	return &View{tx: tx, memo: m, mapped: newMapped(tx, most, manyMapped)}
}

// A mapped keeps which pieces of the file a question has read and not given back.
type mapped struct {
	start, size uintptr // of the file in memory
	last        uintptr // the piece that was read last
	pieces      []uint64
	list        []uintptr // those that are set, in the order in which they were read
	most, later int       // that may be set, and once some were given back often
	given       int       // how often some were given back
}

// newMapped notes what is read in a transaction, which lets the file grow no sooner than it
// ends; nil where all of the file is no more than may be mapped.
func newMapped(tx *bolt.Tx, most, later int) *mapped {
	m := &mapped{start: tx.DB().Info().Data, size: uintptr(tx.Size()), most: most / mapTogether, later: later / mapTogether}
	if m.size <= uintptr(most) {
		return nil
	}
	m.pieces = make([]uint64, m.size/mapTogether/64+2)
	return m
}

// read notes that bytes were read, which may lie anywhere. A nil mapped notes nothing.
func (m *mapped) read(b []byte) {
	if m == nil {
		return
	}
	first := unsafe.Pointer(unsafe.SliceData(b))
	at := uintptr(first) - m.start
	piece := uintptr(first)/mapTogether - m.start/mapTogether
	if piece == m.last || at >= m.size {
		return
	}
	m.last = piece
	word, bit := &m.pieces[piece/64], uint64(1)<<(piece%64)
	if *word&bit != 0 {
		return
	}
	*word |= bit
	if m.list = append(m.list, piece); len(m.list) > m.most {
		m.giveBack(unsafe.Slice((*byte)(unsafe.Add(first, -int(at))), m.size))
	}
}

// atLength keeps as much as a question does that has given back often.
func (m *mapped) atLength() {
	if m != nil {
		m.most = m.later
	}
}

// AtLength says that the question goes through much of the store: more of it stays mapped.
func (v *View) AtLength() { v.mapped.atLength() }

// giveBack gives back the half of the pieces that was read first, at once what has none of
// the other half in between; of a question that goes through much all of the file, which is one call.
func (m *mapped) giveBack(file []byte) {
	m.given++
	if m.most == m.later {
		clear(m.pieces)
		m.list = m.list[:0]
		GiveBack(file)
		return
	}
	if m.given == 4 {
		m.atLength()
	}
	half := len(m.list) / 2
	old := slices.Sorted(slices.Values(m.list[:half]))
	m.list = slices.Delete(m.list, 0, half)
	for n := 1; len(old) > 0; old, n = old[n:], 1 {
		for n < len(old) && !slices.ContainsFunc(m.list, func(kept uintptr) bool { return old[n-1] < kept && kept < old[n] }) {
			n++
		}
		for _, piece := range old[:n] {
			m.pieces[piece/64] &^= 1 << (piece % 64)
		}
		before := m.start % mapTogether // of the first piece that is no file
		from, to := max(old[0]*mapTogether, before)-before, (old[n-1]+1)*mapTogether-before
		GiveBack(file[from:min(to, m.size)])
	}
}
