package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"tinful/store/pages"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// schemaVersion is the version of the key table in doc.go.
const schemaVersion = 3

// lockWait is long enough for another command to finish and short enough to
// be told so.
const lockWait = 2 * time.Second

// lockLook is how long is waited between two looks at the lock. bbolt itself looks
// every 50 ms, and by then a program that books line after line has it again.
const lockLook = 2 * time.Millisecond

// A Store is one workshop's file. It is opened for one question or one booking
// and closed again, so that a second program can work beside it.
type Store struct {
	path  string
	db    *bolt.DB
	notes []Note
	memo  *memo // nil unless Remember was asked for

	passing string // the folder of a copy that is read in place of the store
}

// A Note is what opening a store has to tell.
type Note struct {
	Kind, Text string
}

// Kinds of notes.
const (
	NoteMeta    = "meta page" // one of the two first pages is damaged
	NoteOlder   = "older"     // it was of an older version, and is of this one now
	NotePassing = "passing"   // it is of an older version, and a copy of this one is read
)

// Notes are what opening the store has to tell.
func (s *Store) Notes() []Note { return s.notes }

// Open opens a store for questions. It creates nothing, and returns
// [ErrNoStore], [ErrBusy], [ErrDamaged] or [ErrNewer] where it cannot.
func Open(path string) (*Store, error) { return open(path, true) }

// OpenToBook opens a store to book in. It creates nothing.
func OpenToBook(path string) (*Store, error) { return open(path, false) }

func open(path string, readOnly bool) (*Store, error) {
	s, err := openAsIs(path, readOnly)
	switch {
	case !errors.Is(err, errOlder):
		return s, err
	case readOnly:
		return openOlder(path)
	}
	return broughtUp(path)
}

// openAsIs opens a store of this version.
func openAsIs(path string, readOnly bool) (*Store, error) {
	if err := probe(path); err != nil {
		return nil, err
	}
	db, notes, err := openBolt(path, readOnly)
	if err != nil {
		return nil, err
	}
	s := &Store{path: path, db: db, notes: notes}
	if err := s.view(schema); err != nil {
		db.Close()
		return nil, err
	}
	return s, nil
}

// view runs fn in a reading transaction.
func (s *Store) view(fn func(*bolt.Tx) error) error {
	defer s.guard()()
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	return s.db.View(func(tx *bolt.Tx) (err error) {
		defer lost(&err)
		return fn(tx)
	})
}

// probe looks at the file before bbolt does: a file that was cut off would
// kill the process inside Open, a zero-byte file would silently become a
// store.
func probe(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return missing(path)
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return sentence{fmt.Errorf("%s is %s, and a store is a file", path, kindOfFile(info.Mode())), ErrNotStore}
	case info.Size() == 0:
		return fmt.Errorf("%w: %s is empty (0 bytes), not a store", ErrDamaged, path)
	}
	return nil
}

// kindOfFile is what something is that is no file.
func kindOfFile(m fs.FileMode) string {
	switch {
	case m.IsDir():
		return "a folder"
	case m&fs.ModeNamedPipe != 0:
		return "a pipe"
	case m&fs.ModeSocket != 0:
		return "a socket"
	}
	return "a device"
}

func openBolt(path string, readOnly bool) (db *bolt.DB, notes []Note, err error) {
	if readOnly {
		leaveTurn(path)
	}
	if db, err = openLocked(path, true); err != nil {
		return nil, nil, openError(path, err)
	}
	if notes, err = looked(path, db, readOnly); err != nil || readOnly {
		if err != nil {
			db.Close()
			return nil, nil, err
		}
		return db, notes, nil
	}
	if err := db.Close(); err != nil {
		return nil, nil, err
	}
	if db, err = openLocked(path, false); err != nil {
		return nil, nil, openError(path, err)
	}
	return db, notes, nil
}

// openLocked opens the file as soon as nobody else has it.
func openLocked(path string, readOnly bool) (db *bolt.DB, err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer lost(&err) // to book, bbolt reads which pages are free
	var file *os.File
	// So short a time is one look.
	o := &bolt.Options{Timeout: time.Nanosecond, ReadOnly: readOnly, FreelistType: bolt.FreelistMapType, OpenFile: func(name string, flag int, mode fs.FileMode) (f *os.File, err error) {
		file, err = existing(name, flag, mode)
		return file, err
	}}
	asked := false
	defer func() {
		if asked {
			_ = os.Remove(path + turnFile)
		}
	}()
	for begun := time.Now(); ; time.Sleep(lockLook) {
		if !readOnly && time.Since(begun) > turnAfter {
			askForTurn(path)
			asked = true
		}
		db, err = bolt.Open(path, ownFile, o)
		if err == nil && !stillAt(path, file) { // a copy was put in its place while we waited
			err = db.Close()
			continue
		}
		if !errors.Is(err, berrors.ErrTimeout) || time.Since(begun) > lockWait {
			return db, err
		}
	}
}

// stillAt says that an open file has that name yet, as far as the system tells.
func stillAt(path string, file *os.File) bool {
	open, err := file.Stat()
	if err != nil {
		return true
	}
	named, err := os.Stat(path)
	return err != nil || os.SameFile(open, named)
}

// looked refuses a file that is smaller than its own pages say, one whose first pages
// say what cannot be, and, for who books, one whose list of free pages is damaged: what
// is in use would be written over. It notes that one of the two first pages is damaged.
func looked(path string, db *bolt.DB, readOnly bool) (notes []Note, err error) {
	var tx int
	var size int64
	if err := db.View(func(t *bolt.Tx) error { tx, size = t.ID(), t.Size(); return nil }); err != nil {
		return nil, err
	}
	err = withPages(path, func(f *pages.File) error {
		switch {
		case f.Now == nil || f.Now.Tx != uint64(tx):
			return fmt.Errorf("%w: %s says on its first pages what cannot be", ErrDamaged, path)
		case f.Size() < size:
			return fmt.Errorf("%w: %s is cut off, %d bytes of %d are there", ErrDamaged, path, f.Size(), size)
		case f.Metas[0].Flaw != nil || f.Metas[1].Flaw != nil:
			notes = append(notes, Note{NoteMeta, fmt.Sprintf("one of the two first pages of %s is damaged; it is opened by the other, and what was booked last may be missing", path)})
		}
		if readOnly {
			return nil
		}
		if err := f.FreeFlaw(); err != nil {
			return fmt.Errorf("%w: its list of free pages is, so that booking would write over what is in use: %v", ErrDamaged, err)
		}
		return nil
	})
	return notes, err
}

func openError(path string, err error) error {
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return fmt.Errorf("%w: another tinful is working on this store; try again in a moment", ErrBusy)
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrVersionMismatch), errors.Is(err, berrors.ErrChecksum):
		what := "is not a store of tinful"
		_ = withPages(path, func(f *pages.File) error {
			if f.Metas[0].Flaw != pages.ErrForeign || f.PageSize() > 0 {
				what = "has two first pages, and both are damaged"
			}
			return nil
		})
		return fmt.Errorf("%w: %s %s", ErrDamaged, path, what)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		may := "read"
		if f, rerr := os.Open(path); rerr == nil {
			may = "written"
			f.Close()
		}
		return fmt.Errorf("%s may not be %s here: %w", path, may, fs.ErrPermission)
	}
	if info, serr := os.Stat(path); serr == nil && info.Size() < 2*int64(os.Getpagesize()) {
		return fmt.Errorf("%w: %s is cut off after %d bytes", ErrDamaged, path, info.Size())
	}
	if h, werr := walked(path); werr == nil && len(h.Problems) > 0 { // bbolt gives that no name
		return fmt.Errorf("%w: %s: %s", ErrDamaged, path, h.Problems[0])
	}
	return err
}

// Close closes the store.
func (s *Store) Close() error {
	err := s.db.Close()
	if s.passing != "" {
		err = errors.Join(err, os.RemoveAll(s.passing))
	}
	return err
}

// Path is the file of the store.
func (s *Store) Path() string { return s.path }

// View asks questions of the store as it stands.
func (s *Store) View(fn func(*View) error) error {
	return s.view(func(tx *bolt.Tx) error {
		v := newView(tx, s.memo)
		defer v.asides.Wait() // what is lost in a circle is lost while somebody looks, see guard
		return fn(v)
	})
}

// update runs fn in a writing transaction, as View does in one that reads.
func (s *Store) update(fn func(*bolt.Tx) error) (err error) {
	defer s.guard()()
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer lost(&err) // out here, for pages are written after fn
	if err = s.db.Update(fn); errors.Is(err, syscall.ENOSPC) {
		return errors.New("the disk is full: nothing is booked")
	}
	return err
}

// lost says that the store is damaged where a row is not what was written, where a page
// leads out of the file, which the system tells by a fault, or is none, which bbolt trips
// over. Any other panic goes on.
func lost(err *error) {
	r := recover()
	_, fault := r.(interface{ Addr() uintptr })
	spoilt, row := r.(damage)
	switch {
	case r == nil:
	case row:
		*err = spoilt.error
	case fault || inBolt(string(debug.Stack())):
		*err = &FlawError{Text: "its pages lead nowhere"}
	default:
		panic(r)
	}
}

// inBolt says that a panic began in bbolt, by the stack below it.
func inBolt(stack string) bool {
	_, below, _ := strings.Cut(stack, "\npanic(")
	_, below, _ = strings.Cut(below, "\n")
	for line := range strings.Lines(below) {
		if !strings.HasPrefix(line, "\t") && !strings.HasPrefix(line, "runtime.") {
			return strings.HasPrefix(line, "go.etcd.io/bbolt")
		}
	}
	return false
}
