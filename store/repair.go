package store

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// A Mending is what [Repair] did.
type Mending struct {
	Copy string   // the file as it was; empty where nothing was to be done
	Did  []string // a sentence each
	Left []string // problems that stay: nothing in the store says what was there
}

// Repair makes anew what follows from the records of a store: indexes, balances, counters,
// and a damaged meta page from the other. The file as it was is kept beside it, with day in
// its name. Records it does not touch: where some cannot be read, nothing that follows from
// them is made. It returns [ErrDamaged] for a file whose pages are damaged: that is for
// [Salvage].
func Repair(path string, day code.Day) (m Mending, err error) {
	defer collecting()()
	h, err := Examine(path)
	switch {
	case err != nil && !errors.Is(err, ErrDamaged):
		return m, err
	case err == nil && len(h.Problems) == 0:
		return m, nil
	case h.lost:
		return m, &FlawError{Text: h.Problems[0], Gone: true}
	}
	if m.Copy, err = keepFile(path, path+".before-repair-"+day.String()); err != nil {
		return m, err
	}
	which, err := MendMeta(path)
	if err != nil {
		return m, err
	}
	if which != "" {
		m.Did = append(m.Did, "the "+which+" page of the file is written anew from the other")
	}
	if err := m.records(path); err != nil {
		return m, err
	}
	if len(m.Did) == 0 { // the copy is the store
		os.Remove(m.Copy)
		m.Copy = ""
	}
	h, err = Examine(path)
	m.Left = h.Problems
	return m, err
}

// records makes anew what follows from records.
func (m *Mending) records(path string) error {
	db, _, err := openBolt(path, false)
	if err != nil {
		return err
	}
	s := &Store{path: path, db: db}
	var did []string
	err = s.update(func(tx *bolt.Tx) (err error) {
		if err = version(tx); errors.Is(err, errOlder) {
			return fmt.Errorf("%w: it is of an older version, which tells too little: a copy is what helps", ErrDamaged)
		} else if err == nil {
			did, err = renamed(tx)
		}
		return err
	})
	if err == nil {
		did, err = s.remade(did)
	}
	if err == nil {
		m.Did = append(m.Did, did...)
	}
	return errors.Join(err, s.Close())
}

// remade makes anew what follows from records, where all can be read, and adds to a list
// what it did.
func (s *Store) remade(did []string) ([]string, error) {
	var c *checker
	err := s.view(func(tx *bolt.Tx) error {
		defer sparing(tx)()
		c = newChecker(tx, &Health{})
		c.lays = true
		return c.gather()
	})
	if c != nil {
		defer c.close()
	}
	if err != nil || c.unread > 0 {
		return did, err
	}
	err = s.update(func(tx *bolt.Tx) error {
		c.View = View{tx: tx}
		n, err := c.recount()
		if n > 0 {
			did = append(did, fmt.Sprintf("counters: %d made anew", n))
		}
		for _, b := range derived {
			if err != nil {
				return err
			}
			GiveBack(fileIn(tx))
			var put, taken int
			if put, taken, err = c.mend(b); put+taken > 0 {
				did = append(did, fmt.Sprintf("%s: %d made anew, %d taken out", calledBucket(b), put, taken))
			}
		}
		return err
	})
	return did, err
}

// calledBucket is what people are told a bucket of derived things is.
func calledBucket(b string) string {
	switch b {
	case bState:
		return "balances of bags"
	case bFigure:
		return "figures of parts"
	}
	return "the index " + b
}

// renamed gives a bucket whose name is in no table the name by which its keys agree with
// their sums, where that is not taken, and takes away one that is empty.
func renamed(tx *bolt.Tx) (did []string, err error) {
	for _, name := range strange(tx) {
		from := tx.Bucket([]byte(name))
		k, x := from.Cursor().First()
		to := ""
		if k != nil {
			to = whose(k, x)
		}
		if k != nil && (to == "" || tx.Bucket([]byte(to)) != nil) {
			return did, &FlawError{Text: fmt.Sprintf("it has a bucket %q that means nothing", name), Gone: true}
		}
		heaps := newHeaps(tx.DB().Path())
		defer heaps.close()
		all := heaps.of(name)
		err = from.ForEach(func(k, x []byte) error { all.add(k, x); return nil })
		if err = cmp.Or(err, tx.DeleteBucket([]byte(name))); err == nil && to != "" {
			err = refill(tx, to, all)
		}
		if err != nil {
			return did, err
		}
		did = append(did, fmt.Sprintf("the bucket %q is called %s again", name, or(to, "nothing, and is gone: it was empty")))
	}
	return did, nil
}

// whose is the bucket under which a key and what lies there agree with their sum, empty
// where there is none. Records have the longer sum and are tried first.
func whose(key, x []byte) string {
	for _, b := range buckets {
		if !shelves()[b].rows && agreesIn(b, key, x) {
			return b
		}
	}
	for _, b := range buckets {
		if shelves()[b].rows && agreesIn(b, key, x) {
			return b
		}
	}
	return ""
}

// agreesIn says whether a key and what lies under it agree with their sum in a bucket.
func agreesIn(bucket string, key, x []byte) bool {
	s, known := shelves()[bucket]
	if s.rows {
		_, ok := s.openRow(key, x)
		return ok
	}
	_, _, err := s.unseal(key, x)
	return known && err == nil
}

// keepFile copies a file as it is, damage and all. It returns the name of the copy, with a
// number where that is taken.
func keepFile(path, name string) (kept string, err error) {
	from, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer from.Close()
	to, err := beside(name)
	if err != nil {
		return "", err
	}
	defer os.Remove(to.Name())
	_, err = io.Copy(to, from)
	if err := errors.Join(err, to.Sync(), to.Close()); err != nil {
		return "", err
	}
	kept = freeName(name, "")
	return kept, named(to.Name(), kept)
}
