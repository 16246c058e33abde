package store

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// Up to version 2 a record was the format byte 1, CBOR, and a CRC-32C of both: nothing
// covered bucket and key, and no record named the booking that wrote it. An entry had
// its booking in its CBOR, former bytes were 01 and the record, or 00.

// reframed lays down a store of version 1 or 2: every record in its frame, with the
// booking that the former bytes tell.
func reframed(tx *bolt.Tx, all *heaps) error {
	r := &reframer{tx: tx, all: all, wrote: map[string]uint64{}}
	err := r.formers()
	for _, b := range catalogue {
		err = cmp.Or(err, r.bucket(b, func(k []byte) uint64 { return r.writer(b, k) }))
	}
	err = cmp.Or(err, r.bucket(bBooking, lastSeq), r.entries())
	return cmp.Or(err, tx.Bucket([]byte(bMeta)).ForEach(func(k, x []byte) error {
		if string(k) != "schema" {
			all.add(bMeta, k, shelves()[bMeta].sealRow(k, x))
		}
		return nil
	}))
}

type reframer struct {
	tx    *bolt.Tx
	all   *heaps
	wrote map[string]uint64 // the last booking that wrote a record, by bucket and key
}

func (r *reframer) writer(bucket string, key []byte) uint64 {
	return max(r.wrote[string(join(bucket, string(key)))], 1)
}

// body2 returns the CBOR of a record of version 2, or the entries of a chunk.
func body2(b []byte) ([]byte, error) {
	n := len(b) - crc32.Size
	if n < 2 || summed(0, b[:n]) != binary.BigEndian.Uint32(b[n:]) || b[0] != 1 {
		return nil, fmt.Errorf("%w: a record does not agree with its checksum", ErrDamaged)
	}
	return b[1:n], nil
}

// frame2 is a record of version 2 in its frame.
func frame2(bucket string, key, b []byte, booking uint64) ([]byte, error) {
	body, err := body2(b)
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", bucket, readable(key), err)
	}
	return seal(bucket, key, append(beginFrame(booking, len(body)), body...)), nil
}

func (r *reframer) bucket(name string, booking func(key []byte) uint64) error {
	b := r.tx.Bucket([]byte(name))
	if b == nil {
		return nil // version 1 lacked it
	}
	return b.ForEach(func(k, x []byte) error {
		x, err := frame2(name, k, x, booking(k))
		r.all.add(name, k, x)
		return err
	})
}

// formers reframes the former bytes, in order of bookings: what the next booking found
// of a record, or what is there, tells what this one made of it.
func (r *reframer) formers() error {
	type mark struct {
		key, was []byte
		taken    bool
	}
	var all []mark
	last := map[string]int{}
	err := r.tx.Bucket([]byte(bFormer)).ForEach(func(k, x []byte) error {
		n, bucket, key := splitFormer(k)
		if len(x) == 0 || kindIn(bucket) == nil {
			return fmt.Errorf("%w: the former bytes at %s", ErrDamaged, readable(k))
		}
		name := string(join(bucket, string(key)))
		m := mark{key: slices.Clone(k)}
		if x[0] != 0 {
			var err error
			if m.was, err = frame2(bucket, key, x[1:], r.writer(bucket, key)); err != nil {
				return err
			}
		}
		if i, ok := last[name]; ok {
			all[i].taken = m.was == nil
		}
		last[name], r.wrote[name] = len(all), n
		all = append(all, m)
		return nil
	})
	for _, i := range last {
		_, bucket, key := splitFormer(all[i].key)
		b := r.tx.Bucket([]byte(bucket))
		all[i].taken = b == nil || b.Get(key) == nil
	}
	for _, m := range all {
		did := byte(formerChanged)
		switch {
		case m.was == nil && m.taken:
			continue // it came and went in one booking
		case m.was == nil:
			did = formerNone
		case m.taken:
			did = formerTaken
		}
		r.all.add(bFormer, m.key, sealFormer(m.key, did, m.was))
	}
	return err
}

// entries packs the book anew: the booking of an entry stands in the frame.
func (r *reframer) entries() error {
	c := chunker{put: func(first uint64, x []byte) error { r.all.add(bEntry, keySeq(first), x); return nil }}
	err := r.tx.Bucket([]byte(bEntry)).ForEach(func(k, x []byte) error {
		rest, err := body2(x)
		if err != nil || len(k) != 8 {
			return fmt.Errorf("%w: the entries at %s", ErrDamaged, readable(k))
		}
		for seq := lastSeq(k); len(rest) > 0; seq++ {
			l, w := binary.Uvarint(rest)
			if w <= 0 || l > uint64(len(rest)-w) {
				return fmt.Errorf("%w: entry %d is cut off", ErrDamaged, seq)
			}
			var e struct {
				Booking uint64 `cbor:"2,keyasint"`
				Entry
			}
			if err := unentry(seq, rest[w:w+int(l)], &e); err != nil {
				return err
			}
			e.Entry.Seq, e.Entry.Booking = seq, e.Booking
			if err := c.add(e.Entry); err != nil {
				return err
			}
			rest = rest[w+int(l):]
		}
		return nil
	})
	return cmp.Or(err, c.flush())
}
