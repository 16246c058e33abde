package store

import (
	"errors"
	"os"

	"tinful/store/pages"
)

// MendMeta writes the meta page of a store that is damaged anew, by the one that is
// whole. Which says which of the two it was, empty where there was nothing to mend.
func MendMeta(path string) (which string, err error) {
	if err := probe(path); err != nil {
		return "", err
	}
	db, err := openLocked(path, false) // so that nobody books meanwhile
	if err != nil {
		return "", openError(path, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var page []byte
	var at int64
	err = withPages(path, func(f *pages.File) (err error) {
		var number uint64
		page, number, err = f.MendedMeta()
		at, which = int64(number)*f.PageSize(), [...]string{"first", "second"}[number]
		return err
	})
	if err != nil || page == nil {
		return "", err
	}
	return which, writePage(path, page, at)
}

func writePage(path string, page []byte, at int64) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	_, err = f.WriteAt(page, at)
	return errors.Join(err, f.Sync(), f.Close())
}
