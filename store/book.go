package store

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// A Head says who books, when, and by which command.
type Head struct {
	Day     code.Day // the day of the entries
	Today   code.Day // the program's day; entries before it are dated back
	Clock   code.Day // the clock's day, 0 where none is to be looked at
	Said    bool     // the day was said on purpose, or the clock is known to be right
	At      int64    // instant, seconds since 1970 UTC
	By      string
	Command string
	Kind    string // "", import, undo or count
	Undoes  uint64
	File    string
	Hash    string
}

// A Change is a bag before and after a booking.
type Change struct {
	Bag           Bag
	Part          Part // what it holds, empty where that is not known, and in an import
	Before, After State
}

// A Shortage is a part that has fewer free than it should keep.
type Shortage struct {
	Part code.Code `json:"part"`
	Name string    `json:"-"`
	Free int64     `json:"free"`
	Keep int64     `json:"keep"`
}

// A Result is what a booking did.
type Result struct {
	Booking Booking
	Entries []Entry
	Bags    []Change
	Short   []Shortage
	Said    Reasons // what is worth knowing beside it
}

// Fewer lists the parts of which fewer are free than before.
func (r Result) Fewer() []code.Code {
	var order []code.Code
	less := map[code.Code]int64{}
	for _, ch := range r.Bags {
		p := ch.Bag.Part
		if _, met := less[p]; !met && p != "" {
			order = append(order, p)
		}
		less[p] += ch.Before.Free() - ch.After.Free()
	}
	return slices.DeleteFunc(order, func(p code.Code) bool { return less[p] <= 0 })
}

// A Tx is a booking in the making: it reads what it has written. Everything a
// command changes goes through one Tx and becomes one booking.
type Tx struct {
	View
	head    Head
	number  uint64
	nextSeq uint64
	entries []Entry
	before  map[code.Code]State // bags touched, as they were
	order   []code.Code
	former  map[string]rewritten // by the key it is stored under: see keep
	parts   map[code.Code]bool
	nParts  int64
	nWords  int64
	dirty   bool
	planned bool // what is written was asked after by PlanLoad
	said    Reasons
	lastDay code.Day // of the book without what is booked now
}

// Book runs fn in one transaction and keeps what it changed as one booking.
// When fn returns an error nothing is changed.
func (s *Store) Book(h Head, fn func(*Tx) error) (Result, error) {
	var res Result
	h, err := h.clean()
	if err != nil {
		return res, err
	}
	err = s.update(func(btx *bolt.Tx) error {
		t := newTx(btx, h)
		if err := t.believe(); err != nil {
			return err
		}
		if err := fn(t); err != nil {
			return err
		}
		var err error
		res, err = t.finish()
		return err
	})
	return res, err
}

func newTx(btx *bolt.Tx, h Head) *Tx {
	t := &Tx{View: View{tx: btx, books: true}, head: h, before: map[code.Code]State{}, former: map[string]rewritten{}, parts: map[code.Code]bool{}}
	t.number, t.nextSeq, t.lastDay = t.meta("booking")+1, t.meta("entry")+1, t.LastDay()
	return t
}

// Day is the day of the booking's entries.
func (t *Tx) Day() code.Day { return t.head.Day }

// Say keeps what is worth knowing beside the result of the booking, once.
func (t *Tx) Say(r Reason) {
	if !slices.ContainsFunc(t.said, func(s Reason) bool { return s.Text == r.Text }) {
		t.said = append(t.said, r)
	}
}

func (t *Tx) put(bucket string, k, x []byte) error {
	t.dirty = true
	b := t.bucket(bucket)
	if b == nil { // an older store lacks it
		var err error
		if b, err = t.tx.CreateBucket([]byte(bucket)); err != nil {
			return err
		}
		delete(t.opened, bucket)
	}
	t.memo.forget(bucket)
	return b.Put(k, x)
}

// putRow writes a key of an index.
func (t *Tx) putRow(bucket string, k, x []byte) error {
	return t.put(bucket, k, shelves()[bucket].sealRow(k, x))
}

func (t *Tx) delete(bucket string, k []byte) error {
	t.dirty = true
	t.memo.forget(bucket)
	if b := t.bucket(bucket); b != nil {
		return b.Delete(k)
	}
	return nil
}

// replace writes rec under key, its index rows with it.
func replace[T any](t *Tx, bucket string, key []byte, rec T) error {
	b, err := encode(bucket, key, t.number, rec)
	if err != nil {
		return err
	}
	was := t.at(bucket, key)
	if was != nil && sameRecord(bucket, key, was, b) {
		return nil
	}
	t.keep(bucket, key, false)
	var old []Row
	if was != nil {
		var o T
		if err := decode(bucket, key, was, &o); err != nil {
			return err
		}
		old = rows(o)
		t.counts(o, -1)
	}
	t.counts(rec, 1)
	if err := t.put(bucket, key, b); err != nil {
		return err
	}
	return t.difference(old, rows(rec))
}

func remove[T any](t *Tx, bucket string, key []byte) error {
	was := t.at(bucket, key)
	if was == nil {
		return nil
	}
	var o T
	if err := decode(bucket, key, was, &o); err != nil {
		return err
	}
	t.keep(bucket, key, true)
	t.counts(o, -1)
	if err := t.delete(bucket, key); err != nil {
		return err
	}
	return t.difference(rows(o), nil)
}

// counts keeps what the ranking of words needs: how many parts, how many words.
func (t *Tx) counts(rec any, sign int64) {
	if p, ok := rec.(Part); ok && p.Same == "" {
		_, n := partWords(p)
		t.nParts += sign
		t.nWords += sign * int64(n)
		t.parts[p.Code] = true
	} else if ok {
		t.parts[p.Code] = true
	}
}

// difference takes away the rows that are gone and writes those that are new.
func (t *Tx) difference(old, now []Row) error {
	have := map[string][]byte{}
	for _, r := range old {
		have[r.Bucket+"\x00"+string(r.Key)] = r.Value
	}
	for _, r := range now {
		k := r.Bucket + "\x00" + string(r.Key)
		if x, ok := have[k]; !ok || !bytes.Equal(x, r.Value) {
			if err := t.putRow(r.Bucket, r.Key, r.Value); err != nil {
				return err
			}
		}
		delete(have, k)
	}
	for _, r := range old {
		if _, gone := have[r.Bucket+"\x00"+string(r.Key)]; gone {
			if err := t.delete(r.Bucket, r.Key); err != nil {
				return err
			}
		}
	}
	return nil
}

// startBag gives a new bag its balance. A bag that changed its part or owner
// takes its figures along.
func (t *Tx) startBag(was, b Bag, had bool) error {
	if !had && t.at(bState, keyCode(b.Code)) == nil {
		return t.putState(State{}, start(b))
	}
	st, err := t.State(b.Code)
	switch {
	case err != nil:
		return err
	case !had: // a code that was taken back by undo
		return t.putState(State{}, began(b, st))
	}
	if _, known := t.before[b.Code]; !known && (!t.planned || was.Part != b.Part || was.Owner != b.Owner) { // of many bags whose figures stay, none is told
		t.before[b.Code] = st
		t.order = append(t.order, b.Code)
	}
	return t.difference(rows(balanced{was, st}), rows(balanced{b, st}))
}

// Enter appends one entry to the book and folds it into its bags. A day before
// the bag's last day is folded in its place, and refused when a later balance
// would fall below zero. Its texts are cleaned.
func (t *Tx) Enter(e Entry) error {
	if err := cleanTexts(&e.Why, &e.To, &e.By); err != nil {
		return err
	}
	e.Seq, e.Booking, e.By = t.nextSeq, t.number, or(e.By, t.head.By)
	if e.Day == 0 {
		e.Day = t.head.Day
	}
	if !t.planned {
		for _, b := range entryKind.breaches(t, nil, e) {
			return b
		}
	}
	bags := []code.Code{e.Bag}
	if e.What == Split || e.What == Joined {
		bags = append(bags, code.Code(e.To))
	}
	for _, b := range bags {
		if err := t.foldInto(b, e); err != nil {
			return err
		}
	}
	t.nextSeq++
	t.dirty = true
	t.entries = append(t.entries, e)
	t.pending = t.entries
	return t.difference(nil, slices.DeleteFunc(rows(e), t.stands))
}

// stands says that a row is there as it is to be written: the job of a bag that was
// booked for it before. Three pages less are written then.
func (t *Tx) stands(r Row) bool {
	x := t.at(r.Bucket, r.Key)
	return x != nil && bytes.Equal(x, r.Value)
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (t *Tx) foldInto(bag code.Code, e Entry) error {
	was, err := t.State(bag)
	if err != nil {
		return err
	}
	now, err := fold(was, e)
	if e.Day < was.LastDay {
		if back, ok := datedBack(was, e); ok && t.stoodBy(e) {
			return t.putState(was, back)
		}
		now, err = t.foldAll(bag, e)
	} else if err == nil && len(now.Book) == longBook {
		if all, err := t.foldAll(bag, e); err == nil {
			now.Past = all.Past
		}
	}
	if err != nil {
		return t.withUnit(bag, err)
	}
	return t.putState(was, now)
}

// stoodBy says that what an entry takes back was booked on its day or earlier. What was
// not loses its word.
func (t *Tx) stoodBy(e Entry) bool {
	if e.Undoes == 0 {
		return true
	}
	b, err := t.BookingNo(e.Undoes)
	if err != nil {
		return false
	}
	all, err := t.EntriesIn(b)
	return err == nil && !slices.ContainsFunc(all, func(x Entry) bool { return x.Day > e.Day })
}

// foldAll folds the book of one bag with one entry more, by day and number.
func (t *Tx) foldAll(bag code.Code, e Entry) (State, error) {
	all, err := t.EntriesOf(bag)
	if err != nil {
		return State{}, err
	}
	b, err := t.Bag(bag)
	if err != nil {
		return State{}, err
	}
	return foldBook(b, append(all, e))
}

// foldBook folds the entries of a bag by day, then number. What was booked before
// the bag was last booked in was taken back, code and all: it is listed and changes
// nothing.
func foldBook(b Bag, entries []Entry) (State, error) {
	entries = inOrder(entries)
	born := bornOf(b.Code, entries)
	s, past := start(b), &Past{Born: born.Day, Full: true}
	long := len(entries) >= longBook && born.Seq != 0
	for _, e := range entries {
		var err error
		q := s
		if e.Seq < born.Seq || e.What == 0 {
			e.What = 0
			s.LastDay, s.Book = max(s.LastDay, e.Day), append(s.Book, e.Seq)
		} else if s, err = fold(s, e); err != nil && e.Day < born.Day {
			return s, notYet(e.Day, b.Code, born.Day)
		} else if err != nil {
			return s, fmt.Errorf("on %s: %w", e.Day, err)
		}
		if long {
			past.Days = ended(past.Days, e.Day, s.Free())
			past.note(q, e)
		}
	}
	if long {
		s.Past = past
	}
	return s, nil
}

// began is the state of a bag that is booked in: its past, if it has one, is
// all taken back.
func began(b Bag, past State) State {
	s := start(b)
	s.Book, s.LastDay = past.Book, past.LastDay
	return s
}

func (t *Tx) withUnit(bag code.Code, err error) error {
	if se, ok := err.(*ShortError); ok {
		if b, berr := t.Bag(bag); berr == nil {
			se.Unit = b.Unit
		}
	}
	return err
}

// putRecord writes a record without rows and without its former bytes.
func (t *Tx) putRecord(bucket string, key []byte, rec any) error {
	x, err := encode(bucket, key, t.number, rec)
	return cmp.Or(err, t.put(bucket, key, x))
}

func (t *Tx) putState(was, now State) error {
	c := now.Bag
	if _, known := t.before[c]; !known {
		t.before[c] = was
		t.order = append(t.order, c)
	}
	t.balance = &now
	if err := t.putRecord(bState, keyCode(c), now); err != nil {
		return err
	}
	b, err := t.Bag(c)
	if err != nil {
		b = Bag{} // a code that was taken back: no part knows it
	}
	var old []Row
	if was.Bag != "" {
		old = append(rows(was), rows(balanced{b, was})...)
	}
	return t.difference(old, append(rows(now), rows(balanced{b, now})...))
}

// finish writes figures, shortages, the booking and the counters.
func (t *Tx) finish() (Result, error) {
	res := Result{Said: t.said}
	if !t.dirty {
		return res, nil // nothing changed: no booking
	}
	if err := t.Sound(); err != nil {
		return res, err
	}
	res.Said = t.said
	if err := cmp.Or(t.writeFormer(), t.figures(&res)); err != nil {
		return res, err
	}
	h := t.head
	res.Booking = Booking{Number: t.number, Day: h.Day, At: h.At, By: h.By, Command: h.Command, Kind: h.Kind, Undoes: h.Undoes, File: h.File, Hash: h.Hash}
	if len(t.entries) > 0 {
		res.Booking.First, res.Booking.Last = t.entries[0].Seq, t.entries[len(t.entries)-1].Seq
	}
	res.Entries = t.entries
	if err := t.writeEntries(); err != nil {
		return res, err
	}
	if err := t.putRecord(bBooking, keySeq(t.number), res.Booking); err != nil {
		return res, err
	}
	if err := t.difference(nil, rows(res.Booking)); err != nil {
		return res, err
	}
	return res, t.meters()
}

func (t *Tx) meters() error {
	day := t.lastDay
	for _, e := range t.entries {
		day = max(day, e.Day)
	}
	parts, all := t.Words()
	for _, m := range []struct {
		name string
		n    uint64
	}{{"booking", t.number}, {"entry", t.nextSeq - 1}, {"day", uint64(uint32(day))}, {"parts", uint64(parts + t.nParts)}, {"words", uint64(all + t.nWords)}} {
		if err := t.putRow(bMeta, []byte(m.name), keySeq(m.n)); err != nil {
			return err
		}
	}
	return nil
}

// figures brings the figures and shortages of every part that was touched up
// to date.
func (t *Tx) figures(res *Result) error {
	moved := map[code.Code]Figure{}
	move := func(part code.Code, st State, sign int64) (err error) {
		f, met := moved[part]
		if !met {
			f, err = t.Figure(part)
		}
		moved[part] = f.add(st, sign)
		return err
	}
	for _, c := range t.order {
		was, b, err := t.before[c], Bag{}, error(nil)
		if b, err = t.bagBefore(c); err == nil && isStock(b) {
			if err := move(b.Part, was, -1); err != nil {
				return err
			}
		}
		now, err := t.State(c)
		if err != nil {
			continue // its booking in was taken back
		}
		if b, err = t.Bag(c); err != nil {
			continue
		}
		if isStock(b) {
			if err := move(b.Part, now, 1); err != nil {
				return err
			}
		}
		ch := Change{Bag: b, Before: was, After: now}
		if t.head.Kind != "import" {
			ch.Part, _ = t.Part(b.Part) // one that cannot be read has no name
		}
		res.Bags = append(res.Bags, ch)
	}
	for c := range t.parts {
		if err := move(c, State{}, 0); err != nil {
			return err
		}
	}
	for _, c := range slices.Sorted(maps.Keys(moved)) {
		if err := cmp.Or(t.putFigure(c, moved[c]), t.shortage(c, moved[c], res)); err != nil {
			return err
		}
	}
	return nil
}

// isStock says whether a bag counts for its part: the workshop's own, of a
// known part.
func isStock(b Bag) bool { return b.Part != "" && b.Owner == Own }

// bagBefore is the record of a bag as it was before this booking.
func (t *Tx) bagBefore(c code.Code) (Bag, error) {
	var b Bag
	f, kept := t.former[string(keyFormer(t.number, bBag, keyCode(c)))]
	switch {
	case !kept:
		return t.Bag(c)
	case f.was == nil:
		return b, ErrNotFound
	}
	return b, decode(bBag, keyCode(c), f.was, &b)
}

func (t *Tx) putFigure(part code.Code, f Figure) error {
	switch was, err := t.Figure(part); {
	case err != nil || f == was:
		return err
	case f == (Figure{}):
		return t.delete(bFigure, keyCode(part))
	}
	return t.putRecord(bFigure, keyCode(part), f)
}

// shortage brings the row of a part that may run short up to date.
func (t *Tx) shortage(c code.Code, f Figure, res *Result) error {
	var old []Row
	if x := t.at(bShort, keyCode(c)); x != nil {
		old = []Row{{bShort, keyCode(c), bytes.Clone(x)}}
	}
	p, err := byCode[Part](&t.View, bPart, c)
	if err != nil {
		return t.difference(old, nil)
	}
	now := rowsShort(figured{p, f})
	if len(now) > 0 {
		res.Short = append(res.Short, Shortage{c, p.Name, f.Free(), *p.Keep})
	}
	return t.difference(old, now)
}

// NextCode makes the next code of a kind's series: the number after the
// highest code that starts like the others.
func (v *View) NextCode(kind string) (code.Code, error) {
	bucket, prefix, width, least := series(kind)
	best := least - 1
	c := v.cursor(bucket)
	if prefix == "" {
		// Codes of digits alone: the longest sort by number, not by text.
		for k, _ := c.first(); k != nil; k, _ = c.next() {
			if p, n, _, ok := code.Split(code.Code(k)); ok && p == "" {
				best = max(best, n)
			}
		}
		return code.Make("", max(best, int64(v.meta("series/"+kind)))+1, width), nil
	}
	for _, extra := range []int{0, 1, 2, 3, 4, 5} {
		if n, ok := lastOfWidth(c, prefix, width+extra); ok {
			best = max(best, n)
		}
	}
	if n := int64(v.meta("series/" + kind)); n > best {
		best = n
	}
	return code.Make(prefix, best+1, width), nil
}

// lastOfWidth finds the highest number written with so many digits.
func lastOfWidth(c *cursor, prefix string, width int) (int64, bool) {
	hi := prefix + string(bytes.Repeat([]byte("9"), width))
	k, _ := c.before([]byte(hi + "\x00"))
	for ; k != nil && string(k) >= prefix; k, _ = c.prev() {
		if p, n, w, ok := code.Split(code.Code(k)); ok && p == prefix && w == width {
			return n, true
		}
	}
	return 0, false
}

// series says how the codes of a kind are made up when they are left out.
func series(kind string) (bucket, prefix string, width int, first int64) {
	switch kind {
	case "part":
		return bPart, "P", 3, 1
	case "bag":
		return bBag, "B", 3, 201
	case "donor":
		return bDonor, "PC-", 2, 1
	case "place":
		return bPlace, "D", 1, 1
	case "model":
		return bModel, "M", 2, 1
	}
	return bJob, "", 3, 101
}

// Used notes the number of a code that was made up, so that a code taken back
// by undo is not given to another thing.
func (t *Tx) Used(kind string, c code.Code) error {
	_, prefix, _, _ := series(kind)
	p, n, _, ok := code.Split(c)
	if !ok || p != prefix || int64(t.meta("series/"+kind)) >= n {
		return nil
	}
	return t.putRow(bMeta, []byte("series/"+kind), keySeq(uint64(n)))
}

// OwnCode is the code of a new thing: the one given, which must be free, or the next
// of its kind. A code that reads much like one that is there is said.
func (t *Tx) OwnCode(kind string, given code.Code) (code.Code, error) {
	if given == "" {
		next, err := t.NextCode(kind)
		return next, cmp.Or(err, t.Used(kind, next))
	}
	for _, ref := range t.Resolve(kind+":"+string(given), kind) {
		same := code.Loose(string(ref.Code)) == code.Loose(string(given))
		switch {
		case ref.Code == given:
			return "", refuseAs(ThereAlready, "%s %s is there already", kind, given).of(code.Code(kind), given)
		case !same && kind == "part":
			return "", refuse("%s is a second name of part %s", given, ref.Code)
		case same:
			t.Say(Say(ReadsLike, "%s reads much like %s, which is there too", given, ref.Code).Of(given, ref.Code))
		}
	}
	return given, nil
}
