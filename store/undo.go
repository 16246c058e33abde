package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/store/code"
)

// Latest is the latest booking of a person that undo alone may take back: no
// import, no closed count, no undo, and not taken back already. It returns
// [ErrNotFound] where there is none.
func (v *View) Latest(by string) (Booking, error) {
	pre := prefix(by)
	c := v.cursor(bBookingByWho)
	k, _ := c.before(append(append([]byte{}, pre...), bytes.Repeat([]byte{0xff}, 9)...))
	imported := uint64(0)
	for ; k != nil && bytes.HasPrefix(k, pre); k, _ = c.prev() {
		b, err := v.BookingNo(lastSeq(k))
		switch {
		case err != nil:
			return b, err
		case b.Undone > 0:
		case b.Kind == "":
			return b, nil
		case imported == 0 && b.Kind == "import":
			imported = b.Number
		}
	}
	none := Absent("%s has no booking to take back", or(by, "this person"))
	if imported > 0 {
		none = &ImportedError{none, imported}
	}
	return Booking{}, none
}

// Undo takes a whole booking back, by counter-entries and by the former bytes
// of the records it changed. It is refused, naming what stands on the
// booking, when something later needs what it did.
func (s *Store) Undo(h Head, number uint64) (Result, error) {
	h.Kind, h.Undoes = "undo", number
	return s.Book(h, func(t *Tx) error { return t.undo(number) })
}

func (t *Tx) undo(number uint64) error {
	b, err := t.BookingNo(number)
	switch {
	case err != nil:
		return err
	case b.Undone != 0:
		return refuse("booking %d was taken back by booking %d already", number, b.Undone)
	case b.Kind == "salvage" || number < t.salvaged():
		return refuse("booking %d is from before the store was salvaged: what it did is not all known", number)
	case b.Kind == "undo":
		return refuse("booking %d took booking %d back; book that again instead", number, b.Undoes)
	}
	if err := t.standing(b); err != nil {
		return err
	}
	if b.Fresh {
		if err := t.alone(b); err != nil {
			return err
		}
	}
	entries, err := t.EntriesIn(b)
	if err := cmp.Or(err, t.undoDay(b, entries)); err != nil {
		return err
	}
	for i := len(entries) - 1; i >= 0; i-- {
		if err := t.counter(b, entries[i]); err != nil {
			return err
		}
	}
	gone, err := t.restore(b)
	if err := cmp.Or(err, t.Sound()); err != nil {
		return fmt.Errorf("booking %d cannot be taken back: %w", number, err)
	}
	return t.unused(gone)
}

// salvaged is the booking before which nothing can be taken back, 0 for none.
func (v *View) salvaged() uint64 {
	n, _ := strconv.ParseUint(v.Setting(salvaged), 10, 64) // none is 0
	return n
}

// counter takes one entry back: the same word with the negative quantity. A
// move or grade goes back to what it was before.
func (t *Tx) counter(b Booking, e Entry) error {
	c := Entry{What: e.What, Bag: e.Bag, Quantity: -e.Quantity, About: e.About, Job: e.Job, To: e.To, Amount: -e.Amount, Due: e.Due, Model: e.Model,
		Why: fmt.Sprintf("undo %d", b.Number), Undoes: b.Number, Unsure: e.Unsure, First: e.First}
	if e.What == Moved || e.What == Graded || e.What == Corrected {
		was, err := t.stateBefore(e)
		if err != nil {
			return err
		}
		switch e.What {
		case Moved:
			c.To = string(was.Place)
		case Graded:
			c.To = was.Grade
		case Corrected:
			c.About = was.About
		}
	}
	err := t.Enter(c)
	if errors.Is(err, ErrRefused) {
		on := t.laterOn(b, e.Bag)
		if e.What == Split || e.What == Joined {
			on = append(on, t.laterOn(b, code.Code(e.To))...)
		}
		if len(on) > 0 {
			return refuse("booking %d cannot be taken back: %s", b.Number, strings.Join(on, "; "))
		}
	}
	return err
}

// stateBefore is a bag before an entry. Of one with a long book it is place or grade alone
// where that is what the entry changed.
func (t *Tx) stateBefore(e Entry) (State, error) {
	bag, err := t.Bag(e.Bag)
	st, serr := t.State(e.Bag)
	if err := cmp.Or(err, serr); err != nil {
		return State{}, err
	}
	if st.Past.sure() && e.What != Corrected {
		turns := st.Past.turns(e.What)
		switch i := slices.IndexFunc(turns, func(x Turn) bool { return x.Seq == e.Seq }); {
		case i > 0:
			was, err := t.EntryNo(turns[i-1].Seq)
			return State{Place: code.Code(was.To), Grade: was.To}, err
		case i == 0 && len(turns) < mostTurns:
			return start(bag), nil
		}
	}
	all, err := t.EntriesOf(e.Bag)
	if err != nil {
		return State{}, err
	}
	for i, x := range all {
		if x.Seq == e.Seq {
			return foldBook(bag, all[:i])
		}
	}
	return start(bag), nil
}

// turns are the entries of a bag that have a word, where its balance keeps all of them,
// else all its entries.
func (t *Tx) turns(bag code.Code, what What) (out []Entry, err error) {
	st, err := t.State(bag)
	if err != nil || !st.Past.sure() || len(st.Past.turns(what)) == mostTurns {
		return t.EntriesOf(bag)
	}
	for _, x := range st.Past.turns(what) {
		e, err := t.EntryNo(x.Seq)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// laterOn names the later bookings on a bag that stand.
func (t *Tx) laterOn(b Booking, bag code.Code) []string {
	all, _ := t.EntriesOf(bag)
	var out []string
	seen := map[uint64]bool{}
	for _, e := range all {
		if e.Booking <= b.Number || e.Undoes != 0 || seen[e.Booking] || e.Booking == t.number {
			continue
		}
		seen[e.Booking] = true
		if l, err := t.BookingNo(e.Booking); err == nil && l.Undone == 0 {
			out = append(out, fmt.Sprintf("booking %d stands on it (%s %s %d)", l.Number, e.What, e.Bag, e.Quantity))
		}
	}
	return out
}

// standing refuses when a later booking changed a record this one wrote, or
// moved or graded a bag after it.
func (t *Tx) standing(b Booking) error {
	mine := map[string]bool{}
	t.scan(bFormer, keySeq(b.Number), func(rest, _ []byte) error {
		mine[string(rest)] = true
		return nil
	})
	c := t.cursor(bFormer)
	for k, _ := c.seek(keySeq(b.Number + 1)); k != nil && len(mine) > 0; k, _ = c.next() {
		if !mine[string(k[8:])] {
			continue
		}
		n, bucket, key := splitFormer(k)
		l, err := t.BookingNo(n)
		if err != nil {
			return err
		}
		if l.Undone == 0 && l.Kind != "undo" {
			return refuse("booking %d cannot be taken back: booking %d (%s) changed %s %s after it", b.Number, n, l.Command, bucket, bytes.ReplaceAll(key, []byte{0}, []byte(" ")))
		}
	}
	return cmp.Or(t.moved(b), t.settled(b))
}

// alone refuses to take back the booking that made the store while any later
// one stands.
func (t *Tx) alone(b Booking) error {
	var on *Booking
	err := t.Bookings(func(l Booking) bool {
		if l.Number > b.Number && l.Undone == 0 && l.Kind != "undo" {
			on = &l
		}
		return l.Number > b.Number
	})
	if err == nil && on != nil {
		return refuse("booking %d cannot be taken back: booking %d (%s) stands on it", b.Number, on.Number, on.Command)
	}
	return err
}

func (t *Tx) moved(b Booking) error {
	entries, err := t.EntriesIn(b)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.What != Moved && e.What != Graded {
			continue
		}
		all, err := t.turns(e.Bag, e.What)
		if err != nil {
			return err
		}
		for _, x := range all {
			if x.What != e.What || x.Booking <= b.Number || x.Undoes != 0 {
				continue
			}
			if l, err := t.BookingNo(x.Booking); err == nil && l.Undone == 0 {
				return refuse("booking %d cannot be taken back: booking %d stands on it (%s %s to %s)", b.Number, l.Number, x.Bag, x.What, x.To)
			}
		}
	}
	return nil
}

// settled refuses to take readings back that closing their count stands on: it
// booked the difference of one of them, or closed the count.
func (t *Tx) settled(b Booking) error {
	entries, err := t.EntriesIn(b)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.What != Counted {
			continue
		}
		by, err := t.settledBy(b, e)
		if err != nil {
			return err
		}
		if by.Number != 0 {
			return refuseAs(UndoneFirst, "booking %d cannot be taken back: booking %d (%s) stands on its reading of %s", b.Number, by.Number, by.Command, e.Bag).
				of(code.Code(strconv.FormatUint(by.Number, 10)))
		}
	}
	return nil
}

// settledBy is the booking that stands on a reading of booking b, the zero Booking
// for none.
func (t *Tx) settledBy(b Booking, reading Entry) (Booking, error) {
	all, err := t.turns(reading.Bag, Corrected)
	if err != nil {
		return Booking{}, err
	}
	for _, x := range all {
		if x.What != Corrected || x.Booking <= b.Number || x.Undoes != 0 || !t.sameCount(x.Count, reading) {
			continue
		}
		if l, err := t.BookingNo(x.Booking); err != nil || l.Undone == 0 {
			return l, err
		}
	}
	if reading.Count == 0 {
		return Booking{}, nil
	}
	if c, err := t.CountNo(reading.Count); err != nil || c.Closed == 0 {
		return Booking{}, err
	}
	return t.closedBy(b, reading.Count)
}

// sameCount tells whether a reading is of a count, be it one that goes on with it.
func (t *Tx) sameCount(number uint64, reading Entry) bool {
	if number == reading.Count || number == 0 || reading.Count != 0 {
		return number == reading.Count
	}
	c, err := t.CountNo(number)
	return err == nil && c.Since == reading.Day
}

// closedBy is the latest booking after b that changed a count which is closed.
func (t *Tx) closedBy(b Booking, count uint64) (Booking, error) {
	number := uint64(0)
	c := t.cursor(bFormer)
	for k, _ := c.seek(keySeq(b.Number + 1)); k != nil; k, _ = c.next() {
		if n, bucket, key := splitFormer(k); bucket == bCount && bytes.Equal(key, keySeq(count)) {
			number = n
		}
	}
	if number == 0 {
		return Booking{}, nil
	}
	return t.BookingNo(number)
}

// A goneThing is a record that undo takes away again.
type goneThing struct {
	bucket string
	key    []byte
}

// restore gives every catalogue record of a booking its former bytes.
func (t *Tx) restore(b Booking) ([]goneThing, error) {
	type was struct {
		bucket string
		key, x []byte
	}
	var all []was
	err := t.eachFormer(b.Number, func(bucket string, key, x []byte) error {
		all = append(all, was{bucket, bytes.Clone(key), x})
		return nil
	})
	if err != nil {
		return nil, err
	}
	if b.Fresh {
		for _, bucket := range []string{bPicture, bMonth, bShop, bPaper, bLabel, bNote, bDraft, bCount, bStep, bOld, bWant, bSeen, bGoes, bBag, bJob, bDonor, bPlace, bPart, bModel} {
			t.scan(bucket, nil, func(k, _ []byte) error {
				all = append(all, was{bucket, bytes.Clone(k), nil})
				return nil
			})
		}
	}
	var gone []goneThing
	for _, w := range all {
		if w.x == nil {
			if err := kindIn(w.bucket).remove(t, w.key); err != nil {
				return nil, err
			}
			gone = append(gone, goneThing{w.bucket, w.key})
			continue
		}
		if err := kindIn(w.bucket).again(t, w.key, w.x); err != nil {
			return nil, err
		}
	}
	return gone, nil
}

// removeBag takes a bag away whose booking in was taken back. Its entries
// stay in the book, where they cancel.
func (t *Tx) removeBag(key []byte) error {
	st, err := t.State(code.Code(key))
	if err != nil {
		return err
	}
	if st.OnHand() != 0 || st.Held() != 0 || st.Lent() != 0 {
		return refuse("bag %s is not empty: %s", key, Amount(st.OnHand(), "", st.About))
	}
	if _, known := t.before[st.Bag]; !known {
		t.before[st.Bag] = st
		t.order = append(t.order, st.Bag)
	}
	b, err := t.Bag(st.Bag)
	if err != nil {
		return err
	}
	if err := t.difference(append(rows(st), rows(balanced{b, st})...), nil); err != nil {
		return err
	}
	// A balance stays: it knows the entries of the code, which all cancel.
	t.balance = nil
	return cmp.Or(remove[Bag](t, bBag, key), t.putRecord(bState, key, gone(st)))
}

// unused refuses when something that stays names what was taken away.
func (t *Tx) unused(gone []goneThing) error {
	var named mentions
	if slices.ContainsFunc(gone, func(g goneThing) bool { return slices.Contains([]string{bModel, bPlace, bPart}, g.bucket) }) {
		var err error
		if named, err = t.mentions(); err != nil {
			return err
		}
	}
	for _, g := range gone {
		c := code.Code(g.key)
		if g.bucket == bCount {
			if err := t.countUnread(g.key); err != nil {
				return err
			}
			continue
		}
		if g.bucket == bStep {
			if err := t.unpictured(g.key); err != nil {
				return err
			}
			continue
		}
		for _, use := range t.uses(g.bucket, c, named) {
			return refuse("%s %s cannot be taken away: %s names it", g.bucket, c, use)
		}
	}
	return cmp.Or(t.passedThrough(gone), t.numberBack(gone))
}

// numberBack gives the number of the last job that was made back to the next one,
// where no entry of the book names it.
func (t *Tx) numberBack(gone []goneThing) error {
	for _, g := range gone {
		c := code.Code(g.key)
		_, n, _, ok := code.Split(c)
		if g.bucket != bJob || !ok || t.meta("series/job") != uint64(n) {
			continue
		}
		if named, err := t.EntriesFor(c); err != nil || len(named) > 0 {
			return err
		}
		return t.putRow(bMeta, []byte("series/job"), keySeq(uint64(n-1)))
	}
	return nil
}

// countUnread refuses to take a count away while a reading of another booking
// stands in it.
func (t *Tx) countUnread(key []byte) error {
	return t.readings(prefixCount(lastSeq(key)), func(n Noted) error {
		e, err := t.EntryNo(n.Seq)
		if err != nil || e.Booking == t.head.Undoes {
			return err
		}
		b, err := t.BookingNo(e.Booking)
		if err == nil && b.Undone == 0 {
			return refuse("booking %d began count %d and cannot be taken back: booking %d stands on it (counted %s %d)",
				t.head.Undoes, n.Count, b.Number, e.Bag, e.Quantity)
		}
		return err
	})
}

func (t *Tx) uses(bucket string, c code.Code, named mentions) []string {
	var out []string
	add := func(what string, codes []code.Code) {
		for _, x := range codes {
			out = append(out, what+" "+string(x))
		}
	}
	say := func(who string) {
		if who != "" {
			out = append(out, who)
		}
	}
	if notes, err := t.NotesOf(bucket, c); err == nil && len(notes) > 0 {
		out = append(out, "a note of "+notes[0].Day.String())
	}
	if all, err := t.PicturesOf(Ref{bucket, c}); err == nil && len(all) > 0 {
		out = append(out, "a picture of "+all[0].Day.String())
	}
	switch bucket {
	case bPart:
		add("bag", t.BagsOf(c))
		add("part", t.TwinsOf(c))
		add("unit", t.UnitsWith(c))
		add("a statement about model", firsts(t.codes(bGoes, prefix(c))))
		add("what was seen on", t.codes(bSeenByPart, prefix(c)))
		if w, err := t.WantsOf(c); err == nil && len(w) > 0 {
			say("a want of " + w[0].Date.String())
		}
		say(named.parts[c])
	case bModel:
		add("donor", t.DonorsOf(c))
		add("camera", t.CarriedBy(c))
		add("a statement about part", firsts(t.codes(bGoesByModel, prefix(c))))
		say(named.models[c])
	case bDonor:
		add("bag", t.BagsFrom(string(c)))
		add("what was seen of part", t.codes(bSeen, prefix(c)))
		out = append(out, t.stepUses("donor", c)...)
	case bPlace:
		add("bag", t.BagsAt(c))
		say(named.places[c])
		t.EachCount(func(n Count) error {
			if slices.Contains(n.Places, c) {
				out = append(out, "count "+CountID{Number: n.Number}.String())
			}
			return nil
		})
	case bJob:
		out = append(out, t.jobUses(c)...)
		add("what was seen of part", t.codes(bSeen, prefix(seenOnJob+string(c))))
		out = append(out, t.stepUses("job", c)...)
	}
	return out
}

// firsts are the codes before the numbers that a statement is told by.
func firsts(keys []code.Code) []code.Code {
	for i, k := range keys {
		first, _, _ := strings.Cut(string(k), "\x00")
		keys[i] = code.Code(first)
	}
	return keys
}

// mentions are what names models, places and parts and has no index by them: of each
// the first donor, job, want or old piece.
type mentions struct{ models, places, parts map[code.Code]string }

// mentions reads every donor, job, want and old piece once.
func (t *Tx) mentions() (mentions, error) {
	m := mentions{map[code.Code]string{}, map[code.Code]string{}, map[code.Code]string{}}
	note := func(who string, place code.Code, models ...code.Code) {
		for _, c := range models {
			m.models[c] = or(m.models[c], who)
		}
		m.places[place] = or(m.places[place], who)
	}
	return m, cmp.Or(
		each(&t.View, bDonor, func(d Donor) error { note("donor "+string(d.Code), d.Place, d.Model, d.Shutter, d.Lens); return nil }),
		each(&t.View, bJob, func(j Job) error { note("job "+string(j.Code), j.Tray, j.Model, j.Shutter, j.Lens); return nil }),
		each(&t.View, bWant, func(w Want) error { note("a want of "+w.Date.String(), "", w.Model); return nil }),
		each(&t.View, bOld, func(o Old) error {
			m.parts[o.Part] = or(m.parts[o.Part], "an old piece of job "+string(o.Job))
			return nil
		}))
}

// passedThrough refuses to take places away that bags were booked into or moved to and
// have left, and models that covering was cut for, while that stands: the book names them. It goes through the book once.
func (t *Tx) passedThrough(gone []goneThing) error {
	places, models := map[string]bool{}, map[code.Code]bool{}
	for _, g := range gone {
		switch g.bucket {
		case bPlace:
			places[string(g.key)] = true
		case bModel:
			models[code.Code(g.key)] = true
		}
	}
	if len(places)+len(models) == 0 {
		return nil
	}
	err := each(&t.View, bBag, func(b Bag) error {
		if places[string(b.Place)] {
			return refuse("place %s cannot be taken away: bag %s was booked in there", b.Place, b.Code)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return t.EachEntry(func(e Entry) error {
		kind, named := bPlace, e.To
		if models[e.Model] {
			kind, named = bModel, string(e.Model)
		} else if e.What != Moved || !places[e.To] {
			return nil
		}
		if e.Undoes != 0 || e.Booking == t.head.Undoes {
			return nil
		}
		b, err := t.BookingNo(e.Booking)
		if err == nil && b.Undone == 0 {
			return refuse("%s %s cannot be taken away: booking %d (%s %s) names it", kind, named, b.Number, e.What, e.Bag)
		}
		return err
	})
}

func (t *Tx) stepUses(kind string, camera code.Code) []string {
	if all, err := t.StepsOf(kind, camera); err == nil && len(all) > 0 {
		return []string{fmt.Sprintf("step %d of its strip-down", all[0].Nth)}
	}
	if d, err := t.DraftOf(Ref{kind, camera}); err == nil && len(d.Lines) > 0 {
		return []string{"what was typed of its strip-down"}
	}
	return nil
}

func (t *Tx) jobUses(c code.Code) (out []string) {
	all, _ := t.EntriesFor(c)
	net := map[code.Code]int64{}
	for _, e := range all {
		if e.What == Fitted || e.What == Held {
			net[e.Bag] += e.Quantity
		}
	}
	for bag, n := range net {
		if n != 0 {
			out = append(out, "bag "+string(bag))
		}
	}
	if w, err := t.WantsFor(c); err == nil && len(w) > 0 {
		out = append(out, "a want of "+w[0].Date.String())
	}
	if o, err := t.OldOf(c); err == nil && len(o) > 0 {
		out = append(out, "an old piece of its camera")
	}
	return out
}
