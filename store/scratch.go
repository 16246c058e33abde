package store

import (
	"fmt"
	"os"
	"path/filepath"
)

// A scratch is a file for what does not fit into memory, beside a store. It is made when
// it is needed and loses its name at once, so that nothing is left of a program that is
// killed; where the system lets no open file go, it goes when it is closed, and [sweep]
// takes what was left.
type scratch struct {
	path  string // of the store, empty where it does not matter
	file  *os.File
	named bool // it has its name yet; another may have the name that it had
	end   int64
}

// append writes at the end and returns where that began.
func (s *scratch) append(b []byte) (at int64, err error) {
	if s.file == nil {
		if err := s.make(); err != nil {
			return 0, err
		}
	}
	at = s.end
	n, err := s.file.WriteAt(b, at)
	if s.end += int64(n); err != nil {
		return at, fmt.Errorf("the disk did not take what does not fit into memory: %w", err)
	}
	return at, nil
}

// make makes the file beside the store, or where the system keeps such files.
func (s *scratch) make() (err error) {
	if s.path != "" {
		folder := filepath.Dir(s.path)
		for folder != filepath.Dir(folder) {
			if _, err := os.Stat(folder); err == nil {
				break
			}
			folder = filepath.Dir(folder) // that of a new store is not made yet
		}
		s.file, err = beside(filepath.Join(folder, filepath.Base(s.path)))
	}
	if s.path == "" || err != nil {
		s.file, err = beside(filepath.Join(os.TempDir(), "tinful"))
	}
	if err == nil {
		s.named = os.Remove(s.file.Name()) != nil
	}
	return err
}

// close lets go of the file.
func (s *scratch) close() {
	if s.file != nil {
		_ = s.file.Close() // nothing of it is needed any more
		if s.named {
			_ = os.Remove(s.file.Name())
		}
		s.file = nil
	}
}
