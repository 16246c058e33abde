package store

import (
	"bytes"
	"cmp"
	"fmt"
	"math"

	bolt "go.etcd.io/bbolt"
)

// mend makes a bucket of what follows from records hold what it should. What is
// there and right stays. It returns at how many keys it wrote or took something away.
func (c *checker) mend(bucket string) (put, taken int, err error) {
	b, err := c.tx.CreateBucketIfNotExists([]byte(bucket))
	if err != nil {
		return 0, 0, err
	}
	var gone, keys, values [][]byte
	err = c.differences(bucket, func(k, want []byte, how difference) {
		if how == rowExtra {
			gone = append(gone, bytes.Clone(k))
		} else {
			keys, values = append(keys, bytes.Clone(k)), append(values, bytes.Clone(want))
		}
	})
	for _, k := range gone {
		err = cmp.Or(err, b.Delete(k))
	}
	for i, k := range keys {
		err = cmp.Or(err, b.Put(k, values[i]))
	}
	return len(keys), len(gone), err
}

// recount writes the counters that are wrong, and forgets the highest number of codes
// that cannot be read: the next code is told by those that are there. It returns how many.
func (c *checker) recount() (n int, err error) {
	b, s := c.bucket(bMeta), shelves()[bMeta]
	for _, name := range counters {
		k := []byte(name)
		if x := s.sealRow(k, keySeq(c.meters[name])); !bytes.Equal(x, b.Get(k)) {
			n, err = n+1, cmp.Or(err, b.Put(k, x))
		}
	}
	var gone [][]byte
	b.ForEach(func(k, x []byte) error {
		if _, ok := s.openRow(k, x); !ok && bytes.HasPrefix(k, []byte("series/")) {
			gone = append(gone, bytes.Clone(k))
		}
		return nil
	})
	for _, k := range gone {
		n, err = n+1, cmp.Or(err, b.Delete(k))
	}
	return n, err
}

// refill empties a bucket and fills it again, in order of keys and full.
func refill(tx *bolt.Tx, bucket string, h *heap) error {
	name := []byte(bucket)
	if tx.Bucket(name) != nil {
		if err := tx.DeleteBucket(name); err != nil {
			return err
		}
	}
	b, err := tx.CreateBucket(name)
	if err != nil {
		return err
	}
	_, _, err = putSorted(b, h.stream(), math.MaxInt, math.MaxInt)
	return err
}

// follows makes all that follows from the records of a new store.
func follows(s *Store) error {
	var c *checker
	err := s.db.View(func(tx *bolt.Tx) error {
		defer sparing(tx)()
		h := Health{}
		c = newChecker(tx, &h)
		c.lays = true
		if err := c.gather(); err != nil {
			return err
		}
		if len(h.Problems) > 0 {
			return fmt.Errorf("%w: %s", ErrDamaged, h.Problems[0])
		}
		return nil
	})
	if c != nil {
		defer c.close()
	}
	if err != nil {
		return err
	}
	if err := write(s, c.want, nil); err != nil {
		return err
	}
	return s.db.Update(func(tx *bolt.Tx) error {
		c.View = View{tx: tx}
		_, err := c.recount()
		return err
	})
}
