package store

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"tinful/store/code"
)

// A rejoiner makes a book that adds up of the entries that were found. Of those that are
// lost the balance of their bag tells how many pieces each word came to; where that is
// lost too, the bag's record tells what was booked in. Such an entry says why it is there.
type rejoiner struct {
	w     *wreck
	all   []Entry         // what was found, and what is put in for what was not
	lost  []uint64        // numbers, in order
	names map[uint64]bool // numbers that were found
	more  []Entry
	spans []Booking // that have entries, in order
}

const salvagedWhy = "salvaged: the entry is lost"

// rejoin returns the entries of the new book, numbered from 1, and what the numbers of old
// ones are now. The entries that were found become part of it. Bags are those that have a
// record, in order of codes.
func (w *wreck) rejoin(entries []Entry, bags []code.Code, bag func(code.Code) Bag) (book []Entry, now func(uint64) uint64) {
	r := &rejoiner{w: w, all: entries, names: make(map[uint64]bool, len(entries))}
	last := uint64(0)
	for i, e := range entries {
		r.names[e.Seq], last = true, max(last, e.Seq)
		r.all[i].Seq = e.Seq*room + placed
	}
	for _, b := range w.bookings {
		if last = max(last, b.Last); b.First != 0 {
			r.spans = append(r.spans, b)
		}
	}
	slices.SortFunc(r.spans, func(a, b Booking) int { return cmp.Compare(a.First, b.First) })
	for _, st := range w.states {
		for _, seq := range st.Book {
			last = max(last, seq)
		}
	}
	for n := uint64(1); n <= last; n++ {
		if !r.names[n] {
			r.lost = append(r.lost, n)
		}
	}
	if len(r.lost) > 0 {
		r.tell()
		r.pairs()
		r.bags(bags, bag)
	}
	return r.numbered()
}

// tell names the entries that are lost.
func (r *rejoiner) tell() {
	for _, x := range runs(r.lost) {
		r.w.lose("%s, of %s", x.of("entry"), run{r.at(x.from), r.at(x.to)}.of("booking"))
	}
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
	i, ok = slices.BinarySearchFunc(r.all, seq*room+placed, func(e Entry, s uint64) int { return cmp.Compare(e.Seq, s) })
	if ok || i > 0 {
		booking = max(booking, r.all[max(0, i-1)].Booking)
	}
	return booking
}

// slot is a lost number in a booking, else the last below a number, else the first.
func (r *rejoiner) slot(booking, below uint64) uint64 {
	if b, known := r.w.bookings[booking]; known && b.First != 0 {
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
	b := r.w.bookings[e.Booking]
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

// pairs gives every entry that takes another back that other one, where it is lost; and
// the entries of a bag that was taken back, those that took them back.
func (r *rejoiner) pairs() {
	type pair struct {
		booking uint64
		what    What
		bag     code.Code
		n       int64
	}
	open := map[pair][]Entry{}
	undid := map[uint64]uint64{}
	for n, b := range r.w.bookings {
		if b.Undoes != 0 {
			undid[b.Undoes] = n
		}
	}
	for _, e := range r.all {
		p := pair{e.Booking, e.What, e.Bag, e.Quantity}
		if e.Undoes == 0 {
			open[p] = append(open[p], e)
			continue
		}
		p.booking, p.n = e.Undoes, -e.Quantity
		switch n := len(open[p]); {
		case n > 0:
			open[p] = open[p][:n-1]
		case e.What != Moved && e.What != Graded:
			o := e
			o.Quantity, o.Amount, o.Undoes = -e.Quantity, -e.Amount, 0
			r.put(o, r.slot(e.Undoes, e.Seq/room), behind)
		}
	}
	for _, list := range open {
		for _, e := range list {
			st, known := r.w.states[e.Bag]
			if by := undid[e.Booking]; by != 0 || known && st.Gone {
				if by == 0 || r.at(r.slot(by, 0)) == by {
					c := e
					c.Quantity, c.Amount, c.Undoes = -e.Quantity, -e.Amount, e.Booking
					r.put(c, r.slot(by, r.lost[len(r.lost)-1]+1), behind)
				}
			}
		}
	}
}

// bags sees to every bag that has lost entries.
func (r *rejoiner) bags(bags []code.Code, bag func(code.Code) Bag) {
	doubtful := map[code.Code]bool{}
	for _, c := range bags {
		st, known := r.w.states[c]
		if !known || st.Gone || slices.ContainsFunc(st.Book, func(seq uint64) bool { return !r.names[seq] }) {
			doubtful[c] = true
		}
	}
	listed := listing{r.w.states, map[code.Code]map[uint64]bool{}}
	r.each(func(c code.Code, e Entry) {
		if e.Why != salvagedWhy && !listed.has(c, e.Seq/room) {
			doubtful[c] = true
		}
	})
	per := map[code.Code][]Entry{}
	r.each(func(c code.Code, e Entry) {
		if doubtful[c] {
			per[c] = append(per[c], e)
		}
	})
	for _, c := range bags {
		if !doubtful[c] {
			continue
		}
		st, known := r.w.states[c]
		if known && (st.Gone || slices.ContainsFunc(per[c], func(e Entry) bool { return e.Why != salvagedWhy && !listed.has(c, e.Seq/room) })) {
			known = false // it is older than the book
		}
		r.bag(bag(c), per[c], st, known)
	}
}

// each calls fn for every entry of each bag that it is about.
func (r *rejoiner) each(fn func(code.Code, Entry)) {
	for _, list := range [][]Entry{r.all, r.more} {
		for _, e := range list {
			fn(e.Bag, e)
			if e.What == Split || e.What == Joined {
				fn(code.Code(e.To), e)
			}
		}
	}
}

// A listing tells which numbers the balances of bags list.
type listing struct {
	states map[code.Code]State
	long   map[code.Code]map[uint64]bool // those of long books, once they were asked for
}

func (l listing) has(bag code.Code, seq uint64) bool {
	book := l.states[bag].Book
	if len(book) < 100 {
		return slices.Contains(book, seq)
	}
	if l.long[bag] == nil {
		l.long[bag] = make(map[uint64]bool, len(book))
		for _, s := range book {
			l.long[bag][s] = true
		}
	}
	return l.long[bag][seq]
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
		if !r.names[seq] {
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
		r.w.lose("the balance of bag %s: it stands by what was found, %d on hand", b.Code, now.OnHand())
	}
	if _, err := foldBook(b, l.book); err != nil {
		r.w.lose("what moved of bag %s: its book does not add up (%v)", b.Code, err)
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
	l.from = cmp.Or(b.Booked, r.w.bookings[r.at(l.first)].Day)
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
	mine := func(e Entry) bool {
		return e.Bag == b.Code || code.Code(e.To) == b.Code && (e.What == Split || e.What == Joined)
	}
	r.all, r.more = slices.DeleteFunc(r.all, mine), slices.DeleteFunc(r.more, mine)
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

// numbered puts all entries in the order of bookings and numbers, without a gap.
func (r *rejoiner) numbered() (book []Entry, now func(uint64) uint64) {
	book = append(r.all, r.more...)
	slices.SortStableFunc(book, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Booking, b.Booking), cmp.Compare(a.Seq, b.Seq)) })
	was := make([]uint64, len(book))
	for i := range book {
		was[i], book[i].Seq = book[i].Seq, uint64(i+1)
	}
	slices.Sort(was)
	return book, func(old uint64) uint64 {
		i, _ := slices.BinarySearch(was, (old+1)*room)
		return uint64(i)
	}
}

// span gives every booking the numbers of its entries.
func (w *wreck) span(book []Entry) {
	for n, b := range w.bookings {
		b.First, b.Last = 0, 0
		w.bookings[n] = b
	}
	for _, e := range book {
		b := w.bookings[e.Booking]
		b.First, b.Last = cmp.Or(b.First, e.Seq), e.Seq
		w.bookings[e.Booking] = b
	}
}
