package commands

import (
	"os"
	"sync"
	"time"

	"tinful/store"
)

// A writer keeps the store open to book in for lines that follow each other at once:
// opening it takes as long as a booking does beside the disk. Nobody else may read
// meanwhile, so that it is let go a moment after a booking, between bookings that never
// end, and where somebody waits to book.
type writer struct {
	mu    sync.Mutex
	kept  *store.Store
	file  os.FileInfo // that was opened: another may have its name by now
	begun time.Time
	idle  *time.Timer
}

const (
	keptToBook = 20 * time.Millisecond  // after a booking
	rowToBook  = 100 * time.Millisecond // for bookings in a row: others read in between
)

// take returns the store at path to book in, as it was kept or opened anew.
func (w *writer) take(path string, open func() (*store.Store, error)) (*store.Store, error) {
	if w == nil {
		return open()
	}
	w.mu.Lock()
	s := w.kept
	if s != nil {
		long := time.Since(w.begun) > rowToBook || store.Awaited(path)
		now, err := os.Stat(path)
		if long || err != nil || s.Path() != path || !os.SameFile(now, w.file) {
			w.letGo()
			s = nil
		}
		if long {
			time.Sleep(turn)
		}
	}
	w.kept = nil
	w.mu.Unlock()
	if s != nil {
		return s, nil
	}
	s, err := open() // which drops what is kept
	if err == nil {
		w.begun = time.Now()
		w.file, _ = os.Stat(path)
	}
	return s, err
}

// give keeps a store for the next booking where this one went well, and where opening
// it has nothing to say.
func (w *writer) give(s *store.Store, well bool) {
	if w == nil || !well || len(s.Notes()) > 0 || w.file == nil {
		_ = s.Close() // what was booked is on the disk
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.kept = s
	if w.idle == nil {
		w.idle = time.AfterFunc(keptToBook, w.drop)
	} else {
		w.idle.Reset(keptToBook)
	}
}

// drop lets the store go.
func (w *writer) drop() {
	if w == nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.letGo()
}

func (w *writer) letGo() {
	if w.kept != nil {
		_ = w.kept.Close() // as above
		w.kept = nil
	}
}
