package store

import (
	"cmp"
	"encoding/binary"
	"errors"
	"slices"

	"tinful/store/code"
)

// Which rows of Moves the book has already: rows and entries are sorted together, on the
// disk where they are many, so that equal ones stand side by side.

// keyOfMove appends what tells a row of Moves from another, the day first: two equal rows
// are two movements.
func keyOfMove(b []byte, e *Entry) []byte {
	b = binary.BigEndian.AppendUint32(b, uint32(e.Day)^1<<31)
	b = append(appendText(b, string(e.Bag)), byte(e.What), truth(e.About))
	b = binary.AppendVarint(binary.AppendVarint(b, e.Quantity), int64(e.Amount))
	return appendText(appendText(b, string(e.Job)), e.To)
}

// What stands under such a key: the place of a row has four bytes.
var (
	inBook []byte
	noMore = []byte{1} // one of the book counts no more
)

// newMoves lists the rows that the book has not; the others are the same.
func (p *Plan) newMoves() ([]int32, error) {
	order := make([]int32, 0, p.load.Moves.Len())
	if p.view == nil {
		for i := range p.load.Moves.Len() {
			order = append(order, int32(i))
		}
		return order, nil
	}
	h := booked{all: newHeaps(p.load.beside()), gone: map[code.Code]uint64{}, undone: map[uint64]bool{}}
	defer h.all.close()
	if err := p.movesHere(&h); err != nil {
		return nil, err
	}
	for r := p.load.Moves.rows.each(); r.advance(); {
		e := entryOf(r.row)
		h.note(&e, binary.BigEndian.AppendUint32(nil, uint32(r.next-1)))
	}
	same, here := p.tally("Moves"), 0
	in := h.all.of(bEntry).stream()
	var last []byte
	for k, x := in.next(); k != nil; k, x = in.next() {
		if string(k) != string(last) {
			last, here = append(last[:0], k...), 0
		}
		switch len(x) {
		case len(inBook):
			here++
		case len(noMore):
			here--
		default:
			if here--; here >= 0 {
				same.Same++
			} else {
				order = append(order, int32(binary.BigEndian.Uint32(x)))
			}
		}
	}
	slices.Sort(order)
	return order, in.err
}

// inTurn brings new rows into the order in which they are entered: by day, then by number
// where all have one.
func (p *Plan) inTurn(order []int32) {
	type turn struct {
		day code.Day
		seq uint32
		row int32
	}
	turns := make([]turn, len(order))
	for i, row := range order {
		x := packedEntry(p.load.Moves.rows.at(int(row)))
		turns[i] = turn{day: x.day(), row: row}
		if p.numbered != nil {
			turns[i].seq = uint32(x.seq())
		}
	}
	slices.SortFunc(turns, func(a, b turn) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.seq, b.seq), cmp.Compare(a.row, b.row))
	})
	for i, t := range turns {
		order[i] = t.row
	}
}

// manyMoves is the number of rows from which reading the whole book is quicker
// than reading it bag by bag.
const manyMoves = 500

// A booked is what the book has of the movements of a workbook.
type booked struct {
	all    *heaps // movements, by keyOfMove
	key    []byte
	gone   map[code.Code]uint64 // by bag: the entry that took its booking in back
	undone map[uint64]bool      // the bookings that were taken back
}

func (h *booked) note(e *Entry, what []byte) {
	h.key = keyOfMove(h.key[:0], e)
	h.all.add(bEntry, h.key, what)
}

// add notes one entry.
func (h *booked) add(x Entry) error {
	if x.Undoes != 0 {
		h.undone[x.Undoes] = true
	}
	if !x.First {
		h.note(&x, inBook)
	} else if x.Undoes != 0 {
		h.gone[x.Bag] = x.Seq
	}
	return nil
}

// movesHere notes the movements of the workbook's bags that the book has. What
// a taken-back import brought is not there any more, unless the workbook has the
// rows that took it back as well.
func (p *Plan) movesHere(h *booked) (err error) {
	if p.load.Moves.Len() > manyMoves {
		err = p.view.EachEntry(h.add)
	} else {
		err = p.bookOf(h.add)
	}
	if err != nil || len(h.gone)+len(h.undone) == 0 {
		return err
	}
	return p.takenBack(h)
}

// bookOf calls fn for every entry of the bags of the Moves sheet.
func (p *Plan) bookOf(fn func(Entry) error) error {
	seen := map[code.Code]bool{}
	for i := range p.load.Moves.Len() {
		e := p.load.Moves.At(i)
		if seen[e.Bag] {
			continue
		}
		seen[e.Bag] = true
		all, err := p.view.EntriesOf(e.Bag)
		if errors.Is(err, ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		slices.SortFunc(all, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
		for _, x := range all {
			if x.Bag != e.Bag {
				continue
			}
			if err := fn(x); err != nil {
				return err
			}
		}
	}
	return nil
}

// takenBack notes what no longer counts.
func (p *Plan) takenBack(h *booked) error {
	rows := map[string]int{} // rows that take a movement back
	key := func(e *Entry) string { return string(keyOfMove(h.key[:0], e)) }
	if err := p.pairs(h, func(_, c *Entry, former bool) {
		if !former {
			rows[key(c)] = 0
		}
	}); err != nil {
		return err
	}
	for r := p.load.Moves.rows.each(); len(rows) > 0 && r.advance(); {
		e := entryOf(r.row)
		if n, asked := rows[key(&e)]; asked {
			rows[key(&e)] = n + 1
		}
	}
	return p.pairs(h, func(e, c *Entry, former bool) {
		if k := key(c); !former && rows[k] > 0 {
			rows[k]--
			return
		}
		h.note(e, noMore)
		h.note(c, noMore)
	})
}

// pairs calls fn for what an import that was taken back booked, and what was booked of a
// bag whose booking in was, each beside the entry that took it back.
func (p *Plan) pairs(h *booked, fn func(e, back *Entry, former bool)) error {
	for n := range h.undone {
		b, err := p.view.BookingNo(n)
		if err != nil {
			return err
		}
		by, err := p.view.BookingNo(b.Undone)
		if err != nil {
			return err
		}
		did, err := p.view.EntriesIn(b)
		if err != nil {
			return err
		}
		back, err := p.view.EntriesIn(by) // the last first
		if err != nil {
			return err
		}
		for i := range min(len(did), len(back)) {
			e, c := &did[i], &back[len(back)-1-i]
			if former := e.Seq < h.gone[e.Bag]; !e.First && (former || b.Kind == "import") {
				fn(e, c, former)
			}
		}
	}
	return nil
}
