package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"tinful/store/code"
)

// A CountID names a count: by its number or, for readings that came with a
// workbook, by their day.
type CountID struct {
	Number uint64
	Day    code.Day // where Number is 0
}

// String is the name as it is typed: 3, or 2031-08-31.
func (id CountID) String() string {
	if id.Number == 0 {
		return id.Day.String()
	}
	return strconv.FormatUint(id.Number, 10)
}

// A CountLine is what one count read of one bag, against the book.
type CountLine struct {
	Bag     Bag
	Place   code.Code // where the book had the bag when it was read
	Seen    code.Code // where it was read, where that is another place
	Reading Entry
	Earlier []Entry // earlier readings of the bag in the same count
	// Book is what the count should have found: on hand less lent, held
	// included, when the bag was read or, where it agrees then, at a moment
	// between the cut-off and that. What was taken back never happened.
	Book      int64
	BookAbout bool
	// Since are the movements between cut-off and reading, After those from the
	// reading on: both are set apart.
	Since, After []Entry
	AtCut        bool  // the count agrees with the book as it was at a moment since the cut-off
	Booked       Entry // the correction that settled the line, if any
	Later        Entry // a reading after this one, in another count, if any
	Unit         string
	// At is the balance when the bag was read.
	At State
}

// Difference is what was counted less what the book says; never netted.
func (l CountLine) Difference() int64 { return l.Reading.Quantity - l.Book }

// Open says whether the line waits: it differs, no correction followed, and
// the bag was not read anew.
func (l CountLine) Open() bool {
	return l.Difference() != 0 && l.Booked.Seq == 0 && l.Later.Seq == 0
}

// Judged says whether the line tells something of how right the book is: a
// figure that is about is not judged.
func (l CountLine) Judged() bool { return !l.BookAbout && !l.Reading.About }

// settles says whether the line makes a figure exact that was about, the count
// agreeing with it.
func (l CountLine) settles() bool {
	return l.Difference() == 0 && l.BookAbout && !l.Reading.About && l.Booked.Seq == 0 && l.Later.Seq == 0
}

// Agreed says whether a reading of a bag found what the book said then; before is
// the book of the bag up to it.
func (b Bag) Agreed(reading Entry, before []Entry) bool {
	st, err := foldBook(b, before)
	return err == nil && st.InDrawer() == reading.Quantity
}

// CountNo reads one count.
func (v *View) CountNo(n uint64) (Count, error) {
	return get[Count](v, bCount, keySeq(n), fmt.Sprint(n))
}

// OpenCountAt returns the open count of a place; its number is 0 where there is
// none.
func (v *View) OpenCountAt(place code.Code) (open Count, err error) {
	err = v.EachCount(func(c Count) error {
		if c.Closed == 0 && slices.Contains(c.Places, place) {
			open = c
		}
		return nil
	})
	return open, err
}

// A Noted is a reading as the index has it.
type Noted struct {
	Seq   uint64
	Count uint64
	Day   code.Day
	Bag   code.Code
	Qty   code.Qty
}

// EachReading calls fn for every reading and the code of its bag, which is good until fn
// returns, in order of counts, days and numbers; those that came with workbooks first.
// Readings that were taken back are among them.
func (v *View) EachReading(fn func(n Noted, bag []byte) error) error {
	return v.scan(bReading, nil, func(k, x []byte) error { return fn(notedOf(k, x)) })
}

func (v *View) readings(pre []byte, fn func(Noted) error) error {
	return v.scan(bReading, pre, func(rest, x []byte) error {
		n, bag := notedOf(append(slices.Clip(pre), rest...), x)
		n.Bag = code.Code(bag)
		return fn(n)
	})
}

// notedOf is a reading of the index without its bag, and the code of that.
func notedOf(k, x []byte) (Noted, []byte) {
	n, w := binary.Varint(x)
	count, day, seq := splitReading(k)
	return Noted{Seq: seq, Count: count, Day: day, Qty: code.Qty{N: n, About: x[w] == 1}}, x[w+1:]
}

// ReadingDays lists the days of readings that came with workbooks.
func (v *View) ReadingDays() (days []code.Day) {
	v.readings(prefixCount(0), func(n Noted) error {
		if len(days) == 0 || days[len(days)-1] != n.Day {
			days = append(days, n.Day)
		}
		return nil
	})
	return days
}

// CountLines lists what a count read, by place and bag. Readings that were
// taken back are left out, and those of a workbook that a count goes on with are
// that count's. It returns [ErrNotFound] for a count that is none.
func (v *View) CountLines(id CountID) ([]CountLine, error) {
	own, err := v.countOrDay(id)
	if err != nil {
		return nil, err
	}
	read, err := v.readOf(own)
	if err != nil {
		return nil, err
	}
	taken, _, err := v.goneOn(id)
	if err == nil && len(read) == 0 && id.Number == 0 {
		err = Absent("no count of %s here", id)
	}
	var out []CountLine
	for bag, seqs := range read {
		l, ok, lerr := v.countLine(bag, seqs, own.Cut)
		if err = cmp.Or(err, lerr); ok && !taken[l.Place] && own.has(l) {
			out = append(out, l)
		}
	}
	slices.SortFunc(out, func(a, b CountLine) int {
		return cmp.Or(cmp.Compare(a.Place, b.Place), cmp.Compare(a.Bag.Code, b.Bag.Code))
	})
	return out, err
}

// countOrDay is a count, or what stands for one that came with a workbook.
func (v *View) countOrDay(id CountID) (Count, error) {
	if id.Number == 0 {
		return Count{Since: id.Day}, nil
	}
	return v.CountNo(id.Number)
}

// has tells whether a line is the count's: of the readings that it goes on with only
// those of its places are.
func (c Count) has(l CountLine) bool {
	return c.Number == 0 || l.Reading.Count == c.Number || slices.Contains(c.Places, l.Place)
}

// readOf are the readings of a count by their bags, those it goes on with among them.
func (v *View) readOf(c Count) (read map[code.Code]map[uint64]bool, err error) {
	read = map[code.Code]map[uint64]bool{}
	note := func(n Noted) error {
		if read[n.Bag] == nil {
			read[n.Bag] = map[uint64]bool{}
		}
		read[n.Bag][n.Seq] = true
		return nil
	}
	if c.Number != 0 {
		err = v.readings(prefixCount(c.Number), note)
	}
	if c.Since != 0 && err == nil {
		err = v.readings(append(prefixCount(0), keyDay(c.Since)...), note)
	}
	return read, err
}

// goneOn are the places whose readings of a workbook a count goes on with, and the
// number of such a count.
func (v *View) goneOn(id CountID) (places map[code.Code]bool, on uint64, err error) {
	places = map[code.Code]bool{}
	if id.Number != 0 {
		return places, 0, nil
	}
	return places, on, v.EachCount(func(c Count) error {
		if c.Since == id.Day {
			on = c.Number
			for _, p := range c.Places {
				places[p] = true
			}
		}
		return nil
	})
}

// CountOn is the count that came with a workbook on a day or, where another goes on
// with all of it, that one.
func (v *View) CountOn(day code.Day) (CountID, error) {
	id := CountID{Day: day}
	_, on, err := v.goneOn(id)
	if err != nil || on == 0 {
		return id, err
	}
	if lines, err := v.CountLines(id); err != nil || len(lines) > 0 {
		return id, err
	}
	return CountID{Number: on}, nil
}

// openSince is an open reading in these places, of the latest day of readings that came
// with a workbook, the zero Entry for none.
func (v *View) openSince(places []code.Code) (open Entry, err error) {
	here := map[code.Code]bool{}
	for _, p := range places {
		for _, bag := range v.BagsAt(p) {
			here[bag] = true
		}
	}
	days := map[code.Day]bool{}
	err = v.readings(prefixCount(0), func(n Noted) error {
		if here[n.Bag] {
			days[n.Day] = true
		}
		return nil
	})
	for _, day := range slices.Backward(slices.Sorted(maps.Keys(days))) {
		lines, lerr := v.CountLines(CountID{Day: day})
		if err = cmp.Or(err, lerr); err != nil {
			return open, err
		}
		if i := slices.IndexFunc(lines, func(l CountLine) bool { return l.Open() && slices.Contains(places, l.Place) }); i >= 0 {
			return lines[i].Reading, nil
		}
	}
	return open, err
}

// countLine folds the book of a bag up to the last of its readings that stand.
// ok is false where none does.
func (v *View) countLine(bag code.Code, seqs map[uint64]bool, cut uint64) (l CountLine, ok bool, err error) {
	if l.Bag, err = v.Bag(bag); err != nil {
		if errors.Is(err, ErrNotFound) {
			err = nil // its booking in was taken back
		}
		return l, false, err
	}
	all, err := v.EntriesOf(bag)
	if err != nil {
		return l, false, err
	}
	undone := map[uint64]bool{}
	for _, e := range all {
		undone[e.Undoes] = e.Undoes != 0
	}
	at := -1
	for i, e := range all {
		if seqs[e.Seq] && !undone[e.Booking] {
			if at >= 0 {
				l.Earlier = append(l.Earlier, all[at])
			}
			at = i
		}
	}
	if at < 0 {
		return l, false, nil
	}
	l.Reading, l.Unit = all[at], l.Bag.Unit
	return l, true, l.against(all, at, undone, cut)
}

// against fills in what the book says of a line: all is the book of the bag,
// at the place of its reading there.
func (l *CountLine) against(all []Entry, at int, undone map[uint64]bool, cut uint64) error {
	l.apart(all, at, undone, cut)
	before := l.unslipped(all, at)
	now, err := foldBook(l.Bag, before)
	if err != nil { // what came later leans on the slip
		before = all[:at]
		now, err = foldBook(l.Bag, before)
	}
	if err != nil {
		return err
	}
	l.At, l.Place, l.Book, l.BookAbout = now, now.Place, now.InDrawer(), now.About
	if to := code.Code(l.Reading.To); to != l.Place {
		l.Seen = to
	}
	if l.Difference() != 0 && cut != 0 && l.meanwhile(before, cut) {
		l.AtCut, l.Book = true, l.Reading.Quantity
	}
	return nil
}

// unslipped is the book of the bag up to the reading without what was booked by mistake
// and taken back, on whatever day: it never happened. What was taken back after the
// line was corrected stays, for the correction leans on it.
func (l *CountLine) unslipped(all []Entry, at int) []Entry {
	slip := map[uint64]bool{}
	for _, e := range all {
		if e.Undoes != 0 && (l.Booked.Seq == 0 || e.Seq < l.Booked.Seq) {
			slip[e.Undoes], slip[e.Booking] = true, true
		}
	}
	return slices.DeleteFunc(slices.Clone(all[:at]), func(e Entry) bool { return slip[e.Booking] })
}

// meanwhile says whether the book agreed with the reading at a moment while the entries
// after the cut-off came in: whoever counted then was right.
func (l *CountLine) meanwhile(before []Entry, cut uint64) bool {
	var early, rest []Entry
	for _, e := range before {
		if e.Seq > cut {
			rest = append(rest, e)
		} else {
			early = append(early, e)
		}
	}
	st, err := foldBook(l.Bag, early)
	for _, e := range rest {
		if err == nil && st.InDrawer() == l.Reading.Quantity {
			return true
		}
		if st, err = fold(st, e); err != nil {
			return false // the late ones do not stand by themselves
		}
	}
	return false
}

// apart sorts out what moved after the cut-off and after the reading.
func (l *CountLine) apart(all []Entry, at int, undone map[uint64]bool, cut uint64) {
	for i, e := range all {
		back := undone[e.Booking] || e.Undoes != 0
		switch {
		case i > at && e.What == Corrected && !back:
			if l.Booked.Seq == 0 {
				l.Booked = e
			}
		case i > at && e.What == Counted && !back:
			l.Later = e
		case back || e.What == Counted || e.What == Graded || e.What == Moved || e.What == Held || e.What == Unheld || e.What == Corrected:
		case i > at:
			l.After = append(l.After, e)
		case cut != 0 && e.Seq > cut && i < at:
			l.Since = append(l.Since, e)
		}
	}
	if l.Booked.Seq != 0 && l.Later.Seq != 0 && l.Later.Seq > l.Booked.Seq {
		l.Later = Entry{} // it was settled before it was read anew
	}
}

// Uncounted lists the bags of a count's places that should hold something, are
// the workshop's own and were not read.
func (v *View) Uncounted(c Count) ([]code.Code, error) {
	read := map[code.Code]bool{}
	lines, err := v.CountLines(CountID{Number: c.Number})
	if err != nil {
		return nil, err
	}
	for _, l := range lines {
		read[l.Bag.Code] = true
	}
	var out []code.Code
	for _, place := range c.Places {
		here, err := v.Countable(place)
		if err != nil {
			return nil, err
		}
		for _, b := range here {
			if !read[b.Code] {
				out = append(out, b.Code)
			}
		}
	}
	return out, nil
}

// Countable lists the bags of a place that a count asks for, in the order of
// their codes: the workshop's own that should hold something.
func (v *View) Countable(place code.Code) ([]Bag, error) {
	var out []Bag
	for _, c := range v.BagsAt(place) {
		b, err := v.Bag(c)
		if err != nil {
			return nil, err
		}
		if x := v.at(bBagByPart, join(b.Part, b.Code)); x == nil {
			continue
		} else if d, counts, _ := drawerOf(x); counts && d.Holds != 0 {
			out = append(out, b)
		}
	}
	return out, nil
}

// BeginCount returns the open count of the places, or begins one, which goes on with
// an open one there that came with a workbook. cut is the number of the last entry that
// the count is held against, 0 for the latest.
func (t *Tx) BeginCount(places []code.Code, cut uint64) (Count, error) {
	for _, p := range places {
		if _, err := t.Place(p); err != nil {
			return Count{}, err
		}
		open, err := t.OpenCountAt(p)
		if err != nil {
			return Count{}, err
		}
		if open.Number == 0 {
			continue
		}
		missing := slices.DeleteFunc(slices.Clone(places), func(p code.Code) bool { return slices.Contains(open.Places, p) })
		if len(missing) == 0 {
			return open, nil
		}
		return Count{}, refuse("count %s of %s is open and has not %s: count each by itself, or close it first", CountID{Number: open.Number}, p, missing[0])
	}
	since, err := t.openSince(places)
	if err != nil {
		return Count{}, err
	}
	c := Count{Number: t.lastCount() + 1, Places: places, Day: t.head.Day, By: t.head.By, Cut: t.meta("entry")}
	if since.Seq != 0 {
		c.Since, c.Day, c.By = since.Day, since.Day, since.By
	}
	if cut != 0 && cut < c.Cut {
		c.Cut = cut
	}
	return c, t.Put(c)
}

// lastCount is the highest number of a count, those that were taken back too:
// a reading that was taken back names its count for ever.
func (t *Tx) lastCount() uint64 {
	var last uint64
	if k, _ := t.cursor(bCount).last(); k != nil {
		last = binary.BigEndian.Uint64(k)
	}
	if k, _ := t.cursor(bReading).last(); k != nil {
		n, _, _ := splitReading(k)
		last = max(last, n)
	}
	return last
}

// CountFor returns the open count that a bag belongs to, by its place; its
// number is 0 where there is none. It refuses what is not the workshop's own.
func (t *Tx) CountFor(bag code.Code) (Count, State, error) {
	b, _, st, err := t.whatFor(Take{Bag: bag})
	switch {
	case err != nil:
		return Count{}, st, err
	case !b.Ours():
		return Count{}, st, refuse("%s belongs to %s: it is no stock and is not counted", b.Code, b.Owner)
	case st.Place == "":
		return Count{}, st, refuse("%s lies in no place: move it to one first", b.Code)
	}
	c, err := t.OpenCountAt(st.Place)
	return c, st, err
}

// readBag books a reading of a bag in a count.
func (t *Tx) readBag(c Count, g Given) error {
	if g.Qty.N < 0 {
		return refuse("%s: %d is no count", g.Bag, g.Qty.N)
	}
	if _, _, err := t.CountFor(g.Bag); err != nil {
		return err
	}
	e := Entry{What: Counted, Bag: g.Bag, Quantity: g.Qty.N, About: g.Qty.About, Count: c.Number, Why: g.Why}
	if st, err := t.State(g.Bag); err == nil && g.Seen != "" && g.Seen != st.Place {
		e.To = string(g.Seen)
	}
	return t.Enter(e)
}

// readLoose notes pieces that a count met without a bag.
func (t *Tx) readLoose(c Count, part code.Code, q code.Qty, place code.Code) error {
	if err := positive(q.N); err != nil {
		return err
	}
	c.Loose = append(slices.Clone(c.Loose), Loose{Part: part, Place: place, N: q.N, About: q.About, By: t.head.By, Day: t.head.Day})
	return t.Put(c)
}

// A Settling is what closing a count did.
type Settling struct {
	Closed bool        // nothing is left open
	Open   []CountLine // what differs and was not accepted
	Loose  []Loose     // pieces without a bag that were not accepted
}

// CloseCount books the differences that accept names as corrected, with the
// reason it gives, and pieces without a bag that it names by their part as a new
// bag. A bag becomes exact only where it was counted exactly. The count is
// closed when nothing is left open.
func (t *Tx) CloseCount(id CountID, accept func(CountLine) (why string, ok bool), loose func(Loose) bool) (Settling, error) {
	var out Settling
	t.head.Kind = "count"
	lines, err := t.CountLines(id)
	if err != nil {
		return out, err
	}
	for _, l := range lines {
		why, ok := "counted exactly", l.settles()
		if l.Open() {
			if why, ok = accept(l); !ok {
				out.Open = append(out.Open, l)
			}
		}
		if ok {
			err = cmp.Or(err, t.correct(id, l, why))
		}
	}
	if err != nil || id.Number == 0 {
		out.Closed = len(out.Open) == 0
		return out, err
	}
	c, err := t.CountNo(id.Number)
	if err != nil {
		return out, err
	}
	if c.Closed != 0 {
		return out, refuse("count %s was closed on %s", id, c.Closed)
	}
	c.Loose = slices.Clone(c.Loose)
	for i := range c.Loose {
		if c.Loose[i].Bag == "" && loose(c.Loose[i]) {
			err = cmp.Or(err, t.bagLoose(id, &c.Loose[i]))
		}
		if c.Loose[i].Bag == "" {
			out.Loose = append(out.Loose, c.Loose[i])
		}
	}
	if out.Closed = len(out.Open)+len(out.Loose) == 0; out.Closed {
		c.Closed = t.head.Day
	}
	return out, cmp.Or(err, t.Put(c))
}

// correct books one difference.
func (t *Tx) correct(id CountID, l CountLine, why string) error {
	about := l.Reading.About
	for _, e := range l.After {
		about = about || e.About && (e.What == In || e.To == string(l.Bag.Code))
	}
	err := t.Enter(Entry{What: Corrected, Bag: l.Bag.Code, Quantity: l.Difference(), About: about, Count: id.Number,
		Why: fmt.Sprintf("count %s: counted %s, book %s; %s", id, Amount(l.Reading.Quantity, l.Unit, l.Reading.About), Amount(l.Book, l.Unit, l.BookAbout), why)})
	if short, ok := errors.AsType[*ShortError](err); ok {
		return refuse("%s is short by %s and only %s of it is free: book first what became of what is held or was taken since, then close", l.Bag.Code,
			Amount(-l.Difference(), l.Unit, false), Amount(max(short.Have, 0), l.Unit, false))
	}
	return err
}

// bagLoose books pieces without a bag in, as a bag of their own.
func (t *Tx) bagLoose(id CountID, l *Loose) error {
	b := Bag{Part: l.Part, Origin: "unknown", Quantity: l.N, About: l.About, Grade: "unknown", Place: l.Place, Note: "found without a bag in count " + id.String()}
	own, err := t.PutIn(b)
	l.Bag = own
	return err
}

// A Drawer is what choosing bags to count asks of one bag. Its code is good until the
// function that it is given to returns.
type Drawer struct {
	Bag   []byte
	Read  code.Day // last counted, 0 for never
	Holds int64    // what a count should find
	Used  int64    // fitted, less what came back
}

// drawerOf reads of a line what a Drawer has, whether it is the workshop's own, that should
// hold something or of which something was used, and how much of it is lent.
func drawerOf(x []byte) (d Drawer, counts bool, lent int64) {
	own := x[0]&lineOwned == 0
	x = x[1:]
	var n [5]int64 // on hand, held, lent, read, used
	for i := range n {
		k, w := binary.Varint(x)
		n[i], x = k, x[w:]
	}
	d = Drawer{nil, code.Day(n[3]), n[0] - n[2], n[4]}
	return d, own && (d.Holds != 0 || d.Used != 0), n[2]
}

// EachDrawer calls fn for every one of the workshop's own bags of a known part
// that should hold something or of which something was used, in order of parts.
// It reads no records.
func (v *View) EachDrawer(fn func(part code.Code, d Drawer)) { v.EachDrawerAndLent(fn, nil) }

// EachDrawerAndLent is [View.EachDrawer] that calls lent, unless it is nil, with every bag of
// which something is lent, whoever owns it, and its part and unit.
func (v *View) EachDrawerAndLent(fn func(part code.Code, d Drawer), lent func(part, bag []byte, unit string)) {
	var part code.Code
	v.scan(bBagByPart, nil, func(k, x []byte) error {
		p, bag, _ := bytes.Cut(k, []byte{0})
		d, counts, n := drawerOf(x)
		if n != 0 && lent != nil {
			unit := "pc"
			if x[0]&lineMM != 0 {
				unit = "mm"
			}
			lent(p, bag, unit)
		}
		if len(p) == 0 || !counts {
			return nil
		}
		if string(p) != string(part) {
			part = code.Code(p)
		}
		d.Bag = bag
		fn(part, d)
		return nil
	})
}

// Used says whether pieces of a part were fitted out of one of the workshop's own bags, and
// did not all come back. It reads no record.
func (v *View) Used(part code.Code) (used bool) {
	v.scan(bBagByPart, prefix(part), func(_, x []byte) error {
		d, own, _ := drawerOf(x)
		used = used || own && d.Used > 0
		return nil
	})
	return used
}

// EachWorth calls fn for every part that has a value or is set to be counted
// first. It reads no records.
func (v *View) EachWorth(fn func(part code.Code, value code.Cents, first bool)) {
	v.scan(bWorth, nil, func(k, x []byte) error {
		n, w := binary.Varint(x)
		fn(code.Code(k), code.Cents(n), x[w] == 1)
		return nil
	})
}

// EachWanted calls fn for every want, met or open, with its part.
func (v *View) EachWanted(fn func(part code.Code)) {
	v.scan(bWantByPart, nil, func(k, _ []byte) error {
		part, _, _ := bytes.Cut(k, []byte{0})
		fn(code.Code(part))
		return nil
	})
}

// A Given is one reading as it is entered: of a bag, or of pieces of a part that
// lay without one.
type Given struct {
	Bag, Part code.Code
	Qty       code.Qty
	Seen      code.Code // the place it was met in; empty for the bag's own
	Why       string    // how it was read, where not by eye
}

// ReadAll books readings, each in the open count of its place. For places without
// one a count is begun, held against the book up to entry cut, 0 for the latest.
// It returns the counts by place.
func (t *Tx) ReadAll(list []Given, cut uint64) (map[code.Code]Count, error) {
	counts, places := map[code.Code]Count{}, make([]code.Code, len(list))
	var fresh []code.Code
	for i, g := range list {
		place := g.Seen
		if place == "" {
			_, st, err := t.CountFor(g.Bag)
			if err != nil {
				return nil, err
			}
			place = st.Place
		}
		places[i] = place
		open, err := t.OpenCountAt(place)
		if err != nil {
			return nil, err
		}
		if counts[place] = open; open.Number == 0 && !slices.Contains(fresh, place) {
			fresh = append(fresh, place)
		}
	}
	if len(fresh) > 0 {
		slices.Sort(fresh)
		c, err := t.BeginCount(fresh, cut)
		if err != nil {
			return nil, err
		}
		for _, p := range fresh {
			counts[p] = c
		}
	}
	for i, g := range list {
		if err := t.read(counts[places[i]].Number, g, places[i]); err != nil {
			return nil, err
		}
	}
	return counts, nil
}

// read books one reading in a count.
func (t *Tx) read(count uint64, g Given, place code.Code) error {
	c, err := t.CountNo(count)
	switch {
	case err != nil:
		return err
	case c.Closed != 0:
		return refuse("count %d was closed on %s: count anew", c.Number, c.Closed)
	case g.Bag == "":
		return t.readLoose(c, g.Part, g.Qty, place)
	}
	return t.readBag(c, g)
}

// ReadIn books one reading in the open count of a number.
func (t *Tx) ReadIn(count uint64, g Given) error { return t.read(count, g, g.Seen) }
