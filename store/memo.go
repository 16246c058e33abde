package store

import (
	"sync"

	"tinful/store/dim"

	bolt "go.etcd.io/bbolt"
)

// A memo keeps records as they were read from a store that many questions are asked of.
// It is good as long as nobody books, which the number of the last transaction in the
// file's first pages tells. Whoever reads a record changes nothing that it leads to.
type memo struct {
	mu      sync.Mutex
	booked  int                       // the last transaction
	records map[string]map[string]any // by bucket and key
	made    map[string]any            // see Once
	spans   map[dim.Field]*span       // of the index of measures
	wide    map[dim.Field]int64       // how wide a window is that held too many parts to keep
	walked  bool                      // its branches were walked, and lead round nowhere
	brief   bool                      // it is of one question
	books   bool                      // it is of one booking, which may write what it has read
}

// remembered is how many records of a bucket a memo keeps, of others none: parts, the
// largest, take some 6 MiB. One question after another comes back to these; to bags and
// their balances the same question does. A memo that is full begins anew.
func (m *memo) remembered(bucket string) int {
	if m.books {
		switch bucket {
		case bBag, bPart, bModel, bJob, bGoes:
			return 1000
		}
		return 0
	}
	switch bucket {
	case bPart, bFigure, bModel, bPlace, bDonor, bGoes:
		if !m.brief {
			return 12000
		}
	case bBagByPart:
		if !m.brief {
			return 2000
		}
	case bBag, bState:
		return 1000
	}
	return 0
}

// Remember keeps what is read of a store that was opened for questions, and takes over
// what one that was opened before has read of the same file, if it still holds.
func (s *Store) Remember(before *Store) {
	s.memo = &memo{}
	err := s.db.View(func(tx *bolt.Tx) error { s.memo.booked = tx.ID(); return nil })
	if err == nil && before != nil && before.memo != nil && before.memo.booked == s.memo.booked {
		s.memo = before.memo
	}
}

// mostMade is how many answers of [Once] a memo has; then it begins anew.
const mostMade = 32

// Once returns what make makes of a store. Where many questions are asked of it, that is
// made once until somebody books, and whoever gets it changes nothing of it.
func Once[T any](v *View, name string, make func() (T, error)) (T, error) {
	m := v.memo
	if m == nil || m.books {
		return make()
	}
	m.mu.Lock()
	x, ok := m.made[name]
	m.mu.Unlock()
	if ok {
		return x.(T), nil
	}
	made, err := make()
	if err == nil {
		m.mu.Lock()
		defer m.mu.Unlock()
		if n := len(m.made); n == 0 || n == mostMade {
			m.made = map[string]any{}
		}
		m.made[name] = made
	}
	return made, err
}

// sound says whether branches were walked, and notes that they were.
func (m *memo) sound(now bool) bool {
	if m == nil {
		return false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.walked = m.walked || now
	return m.walked
}

func (m *memo) record(bucket string, key []byte) (any, bool) {
	if m == nil || m.remembered(bucket) == 0 {
		return nil, false
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	x, ok := m.records[bucket][string(key)]
	return x, ok
}

func (m *memo) keep(bucket string, key []byte, rec any) {
	if m == nil || m.remembered(bucket) == 0 {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.records == nil {
		m.records = map[string]map[string]any{}
	}
	if n := len(m.records[bucket]); n == 0 || n == m.remembered(bucket) {
		m.records[bucket] = map[string]any{}
	}
	m.records[bucket][string(key)] = rec
}

// forget drops the records of a bucket that is written to.
func (m *memo) forget(bucket string) {
	if m != nil {
		delete(m.records, bucket)
	}
}
