package store

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// errOlder says that a store has an older key table and wants migrating.
var errOlder = errors.New("older store")

// readers lay down what a store of an older version holds, by its version, as this one
// has it: records, former bytes, the book and the settings. A changed row of the key table
// raises schemaVersion and adds a reader here. What follows from them is made anew.
var readers = map[uint64]func(*bolt.Tx, *heaps) error{1: reframed, 2: reframed}

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

// anew writes what an older store holds into a new one, sorted and full.
func (s *Store) anew(n *Store) error {
	all := newHeaps(s.path)
	defer all.close()
	err := s.view(func(tx *bolt.Tx) error {
		from := versionOf(tx)
		read := readers[from]
		if read == nil {
			return fmt.Errorf("%w: no way from version %d to %d", ErrDamaged, from, schemaVersion)
		}
		defer sparing(tx)()
		return read(tx, all)
	})
	if err != nil {
		return err
	}
	return cmp.Or(write(n, all, nil), follows(n))
}

// versionOf is the version that a store says it has, 0 where it says none.
func versionOf(tx *bolt.Tx) uint64 {
	if b := tx.Bucket([]byte(bMeta)); b != nil {
		if v := b.Get([]byte("schema")); len(v) == 8 {
			return binary.BigEndian.Uint64(v)
		}
	}
	return 0
}
