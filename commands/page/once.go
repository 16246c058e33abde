package page

import (
	"sync"
	"time"
)

// A ledger remembers what forms booked, so that one which is sent twice, by a thumb that
// taps twice or a browser that sends again, is answered with the first result and books
// nothing more. A form that booked nothing may be sent again.
type ledger struct {
	mu    sync.Mutex
	known map[string]*spent
	order []*spent  // the oldest first
	lost  time.Time // when the youngest form was made that is no longer remembered
}

// A spent word is one whose form is being booked, or was.
type spent struct {
	word string
	made time.Time
	done chan struct{} // closed when it is
	to   string        // where the tab went then
	ok   bool
}

// mostSpent is how many forms are remembered: more than are sent in twelve hours.
const mostSpent = 4096

func newLedger() *ledger { return &ledger{known: map[string]*spent{}} }

// do books a form once, and returns where its tab goes, be it the first time or again. It
// returns errKey for a form so old that nobody knows whether it was booked.
func (l *ledger) do(word string, made time.Time, book func() (string, error)) (string, error) {
	for {
		l.mu.Lock()
		s, again := l.known[word]
		if !again {
			break
		}
		l.mu.Unlock()
		if <-s.done; s.ok {
			return s.to, nil
		}
	}
	if !made.After(l.lost) {
		l.mu.Unlock()
		return "", errKey
	}
	s := &spent{word: word, made: made, done: make(chan struct{})}
	l.known[word] = s
	l.mu.Unlock()
	defer l.settle(s)
	to, err := book()
	if s.to, s.ok = to, err == nil; !s.ok {
		return "", err
	}
	return to, nil
}

// settle keeps what was booked, and forgets what was not or is too long ago.
func (l *ledger) settle(s *spent) {
	l.mu.Lock()
	defer l.mu.Unlock()
	defer close(s.done)
	if !s.ok {
		delete(l.known, s.word)
		return
	}
	l.order = append(l.order, s)
	if len(l.order) > mostSpent {
		old := l.order[0]
		l.order = l.order[1:]
		delete(l.known, old.word)
		if old.made.After(l.lost) {
			l.lost = old.made
		}
	}
}
