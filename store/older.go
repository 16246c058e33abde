package store

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"

	bolt "go.etcd.io/bbolt"
)

// openOlder opens an older store for questions: it is brought to this version, or, where
// it cannot be written, a copy of it is.
func openOlder(path string) (*Store, error) {
	w, err := broughtUp(path)
	if err != nil {
		if s, perr := openPassing(path); perr == nil {
			return s, nil
		}
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	s, err := openAsIs(path, true)
	if err == nil {
		s.notes = append(w.notes, s.notes...)
	}
	return s, err
}

// broughtUp opens an older store to book in, once it is brought to this version. As it
// was it is kept beside.
func broughtUp(path string) (*Store, error) {
	db, notes, err := openBolt(path, false)
	if err != nil {
		return nil, err
	}
	s := &Store{path: path, db: db, notes: notes}
	var from uint64
	if err = s.view(func(tx *bolt.Tx) error { from = versionOf(tx); return nil }); err == nil && from == schemaVersion {
		return s, nil // somebody else did it meanwhile
	}
	var kept string
	if err == nil {
		kept, err = s.bringUp(from)
	}
	if err = errors.Join(err, db.Close()); err != nil {
		return nil, err
	}
	if s, err = openAsIs(path, false); err == nil {
		s.notes = append(s.notes, Note{NoteOlder, fmt.Sprintf("the store was of version %d and is of version %d now; as it was it is kept as %s", from, schemaVersion, kept)})
	}
	return s, err
}

// bringUp puts what the store holds, in a new file, in its place, and returns the name
// under which the old one is kept.
func (s *Store) bringUp(from uint64) (kept string, err error) {
	path, err := filepath.EvalSymlinks(s.path) // a link stays
	if err != nil {
		return "", err
	}
	tmp, err := s.rewritten(path)
	switch {
	case errors.Is(err, ErrDamaged):
		return "", err
	case errors.Is(err, syscall.ENOSPC):
		err = fmt.Errorf("the disk of %s is full", filepath.Dir(path))
		fallthrough
	case err != nil:
		return "", fmt.Errorf("the store is of version %d and is not brought to %d: %w", from, schemaVersion, err)
	}
	defer os.Remove(tmp)
	kept = freeName(fmt.Sprintf("%s.before-v%d", path, from), "")
	err = cmp.Or(likeMode(tmp, path), swap(path, kept, tmp, func() { _ = s.db.Close() }))
	return kept, cmp.Or(err, os.Chmod(kept, ownFile))
}

// rewritten is a new file beside path, under a temporary name, that holds what this older
// store does.
func (s *Store) rewritten(path string) (tmp string, err error) {
	defer collecting()()
	f, err := beside(path)
	if err != nil {
		return "", err
	}
	if err = cmp.Or(f.Close(), fillNew(f.Name(), s.anew)); err != nil {
		os.Remove(f.Name())
	}
	return f.Name(), err
}

// openUnchanged opens a store for questions and never writes it, not even an older one.
func openUnchanged(path string) (*Store, error) {
	s, err := openAsIs(path, true)
	if errors.Is(err, errOlder) {
		return openPassing(path)
	}
	return s, err
}

// openPassing opens a copy of an older store that is brought to this version and goes
// when it is closed.
func openPassing(path string) (*Store, error) {
	folder, err := os.MkdirTemp("", "tinful-older-")
	if err != nil {
		return nil, err
	}
	s, from, err := passing(path, filepath.Join(folder, filepath.Base(path)))
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	s.passing = folder
	s.notes = append(s.notes, Note{NotePassing, fmt.Sprintf("the store is of version %d: this is read from a copy that was brought to version %d", from, schemaVersion)})
	return s, nil
}

func passing(path, file string) (*Store, uint64, error) {
	tmp, c, err := copyTo(path, file, false)
	if err == nil {
		err = cmp.Or(os.Rename(tmp, file), migrateOnly(file))
	}
	if err != nil {
		return nil, 0, err
	}
	s, err := openAsIs(file, true)
	return s, c.Version, err
}

// migrateOnly brings a file that is nobody's up, and keeps nothing.
func migrateOnly(file string) error {
	db, _, err := openBolt(file, true)
	if err != nil {
		return err
	}
	s := &Store{path: file, db: db}
	tmp, err := s.rewritten(file)
	if err = errors.Join(err, db.Close()); err != nil {
		return err
	}
	return os.Rename(tmp, file)
}
