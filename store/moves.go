package store

import (
	"encoding/binary"

	"tinful/store/code"
)

// Moves is a long list of rows of the Moves sheet, packed: there are more of
// them than of all else together.
type Moves struct {
	rows packed
	row  []byte // that is packed
	last Entry  // the row that was asked for last
	at   int    // its place, from 1
	two  bool   // a row is about two bags
}

// Len is the number of rows.
func (m *Moves) Len() int { return m.rows.n }

// Add appends a row. Of an entry the columns of the sheet are kept: Day, What,
// Bag, Quantity, About, Job, To, Why, Amount, By, Due, Model, Count, Unsure and Seq.
func (m *Moves) Add(e Entry) {
	e.First = false
	m.row = packEntry(m.row[:0], &e)
	m.rows.add(m.row)
	m.two = m.two || e.What == Split || e.What == Joined
}

// At is row i.
func (m *Moves) At(i int) Entry {
	if m.at != i+1 {
		m.last, m.at = entryOf(m.rows.at(i)), i+1
	}
	return m.last
}

// All is every row.
func (m *Moves) All() []Entry {
	out := make([]Entry, 0, m.Len())
	for r := m.rows.each(); r.advance(); {
		out = append(out, entryOf(r.row))
	}
	return out
}

// Equal says whether two lists hold the same rows.
func (m Moves) Equal(o Moves) bool {
	if m.Len() != o.Len() {
		return false
	}
	for i := range m.Len() {
		if m.At(i) != o.At(i) {
			return false
		}
	}
	return true
}

// shifts says whether any row is about two bags.
func (m *Moves) shifts() bool { return m.two }

// drop lets go of all rows.
func (m *Moves) drop() {
	m.rows.close()
	*m = Moves{rows: m.rows}
}

// What an entry that is packed has besides its word, day, bag and quantity.
const (
	hasFirst = 1 << iota
	hasAbout
	hasJob
	hasBy
	hasSeq
	hasTo
	hasWhy
	hasMore // amount, due, count, unsure and model
)

// packEntry appends the bytes of an entry of a workbook: its word, what it has, its day,
// bag and quantity, then the others. Nobody keeps such bytes.
func packEntry(b []byte, e *Entry) []byte {
	has := byte(0)
	for i, is := range [...]bool{e.First, e.About, e.Job != "", e.By != "", e.Seq != 0, e.To != "", e.Why != "",
		e.Amount != 0 || e.Due != 0 || e.Count != 0 || e.Unsure || e.Model != ""} {
		has |= truth(is) << i
	}
	b = binary.AppendVarint(append(b, byte(e.What), has), int64(e.Day))
	b = binary.AppendVarint(appendText(b, string(e.Bag)), e.Quantity)
	if e.Seq != 0 {
		b = binary.AppendUvarint(b, e.Seq)
	}
	for _, text := range [...]string{string(e.Job), e.By, e.To, e.Why} {
		if text != "" {
			b = appendText(b, text)
		}
	}
	if has&hasMore != 0 {
		b = binary.AppendVarint(binary.AppendVarint(b, int64(e.Amount)), int64(e.Due))
		b = appendText(append(binary.AppendUvarint(b, e.Count), truth(e.Unsure)), string(e.Model))
	}
	return b
}

func appendText(b []byte, s string) []byte {
	return append(binary.AppendUvarint(b, uint64(len(s))), s...)
}

// entryOf reads an entry that was packed; its texts are parts of one. It is the zero
// Entry where the disk did not give it.
func entryOf(x []byte) (e Entry) {
	if len(x) == 0 {
		return e
	}
	s := unpacking(x[2:])
	has := x[1]
	e.What, e.First, e.About = What(x[0]), has&hasFirst != 0, has&hasAbout != 0
	e.Day, e.Bag, e.Quantity = code.Day(s.signed()), code.Code(s.text()), s.signed()
	if has&hasSeq != 0 {
		e.Seq = s.number()
	}
	if has&hasJob != 0 {
		e.Job = code.Code(s.text())
	}
	if has&hasBy != 0 {
		e.By = s.text()
	}
	if has&hasTo != 0 {
		e.To = s.text()
	}
	if has&hasWhy != 0 {
		e.Why = s.text()
	}
	if has&hasMore != 0 {
		e.Amount, e.Due, e.Count = code.Cents(s.signed()), code.Day(s.signed()), s.number()
		e.Unsure, e.Model = s.number() == 1, code.Code(s.text())
	}
	return e
}

// An unpacking is what is left of bytes that are read.
type unpacking string

func (s *unpacking) number() uint64 {
	n, rest := number(string(*s))
	*s = unpacking(rest)
	return n
}

func (s *unpacking) signed() int64 {
	n := s.number()
	return int64(n>>1) ^ -int64(n&1)
}

func (s *unpacking) text() string {
	n := s.number()
	text := string((*s)[:n])
	*s = (*s)[n:]
	return text
}

// A packedEntry is an entry as its bytes, of which some is read without the others.
type packedEntry []byte

func (x packedEntry) what() What { return What(x[0]) }

func (x packedEntry) first() bool { return x[1]&hasFirst != 0 }

func (x packedEntry) day() code.Day {
	n, _ := binary.Varint(x[2:])
	return code.Day(n)
}

// bag is the code of its bag, and what stands behind it.
func (x packedEntry) bag() (bag, rest []byte) {
	_, w := binary.Varint(x[2:])
	return cut(x[2+w:])
}

// seq is the number that it had, 0 for none.
func (x packedEntry) seq() uint64 {
	if x[1]&hasSeq == 0 {
		return 0
	}
	_, rest := x.bag()
	_, w := binary.Varint(rest)
	n, _ := binary.Uvarint(rest[w:])
	return n
}
