package store

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// errOlder says that a store has an older key table and wants migrating.
var errOlder = errors.New("older store")

// steps brings a store from version i+1 to i+2. A changed row of the key
// table raises schemaVersion and adds a step here.
var steps = []func(*bolt.Tx) error{
	// 2: a customer's own pieces, the steps of a strip-down, counts, what choosing
	// bags to count asks, and what a list of bags tells of each.
	func(tx *bolt.Tx) error {
		if err := addBuckets(tx, bOld, bStep, bCount, bReading, bWorth, bDonorByLot); err != nil {
			return err
		}
		return fillRows(tx, bReading, bBagByPart, bWorth, bDonorByLot)
	},
}

// fillRows writes the rows of derived buckets that a version brings, as they
// follow from parts, bags, balances and the book.
func fillRows(tx *bolt.Tx, names ...string) error {
	v := &View{tx: tx}
	var all []Row
	add := func(list []Row) error {
		for _, r := range list {
			if slices.Contains(names, r.Bucket) {
				all = append(all, r)
			}
		}
		return nil
	}
	err := cmp.Or(
		each(v, bPart, func(p Part) error { return add(rows(p)) }),
		each(v, bDonor, func(d Donor) error { return add(rows(d)) }),
		each(v, bBag, func(b Bag) error {
			st, err := v.State(b.Code) // a bag that was taken back has a balance and no record
			return cmp.Or(err, add(rows(balanced{b, st})))
		}),
		v.EachEntry(func(e Entry) error { return add(rows(e)) }),
	)
	for _, r := range all {
		err = cmp.Or(err, tx.Bucket([]byte(r.Bucket)).Put(r.Key, r.Value))
	}
	return err
}

// addBuckets makes the buckets that a version brings.
func addBuckets(tx *bolt.Tx, names ...string) error {
	for _, name := range names {
		if _, err := tx.CreateBucketIfNotExists([]byte(name)); err != nil {
			return err
		}
	}
	return nil
}

// schema compares the version of the store with the program's.
func schema(tx *bolt.Tx) error {
	b := tx.Bucket([]byte(bMeta))
	if b == nil {
		return fmt.Errorf("%w: this file is no store of tinful", ErrDamaged)
	}
	v := b.Get([]byte("schema"))
	if len(v) != 8 {
		return fmt.Errorf("%w: this store does not say which version it is", ErrDamaged)
	}
	switch n := binary.BigEndian.Uint64(v); {
	case n > schemaVersion:
		return fmt.Errorf("%w: this store has version %d, this program reads up to %d", ErrNewer, n, schemaVersion)
	case n < schemaVersion:
		return errOlder
	}
	return nil
}

// migrate takes every step from the store's version to the program's, in one
// transaction.
func migrate(tx *bolt.Tx) error { return migrateTo(tx, steps, schemaVersion) }

func migrateTo(tx *bolt.Tx, steps []func(*bolt.Tx) error, to uint64) error {
	meta := tx.Bucket([]byte(bMeta))
	from := binary.BigEndian.Uint64(meta.Get([]byte("schema")))
	for v := from; v < to; v++ {
		if v < 1 || int(v) > len(steps) {
			return fmt.Errorf("%w: no way from version %d to %d", ErrDamaged, v, v+1)
		}
		if err := steps[v-1](tx); err != nil {
			return err
		}
	}
	return meta.Put([]byte("schema"), keySeq(to))
}
