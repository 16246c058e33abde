package store

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"

	"tinful/store/code"
)

// chunkBytes is how much entries behind one key come to at most: a key and a
// checksum an entry would cost as much as the entry, and three such chunks fill
// a page of 4096 bytes that a bulk load leaves at [loadFill].
const chunkBytes = 1264

// A chunker packs entries with consecutive numbers into chunks: the format byte,
// each entry's CBOR behind its length, and a CRC-32C of all that. The key is the
// number of the first.
type chunker struct {
	put   func(first uint64, chunk []byte) error
	first uint64
	b     []byte
}

// add packs the next entry.
func (c *chunker) add(e Entry) error {
	x, err := encMode().Marshal(e)
	if err != nil {
		return err
	}
	if len(c.b)+binary.MaxVarintLen16+len(x)+crc32.Size > chunkBytes {
		if err := c.flush(); err != nil {
			return err
		}
	}
	if len(c.b) == 0 {
		c.first, c.b = e.Seq, append(c.b, recordFormat)
	}
	c.b = append(binary.AppendUvarint(c.b, uint64(len(x))), x...)
	return nil
}

// flush hands over what is not full yet.
func (c *chunker) flush() error {
	if len(c.b) == 0 {
		return nil
	}
	x := binary.BigEndian.AppendUint32(c.b, crc32.Checksum(c.b, castagnoli()))
	c.b = nil // whoever has a chunk keeps it
	return c.put(c.first, x)
}

// unchunk calls fn for the entries of a chunk that want names, all when want
// is 0, until fn returns an error.
func unchunk(first uint64, b []byte, want uint64, fn func(Entry) error) error {
	return unpacked(first, b, func(seq uint64, x []byte) error {
		if want != 0 && seq != want {
			return nil
		}
		e := Entry{Seq: seq}
		if err := unentry(seq, x, &e); err != nil {
			return err
		}
		return fn(e)
	})
}

// unpacked calls fn with the bytes of every entry of a chunk.
func unpacked(first uint64, b []byte, fn func(seq uint64, x []byte) error) error {
	n := len(b) - 4
	if n < 1 || crc32.Checksum(b[:n], castagnoli()) != binary.BigEndian.Uint32(b[n:]) {
		return fmt.Errorf("%w: the entries from %d on do not agree with their checksum", ErrDamaged, first)
	}
	if b[0] != recordFormat {
		return fmt.Errorf("%w: record format %d", ErrNewer, b[0])
	}
	for seq, rest := first, b[1:n]; len(rest) > 0; seq++ {
		l, w := binary.Uvarint(rest)
		if w <= 0 || l > uint64(len(rest)-w) {
			return fmt.Errorf("%w: entry %d is cut off", ErrDamaged, seq)
		}
		if err := fn(seq, rest[w:w+int(l)]); err != nil {
			return err
		}
		rest = rest[w+int(l):]
	}
	return nil
}

// unentry reads an entry, or some of its fields, from its bytes.
func unentry[E any](seq uint64, x []byte, e *E) error {
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
	c := v.bucket(bEntry).Cursor()
	k, x := c.Seek(keySeq(seq))
	if k == nil || binary.BigEndian.Uint64(k) != seq {
		k, x = c.Prev()
	}
	if k != nil {
		first := binary.BigEndian.Uint64(k)
		if err := unchunk(first, x, seq, func(e Entry) error { found = e; return nil }); err != nil {
			return found, err
		}
	}
	if found.Seq != seq || seq == 0 {
		return found, Absent("no entry %d here", seq)
	}
	return found, nil
}

// EachEntry calls fn for every entry of the book, in order of numbers.
func (v *View) EachEntry(fn func(Entry) error) error {
	return v.scan(bEntry, nil, func(k, x []byte) error {
		return unchunk(binary.BigEndian.Uint64(k), x, 0, fn)
	})
}

// FirstDay is the day the book begins: the first of its first entries, which an
// import may have put down in any order. It is 0 for an empty book.
func (v *View) FirstDay() code.Day {
	var day code.Day
	n := 0
	c := v.bucket(bEntry).Cursor()
	for k, x := c.First(); k != nil && n < firstEntries; k, x = c.Next() {
		unchunk(binary.BigEndian.Uint64(k), x, 0, func(e Entry) error {
			if n++; day == 0 || e.Day < day {
				day = e.Day
			}
			return nil
		})
	}
	return day
}

// firstEntries is how many entries are looked at for the day the book begins.
const firstEntries = 64

// LatestEntries calls fn for at least the last n entries of the book, fewer where
// it has fewer, in no order.
func (v *View) LatestEntries(n int, fn func(Entry) error) error {
	c := v.bucket(bEntry).Cursor()
	for k, x := c.Last(); k != nil && n > 0; k, x = c.Prev() {
		err := unchunk(binary.BigEndian.Uint64(k), x, 0, func(e Entry) error { n--; return fn(e) })
		if err != nil {
			return err
		}
	}
	return nil
}
