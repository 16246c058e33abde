package commands

import (
	"os"
	"sync"
	"time"

	"tinful/store"
)

// A reader keeps the store open for the questions of an open bench line or a pipe, by
// a lock that others read beside. Who wants to book waits for it, so that it is let go
// a moment after the last question, and between questions that never end.
type reader struct {
	mu    sync.Mutex
	store *store.Store
	last  *store.Store // that was open before, of the same file
	file  os.FileInfo  // that was opened: another may have its name by now
	begun time.Time
	users int
	spent bool // it is let go when its last user is done
	idle  *time.Timer
}

const (
	keptOpen = 100 * time.Millisecond // after the last question
	keptLong = 200 * time.Millisecond // a tenth of the time that who books waits
	turn     = 3 * time.Millisecond   // longer than store looks for the lock
)

// take returns the store at path, open for questions until give; nil where a question
// is being answered from another one.
func (r *reader) take(path string, open func(string) (*store.Store, error)) (*store.Store, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.store != nil && r.users == 0 {
		long := time.Since(r.begun) > keptLong
		if long || r.store.Path() != path || !r.stands(path) || store.Awaited(path) {
			r.letGo()
		}
		if long {
			time.Sleep(turn)
		}
	}
	if r.users > 0 && r.store.Path() != path {
		return nil, nil
	}
	if r.store == nil {
		s, err := open(path)
		if err != nil {
			return nil, err
		}
		if r.last != nil && (r.last.Path() != path || !r.stands(path)) {
			r.last = nil
		}
		s.Remember(r.last)
		r.store, r.begun, r.spent = s, time.Now(), false
		r.file, _ = os.Stat(path)
	}
	r.users++
	return r.store, nil
}

// stands says whether the file that is open still has its name.
func (r *reader) stands(path string) bool {
	now, err := os.Stat(path)
	return err == nil && r.file != nil && os.SameFile(now, r.file) && now.ModTime().Equal(r.file.ModTime())
}

// give says that a question is answered.
func (r *reader) give() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.users--; r.users > 0 {
		return
	}
	switch {
	case r.spent:
		r.letGo()
	case r.idle == nil:
		r.idle = time.AfterFunc(keptOpen, r.drop)
	default:
		r.idle.Reset(keptOpen)
	}
}

// drop lets the store go, at once where no question is being answered.
func (r *reader) drop() {
	if r == nil {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.spent = true; r.users == 0 {
		r.letGo()
	}
}

func (r *reader) letGo() {
	if r.store != nil {
		_ = r.store.Close() // nothing was written
		r.last, r.store = r.store, nil
	}
}
