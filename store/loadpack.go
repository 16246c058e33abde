package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"

	"tinful/store/code"
)

// A new store of many bags would not fit into memory twice, nor would its movements: they
// are sorted on the disk, by their turn in the book and by bag.

// packBags folds bag by bag, where no bag's book touches another's, and packs each bag
// with its balance at once.
func (p *Plan) packBags() error {
	at, undated := p.newBags()
	turns, err := p.turns(undated)
	if err != nil {
		return err
	}
	p.ordered = turns
	books := fewHeaps(p.load.beside())
	defer books.close()
	own, err := p.byBag(turns, books, at)
	if err != nil {
		return err
	}
	book := books.of(bEntry).stream()
	k, x := book.next()
	p.states = map[code.Code]*State{} // of the bag at hand alone
	var days []DayEnd
	n := 0
	for i, bag := range p.bags.All() {
		e := p.firstEntry(bag, undated[i])
		if e.Seq = uint64(i + 1); p.numbered != nil {
			e.Seq = uint64(own[i])
		}
		st, err := fold(start(bag), e)
		began := err == nil
		if !began {
			p.problem("Bags", i, "Quantity", "%v", err)
		}
		p.states[bag.Code] = &st
		days, n = ended(days[:0], e.Day, st.Free()), 1
		for ; k != nil && binary.BigEndian.Uint32(k) == uint32(i); k, x = book.next() {
			if began {
				st = p.packMove(st, int(binary.BigEndian.Uint32(x)), uint64(binary.BigEndian.Uint32(k[8:])), entryOf(x[4:]))
				days, n = ended(days, st.LastDay, st.Free()), n+1
			}
		}
		if n >= longBook {
			st.Past = &Past{Born: e.Day, Days: slices.Clone(days)}
		}
		delete(p.states, bag.Code)
		if p.numbered != nil {
			e = Entry{} // it is entered when it is its turn
		}
		if began {
			p.packer.bag(bag, st, e)
		}
	}
	p.states, p.packed = nil, true
	p.bags.drop()
	p.load.Bags.drop()
	return book.err
}

// bagPlaces are where new bags stand, by the numbers of their codes.
type bagPlaces struct {
	codes *code.Index
	at    []int32 // -1 for none
}

// of is where a bag stands.
func (x *bagPlaces) of(bag code.Code) (i int, here bool) {
	if n, ok := x.codes.Number(bag); ok && x.at[n] >= 0 {
		return int(x.at[n]), true
	}
	return -1, false
}

// newBags notes where the new bags stand, and finds the day of the first movement of
// those without one, 0 for the others.
func (p *Plan) newBags() (at *bagPlaces, undated []code.Day) {
	at = &bagPlaces{codes: p.here.codes[bBag]}
	if at.codes != nil {
		at.at = slices.Repeat([]int32{-1}, at.codes.Len())
	}
	lacks := false
	for i, b := range p.bags.All() {
		n, _ := at.codes.Number(b.Code)
		at.at[n] = int32(i)
		day := p.head.Day
		if b.Booked != 0 {
			day = 0
		}
		undated, lacks = append(undated, day), lacks || day != 0
	}
	for r := p.load.Moves.rows.each(); lacks && r.advance(); {
		bag, _ := packedEntry(r.row).bag()
		if i, here := at.of(code.Code(bag)); here {
			undated[i] = min(undated[i], packedEntry(r.row).day())
		}
	}
	return at, undated
}

// turnKey is the key of a row in the order in which entries stand in the book where they
// do not tell their numbers.
func turnKey(day code.Day, row int) []byte {
	return binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(day)^1<<31), uint32(row))
}

// turns sorts the rows of Moves by their turn in the book: by the numbers that they had,
// with the entries that book the bags in, where all tell theirs, else by day. Each
// stands behind the number of its row, or of its bag.
func (p *Plan) turns(undated []code.Day) (*heaps, error) {
	told := p.bags.Len()+p.load.Moves.Len() > 0
	for _, b := range p.bags.All() {
		told = told && b.Entry > 0
	}
	for r := p.load.Moves.rows.each(); told && r.advance(); {
		told = packedEntry(r.row).seq() > 0
	}
	if told {
		out := fewHeaps(p.load.beside())
		var x []byte
		for i, b := range p.bags.All() {
			e := p.firstEntry(b, undated[i])
			x = packEntry(binary.BigEndian.AppendUint32(x[:0], uint32(i)), &e)
			out.add(bEntry, keySeq(b.Entry), x)
		}
		for r := p.load.Moves.rows.each(); r.advance(); {
			x = append(binary.BigEndian.AppendUint32(x[:0], uint32(r.next-1)), r.row...)
			out.add(bEntry, keySeq(packedEntry(r.row).seq()), x)
		}
		n, err := numbersTold(out)
		if n != nil || err != nil {
			p.numbered = n
			return out, err
		}
		out.close()
	}
	out := fewHeaps(p.load.beside())
	var x []byte
	for r := p.load.Moves.rows.each(); r.advance(); {
		x = append(binary.BigEndian.AppendUint32(x[:0], uint32(r.next-1)), r.row...)
		out.add(bEntry, turnKey(packedEntry(r.row).day(), r.next-1), x)
	}
	return out, nil
}

// numbersTold are the numbers that entries had, nil where two had the same.
func numbersTold(turns *heaps) (*numbering, error) {
	n, in := &numbering{}, turns.of(bEntry).stream()
	var last []byte
	for k, _ := in.next(); k != nil; k, _ = in.next() {
		if bytes.Equal(k, last) {
			return nil, nil
		}
		last = append(last[:0], k...)
		n.was = append(n.was, uint32(binary.BigEndian.Uint64(k)))
	}
	return n, in.err
}

// byBag sorts the rows of Moves by the places of their bags, then day, then number, and
// returns the numbers of the entries that book the bags in, where all tell theirs. Rows
// of bags that are not there are reported.
func (p *Plan) byBag(turns, books *heaps, at *bagPlaces) (own []uint32, err error) {
	nth := uint32(p.bags.Len())
	if p.numbered != nil {
		nth, own = 0, make([]uint32, p.bags.Len())
	}
	in := turns.of(bEntry).stream()
	var key []byte
	for _, x := in.next(); x != nil; _, x = in.next() {
		nth++
		row, e := binary.BigEndian.Uint32(x), packedEntry(x[4:])
		if e.first() {
			own[row] = nth
			continue
		}
		bag, _ := e.bag()
		i, here := at.of(code.Code(bag))
		if !here {
			if !p.has(bBag, code.Code(bag)) {
				p.problem("Moves", int(row), "Bag", "there is no bag %s%s", code.Code(bag), p.nowhere())
			}
			continue
		}
		key = append(binary.BigEndian.AppendUint32(key[:0], uint32(i)), turnKey(e.day(), int(nth))...)
		books.add(bEntry, key, x)
	}
	return own, in.err
}

// packMove folds one row of Moves into the balance of its bag.
func (p *Plan) packMove(st State, i int, seq uint64, e Entry) State {
	e.Seq, e.By = seq, or(e.By, p.head.By) // as it will stand in the book
	all := entryKind.breaches(p, nil, e)
	now, err := fold(st, e)
	if err != nil && len(all) == 0 && !p.unread(e.Bag, e.What) {
		all = append(all, &Breach{bEntry, nil, "Quantity", fmt.Errorf("%w on %s", err, e.Day)})
	}
	if p.refused("Moves", i, all) {
		return st
	}
	p.tally("Moves").New++
	return now
}

// eachTurn calls fn for the entries of a new store that come behind those of its bags, in
// their turn.
func (p *Plan) eachTurn(fn func(Entry) error) error {
	in := p.ordered.of(bEntry).stream()
	for _, x := in.next(); x != nil; _, x = in.next() {
		if err := fn(entryOf(x[4:])); err != nil {
			return err
		}
	}
	return in.err
}
