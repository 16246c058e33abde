package store

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"hash/crc32"

	"tinful/store/code"
)

// chunkBytes is how much entries behind one key come to at most: a key and a
// checksum an entry would cost as much as the entry, and three such chunks fill
// a page of 4096 bytes that a bulk load leaves at [loadFill].
const chunkBytes = 1264

// A chunker packs entries of one booking with consecutive numbers into chunks: a frame
// of each entry's CBOR behind its length. The key is the number of the first.
type chunker struct {
	put     func(first uint64, chunk []byte) error
	booking uint64
	first   uint64
	b       []byte
}

// add packs the next entry.
func (c *chunker) add(e Entry) error {
	x, err := encMode().Marshal(e)
	if err != nil {
		return err
	}
	if e.Booking != c.booking || len(c.b)+binary.MaxVarintLen16+len(x)+crc32.Size > chunkBytes {
		if err := c.flush(); err != nil {
			return err
		}
	}
	if len(c.b) == 0 {
		c.first, c.booking, c.b = e.Seq, e.Booking, beginFrame(e.Booking, chunkBytes)
	}
	c.b = append(binary.AppendUvarint(c.b, uint64(len(x))), x...)
	return nil
}

// flush hands over what is not full yet.
func (c *chunker) flush() error {
	if len(c.b) == 0 {
		return nil
	}
	x := seal(bEntry, keySeq(c.first), c.b)
	c.b = nil // whoever has a chunk keeps it
	return c.put(c.first, x)
}

// unchunk calls fn for the entries of a chunk that want names, all when want
// is 0, until fn returns an error.
func unchunk(key, b []byte, want uint64, fn func(Entry) error) error {
	return unpacked(key, b, func(booking, seq uint64, x []byte) error {
		if want != 0 && seq != want {
			return nil
		}
		e := Entry{Seq: seq, Booking: booking}
		if err := unentry(seq, x, &e); err != nil {
			return err
		}
		return fn(e)
	})
}

// unpacked calls fn with the booking, the number and the bytes of every entry of a chunk.
func unpacked(key, b []byte, fn func(booking, seq uint64, x []byte) error) error {
	c, err := chunkOf(key, b)
	for err == nil && c.next() {
		err = fn(c.booking, c.seq, c.entry)
	}
	return cmp.Or(err, c.err)
}

// A chunk is the entries behind a key while they are gone through.
type chunk struct {
	booking, seq uint64
	entry        []byte // its CBOR
	rest         []byte
	err          error
}

// chunkOf is a chunk before its first entry.
func chunkOf(key, b []byte) (c chunk, err error) {
	c.booking, c.rest, err = unseal(bEntry, key, b)
	if err != nil || len(key) != 8 {
		return c, cmp.Or(err, fmt.Errorf("%w: entries lie under a key that is no number", ErrDamaged))
	}
	c.seq = binary.BigEndian.Uint64(key) - 1
	return c, nil
}

// next goes on to the next entry, if there is one.
func (c *chunk) next() bool { return c.to(c.seq + 1) }

// to goes on to a later entry, if it is there.
func (c *chunk) to(seq uint64) bool {
	b, from := c.rest, 0
	for from < len(b) {
		c.seq++
		l, w := uint64(b[from]), 1
		if l >= 1<<7 {
			l, w = binary.Uvarint(b[from:])
		}
		if w <= 0 || l > uint64(len(b)-from-w) {
			c.err = fmt.Errorf("%w: entry %d is cut off", ErrDamaged, c.seq)
			return false
		}
		begin := from + w
		if from = begin + int(l); c.seq == seq {
			c.entry, c.rest = b[begin:from], b[from:]
			return true
		}
	}
	c.rest = nil
	return false
}

// unentry reads an entry, or some of its fields, from its bytes.
func unentry[E any](seq uint64, x []byte, e *E) error {
	if q, ok := any(e).(quick); ok && q.quick(x) {
		return nil
	}
	if err := decMode().Unmarshal(x, e); err != nil {
		return fmt.Errorf("%w: entry %d: %w", ErrDamaged, seq, err)
	}
	return nil
}

// writeEntries writes the entries of a booking.
func (t *Tx) writeEntries() error {
	c := chunker{put: func(first uint64, x []byte) error { return t.put(bEntry, keySeq(first), x) }}
	for _, e := range t.entries {
		if err := c.add(e); err != nil {
			return err
		}
	}
	return c.flush()
}

// EntryNo reads one entry of the book.
func (v *View) EntryNo(seq uint64) (Entry, error) {
	if len(v.pending) > 0 && seq >= v.pending[0].Seq && seq-v.pending[0].Seq < uint64(len(v.pending)) {
		return v.pending[seq-v.pending[0].Seq], nil
	}
	var found Entry
	k, x := v.cursor(bEntry).before(keySeq(seq + 1))
	if k != nil {
		if err := unchunk(k, x, seq, func(e Entry) error { found = e; return nil }); err != nil {
			return found, err
		}
	}
	switch {
	case found.Seq == seq && seq != 0:
		return found, nil
	case seq != 0 && seq <= v.LastEntry():
		return found, lacking("entry", seq)
	}
	return found, Absent("no entry %d here", seq)
}

// EachEntry calls fn for every entry of the book, in order of numbers.
func (v *View) EachEntry(fn func(Entry) error) error {
	return v.scan(bEntry, nil, func(k, x []byte) error {
		return unchunk(k, x, 0, fn)
	})
}

// FirstDay is the day the book begins: the first of its first entries, which an
// import may have put down in any order. It is 0 for an empty book.
func (v *View) FirstDay() code.Day {
	var day code.Day
	n := 0
	c := v.cursor(bEntry)
	for k, x := c.first(); k != nil && n < firstEntries; k, x = c.next() {
		unpacked(k, x, func(_, _ uint64, x []byte) error {
			n++
			if on := code.Day(peeked(x).number(3)); day == 0 || on < day {
				day = on
			}
			return nil
		})
	}
	return day
}

// firstEntries is how many entries are looked at for the day the book begins.
const firstEntries = 64
