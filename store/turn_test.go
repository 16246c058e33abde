package store

import (
	"errors"
	"os"
	"sync"
	"testing"
	"time"
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
