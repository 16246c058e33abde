package store

import (
	"sync"

	bolt "go.etcd.io/bbolt"
)

// A memo keeps records as they were read from a store that many questions are asked of.
// It is good as long as nobody books, which the number of the last transaction in the
// file's first pages tells. Whoever reads a record changes nothing that it leads to.
type memo struct {
	mu      sync.Mutex
	booked  int                       // the last transaction
	records map[string]map[string]any // by bucket and key
	n       int
}

// mostKept is how many records a memo keeps: some 4 MiB of them. A fuller one begins
// anew.
const mostKept = 8192

// Remember keeps what is read of a store that was opened for questions, and takes over
// what one that was opened before has read of the same file, if it still holds.
func (s *Store) Remember(before *Store) {
	s.memo = &memo{}
	err := s.db.View(func(tx *bolt.Tx) error { s.memo.booked = tx.ID(); return nil })
	if err == nil && before != nil && before.memo != nil && before.memo.booked == s.memo.booked {
		s.memo = before.memo
	}
}

func (m *memo) record(bucket string, key []byte) (any, bool) {
	if m == nil {
		return nil, false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	x, ok := m.records[bucket][string(key)]
	return x, ok
}

func (m *memo) keep(bucket string, key []byte, rec any) {
	if m == nil {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.n == mostKept || m.records == nil {
		m.n, m.records = 0, map[string]map[string]any{}
	}
	if m.records[bucket] == nil {
		m.records[bucket] = map[string]any{}
	}
	m.records[bucket][string(key)] = rec
	m.n++
}
