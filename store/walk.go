package store

import (
	"errors"
	"fmt"
	"os"

	bolt "go.etcd.io/bbolt"

	"tinful/store/pages"
)

// Examine looks at a store as [Store.Check] does, and before that at every page of its
// file, by which alone a damaged one can be told without being led astray.
func Examine(path string) (h Health, err error) {
	if err := probe(path); err != nil {
		return h, err
	}
	db, err := openLocked(path, true)
	if err != nil {
		return h, openError(path, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if h, err = walked(path); err != nil || h.lost {
		return h, err
	}
	s, err := openUnchanged(path)
	if err != nil {
		return h, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	err = s.db.View(func(tx *bolt.Tx) error { h.records(tx); return nil })
	return h, err
}

// walked walks over all pages of a file, which nobody may write meanwhile, and names
// what is wrong with them.
func walked(path string) (h Health, err error) {
	err = withPages(path, func(f *pages.File) error {
		r := f.Walk()
		for _, f := range r.Findings {
			h.Problems = append(h.Problems, damagedPages+f.Text)
		}
		if r.More > 0 {
			h.Problems = append(h.Problems, fmt.Sprintf(damagedPages+"%d problems more", r.More))
		}
		h.lost = len(h.Problems) > 0
		if r.Meta != nil {
			h.Problems = append(h.Problems, damagedPages+r.Meta.Text)
		}
		return nil
	})
	return h, err
}

const damagedPages = "the file's pages are damaged: "

// withPages hands over the pages of a file.
func withPages(path string, fn func(*pages.File) error) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	f, err := pages.Open(file, info.Size())
	if err != nil {
		return err
	}
	return fn(f)
}
