package store

import (
	"bytes"
	"fmt"
	"reflect"
	"runtime/debug"
	"slices"

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
	c := &checker{View: View{tx: tx}, Health: h, want: map[string][]Row{}}
	c.run()
}

type checker struct {
	View
	*Health
	want    map[string][]Row // what each derived bucket should hold
	bags    map[code.Code]Bag
	figures map[code.Code]Figure
	parts   map[code.Code]Part
	open    map[code.Code][]code.Code // open jobs, by place
	nParts  int64
	nWords  int64
}

func (c *checker) bad(format string, args ...any) {
	c.Problems = append(c.Problems, fmt.Sprintf(format, args...))
}

func (c *checker) add(rows []Row) {
	for _, r := range rows {
		c.want[r.Bucket] = append(c.want[r.Bucket], r)
	}
}

func (c *checker) run() {
	c.bags, c.figures, c.parts = map[code.Code]Bag{}, map[code.Code]Figure{}, map[code.Code]Part{}
	for _, k := range kinds {
		k.check(c)
	}
	states, last, day := c.book()
	c.states(states)
	c.bookings(last, day)
	c.shorts()
	for _, b := range derived {
		if b != bState && b != bFigure {
			c.compare(b)
		}
	}
}

// read reads every record of a bucket, names those that are damaged, and adds
// their rows.
func read[T any](c *checker, bucket string, key func(T) []byte, fn func(T)) {
	c.scan(bucket, nil, func(k, x []byte) error {
		var rec T
		c.Records++
		if err := decodeAt(k, x, &rec); err != nil {
			c.bad("%s %s: %v", bucket, printable(k), err)
			return nil
		}
		if !bytes.Equal(key(rec), k) {
			c.bad("%s %s is kept under the name of %s", bucket, printable(key(rec)), printable(k))
		}
		c.add(rows(rec))
		if fn != nil {
			fn(rec)
		}
		return nil
	})
}

func printable(k []byte) string {
	return string(bytes.ReplaceAll(k, []byte{0}, []byte(" ")))
}

// gather keeps the parts and bags for what follows from them.
func (c *checker) gather(rec any) {
	switch r := rec.(type) {
	case Part:
		c.parts[r.Code] = r
		if r.Same == "" {
			_, n := partWords(r)
			c.nParts++
			c.nWords += int64(n)
		}
	case Bag:
		c.bags[r.Code] = r
	}
}

// openIn reads the open jobs once.
func (c *checker) openIn(place code.Code) []code.Code {
	if c.open == nil {
		c.open = map[code.Code][]code.Code{}
		c.EachOpenJob(func(j Job) error { c.open[j.Tray] = append(c.open[j.Tray], j.Code); return nil })
	}
	return c.open[place]
}

// stirred: a bag that holds nothing harms nobody.
func (c *checker) stirred(code.Code) bool { return true }

// came looks at no other entry: the book is gone through bag by bag.
func (c *checker) came(e Entry) code.Day { return e.Day }

// book folds every bag anew from the entries.
func (c *checker) book() (map[code.Code]State, uint64, code.Day) {
	per := map[code.Code][]Entry{}
	var last uint64
	days := newCalendar()
	err := c.EachEntry(func(e Entry) error {
		c.Records++
		c.add(rows(e))
		c.Remarks = append(c.Remarks, entryKind.breaches(c, nil, e)...)
		if e.Seq != last+1 {
			c.bad("the book jumps from entry %d to %d", last, e.Seq)
		}
		last = e.Seq
		days.add(e)
		per[e.Bag] = append(per[e.Bag], e)
		if e.What == Split || e.What == Joined {
			per[code.Code(e.To)] = append(per[code.Code(e.To)], e)
		}
		return nil
	})
	if err != nil {
		c.bad("the book: %v", err)
	}
	states := map[code.Code]State{}
	for bag, entries := range per {
		b, known := c.bags[bag]
		if !known {
			b = Bag{Code: bag}
		}
		born := bornOf(bag, entries)
		for _, e := range entries {
			if e.Seq > born.Seq && e.Day < born.Day && e.Undoes == 0 {
				c.Remarks = append(c.Remarks, &Breach{bEntry, []string{string(bag)}, "Date", notYet(e.Day, bag, born.Day)})
			}
		}
		st, err := foldBook(b, entries)
		if err != nil {
			c.bad("the book of bag %s does not add up: %v", bag, err)
		}
		states[bag] = st
		if !known && st.OnHand() != 0 {
			c.bad("the book speaks of bag %s, which is not there, and leaves %d in it", bag, st.OnHand())
		}
	}
	for code, b := range c.bags {
		if _, ok := states[code]; !ok {
			states[code] = start(b)
		}
	}
	return states, last, days.lastDay(0)
}

func (c *checker) states(want map[code.Code]State) {
	for bag, st := range want {
		b, known := c.bags[bag]
		if !known {
			continue
		}
		c.add(rows(st))
		c.add(rows(balanced{b, st}))
		if isStock(b) {
			c.figures[b.Part] = c.figures[b.Part].add(st, 1)
		}
	}
	c.scan(bState, nil, func(k, x []byte) error {
		c.Records++
		var have State
		if err := decodeAt(k, x, &have); err != nil {
			c.bad("the balance of bag %s: %v", k, err)
		} else if st, ok := want[code.Code(k)]; !ok {
			c.bad("there is a balance of bag %s, which is not there", k)
		} else if _, known := c.bags[code.Code(k)]; !known {
			if !slices.Equal(have.Book, st.Book) {
				c.bad("the balance of bag %s, which was taken back, does not know its entries", k)
			}
		} else if !reflect.DeepEqual(have, st) {
			c.bad("bag %s: the balance says %s, the book says %s", k, inWords(have), inWords(st))
		}
		delete(want, code.Code(k))
		return nil
	})
	for bag := range want {
		c.bad("bag %s has no balance", bag)
	}
	c.figured()
}

func inWords(s State) string {
	return fmt.Sprintf("%d on hand, %d held, %d lent, %s in %s", s.OnHand(), s.Held(), s.Lent(), or(s.Grade, "not graded"), or(string(s.Place), "no place"))
}

func (c *checker) figured() {
	seen := map[code.Code]bool{}
	c.scan(bFigure, nil, func(k, x []byte) error {
		c.Records++
		var have Figure
		part := code.Code(k)
		seen[part] = true
		if err := decode(x, &have); err != nil {
			c.bad("the figures of part %s: %v", k, err)
		} else if f := c.figures[part]; have != f {
			c.bad("part %s: the figures say %d on hand and %d free, its bags %d and %d", k, have.OnHand(), have.Free(), f.OnHand(), f.Free())
		}
		return nil
	})
	for part, f := range c.figures {
		if !seen[part] && f != (Figure{}) {
			c.bad("part %s has no figures, its bags hold %d", part, f.OnHand())
		}
	}
}

func (c *checker) bookings(lastEntry uint64, day code.Day) {
	var last, next uint64 = 0, 1
	read(c, bBooking, func(b Booking) []byte { return keySeq(b.Number) }, func(b Booking) {
		if b.Number != last+1 {
			c.bad("the bookings jump from %d to %d", last, b.Number)
		}
		last = b.Number
		if b.First != 0 && b.First != next {
			c.bad("booking %d begins at entry %d, not %d", b.Number, b.First, next)
		}
		if b.First != 0 {
			next = b.Last + 1
		}
	})
	if next != lastEntry+1 {
		c.bad("the bookings end with entry %d, the book with %d", next-1, lastEntry)
	}
	for _, m := range []struct {
		name string
		want uint64
	}{{"booking", last}, {"entry", lastEntry}, {"day", uint64(uint32(day))}, {"parts", uint64(c.nParts)}, {"words", uint64(c.nWords)}} {
		if have := c.meta(m.name); have != m.want {
			c.bad("the counter %q says %d, not %d", m.name, have, m.want)
		}
	}
}

func (c *checker) shorts() {
	for code, p := range c.parts {
		c.add(rowsShort(figured{p, c.figures[code]}))
	}
}

// compare holds the rows that should be there against the bucket, in order.
func (c *checker) compare(bucket string) {
	want := c.want[bucket]
	slices.SortFunc(want, func(a, b Row) int { return bytes.Compare(a.Key, b.Key) })
	want = slices.CompactFunc(want, func(a, b Row) bool { return bytes.Equal(a.Key, b.Key) })
	i := 0
	c.scan(bucket, nil, func(k, x []byte) error {
		for i < len(want) && bytes.Compare(want[i].Key, k) < 0 {
			c.bad("the index %s lacks %s", bucket, readable(want[i].Key))
			i++
		}
		switch {
		case i == len(want) || !bytes.Equal(want[i].Key, k):
			c.bad("the index %s has %s, which nothing stands behind", bucket, readable(k))
			return nil
		case !bytes.Equal(want[i].Value, x):
			c.bad("the index %s holds something else for %s", bucket, readable(k))
		}
		i++
		return nil
	})
	for ; i < len(want); i++ {
		c.bad("the index %s lacks %s", bucket, readable(want[i].Key))
	}
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
