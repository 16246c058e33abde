package store

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// A store, its copies and the folders made for them are their owner's: what customers
// bring and pay is in them.
const (
	ownFile   = 0o600
	ownFolder = 0o700
)

// makeFolder makes the folder that a file of ours lies in.
func makeFolder(file string) error { return os.MkdirAll(filepath.Dir(file), ownFolder) }

// beside makes an empty file beside path under a name that nothing had, nor will have: who
// renames it may take the name away afterwards without taking another's file.
func beside(path string) (*os.File, error) {
	for {
		f, err := os.OpenFile(fmt.Sprintf("%s.new%d", path, rand.Uint64()), os.O_RDWR|os.O_CREATE|os.O_EXCL, ownFile)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("there is no folder %s to write a copy in: make it first", filepath.Dir(path))
		case !errors.Is(err, fs.ErrExist):
			return f, err
		}
	}
}

// existing opens a file that is there: bbolt would make one.
func existing(name string, flag int, mode fs.FileMode) (*os.File, error) {
	return os.OpenFile(name, flag&^os.O_CREATE, mode)
}
