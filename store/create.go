package store

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"syscall"

	bolt "go.etcd.io/bbolt"
)

// CreateBooked makes a store at path, which must not exist, with what book books in it.
// It is written under a temporary name, closed, reopened, and given its name, so that
// neither a killed process nor an error of book leaves half a store behind.
func CreateBooked(path string, book func(*Store) error) error {
	return build(path, book)
}

// inTheWay refuses a name that is taken. It is an [fs.ErrExist] too: another program
// may have made the same store at the same moment.
func inTheWay(path string) error {
	return sentence{fmt.Errorf("%w: %s is there already", ErrRefused, path), fs.ErrExist}
}

// build makes a store under a temporary name, fills it, looks that it can be read and
// gives it its name.
func build(path string, fill func(*Store) error) error {
	if err := cmp.Or(beginsAnew(path), makeFolder(path)); err != nil {
		return err
	}
	f, err := beside(path)
	if err != nil {
		return unmade(path, err)
	}
	tmp := f.Name()
	defer os.Remove(tmp)
	if err := cmp.Or(f.Close(), fillNew(tmp, fill)); err != nil {
		return unmade(path, err)
	}
	s, err := Open(tmp)
	if err != nil {
		return err
	}
	if err := s.Close(); err != nil {
		return err
	}
	return named(tmp, path)
}

// fillNew makes a store of an empty file. The system may refuse a page by a fault
// where a disk is full.
func fillNew(path string, fill func(*Store) error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer lost(&err)
	db, err := bolt.Open(path, ownFile, &bolt.Options{Timeout: lockWait, FreelistType: bolt.FreelistMapType})
	if err != nil {
		return err
	}
	db.AllocSize = loadAlloc
	db.NoGrowSync = true // a store that was not finished is made anew
	var size int64
	for _, step := range []func() error{
		func() error { return db.Update(initialise) },
		func() error { return fill(&Store{path: path, db: db}) },
		// Once more, so that both of the file's first pages lead to all that is in it.
		func() error { return db.Update(func(*bolt.Tx) error { return nil }) },
		func() error { return db.View(func(tx *bolt.Tx) error { size = tx.Size(); return nil }) },
	} {
		if err := step(); err != nil {
			return errors.Join(err, db.Close())
		}
	}
	return cmp.Or(db.Close(), settle(path, size))
}

// unmade says why a store could not be made, where the disk is at fault.
func unmade(path string, err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return fmt.Errorf("%s was not made: the disk is full", path)
	case errors.Is(err, ErrDamaged):
		return fmt.Errorf("%s was not made: the disk is full, or fails", path)
	}
	return err
}

// named gives a file its name, which nothing may have, not even since a moment ago:
// a link is refused where a renaming would replace. Where the file system has no
// links, the name is taken by an empty file first.
func named(tmp, path string) error {
	err := os.Link(tmp, path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		var f *os.File
		if f, err = os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, ownFile); err == nil {
			err = cmp.Or(f.Close(), os.Rename(tmp, path))
		}
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return inTheWay(path)
	case err != nil:
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// settle gives a file the size its pages speak of, and waits for the disk.
func settle(path string, size int64) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil && info.Size() < size {
		err = f.Truncate(size)
	}
	return errors.Join(err, f.Sync(), f.Close())
}

// loadAlloc is the step by which a new store grows: no larger than it must be.
const loadAlloc = 256 << 10

func initialise(tx *bolt.Tx) error {
	for _, b := range buckets {
		if _, err := tx.CreateBucketIfNotExists([]byte(b)); err != nil {
			return err
		}
	}
	return tx.Bucket([]byte(bMeta)).Put([]byte("schema"), keySeq(schemaVersion))
}
