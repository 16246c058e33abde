package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// A MissingError says that no store is where copies of it are.
type MissingError struct {
	Path   string
	Copies int
	Last   Copy
}

// Unwrap returns [ErrNoStore].
func (e *MissingError) Unwrap() error { return ErrNoStore }

// Error says where the store should be, how many copies there are and of which day the last is.
func (e *MissingError) Error() string {
	return fmt.Sprintf("%v at %s, and %d copies of it are in %s, the last of %s", ErrNoStore, e.Path, e.Copies, filepath.Dir(e.Last.File), e.Last.Day)
}

// missing is the error of a store that is not there: one that has copies was there.
func missing(path string) error {
	if copies := inFolder(path); len(copies) > 0 {
		if _, err := os.Lstat(path); err != nil { // else it was made, and copied, just now
			return &MissingError{path, len(copies), copies[0]}
		}
	}
	return fmt.Errorf("%w at %s", ErrNoStore, path)
}

// beginsAnew refuses to make a store in the place of one that is missing.
func beginsAnew(path string) error {
	err := missing(path)
	if _, found := os.Lstat(path); found == nil { // asked last: its maker copies it after it is there
		return inTheWay(path)
	}
	if _, was := errors.AsType[*MissingError](err); was {
		return err
	}
	return nil
}
