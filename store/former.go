package store

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
)

// What a booking did to a record of the catalogue: the first byte of its former bytes.
// The record before follows, whole, unless there was none.
const (
	formerNone    = iota // there was none before
	formerChanged        // there was one, and the booking left another
	formerTaken          // there was one, and the booking took it away
)

// A rewritten is what a booking did to a record of the catalogue, and the record before, nil
// for none: bytes of the file, which lie where they are until the booking ends.
type rewritten struct {
	did byte
	was []byte
}

// keep notes what a record was before, once a booking, and what became of it since.
func (t *Tx) keep(bucket string, key []byte, taken bool) {
	k := string(keyFormer(t.number, bucket, key))
	f, kept := t.former[k]
	if !kept {
		f.was = t.at(bucket, key)
	}
	switch {
	case f.was == nil && taken: // it came and went in this booking
		delete(t.former, k)
		return
	case f.was == nil:
		f.did = formerNone
	case taken:
		f.did = formerTaken
	default:
		f.did = formerChanged
	}
	t.former[k] = f
}

// writeFormer stores what keep noted, in the order of keys: they all go into one page, in
// which every other order moves what lies behind.
func (t *Tx) writeFormer() error {
	for _, k := range slices.Sorted(maps.Keys(t.former)) {
		f := t.former[k]
		if err := t.put(bFormer, []byte(k), sealFormer([]byte(k), f.did, f.was)); err != nil {
			return err
		}
	}
	return nil
}

// sealFormer frames what a booking did to a record, and the record before.
func sealFormer(key []byte, did byte, was []byte) []byte {
	number, _, _ := splitFormer(key)
	return seal(bFormer, key, append(append(beginFrame(number, 1+len(was)), did), was...))
}

// openFormer reads what sealFormer made. Was is nil where there was no record before.
func openFormer(key, x []byte) (did byte, was []byte, err error) {
	number, body, err := unseal(bFormer, key, x)
	if n, bucket, _ := splitFormer(key); err == nil && (n != number || kindIn(bucket) == nil || len(body) == 0) {
		err = fmt.Errorf("%w: former bytes lie under a key that is none of theirs", ErrDamaged)
	}
	if err != nil {
		return 0, nil, err
	}
	if body[0] == formerNone {
		return formerNone, nil, nil
	}
	return body[0], bytes.Clone(body[1:]), nil
}

// eachFormer calls fn for every record that a booking changed, with its bytes before.
func (v *View) eachFormer(booking uint64, fn func(bucket string, key, was []byte) error) error {
	return v.scan(bFormer, keySeq(booking), func(rest, x []byte) error {
		k := append(keySeq(booking), rest...)
		_, bucket, key := splitFormer(k)
		_, was, err := openFormer(k, x)
		if err != nil {
			return fmt.Errorf("booking %d: %w", booking, err)
		}
		return fn(bucket, key, was)
	})
}
