package store

import (
	"slices"

	"tinful/store/code"
)

// Moves is a long list of rows of the Moves sheet, packed: there are more of
// them than of all else together, and few different texts.
type Moves struct {
	rows  []move
	texts []string
	ids   map[string]uint32
}

// A move holds no pointer, so that the collector passes it over. Its texts are
// numbers into texts.
type move struct {
	quantity, amount      int64
	seq, count            uint32
	day, due              int32
	bag, job, to, why, by uint32
	model                 uint32
	what                  What
	about, unsure         bool
}

// Len is the number of rows.
func (m *Moves) Len() int { return len(m.rows) }

// Grow makes room for n more rows.
func (m *Moves) Grow(n int) {
	rows := make([]move, len(m.rows), len(m.rows)+n)
	copy(rows, m.rows)
	m.rows = rows
}

// Add appends a row. Of an entry the columns of the sheet are kept: Day, What,
// Bag, Quantity, About, Job, To, Why, Amount, By, Due, Model, Count, Unsure and Seq.
func (m *Moves) Add(e Entry) {
	m.rows = append(m.rows, move{
		quantity: e.Quantity, amount: int64(e.Amount), day: int32(e.Day), due: int32(e.Due), what: e.What, about: e.About,
		seq: uint32(e.Seq), count: uint32(e.Count), unsure: e.Unsure,
		bag: m.id(string(e.Bag)), job: m.id(string(e.Job)), to: m.id(e.To), why: m.id(e.Why), by: m.id(e.By), model: m.id(string(e.Model)),
	})
}

func (m *Moves) id(text string) uint32 {
	if m.ids == nil {
		m.ids = map[string]uint32{}
	}
	n, ok := m.ids[text]
	if !ok {
		n = uint32(len(m.texts))
		m.ids[text] = n
		m.texts = append(m.texts, text)
	}
	return n
}

// Done lets go of what only adding needs.
func (m *Moves) Done() { m.ids = nil }

// At is row i.
func (m *Moves) At(i int) Entry {
	r := &m.rows[i]
	return Entry{
		Day: code.Day(r.day), Due: code.Day(r.due), What: r.what, Quantity: r.quantity, About: r.about, Amount: code.Cents(r.amount),
		Seq: uint64(r.seq), Count: uint64(r.count), Unsure: r.unsure,
		Bag: code.Code(m.texts[r.bag]), Job: code.Code(m.texts[r.job]), To: m.texts[r.to], Why: m.texts[r.why], By: m.texts[r.by], Model: code.Code(m.texts[r.model]),
	}
}

// All is every row.
func (m *Moves) All() []Entry {
	out := make([]Entry, m.Len())
	for i := range out {
		out[i] = m.At(i)
	}
	return out
}

// Equal says whether two lists hold the same rows.
func (m Moves) Equal(o Moves) bool {
	if m.Len() != o.Len() {
		return false
	}
	for i := range m.rows {
		if m.At(i) != o.At(i) {
			return false
		}
	}
	return true
}

// shifts says whether any row is about two bags.
func (m *Moves) shifts() bool {
	return slices.ContainsFunc(m.rows, func(r move) bool { return r.what == Split || r.what == Joined })
}
