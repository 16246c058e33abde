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
}

// mostKept is how many records of a bucket a memo keeps: some 6 MiB of parts, which
// are the largest. A fuller one begins anew.
const mostKept = 12000

// remembered are the buckets whose records one question after another comes back to: bags
// and their balances are each other ones.
var remembered = map[string]bool{bPart: true, bModel: true, bPlace: true, bDonor: true, bGoes: true}

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
	if m == nil || !remembered[bucket] {
		return nil, false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	x, ok := m.records[bucket][string(key)]
	return x, ok
}

func (m *memo) keep(bucket string, key []byte, rec any) {
	if m == nil || !remembered[bucket] {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.records == nil {
		m.records = map[string]map[string]any{}
	}
	if n := len(m.records[bucket]); n == 0 || n == mostKept {
		m.records[bucket] = map[string]any{}
	}
	m.records[bucket][string(key)] = rec
}
