package store

import (
	"encoding/binary"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// errOlder says that a store has an older key table and wants migrating.
var errOlder = errors.New("older store")

// steps brings a store from version i+1 to i+2. A changed row of the key
// table raises schemaVersion and adds a step here.
var steps = []func(*bolt.Tx) error{
	// 2: old pieces, steps of a strip-down, counts: buckets that were not there are
	// empty, and what follows from records is made by the step to 3.
	func(*bolt.Tx) error { return nil },
	frames, // 3: see frames.go
}

// schema compares the version of the store with the program's.
func schema(tx *bolt.Tx) error {
	if err := version(tx); err != nil {
		return err
	}
	return strangers(tx)
}

// version compares what the store says of itself with the program's version.
func version(tx *bolt.Tx) error {
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

// strangers refuses a store with a bucket that is not in the key table. One of the
// table that is not there is empty: a later version may add some without a step.
func strangers(tx *bolt.Tx) error {
	for _, name := range strange(tx) {
		return &FlawError{Text: fmt.Sprintf("it has a bucket %q that means nothing", name), Index: true}
	}
	return nil
}

// strange are the names of buckets that are in no table.
func strange(tx *bolt.Tx) (names []string) {
	c := tx.Cursor()
	for name, _ := c.First(); name != nil; name, _ = c.Next() {
		if _, known := shelves()[string(name)]; !known {
			names = append(names, string(name))
		}
	}
	return names
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
	return tx.Bucket([]byte(bMeta)).Put([]byte("schema"), keySeq(to)) // a step may have made it anew
}
