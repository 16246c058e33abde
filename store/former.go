package store

import (
	"bytes"
	"fmt"
)

// What a booking did to a record of the catalogue: the first byte of its former bytes.
// The record before follows, whole, unless there was none.
const (
	formerNone    = iota // there was none before
	formerChanged        // there was one, and the booking left another
	formerTaken          // there was one, and the booking took it away
)

// keep stores the former bytes of a catalogue record, once a booking, and what became
// of the record since.
func (t *Tx) keep(bucket string, key []byte, taken bool) error {
	k := keyFormer(t.number, bucket, key)
	did, kept := t.former[string(k)]
	var was []byte
	if kept && did != formerNone {
		var err error
		if _, was, err = openFormer(k, t.at(bFormer, k)); err != nil {
			return err
		}
	} else if !kept {
		was = t.at(bucket, key)
	}
	now := byte(formerChanged)
	switch {
	case was == nil && taken: // it came and went in this booking
		delete(t.former, string(k))
		return t.bucket(bFormer).Delete(k)
	case was == nil:
		now = formerNone
	case taken:
		now = formerTaken
	}
	if kept && now == did {
		return nil
	}
	t.former[string(k)] = now
	return t.put(bFormer, k, sealFormer(k, now, was))
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
