package store

import (
	"errors"
	"os"
	"sync"
	"testing"
	"time"

	"tinful/store/code"
)

// Questions that overlap without end leave no moment in which nobody reads: who books
// gets a turn all the same, and nothing stays beside the store.
func TestBookingAmongEndlessQuestions(t *testing.T) {
	path := made(t)
	var readers sync.WaitGroup
	end := make(chan struct{})
	for n := range 4 {
		readers.Go(func() {
			time.Sleep(time.Duration(n) * 10 * time.Millisecond)
			for {
				select {
				case <-end:
					return
				default:
				}
				s, err := Open(path)
				if err != nil {
					t.Error(err)
					return
				}
				time.Sleep(40 * time.Millisecond) // three others read meanwhile
				s.Close()
			}
		})
	}
	defer readers.Wait()
	defer close(end)
	for i := range 10 {
		s, err := OpenToBook(path)
		if err != nil {
			t.Fatalf("booking %d: %v", i, err)
		}
		s.Close()
	}
	if _, err := os.Stat(path + turnFile); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what asks for a turn is still there: %v", err)
	}
}

// Where somebody was killed while waiting to book, questions are held up for no longer
// than a booking waits.
func TestTurnOfOneThatWasKilled(t *testing.T) {
	path := made(t)
	askForTurn(path)
	if !Awaited(path) {
		t.Fatal("it asks for no turn")
	}
	s, err := Open(path) // after a while
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	long := time.Now().Add(-2 * lockWait)
	if err := os.Chtimes(path+turnFile, long, long); err != nil {
		t.Fatal(err)
	}
	if Awaited(path) {
		t.Error("one that is stale asks yet")
	}
}

// A store that is open to book in can be read while it pauses, and is kept on. Where
// another booked meanwhile, or has the store, it is not.
func TestPause(t *testing.T) {
	path := made(t)
	book := func(s *Store, place string) {
		t.Helper()
		if _, err := s.Book(head(), func(t *Tx) error { return t.Put(Place{Code: code.Code(place)}) }); err != nil {
			t.Fatal(err)
		}
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	book(s, "Q1")
	pause := func(meanwhile func()) (stands bool) {
		t.Helper()
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			time.Sleep(5 * time.Millisecond)
			meanwhile()
		}()
		stands = s.Pause(100 * time.Millisecond)
		<-ended
		return stands
	}
	reads := func() {
		other, err := Open(path)
		if err != nil {
			t.Error(err)
			return
		}
		defer other.Close()
		if err := other.View(func(v *View) error { _, err := v.Place("Q1"); return err }); err != nil {
			t.Error(err)
		}
	}
	if !pause(reads) {
		t.Skip("a lock cannot be let go of here while a store stays open")
	}
	book(s, "Q2")
	if _, _, err := openLocked(path, true); err == nil {
		t.Error("after a pause others are at a store that is booked in")
	}
	var other *Store
	if pause(func() { other, err = OpenToBook(path) }) || err != nil {
		t.Errorf("it is kept on while another has it: %v", err)
	}
	book(other, "Q3")
	s.Close()
	s = other
	if pause(func() {
		o, err := OpenToBook(path)
		if err != nil {
			t.Error(err)
			return
		}
		book(o, "Q4")
		o.Close()
	}) {
		t.Error("it is kept on where another booked")
	}
	s.Close()
	reads()
}
