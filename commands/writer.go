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
	begun time.Time   // since when nobody else could have it
	made  time.Time   // when it was opened
	idle  *time.Timer
}

const (
	keptToBook = 20 * time.Millisecond  // after a booking
	rowToBook  = 100 * time.Millisecond // for bookings in a row: others read in between
	keptMapped = 500 * time.Millisecond // then it is opened anew, and what was read of it is no memory of ours
)

// take returns the store at path to book in, as it was kept or opened anew.
func (w *writer) take(path string, open func() (*store.Store, error)) (*store.Store, error) {
	if w == nil {
		return open()
	}
	w.mu.Lock()
	if w.kept != nil && (time.Since(w.begun) > rowToBook || store.Awaited(path)) {
		w.othersTurn()
	}
	if s := w.kept; s != nil {
		if now, err := os.Stat(path); err != nil || s.Path() != path || !os.SameFile(now, w.file) {
			w.letGo()
		}
	}
	s := w.kept
	w.kept = nil
	w.mu.Unlock()
	if s != nil {
		return s, nil
	}
	s, err := open() // which drops what is kept
	if err == nil {
		w.begun = time.Now()
		w.made = w.begun
		w.file, _ = os.Stat(path)
	}
	return s, err
}

// othersTurn lets others at the store that is kept, and keeps it on where none of them
// changed it.
func (w *writer) othersTurn() {
	switch {
	case time.Since(w.made) > keptMapped:
		w.letGo()
		time.Sleep(turn)
	case w.kept.Pause(turn):
		w.begun = time.Now()
	default:
		w.letGo()
	}
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
