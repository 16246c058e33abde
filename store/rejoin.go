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
// ones are now.
func (w *wreck) rejoin(entries []Entry, bags map[code.Code]Bag) (book []Entry, now func(uint64) uint64) {
	r := &rejoiner{w: w, all: entries, names: map[uint64]bool{}}
	last := uint64(0)
	for _, e := range entries {
		r.names[e.Seq], last = true, max(last, e.Seq)
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
		r.bags(bags)
	}
	return r.numbered()
}

// tell names the entries that are lost.
func (r *rejoiner) tell() {
	for _, x := range runs(r.lost) {
		r.w.lose("%s, of %s", x.of("entry"), run{r.at(x.from), r.at(x.to)}.of("booking"))
	}
}

// at is the booking that a number of an entry belongs to, as far as is known.
func (r *rejoiner) at(seq uint64) uint64 {
	i, ok := slices.BinarySearchFunc(r.spans, seq, func(b Booking, s uint64) int { return cmp.Compare(b.First, s) })
	if !ok {
		i--
	}
	if i >= 0 && seq <= r.spans[i].Last {
		return r.spans[i].Number
	}
	i, ok = slices.BinarySearchFunc(r.all, seq, func(e Entry, s uint64) int { return cmp.Compare(e.Seq, s) })
	if !ok && i == 0 {
		return 1
	}
	return r.all[max(0, i-1)].Booking
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

// put puts an entry in for one that is lost.
func (r *rejoiner) put(e Entry, seq uint64) Entry {
	e.Seq, e.Booking = seq, r.at(seq)
	b := r.w.bookings[e.Booking]
	if e.Why, e.By = salvagedWhy, b.By; e.Quantity < 0 && e.Undoes == 0 && e.What != Corrected {
		e.Undoes = b.Undoes
	}
	r.more = append(r.more, e)
	return e
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
			r.put(o, r.slot(e.Undoes, e.Seq))
		}
	}
	for _, list := range open {
		for _, e := range list {
			st, known := r.w.states[e.Bag]
			if by := undid[e.Booking]; by != 0 || known && st.Gone {
				if by == 0 || r.at(r.slot(by, 0)) == by {
					c := e
					c.Quantity, c.Amount, c.Undoes = -e.Quantity, -e.Amount, e.Booking
					r.put(c, r.slot(by, r.lost[len(r.lost)-1]+1))
				}
			}
		}
	}
}

// bags sees to every bag that has lost entries.
func (r *rejoiner) bags(bags map[code.Code]Bag) {
	per := map[code.Code][]Entry{}
	for _, e := range slices.Concat(r.all, r.more) {
		per[e.Bag] = append(per[e.Bag], e)
		if e.What == Split || e.What == Joined {
			per[code.Code(e.To)] = append(per[code.Code(e.To)], e)
		}
	}
	var codes []code.Code
	for c := range bags {
		codes = append(codes, c)
	}
	slices.Sort(codes)
	for _, c := range codes {
		st, known := r.w.states[c]
		if known && (st.Gone || slices.ContainsFunc(per[c], func(e Entry) bool { return r.names[e.Seq] && !slices.Contains(st.Book, e.Seq) })) {
			known = false // it is older than the book
		}
		r.bag(bags[c], per[c], st, known)
	}
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
	if known && len(gone) == 0 || !known && err == nil && bornOf(b.Code, book).Seq != 0 {
		return
	}
	first, last := r.slot(0, r.lost[len(r.lost)-1]+1), r.lost[len(r.lost)-1]
	if len(book) > 0 {
		first = r.slot(0, book[0].Seq)
	}
	if known {
		first, last = gone[0], gone[len(gone)-1]
	} else {
		st = State{Bag: b.Code, BookedIn: b.Quantity, Place: had.Place, Grade: had.Grade, About: b.About}
	}
	day := cmp.Or(b.Booked, st.LastDay, r.w.bookings[r.at(first)].Day)
	for _, e := range book {
		day = min(day, e.Day)
	}
	put := func(e Entry, seq uint64, day code.Day) {
		e.Bag, e.Day = b.Code, day
		book = append(book, r.put(e, seq))
	}
	sums := sumOf(b, book)
	if bornOf(b.Code, book).Seq == 0 && b.Split == "" {
		put(Entry{What: In, Quantity: st.BookedIn - sums.BookedIn, About: b.About, First: true}, first, day)
		sums.BookedIn = st.BookedIn
	}
	late := max(day, st.LastDay, had.LastDay)
	if known {
		for _, e := range deltas(sums, st) {
			if e.What == In || e.What == Found || e.What == Corrected && e.Quantity > 0 {
				put(e, first, day)
			} else {
				put(e, last, late)
			}
		}
	}
	r.level(b, book, st, known, first, last, day, late, put)
}

// level puts in what a book lacks to be folded, and to come to what the balance says.
func (r *rejoiner) level(b Bag, book []Entry, st State, known bool, first, last uint64, day, late code.Day, put func(Entry, uint64, code.Day)) {
	add := func(e Entry, seq uint64, day code.Day) {
		put(e, seq, day)
		book = append(book, r.more[len(r.more)-1])
	}
	now, err := foldBook(b, book)
	for tries := 0; err != nil && tries < 2*len(book)+8; tries++ {
		short, ok := errors.AsType[*ShortError](err)
		if !ok {
			break
		}
		lacks := short.Want - short.Have
		switch job, isJob := strings.CutPrefix(short.Who, "job "); {
		case short.What == Returned && isJob:
			add(Entry{What: Fitted, Quantity: lacks, Job: code.Code(job)}, first, day)
		case short.What == Unheld && isJob:
			add(Entry{What: Held, Quantity: lacks, Job: code.Code(job)}, first, day)
		case short.What == Returned && short.Who != "":
			add(Entry{What: Lent, Quantity: lacks, To: short.Who}, first, day)
		default:
			add(Entry{What: Corrected, Quantity: max(lacks, 1), About: b.About}, first, day)
		}
		now, err = foldBook(b, book)
	}
	if err != nil {
		r.w.lose("what bag %s held: its book does not add up", b.Code)
		r.drop(b.Code, put, first, day, st)
		return
	}
	if !known {
		r.w.lose("the balance of bag %s: it stands by what was found, %d on hand", b.Code, now.OnHand())
		return
	}
	if n := st.OnHand() - now.OnHand(); n != 0 {
		put(Entry{What: Corrected, Quantity: n, About: st.About}, last, late)
	}
	if st.Place != now.Place && st.Place != "" {
		put(Entry{What: Moved, To: string(st.Place)}, last, late)
	}
	if st.Grade != now.Grade && st.Grade != "" {
		put(Entry{What: Graded, To: st.Grade}, last, late)
	}
	if st.Read != now.Read && st.Read != 0 {
		put(Entry{What: Counted, Quantity: st.ReadN, About: st.ReadAbout}, last, st.Read)
	}
}

// drop takes all entries of a bag out whose book does not add up, and puts one in for
// what its balance says.
func (r *rejoiner) drop(bag code.Code, put func(Entry, uint64, code.Day), seq uint64, day code.Day, st State) {
	mine := func(e Entry) bool {
		return e.Bag == bag || code.Code(e.To) == bag && (e.What == Split || e.What == Joined)
	}
	r.all, r.more = slices.DeleteFunc(r.all, mine), slices.DeleteFunc(r.more, mine)
	put(Entry{What: In, Quantity: max(0, st.OnHand()), About: st.About, First: true}, seq, day)
}

// sumOf adds up the entries of a bag word by word, whether or not that is allowed.
func sumOf(b Bag, book []Entry) State {
	s := State{Bag: b.Code}
	for _, e := range book {
		n := e.Quantity
		switch e.What {
		case In:
			s.BookedIn += n
		case Fitted:
			s.Fitted, s.FittedIn = s.Fitted+n, owe(s.FittedIn, string(e.Job), n)
		case Returned:
			if e.Job == "" {
				s.LentTo = owe(s.LentTo, e.To, -n)
				continue
			}
			s.Returned, s.FittedIn = s.Returned+n, owe(s.FittedIn, string(e.Job), -n)
		case Held:
			s.HeldFor = owe(s.HeldFor, string(e.Job), n)
		case Unheld:
			s.HeldFor = owe(s.HeldFor, string(e.Job), -n)
		case Lent:
			s.LentTo = owe(s.LentTo, e.To, n)
		case Scrapped:
			s.Scrapped += n
		case Sold:
			s.Sold += n
		case Lost:
			s.Lost += n
		case Found:
			s.Found += n
		case Corrected:
			s.Corrected += n
		case Split, Joined:
			s = shift(s, e)
		}
	}
	return s
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
	fitted, returned := st.Fitted-had.Fitted, st.Returned-had.Returned
	job := ""
	each(had.FittedIn, st.FittedIn, func(who string, n int64) {
		if job = who; n > 0 {
			add(Entry{What: Fitted, Quantity: n, Job: code.Code(who)})
			fitted -= n
		} else {
			add(Entry{What: Returned, Quantity: -n, Job: code.Code(who)})
			returned += n
		}
	})
	if job == "" && len(st.FittedIn) > 0 {
		job = st.FittedIn[0].Who
	}
	if job != "" && fitted == returned { // what went in and came out again
		add(Entry{What: Fitted, Quantity: fitted, Job: code.Code(job)})
		add(Entry{What: Returned, Quantity: returned, Job: code.Code(job)})
	}
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
	add(Entry{What: Lost, Quantity: st.Lost - had.Lost})
	add(Entry{What: Found, Quantity: st.Found - had.Found})
	add(Entry{What: Corrected, Quantity: st.Corrected - had.Corrected + st.Shifted - had.Shifted, About: st.About})
	return out
}

// numbered puts all entries in the order of bookings and numbers, without a gap.
func (r *rejoiner) numbered() (book []Entry, now func(uint64) uint64) {
	book = append(slices.Clone(r.all), r.more...)
	slices.SortStableFunc(book, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Booking, b.Booking), cmp.Compare(a.Seq, b.Seq)) })
	was := make([]uint64, len(book))
	for i := range book {
		was[i], book[i].Seq = book[i].Seq, uint64(i+1)
	}
	slices.Sort(was)
	return book, func(old uint64) uint64 {
		i, _ := slices.BinarySearch(was, old+1)
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
