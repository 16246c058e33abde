package store

import (
	"cmp"
	"encoding/binary"
	"errors"
	"slices"
	"strings"

	"tinful/store/code"
)

// A rejoiner makes a book that adds up of the entries that were found. Of those that are
// lost the balance of their bag tells how many pieces each word came to; where that is
// lost too, the bag's record tells what was booked in. Such an entry says why it is there.
type rejoiner struct {
	*saved
	lost    []uint64           // numbers, in order
	names   numbers            // that were found
	turns   []turn             // where entries of another booking begin, in order of numbers
	ordered bool               // bookings come in order of numbers
	orphans bool               // a bag has entries, or a balance that is not gone, and no record
	more    []Entry            // what is put in for what was not found, of the bag at hand
	dropped map[code.Code]bool // bags whose entries were taken out; what is put in then stays
	stays   bool
	spans   []Booking // that have entries, in order
	undid   map[uint64]uint64
}

// A turn is a number of an entry, and the booking that begins there.
type turn struct{ seq, booking uint64 }

// numbers are a set of numbers that begin near 1.
type numbers []uint64

func (n *numbers) add(x uint64) {
	if at := int(x / 64); at >= len(*n) {
		*n = append(*n, make([]uint64, at+1-len(*n))...)
	}
	(*n)[x/64] |= 1 << (x % 64)
}

func (n numbers) has(x uint64) bool { return x/64 < uint64(len(n)) && n[x/64]&(1<<(x%64)) != 0 }

// More heaps of a wreck.
const (
	foundEntries = "entries" // by number
	putIn        = "put in"  // entries in the place of others, by booking and number
	putByBag     = "put by bag"
	theBook      = "book" // by booking and number
)

const salvagedWhy = "salvaged: the entry is lost"

// entries makes the book of the new store, numbered from 1.
func (s *saved) entries() error {
	r := &rejoiner{saved: s, ordered: true, dropped: map[code.Code]bool{}, undid: map[uint64]uint64{}}
	for _, step := range []func() error{r.unchunk, r.read, r.balanced, s.lines, r.sortByBag, r.alone, r.bags, r.number} {
		if err := step(); err != nil {
			return err
		}
	}
	for _, name := range []string{bState, byBag, bagRows, putIn, putByBag, theBook, foundEntries} {
		s.found.drop(name)
	}
	return nil
}

// unchunk takes the entries out of their chunks: of two with one key the later page's.
func (r *rejoiner) unchunk() (err error) {
	var chunk, value []byte
	j := braided(r.found.of(bEntry))
	for k := j.next(); k != nil; k = j.next() {
		for x := range j.under(0) {
			chunk = append(chunk[:0], x...)
		}
		err = cmp.Or(err, unpacked(k, chunk, func(booking, seq uint64, x []byte) error {
			value = append(binary.AppendUvarint(value[:0], booking), x...)
			r.found.add(foundEntries, keySeq(seq), value)
			return nil
		}))
	}
	r.found.drop(bEntry)
	return cmp.Or(err, j.err())
}

// eachFound calls fn for every entry that was found, in order of numbers.
func (r *rejoiner) eachFound(fn func(seq, booking uint64, x []byte) error) error {
	j := braided(r.found.of(foundEntries))
	for k := j.next(); k != nil; k = j.next() {
		for x := range j.under(0) {
			booking, w := binary.Uvarint(x)
			if err := fn(binary.BigEndian.Uint64(k), booking, x[w:]); err != nil {
				return err
			}
			break
		}
	}
	return j.err()
}

// read notes which entries there are, and makes a booking of every number up to the last:
// those that are lost by what their entries tell.
func (r *rejoiner) read() error {
	told := map[uint64]*Booking{}
	err := r.eachFound(func(seq, booking uint64, x []byte) error {
		r.names.add(seq)
		if n := len(r.turns); n == 0 || r.turns[n-1].booking != booking {
			r.ordered = r.ordered && (n == 0 || r.turns[n-1].booking < booking)
			r.turns = append(r.turns, turn{seq, booking})
		}
		r.orphans = r.orphans || len(r.orphansOf(x)) > 0
		if _, known := r.bookings[booking]; known {
			return nil
		}
		var e Entry
		err := unentry(seq, x, &e)
		b := told[booking]
		if b == nil {
			b = &Booking{}
			told[booking] = b
		}
		if b.By, b.Day = e.By, max(b.Day, e.Day); e.Undoes != 0 {
			b.Kind, b.Undoes = "undo", e.Undoes
		}
		return err
	})
	if err != nil {
		return err
	}
	var day code.Day
	var lost []uint64
	for n := uint64(1); n <= r.last; n++ {
		b, ok := r.bookings[n]
		if ok {
			day = b.Day
			continue
		}
		b = Booking{Number: n, Day: day, Command: "lost"}
		if t := told[n]; t != nil {
			b.By, b.Day, b.Kind, b.Undoes = t.By, max(day, t.Day), t.Kind, t.Undoes
		}
		if n > 1 && b.Undoes >= n {
			b.Undoes = 0
		}
		r.bookings[n] = b
		lost = append(lost, n)
	}
	for _, x := range runs(lost) {
		r.lose("%s: who booked, when and by which command", x.of("booking"))
	}
	return nil
}

// balanced finds which numbers are lost, by the balances too, and names them.
func (r *rejoiner) balanced() error {
	last := uint64(max(0, 64*len(r.names)-1))
	for ; last > 0 && !r.names.has(last); last-- {
	}
	for n, b := range r.bookings {
		if last = max(last, b.Last); b.First != 0 {
			r.spans = append(r.spans, b)
		}
		if b.Undoes != 0 {
			r.undid[b.Undoes] = n
		}
	}
	slices.SortFunc(r.spans, func(a, b Booking) int { return cmp.Compare(a.First, b.First) })
	j := braided(r.found.of(bState))
	for k := j.next(); k != nil; k = j.next() {
		if st := balanceOf(k, j.under(0)); st != nil {
			r.orphans = r.orphans || !st.Gone && !r.has[bBag].Has(code.Code(k))
			for _, seq := range st.Book {
				last = max(last, seq)
			}
		}
	}
	for n := uint64(1); n <= last; n++ {
		if !r.names.has(n) {
			r.lost = append(r.lost, n)
		}
	}
	for _, x := range runs(r.lost) {
		r.lose("%s, of %s", x.of("entry"), run{r.at(x.from), r.at(x.to)}.of("booking"))
	}
	return j.err()
}

// balanceOf is the last of some balances of a bag that can be read, nil for none.
func balanceOf(key []byte, all func(func([]byte) bool)) (out *State) {
	for x := range all {
		var st State
		if decodeBody(key, x, &st) == nil {
			out = &st
		}
	}
	return out
}

// sortByBag sorts entries by the bags that they are about: all where some are lost, else
// those of bags without a record.
func (r *rejoiner) sortByBag() error {
	if !r.orphans && len(r.lost) == 0 {
		return nil
	}
	var value []byte
	return r.eachFound(func(seq, booking uint64, x []byte) error {
		value = append(binary.AppendUvarint(append(value[:0], keySeq(seq)...), booking), x...)
		bags := bagsOf(x)
		if len(r.lost) == 0 {
			bags = r.orphansOf(x)
		}
		for _, bag := range bags {
			r.addTo(byBag, bag, value)
		}
		return nil
	})
}

// bagsOf are the bags that an entry is about.
func bagsOf(x peeked) [][]byte {
	bags := [][]byte{x.text(5)}
	if what := What(x.number(4)); what == Split || what == Joined {
		bags = append(bags, x.text(9))
	}
	return bags
}

// orphansOf are those without a record.
func (r *rejoiner) orphansOf(x peeked) [][]byte {
	return slices.DeleteFunc(bagsOf(x), func(bag []byte) bool { return r.has[bBag].Has(code.Code(bag)) })
}

// addTo adds an entry to those of a bag.
func (r *rejoiner) addTo(heap string, bag, value []byte) {
	if len(bag) > 0 {
		r.found.add(heap, bag, value)
	}
}

// bookOfBag are the entries of a bag, with room between their numbers.
func bookOfBag(all func(func([]byte) bool)) (out []Entry, err error) {
	for x := range all {
		seq, rest := binary.BigEndian.Uint64(x), x[8:]
		booking, w := binary.Uvarint(rest)
		e := Entry{Seq: seq*room + placed, Booking: booking}
		err = cmp.Or(err, unentry(seq, rest[w:], &e))
		out = append(out, e)
	}
	return out, err
}

// alone looks at each bag by what was booked of it: it gets a record where it has none,
// and entries that took others back get those.
func (r *rejoiner) alone() error {
	if !r.orphans && len(r.lost) == 0 {
		return nil
	}
	j := braided(r.found.of(byBag), r.found.of(bState), r.found.of(bagRows))
	for k := j.next(); k != nil; k = j.next() {
		bag, st := code.Code(k), balanceOf(k, j.under(1))
		book, err := bookOfBag(j.under(0))
		if err != nil {
			return err
		}
		own := slices.DeleteFunc(slices.Clone(book), func(e Entry) bool { return e.Bag != bag })
		own = slices.CompactFunc(own, func(a, b Entry) bool { return a.Seq == b.Seq })
		if !r.has[bBag].Has(bag) {
			if err := r.inventBag(bag, own, book, st, j.under(2)); err != nil {
				return err
			}
		}
		if len(r.lost) > 0 {
			r.pairs(own, st)
		}
		for i := range r.more {
			e := &r.more[i]
			x, err := encMode().Marshal(e)
			if err != nil {
				return err
			}
			value := append(binary.AppendUvarint(keySeq(e.Seq), e.Booking), x...)
			if r.addTo(putByBag, []byte(e.Bag), value); e.What == Split || e.What == Joined {
				r.addTo(putByBag, []byte(e.To), value)
			}
		}
		if err := r.putAway(); err != nil {
			return err
		}
	}
	return j.err()
}

// putAway lays the entries aside that were put in for the bag at hand.
func (r *rejoiner) putAway() error {
	for i := range r.more {
		if err := r.putTo(putIn, &r.more[i], r.stays); err != nil {
			return err
		}
	}
	r.more, r.stays = r.more[:0], false
	return nil
}

// at is the booking that a number of an entry belongs to, as far as is known; one that
// belongs to none that is known is of the last before it, so that numbers and bookings
// stay in one order.
func (r *rejoiner) at(seq uint64) uint64 {
	booking := uint64(1)
	i, ok := slices.BinarySearchFunc(r.spans, seq, func(b Booking, s uint64) int { return cmp.Compare(b.First, s) })
	if !ok {
		i--
	}
	if i >= 0 {
		if booking = r.spans[i].Number; seq <= r.spans[i].Last {
			return booking
		}
	}
	i, _ = slices.BinarySearchFunc(r.turns, seq, func(t turn, s uint64) int { return cmp.Compare(t.seq, s) })
	if i > 0 || r.names.has(seq) {
		booking = max(booking, r.turns[max(0, i-1)].booking)
	}
	return booking
}

// slot is a lost number in a booking, else the last below a number, else the first.
func (r *rejoiner) slot(booking, below uint64) uint64 {
	if b, known := r.bookings[booking]; known && b.First != 0 {
		if i, _ := slices.BinarySearch(r.lost, b.First); i < len(r.lost) && r.lost[i] <= b.Last {
			return r.lost[i]
		}
	}
	i, _ := slices.BinarySearch(r.lost, below)
	return r.lost[max(0, i-1)]
}

// Where an entry stands that is put in for one that is lost: in the file numbers are
// whole, here there is room between them. What comes in stands before what goes out.
const (
	room     = 8
	ahead    = 0 // of the entries of that number: 0 and 1
	placed   = 3 // they
	behind   = 4 // them: 4 and 5
	atTheEnd = 6 // 6 and 7
)

// put puts an entry in for one that is lost, beside a number.
func (r *rejoiner) put(e Entry, seq, where uint64) Entry {
	e.Booking = r.at(seq)
	if e.Seq = seq*room + where; takes(e) {
		e.Seq++
	}
	b := r.bookings[e.Booking]
	if e.Why, e.By = salvagedWhy, b.By; e.Quantity < 0 && e.Undoes == 0 && e.What != Corrected {
		e.Undoes = b.Undoes
	}
	r.more = append(r.more, e)
	return e
}

// takes says that pieces go out by an entry.
func takes(e Entry) bool {
	switch e.What {
	case In, Found, Returned, Unheld:
		return false
	case Corrected:
		return e.Quantity < 0
	}
	return true
}

// pairs gives every entry of a bag that takes another back that other one, where it is
// lost; and the entries of a bag that was taken back, those that took them back.
func (r *rejoiner) pairs(own []Entry, st *State) {
	type pair struct {
		booking uint64
		what    What
		n       int64
	}
	open := map[pair][]int{}
	matched := map[int]bool{}
	for i, e := range own {
		p := pair{e.Booking, e.What, e.Quantity}
		if e.Undoes == 0 {
			open[p] = append(open[p], i)
			continue
		}
		matched[i] = true
		p.booking, p.n = e.Undoes, -e.Quantity
		switch n := len(open[p]); {
		case n > 0:
			matched[open[p][n-1]] = true
			open[p] = open[p][:n-1]
		case e.What != Moved && e.What != Graded:
			o := e
			o.Quantity, o.Amount, o.Undoes = -e.Quantity, -e.Amount, 0
			r.put(o, r.slot(e.Undoes, e.Seq/room), behind)
		}
	}
	for i, e := range own {
		if by := r.undid[e.Booking]; !matched[i] && (by != 0 || st != nil && st.Gone) {
			if by == 0 || r.at(r.slot(by, 0)) == by {
				c := e
				c.Quantity, c.Amount, c.Undoes = -e.Quantity, -e.Amount, e.Booking
				r.put(c, r.slot(by, r.lost[len(r.lost)-1]+1), behind)
			}
		}
	}
}

// bags sees to every bag that has a record and lost entries.
func (r *rejoiner) bags() error {
	if len(r.lost) == 0 {
		return nil
	}
	j := braided(r.all.of(bBag), r.found.of(bState), r.found.of(byBag), r.found.of(putByBag))
	for k := j.next(); k != nil; k = j.next() {
		var b Bag
		for frame := range j.under(0) {
			if err := decode(bBag, k, frame, &b); err != nil {
				return err
			}
		}
		if b.Code == "" {
			continue
		}
		st := balanceOf(k, j.under(1))
		book, err := bookOfBag(j.under(2))
		if err != nil {
			return err
		}
		older := false // than the book
		if st != nil {
			listed := make(map[uint64]bool, len(st.Book))
			for _, seq := range st.Book {
				listed[seq] = true
			}
			older = slices.ContainsFunc(book, func(e Entry) bool { return !listed[e.Seq/room] })
			if !older && !st.Gone && !slices.ContainsFunc(st.Book, func(seq uint64) bool { return !r.names.has(seq) }) {
				continue
			}
		}
		for x := range j.under(3) {
			e := Entry{Seq: binary.BigEndian.Uint64(x)}
			var w int
			e.Booking, w = binary.Uvarint(x[8:])
			if err := unentry(e.Seq, x[8+w:], &e); err != nil {
				return err
			}
			book = append(book, e)
		}
		if known := st != nil && !st.Gone && !older; known {
			r.bag(b, book, *st, known)
		} else {
			r.bag(b, book, State{}, false)
		}
		if err := r.putAway(); err != nil {
			return err
		}
	}
	return j.err()
}

// A ledger is the book of one bag in the making.
type ledger struct {
	*rejoiner
	bag         Bag
	book        []Entry
	first, last uint64 // numbers beside which entries are put in
	where       uint64 // the first
	from, to    code.Day
}

// early puts an entry in where the bag begins, late where it ends.
func (l *ledger) early(e Entry) {
	e.Bag, e.Day = l.bag.Code, l.from
	l.book = append(l.book, l.put(e, l.first, l.where))
}

func (l *ledger) late(e Entry) {
	e.Bag, e.Day = l.bag.Code, l.to
	l.book = append(l.book, l.put(e, l.last, atTheEnd))
}

// bag makes the book of one bag add up.
func (r *rejoiner) bag(b Bag, book []Entry, st State, known bool) {
	var gone []uint64
	for _, seq := range st.Book {
		if !r.names.has(seq) {
			gone = append(gone, seq)
		}
	}
	had, err := foldBook(b, book)
	born := bornOf(b.Code, book)
	if known && len(gone) == 0 || !known && err == nil && born.Seq != 0 {
		return
	}
	if !known {
		st = State{Bag: b.Code, BookedIn: b.Quantity, Place: had.Place, Grade: had.Grade, About: b.About}
	}
	l := r.ledger(b, book, gone, born)
	l.to = max(l.to, st.LastDay)
	if born.Seq == 0 && b.Split == "" {
		l.early(Entry{What: In, Quantity: st.BookedIn - StateAfter(b, book).BookedIn, About: b.About, First: true})
	}
	if known {
		for _, e := range deltas(StateAfter(b, l.book), st) {
			if e.What == In || e.What == Found || e.What == Corrected && e.Quantity > 0 {
				l.early(e)
			}
		}
	}
	if err := l.level(); err == nil && known {
		for _, e := range deltas(StateAfter(b, l.book), st) {
			l.late(e)
		}
		l.settle(st)
	} else if err == nil {
		now, _ := foldBook(b, l.book)
		r.lose("the balance of bag %s: it stands by what was found, %d on hand", b.Code, now.OnHand())
	}
	if _, err := foldBook(b, l.book); err != nil {
		r.lose("what moved of bag %s: its book does not add up (%v)", b.Code, err)
		r.drop(b, st, l)
	}
}

// ledger finds where entries of a bag are put in: after the one by which it came, where
// that was found, else before all others; and after the last.
func (r *rejoiner) ledger(b Bag, book []Entry, gone []uint64, born Entry) *ledger {
	l := &ledger{rejoiner: r, bag: b, book: slices.Clone(book), where: ahead}
	l.first, l.last = r.slot(0, r.lost[len(r.lost)-1]+1), r.lost[len(r.lost)-1]
	if len(gone) > 0 {
		l.first, l.last = gone[0], gone[len(gone)-1]
	}
	l.from = cmp.Or(b.Booked, r.bookings[r.at(l.first)].Day)
	for _, e := range book {
		l.first, l.from, l.to = min(l.first, e.Seq/room), min(l.from, e.Day), max(l.to, e.Day)
	}
	for _, e := range book {
		if e.Day == l.to {
			l.last = max(l.last, e.Seq/room)
		}
	}
	if l.to = max(l.to, l.from); born.Seq != 0 {
		l.first, l.from, l.where = born.Seq/room, born.Day, behind
	}
	return l
}

// level puts in what the entries that were found need to have come before them.
func (l *ledger) level() error {
	_, err := foldBook(l.bag, l.book)
	for tries := 2*len(l.book) + 8; err != nil && tries > 0; tries-- {
		short, ok := errors.AsType[*ShortError](err)
		if !ok {
			return err
		}
		lacks := max(short.Want-short.Have, 1)
		switch job, isJob := strings.CutPrefix(short.Who, "job "); {
		case short.What == Returned && isJob:
			l.early(Entry{What: Fitted, Quantity: lacks, Job: code.Code(job)})
		case short.What == Unheld && isJob:
			l.early(Entry{What: Held, Quantity: lacks, Job: code.Code(job)})
		case short.What == Returned && short.Who != "":
			l.early(Entry{What: Lent, Quantity: lacks, To: short.Who})
		default:
			l.early(Entry{What: Corrected, Quantity: lacks, About: l.bag.About})
		}
		_, err = foldBook(l.bag, l.book)
	}
	return err
}

// settle puts in what the balance says beside numbers.
func (l *ledger) settle(st State) {
	now, err := foldBook(l.bag, l.book)
	if err != nil {
		return // the caller sees to it
	}
	if st.Place != now.Place && st.Place != "" {
		l.late(Entry{What: Moved, To: string(st.Place)})
	}
	if st.Grade != now.Grade && st.Grade != "" {
		l.late(Entry{What: Graded, To: st.Grade})
	}
	if st.Read != now.Read && st.Read != 0 {
		l.late(Entry{What: Counted, Quantity: st.ReadN, About: st.ReadAbout})
	}
}

// drop takes all entries of a bag out whose book does not add up, and puts one in for
// what its balance says.
func (r *rejoiner) drop(b Bag, st State, l *ledger) {
	r.dropped[b.Code], r.more, r.stays = true, r.more[:0], true
	l.early(Entry{What: In, Quantity: max(0, st.OnHand()), About: st.About, First: true})
}

// deltas are the entries that lead from sums to a balance.
func deltas(had, st State) (out []Entry) {
	add := func(e Entry) {
		if e.Quantity != 0 {
			out = append(out, e)
		}
	}
	each := func(had, want []Owed, fn func(who string, n int64)) {
		for _, o := range want {
			had = owe(had, o.Who, -o.N)
		}
		for _, o := range had {
			fn(o.Who, -o.N)
		}
	}
	add(Entry{What: In, Quantity: st.BookedIn - had.BookedIn})
	each(had.FittedIn, st.FittedIn, func(who string, n int64) { // what came out again is as if it never went in
		e := Entry{What: Fitted, Quantity: n, Job: code.Code(who)}
		if n < 0 {
			e.What, e.Quantity = Returned, -n
		}
		add(e)
	})
	each(had.HeldFor, st.HeldFor, func(who string, n int64) {
		e := Entry{What: Held, Quantity: n, Job: code.Code(who)}
		if n < 0 {
			e.What, e.Quantity = Unheld, -n
		}
		add(e)
	})
	each(had.LentTo, st.LentTo, func(who string, n int64) {
		e := Entry{What: Lent, Quantity: n, To: who}
		if n < 0 {
			e.What, e.Quantity = Returned, -n
		}
		add(e)
	})
	add(Entry{What: Scrapped, Quantity: st.Scrapped - had.Scrapped})
	add(Entry{What: Sold, Quantity: st.Sold - had.Sold})
	add(Entry{What: Cut, Quantity: st.Cut - had.Cut})
	add(Entry{What: Lost, Quantity: st.Lost - had.Lost})
	add(Entry{What: Found, Quantity: st.Found - had.Found})
	add(Entry{What: Corrected, Quantity: st.Corrected - had.Corrected + st.Shifted - had.Shifted, About: st.About})
	return out
}

// putTo lays an entry down by booking and number. One that stays does so whatever is
// dropped.
func (r *rejoiner) putTo(heap string, e *Entry, stays bool) error {
	x, err := encMode().Marshal(e)
	r.found.add(heap, append(keySeq(e.Booking), keySeq(e.Seq)...), append([]byte{truth(stays)}, x...))
	return err
}

// number puts all entries in the order of bookings and numbers, without a gap, and gives
// every booking the numbers of its entries, and every count that of its last.
func (r *rejoiner) number() error {
	for n, b := range r.bookings {
		b.First, b.Last = 0, 0
		r.bookings[n] = b
	}
	var cuts []uint64 // of counts, in order
	for _, c := range r.counts {
		cuts = append(cuts, c.rec.(Count).Cut)
	}
	slices.Sort(cuts)
	below := make([]uint64, len(cuts)+1) // entries whose numbers are not behind a cut, and are behind those before it
	n, at := uint64(0), Booking{}
	chunks := chunker{put: func(first uint64, x []byte) error { r.all.add(bEntry, keySeq(first), x); return nil }}
	enter := func(e Entry) error {
		i, _ := slices.BinarySearchFunc(cuts, e.Seq, func(cut, seq uint64) int {
			if seq < (cut+1)*room {
				return 1
			}
			return -1
		})
		below[i]++
		n++
		if at.Number != e.Booking || n == 1 {
			if n > 1 {
				r.bookings[at.Number] = at
			}
			at = r.bookings[e.Booking]
		}
		e.Seq = n
		at.First, at.Last = cmp.Or(at.First, n), n
		r.day = max(r.day, e.Day)
		entryKind.names(e, r.note)
		return chunks.add(e)
	}
	err := r.inTurn(enter)
	if n > 0 {
		r.bookings[at.Number] = at
	}
	if err = cmp.Or(err, chunks.flush()); err != nil {
		return err
	}
	r.got.Entries = int(n)
	now := func(old uint64) (all uint64) {
		i, _ := slices.BinarySearch(cuts, old)
		for _, n := range below[:i+1] {
			all += n
		}
		return all
	}
	for _, x := range r.counts {
		if c := x.rec.(Count); c.Cut != 0 && now(c.Cut) != c.Cut {
			c.Cut = now(c.Cut)
			x.rec, x.broken = c, true
		}
		if err := r.lay(x); err != nil {
			return err
		}
	}
	return nil
}

// inTurn calls fn for all entries of the new book, in the order of bookings and numbers.
func (r *rejoiner) inTurn(fn func(Entry) error) error {
	whole := r.ordered && r.found.of(putIn).n == 0 && len(r.dropped) == 0
	err := r.eachFound(func(seq, booking uint64, x []byte) error {
		e := Entry{Seq: seq*room + placed, Booking: booking}
		if err := unentry(seq, x, &e); err != nil {
			return err
		}
		if whole {
			return fn(e)
		}
		return r.putTo(theBook, &e, false)
	})
	if whole || err != nil {
		return err
	}
	j := braided(r.found.of(theBook), r.found.of(putIn))
	for k := j.next(); k != nil; k = j.next() {
		for i := range j.in {
			for x := range j.under(i) {
				e := Entry{Booking: binary.BigEndian.Uint64(k), Seq: binary.BigEndian.Uint64(k[8:])}
				if err := unentry(e.Seq, x[1:], &e); err != nil {
					return err
				}
				if r.out(e) && x[0] == 0 {
					continue
				}
				if err := fn(e); err != nil {
					return err
				}
			}
		}
	}
	return j.err()
}

// out says that an entry is about a bag whose entries were taken out.
func (r *rejoiner) out(e Entry) bool {
	return r.dropped[e.Bag] || (e.What == Split || e.What == Joined) && r.dropped[code.Code(e.To)]
}
