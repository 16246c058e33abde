package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"reflect"
	"runtime/debug"
	"slices"
	"strings"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// A Health is what check found.
type Health struct {
	Records  int
	Problems []string
	Remarks  []*Breach // records from before a rule that they break
	lost     bool      // pages are damaged, and what lies on them cannot be asked
}

// Check reads every record, recomputes from the book and the catalogue all
// that follows from them, and names each difference in a sentence. It changes
// nothing. It returns an error only where it could not look.
func (s *Store) Check() (h Health, err error) {
	err = s.db.View(func(tx *bolt.Tx) error { // nobody writes meanwhile
		if h, err = walked(s.path); err == nil && !h.lost {
			h.records(tx)
		}
		return err
	})
	return h, err
}

// records looks at all records of a store whose pages are known to be whole.
func (h *Health) records(tx *bolt.Tx) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			h.Problems = append(h.Problems, damagedPages+fmt.Sprint(r))
		}
	}()
	defer sparing(tx)()
	c := newChecker(tx, h)
	defer c.close()
	c.rules = true
	if err := c.run(); err != nil {
		h.Problems = append(h.Problems, fmt.Sprint("not all was looked at: ", err))
	}
}

// A checker reads all records and reckons what follows from them. Where there are many,
// most of that lies on the disk, in order of keys.
type checker struct {
	View
	*Health
	rules   bool   // look whether records keep the rules of their kinds
	lays    bool   // want has balances and figures too; else they are held against those that are there
	want    *heaps // what each index should hold; under bEntry the entries of each bag
	sums    sums
	watched watched
	open    map[code.Code][]code.Code // open jobs, by place
	wrote   map[string]writing        // by bucket and key
	meters  map[string]uint64
	unread  int // records from which nothing can be reckoned
}

// A writing is the last booking that wrote or took away a record of the catalogue, as
// the former bytes have it.
type writing struct {
	booking uint64
	taken   bool
}

func newChecker(tx *bolt.Tx, h *Health) *checker {
	return &checker{View: View{tx: tx}, Health: h, want: newHeaps(tx.DB().Path()), watched: watched{},
		wrote: map[string]writing{}, meters: map[string]uint64{}}
}

// close lets go of what lies on the disk.
func (c *checker) close() { c.want.close() }

func (c *checker) bad(format string, args ...any) {
	c.Problems = append(c.Problems, fmt.Sprintf(format, args...))
}

// cannotRead names a record that tells nothing.
func (c *checker) cannotRead(format string, args ...any) {
	c.unread++
	c.bad(format, args...)
}

// gather reads all records. What follows from them is then in want, figures and meters.
func (c *checker) gather() error {
	c.formers()
	for _, k := range kinds {
		k.check(c)
	}
	c.book()
	c.bookings()
	c.missing()
	if err := c.balances(); err != nil {
		return err
	}
	c.watched.rows(&c.sums, c.want.rows)
	if !c.lays {
		return nil
	}
	return c.sums.each(func(part code.Code, f Figure) error {
		return c.want.record(bFigure, keyCode(part), c.meters["booking"], f)
	})
}

// missing names records that are not there, by the indexes that every one of them has a
// row in: whoever took those rows away would take away the last trace.
func (c *checker) missing() {
	for _, index := range []string{bCode, bGoesByModel, bSeenByPart, bWantByPart} {
		s, at := shelves()[index], c.cursor(index).at
		for k, x := first(at); k != nil; k, x = at.Next() {
			if _, ok := s.openRow(k, x); !ok {
				continue
			}
			if bucket, key := rowFor(index, k); bucket != "" && c.at(bucket, key) == nil {
				c.cannotRead("%s %s is not there, and the index %s names it", bucket, readable(key), index)
			}
		}
	}
}

// rowFor is the record for which a row stands in an index, empty where the row is none
// such.
func rowFor(index string, k []byte) (bucket string, key []byte) {
	f := fields(k)
	switch {
	case index == bCode && len(f) == 3 && kindIn(f[1]) != nil:
		return f[1], []byte(f[2])
	case index == bGoesByModel && len(f) == 4:
		return bGoes, join(f[1], f[0], f[2], f[3])
	case index == bSeenByPart && len(f) == 2:
		return bSeen, join(f[1], f[0])
	case index == bWantByPart && len(f) > 1:
		return bWant, k[len(f[0])+1:]
	}
	return "", nil
}

// run compares what the store holds with what follows from its records.
func (c *checker) run() error {
	err := c.gather()
	if err != nil {
		return err
	}
	c.figured()
	c.meta()
	for _, b := range derived {
		if b != bState && b != bFigure {
			err = cmp.Or(err, c.compare(b))
		}
	}
	return err
}

// asked runs rules, which may ask an index that is damaged: compare names that.
func asked(fn func()) {
	defer func() {
		r := recover()
		if _, spoilt := r.(damage); r != nil && !spoilt {
			panic(r)
		}
	}()
	fn()
}

// formers reads the former bytes, and by them which booking wrote each record last.
func (c *checker) formers() {
	c.scan(bFormer, nil, func(k, x []byte) error {
		c.Records++
		did, was, err := openFormer(k, x)
		if err != nil {
			c.bad("the former bytes at %s: %v", readable(k), err)
			return nil
		}
		n, bucket, key := splitFormer(k)
		name := string(join(bucket, string(key)))
		if by, _, err := unseal(bucket, key, was); was != nil && err != nil {
			c.bad("the former bytes of %s %s in booking %d: %v", bucket, printable(key), n, err)
		} else if was != nil && bucket != bDraft && by != c.writer(name) {
			c.bad("what booking %d found of %s %s was written by booking %d, not %d", n, bucket, printable(key), c.writer(name), by)
		}
		c.wrote[name] = writing{n, did == formerTaken}
		return nil
	})
}

// writer is the booking that wrote a record last: the one that made the store, where
// no former bytes tell of another.
func (c *checker) writer(name string) uint64 {
	if w, ok := c.wrote[name]; ok {
		return w.booking
	}
	return 1
}

// read reads every record of a bucket, names those that are damaged, and adds
// their rows.
func read[T any](c *checker, bucket string, key func(T) []byte, fn func(booking uint64, rec T)) {
	c.scan(bucket, nil, func(k, x []byte) error {
		var rec T
		c.Records++
		booking, body, err := unseal(bucket, k, x)
		if err = cmp.Or(err, decodeBody(k, body, &rec)); err != nil {
			c.cannotRead("%s %s: %v", bucket, readable(k), err)
			delete(c.wrote, string(join(bucket, string(k))))
			return nil
		}
		if !bytes.Equal(key(rec), k) {
			c.bad("%s %s is kept under the name of %s", bucket, printable(key(rec)), readable(k))
		}
		c.want.rows(rows(rec))
		fn(booking, rec)
		return nil
	})
}

// written holds the booking that a record names against the former bytes.
func (c *checker) written(bucket string, key []byte, booking uint64) {
	name := string(join(bucket, string(key)))
	if by := c.writer(name); by != booking || c.wrote[name].taken {
		c.bad("%s %s was written by booking %d, and the former bytes speak of booking %d", bucket, printable(key), booking, by)
	}
	delete(c.wrote, name)
}

// unwritten names the records of a bucket that a booking wrote and that are not there.
func (c *checker) unwritten(bucket string) {
	for name, w := range c.wrote {
		if key, mine := strings.CutPrefix(name, bucket+"\x00"); mine && !w.taken {
			c.bad("%s %s is not there, and booking %d wrote it", bucket, printable([]byte(key)), w.booking)
		}
	}
}

func printable(k []byte) string {
	return string(bytes.ReplaceAll(k, []byte{0}, []byte(" ")))
}

// note keeps of parts what follows from them.
func (c *checker) note(rec any) {
	if r, ok := rec.(Part); ok {
		c.watched.add(r)
		if r.Same == "" {
			_, n := partWords(r)
			c.meters["parts"]++
			c.meters["words"] += uint64(n)
		}
	}
}

// openIn reads the open jobs once.
func (c *checker) openIn(place code.Code) []code.Code {
	if c.open == nil {
		c.open = map[code.Code][]code.Code{}
		each(&c.View, bJob, func(j Job) error {
			if j.Closed == 0 {
				c.open[j.Tray] = append(c.open[j.Tray], j.Code)
			}
			return nil
		})
	}
	return c.open[place]
}

// stirred: a bag that holds nothing harms nobody.
func (c *checker) stirred(code.Code) bool { return true }

// came looks at no other entry: the book is gone through bag by bag.
func (c *checker) came(e Entry) code.Day { return e.Day }

// book reads the entries and lays them apart by bag.
func (c *checker) book() {
	of := c.want.of(bEntry)
	var last uint64
	days := newCalendar()
	c.scan(bEntry, nil, func(k, x []byte) error {
		err := unpacked(k, x, func(booking, seq uint64, x []byte) error {
			e := Entry{Seq: seq, Booking: booking}
			if err := unentry(seq, x, &e); err != nil {
				return err
			}
			c.Records++
			c.want.rows(rows(e))
			if c.rules {
				asked(func() { c.Remarks = append(c.Remarks, entryKind.breaches(c, nil, e)...) })
			}
			if e.Seq != last+1 {
				c.cannotRead("the book jumps from entry %d to %d", last, e.Seq)
			}
			last = e.Seq
			days.add(e)
			of.add(keyOfBag(e.Bag, seq), binary.AppendUvarint(nil, booking), x...)
			if e.What == Split || e.What == Joined {
				of.add(keyOfBag(code.Code(e.To), seq), binary.AppendUvarint(nil, booking), x...)
			}
			return nil
		})
		if err != nil {
			c.cannotRead("the entries at %s: %v", readable(k), err)
		}
		return nil
	})
	c.meters["entry"], c.meters["day"] = last, uint64(uint32(days.lastDay(0)))
}

// keyOfBag is where an entry lies among those of its bag.
func keyOfBag(bag code.Code, seq uint64) []byte {
	return binary.BigEndian.AppendUint64(prefix(bag), seq)
}

// A bookOfBags goes through the entries bag by bag, in order of codes.
type bookOfBags struct {
	in   *stream
	k, x []byte
}

// of is the code of the bag at hand, nil behind the last.
func (b *bookOfBags) of() []byte {
	if b.k == nil {
		return nil
	}
	return b.k[:len(b.k)-9]
}

// take reads the entries of the bag at hand, in order of numbers, and goes on to the next.
func (b *bookOfBags) take() (entries []Entry, err error) {
	for bag := bytes.Clone(b.of()); bytes.Equal(b.of(), bag) && b.k != nil; b.k, b.x = b.in.next() {
		booking, w := binary.Uvarint(b.x)
		e := Entry{Seq: lastSeq(b.k), Booking: booking}
		if err := unentry(e.Seq, b.x[w:], &e); err != nil {
			return nil, err
		}
		entries = append(entries, e)
	}
	return entries, b.in.err
}

// balances folds every bag anew from its entries, in order of codes. What each bag's book
// comes to is laid down, or held against its balance.
func (c *checker) balances() error {
	book := bookOfBags{in: c.want.of(bEntry).stream()}
	book.k, book.x = book.in.next()
	bags, states := c.cursor(bBag), c.cursor(bState)
	bk, bx := bags.first()
	sk, sx := states.first()
	for bk != nil || sk != nil || book.k != nil {
		var own []byte
		for _, k := range [][]byte{bk, sk, book.of()} {
			if k != nil && (own == nil || bytes.Compare(k, own) < 0) {
				own = k
			}
		}
		own = bytes.Clone(own)
		var bag *Bag
		var entries []Entry
		var have []byte
		if bytes.Equal(bk, own) && bk != nil {
			bag, _ = bagKind.decoded(bk, bx) // one that cannot be read was named
			bk, bx = bags.next()
		}
		if bytes.Equal(book.of(), own) && book.k != nil {
			var err error
			if entries, err = book.take(); err != nil {
				return err
			}
		}
		if bytes.Equal(sk, own) && sk != nil {
			have = sx
			sk, sx = states.next()
		}
		if err := c.balance(code.Code(own), bag, entries, have); err != nil {
			return err
		}
	}
	c.want.drop(bEntry)
	return book.in.err
}

// balance looks at one bag: its record, nil for none, its entries, and its balance as it
// stands.
func (c *checker) balance(own code.Code, bag *Bag, entries []Entry, have []byte) error {
	var st *State
	switch {
	case len(entries) > 0:
		now := c.state(own, bag, entries)
		st = &now
	case bag != nil:
		now := start(*bag)
		st = &now
	}
	if bag == nil && have != nil {
		var was State
		if decode(bState, keyCode(own), have, &was) == nil && !was.Gone {
			c.cannotRead("bag %s is not there, and it has a balance", readable(keyCode(own)))
		}
	}
	if bag != nil {
		c.want.rows(rows(*st))
		c.want.rows(rows(balanced{*bag, *st}))
		c.sums.add(*bag, *st)
	}
	if !c.lays {
		c.holdAgainst(own, st, have)
		return nil
	}
	if st == nil {
		return nil
	}
	return c.want.record(bState, keyCode(own), c.meters["booking"], *st)
}

// holdAgainst holds what a bag's book comes to, nil where it has none, against its balance.
func (c *checker) holdAgainst(own code.Code, st *State, x []byte) {
	k := keyCode(own)
	if x == nil {
		c.bad("bag %s has no balance", own)
		return
	}
	c.Records++
	var have State
	err := decode(bState, k, x, &have)
	if st != nil && have.Past == nil {
		st.Past = nil // not every balance keeps it
	} else if st != nil && st.Past != nil && !have.Past.Full {
		st.Past = &Past{Born: st.Past.Born, Days: st.Past.Days}
	}
	if err != nil {
		c.bad("the balance of bag %s: %v", readable(k), err)
	} else if st == nil {
		if have.Gone {
			c.bad("there is a balance of bag %s, which never was", readable(k))
		}
	} else if st.Gone && !slices.Equal(have.Book, st.Book) {
		c.bad("the balance of bag %s, which was taken back, does not know its entries", k)
	} else if inWords(have) == inWords(*st) && !reflect.DeepEqual(have.Past, st.Past) {
		c.bad("bag %s: the days that its balance keeps are not those of the book", k)
	} else if !reflect.DeepEqual(have, *st) {
		c.bad("bag %s: the balance says %s, the book says %s", k, inWords(have), inWords(*st))
	}
}

// state folds the book of one bag.
func (c *checker) state(own code.Code, bag *Bag, entries []Entry) State {
	b := Bag{Code: own}
	if bag != nil {
		b = *bag
	}
	born := bornOf(own, entries)
	for _, e := range entries {
		if e.Seq > born.Seq && e.Day < born.Day && e.Undoes == 0 {
			c.Remarks = append(c.Remarks, &Breach{bEntry, []string{string(own)}, "Date", notYet(e.Day, own, born.Day)})
		}
	}
	st, err := foldBook(b, entries)
	if err != nil {
		c.bad("the book of bag %s does not add up: %v", own, err)
	}
	if bag == nil && st.OnHand() != 0 {
		c.bad("the book speaks of bag %s, which is not there, and leaves %d in it", own, st.OnHand())
	}
	if bag == nil {
		return gone(st)
	}
	return st
}

func inWords(s State) string {
	if s.Gone {
		return "that it was taken back"
	}
	return fmt.Sprintf("%d on hand, %d held, %d lent, %s in %s", s.OnHand(), s.Held(), s.Lent(), or(s.Grade, "not graded"), or(string(s.Place), "no place"))
}

func (c *checker) figured() {
	var seen code.Index
	c.scan(bFigure, nil, func(k, x []byte) error {
		c.Records++
		var have Figure
		part := code.Code(k)
		seen.Add(part)
		if err := decode(bFigure, k, x, &have); err != nil {
			c.bad("the figures of part %s: %v", readable(k), err)
		} else if f := c.sums.of(part); have != f {
			c.bad("part %s: the figures say %d on hand and %d free, its bags %d and %d", k, have.OnHand(), have.Free(), f.OnHand(), f.Free())
		}
		return nil
	})
	_ = c.sums.each(func(part code.Code, f Figure) error {
		if _, ok := seen.Number(part); !ok {
			c.bad("part %s has no figures, its bags hold %d", part, f.OnHand())
		}
		return nil
	})
}

// bookings holds the bookings against the book.
func (c *checker) bookings() {
	var last, next uint64 = 0, 1
	read(c, bBooking, func(b Booking) []byte { return keySeq(b.Number) }, func(by uint64, b Booking) {
		if b.Number != last+1 {
			c.cannotRead("the bookings jump from %d to %d", last, b.Number)
		}
		last = b.Number
		if by != last {
			c.bad("booking %d says that booking %d wrote it", last, by)
		}
		if b.First != 0 && b.First != next {
			c.bad("booking %d begins at entry %d, not %d", b.Number, b.First, next)
		}
		if b.First != 0 {
			next = b.Last + 1
		}
	})
	if entry := c.meters["entry"]; next != entry+1 {
		c.cannotRead("the bookings end with entry %d, the book with %d", next-1, entry)
	}
	for name, w := range c.wrote {
		if w.booking > last {
			c.bad("%s is said to be written by booking %d, and the last is %d", printable([]byte(name)), w.booking, last)
		}
	}
	c.meters["booking"] = last
}

// counters are the names of what is counted in meta.
var counters = []string{"booking", "entry", "day", "parts", "words"}

// meta reads the settings, and holds the counters against what was counted.
func (c *checker) meta() {
	have := map[string]uint64{}
	b, s := c.bucket(bMeta), shelves()[bMeta]
	b.ForEach(func(k, x []byte) error {
		name := string(k)
		x, ok := s.openRow(k, x)
		switch {
		case name == "schema":
		case !ok:
			c.bad("the setting %q does not agree with its checksum", name)
		case slices.Contains(counters, name) && len(x) == 8:
			have[name] = binary.BigEndian.Uint64(x)
		case !strings.HasPrefix(name, "set/") && !strings.HasPrefix(name, "series/"):
			c.bad("there is a setting %q, which means nothing", name)
		}
		return nil
	})
	for _, name := range counters {
		if have[name] != c.meters[name] {
			c.bad("the counter %q says %d, not %d", name, have[name], c.meters[name])
		}
	}
}

// compare holds the rows that should be there against an index, in order.
func (c *checker) compare(bucket string) error {
	return c.differences(bucket, func(k, _ []byte, how difference) {
		switch how {
		case rowLacks:
			c.bad("the index %s lacks %s", bucket, readable(k))
		case rowExtra:
			c.bad("the index %s has %s, which nothing stands behind", bucket, readable(k))
		case rowDiffers:
			c.bad("the index %s holds something else for %s", bucket, readable(k))
		}
	})
}

// A difference is how a bucket differs from what it should hold at a key.
type difference int

const (
	rowLacks difference = iota
	rowExtra
	rowDiffers
)

// differences calls fn for every key at which a bucket is not what it should be, with
// what should lie there, in order of keys. Both are good until fn returns.
func (c *checker) differences(bucket string, fn func(key, want []byte, how difference)) error {
	in, at := c.want.of(bucket).stream(), c.cursor(bucket).at
	wk, wx := in.next()
	var was []byte
	on := func() { // to the next key: several records may ask for one row
		for was = append(was[:0], wk...); wk != nil && bytes.Equal(wk, was); {
			wk, wx = in.next()
		}
	}
	for k, x := first(at); k != nil; k, x = at.Next() {
		for ; wk != nil && bytes.Compare(wk, k) < 0; on() {
			fn(wk, wx, rowLacks)
		}
		if wk == nil || !bytes.Equal(wk, k) {
			fn(k, nil, rowExtra)
			continue
		}
		if !bytes.Equal(wx, x) && !sameRecord(bucket, k, wx, x) {
			fn(wk, wx, rowDiffers)
		}
		on()
	}
	for ; wk != nil; on() {
		fn(wk, wx, rowLacks)
	}
	return in.err
}

// first is the first key of a bucket that may not be there.
func first(c *bolt.Cursor) (k, x []byte) {
	if c == nil {
		return nil, nil
	}
	return c.First()
}

// readable prints an index key, numbers in hex.
func readable(k []byte) string {
	for _, b := range k {
		if b < ' ' && b != 0 {
			return fmt.Sprintf("%q", k)
		}
	}
	return printable(k)
}
