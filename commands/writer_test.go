package commands

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"tinful/store"
)

// The store is kept for the next booking, and let go of by itself, for a question, and
// after a booking that was refused.
func TestKeptToBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "w.db")
	head := store.Head{Day: 20000, Today: 20000, At: 1, By: "R", Command: "test"}
	if err := store.CreateBooked(path, func(s *store.Store) error {
		_, err := s.Book(head, func(t *store.Tx) error { return t.Put(store.Place{Code: "K1"}) })
		return err
	}); err != nil {
		t.Fatal(err)
	}
	opened := 0
	open := func() (*store.Store, error) { opened++; return store.OpenToBook(path) }
	w := &writer{}
	book := func(well bool) {
		t.Helper()
		s, err := w.take(path, open)
		if err != nil {
			t.Fatal(err)
		}
		w.give(s, well)
	}
	book(true)
	book(true)
	if opened != 1 {
		t.Errorf("two bookings in a row opened the store %d times", opened)
	}
	s, err := store.Open(path) // waits a moment, and gets it
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	book(false)
	if s, err = store.Open(path); err != nil || w.kept != nil {
		t.Errorf("after a refusal it is kept: %v", err)
	}
	s.Close()
	opened = 0
	for end := time.Now().Add(10 * rowToBook); time.Now().Before(end); {
		book(true)
	}
	if opened < 2 {
		t.Errorf("bookings that never end opened the store %d times: nobody else gets it", opened)
	}
	if s, err = w.take(path+"x", func() (*store.Store, error) { return nil, errors.ErrUnsupported }); s != nil || w.kept != nil {
		t.Errorf("for another store this one is kept: %v", err)
	}
	var none *writer
	if s, err = none.take(path, open); err != nil {
		t.Fatal(err)
	}
	none.give(s, true)
	if s, err = store.OpenToBook(path); err != nil {
		t.Fatal(err)
	}
	s.Close()
}
