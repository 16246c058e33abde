package page

import (
	"slices"
	"sync"

	"tinful/commands/tell"
	"tinful/store"
)

// A memory keeps what bookings changed, in the words in which it was said when they were
// made: the book alone knows no "before" and no "short".
type memory struct {
	mu    sync.Mutex
	lines map[uint64][]string
	order []uint64
}

// mostSaid is how many bookings are remembered.
const mostSaid = 256

func (m *memory) keep(res store.Result, said ...string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.lines == nil {
		m.lines = map[uint64][]string{}
	}
	n := res.Booking.Number
	m.lines[n] = slices.Concat(said, tell.Changes(res), tell.Shortages(res), tell.Hinted(res.Said))
	if m.order = append(m.order, n); len(m.order) > mostSaid {
		delete(m.lines, m.order[0])
		m.order = m.order[1:]
	}
}

// of is what was said of a booking, nil where that is not known any more.
func (m *memory) of(booking uint64) []string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.lines[booking]
}
