package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"iter"
	"os"
	"slices"
	"strconv"

	"tinful/store/code"
	"tinful/store/pages"
)

// A Salvaged is what was got out of a damaged file.
type Salvaged struct {
	Records, Entries, Bookings int
	Lost                       []string // piece by piece
}

// Salvage makes a new store at path to of all that can be read on the pages of the file
// from, whatever state its trees are in, and names what is lost. The old file is not
// written. What is still named and is lost stands in the new store with its code alone;
// the pictures that lie beside the old file are copied beside the new one. Pieces stand as balances and records have them. With the last booking, of the kind
// salvage, begins what can be taken back: of the bookings before it not all is known.
func Salvage(from, to string, day code.Day) (out Salvaged, err error) {
	if err := probe(from); err != nil {
		return out, err
	}
	if _, err := os.Lstat(to); err == nil {
		return out, refuse("%s is there already; salvage replaces nothing", to)
	}
	defer collecting()()
	// Nobody may book meanwhile. A file that cannot be opened nobody books in.
	db, err := openLocked(from, true)
	if err == nil {
		defer db.Close()
	} else if err = openError(from, err); errors.Is(err, ErrBusy) {
		return out, err
	}
	var w *wreck
	err = withPages(from, func(f *pages.File) (err error) { w, err = search(f, to); return err })
	if w != nil {
		defer w.rows.close()
	}
	if err != nil {
		return out, err
	}
	s, err := w.sort(to, day)
	if err != nil {
		return out, err
	}
	defer s.all.close()
	lacks, err := copyThese(s.pictures(), photoFolders(from), PhotoFolder(to))
	if err != nil {
		return out, err
	}
	for _, p := range lacks {
		w.lose("%s: its file is missing or spoilt", p.called())
	}
	err = build(to, s.fill)
	if err = cmp.Or(s.misfit, err); err != nil {
		return out, err
	}
	out = s.got
	out.Lost = w.losses()
	return out, nil
}

// A saved is the new store before it is written.
type saved struct {
	*wreck
	all    *heaps
	book   []Entry
	got    Salvaged
	day    code.Day
	number uint64 // of the booking of the salvage
	broken map[string]bool
	live   map[string]any // records that were made or changed, by bucket and key
	misfit error          // what was found does not fit together
}

// sort makes records, book and bookings of what was found.
func (w *wreck) sort(to string, day code.Day) (*saved, error) {
	s := &saved{wreck: w, all: newHeaps(to), day: day, live: map[string]any{}}
	if w.doubt {
		w.lose("the list of pages that are not in use: what was changed or taken away may stand as it was before")
	}
	s.broken = w.history()
	w.named()
	for name := range w.recs {
		if _, err := s.record(name); err != nil {
			w.miss(name, ": %v", err)
			delete(w.recs, name)
		}
	}
	entries, err := w.entries()
	if err != nil {
		return nil, err
	}
	w.fillBookings(entries)
	s.number = w.last + 1
	s.bagsOf(entries)
	var bags []code.Code
	for name := range s.names() {
		if bucket, key := splitName(name); bucket == bBag {
			bags = append(bags, code.Code(key))
		}
	}
	slices.Sort(bags)
	book, now := w.rejoin(entries, bags, func(c code.Code) Bag {
		rec, _ := s.record(recordName(bBag, keyCode(c)))
		b, _ := rec.(Bag)
		return b
	})
	s.book = book
	w.span(book)
	for name, rec := range s.every(bCount) {
		if c, ok := rec.(Count); ok && c.Cut != 0 && now(c.Cut) != c.Cut {
			c.Cut, s.broken[name] = now(c.Cut), true
			s.live[name] = c
		}
	}
	s.stand()
	return s, s.rows.err
}

// record is a record of the new store, by bucket and key.
func (s *saved) record(name string) (any, error) {
	if rec, ok := s.live[name]; ok {
		return rec, nil
	}
	bucket, key := splitName(name)
	_, body, err := unseal(bucket, key, s.recs[name].frame)
	if err != nil {
		return nil, err
	}
	return kindIn(bucket).read(key, body)
}

// has says whether a record is in the new store.
func (s *saved) has(bucket string, key []byte) bool {
	name := recordName(bucket, key)
	_, found := s.recs[name]
	_, made := s.live[name]
	return found || made
}

// names are all records of the new store, by bucket and key.
func (s *saved) names() iter.Seq[string] {
	return func(yield func(string) bool) {
		for name := range s.recs {
			if !yield(name) {
				return
			}
		}
		for name := range s.live {
			if _, found := s.recs[name]; !found && !yield(name) {
				return
			}
		}
	}
}

// every goes through the records of a bucket, or of all where none is named.
func (s *saved) every(bucket string) iter.Seq2[string, any] {
	return func(yield func(string, any) bool) {
		for name := range s.names() {
			if of, _ := splitName(name); bucket != "" && of != bucket {
				continue
			}
			if rec, err := s.record(name); err == nil && !yield(name, rec) {
				return
			}
		}
	}
}

// pictures are those that are in the new store.
func (s *saved) pictures() (out []Picture) {
	for _, rec := range s.every(bPicture) {
		if p, ok := rec.(Picture); ok {
			out = append(out, p)
		}
	}
	return out
}

// bagsOf gives bags that have a balance, or entries that leave something in them, and no
// record, what the index by part tells of them.
func (s *saved) bagsOf(entries []Entry) {
	need := map[code.Code]bool{}
	per := map[code.Code][]Entry{}
	for _, e := range entries {
		if !s.has(bBag, keyCode(e.Bag)) {
			per[e.Bag] = append(per[e.Bag], e)
		}
	}
	for bag, book := range per {
		st, err := foldBook(Bag{Code: bag}, book)
		need[bag] = err != nil || st.OnHand() != 0
	}
	for bag, st := range s.states {
		if !s.has(bBag, keyCode(bag)) {
			need[bag] = !st.Gone
		}
	}
	lines := map[code.Code]Row{}
	s.each(bBagByPart, func(k, x []byte) {
		if f := fields(k); len(f) == 2 && need[code.Code(f[1])] {
			lines[code.Code(f[1])] = Row{f[0], nil, bytes.Clone(x)}
		}
	})
	for bag := range need {
		if !need[bag] || bag == "" {
			continue
		}
		b := Bag{Code: bag, Unit: "pc", Owner: Own, Quantity: s.states[bag].BookedIn, Place: s.states[bag].Place}
		if r, ok := lines[bag]; ok {
			if l, err := unpackLine(bag, r.Value); err == nil {
				b.Part, b.Unit, b.Owner, b.Origin, b.Place, b.Grade, b.About = code.Code(r.Bucket), l.Unit, l.Owner, l.Origin, l.Place, l.Grade, l.About
			}
		}
		s.invent(b, "what lists and balances tell of it is kept")
	}
}

// invent puts a record in for one that is lost.
func (s *saved) invent(rec any, kept string) {
	for _, k := range kinds {
		if key, mine := k.keyOf(rec); mine {
			name := recordName(k.name(), key)
			s.live[name], s.broken[name] = rec, true
			s.miss(name, ": %s", kept)
		}
	}
}

// stand gives everything that is named and is lost a record of its code alone.
func (s *saved) stand() {
	missing := map[Ref]bool{}
	note := func(_, bucket string, c code.Code) {
		if c != "" && !s.has(bucket, keyCode(c)) {
			missing[Ref{bucket, c}] = true
		}
	}
	for name, rec := range s.every("") {
		bucket, _ := splitName(name)
		kindIn(bucket).namesOf(rec, note)
		if b, ok := rec.(Bag); ok && b.Origin != "" && !slices.Contains(Origins, b.Origin) {
			note("", bDonor, code.Code(b.Origin))
		}
	}
	for _, e := range s.book {
		entryKind.names(e, note)
	}
	names := map[code.Code]string{}
	if len(missing) > 0 {
		s.each(bName, func(k, _ []byte) {
			if f := fields(k); len(f) == 3 {
				names[code.Code(f[0]+":"+f[2])] = f[1]
			}
		})
	}
	for ref := range missing {
		const kept = "its code is kept, for others name it"
		switch called := or(names[code.Code(ref.String())], "lost"); ref.Kind {
		case bPart:
			s.invent(Part{Code: ref.Code, Name: called}, kept)
		case bModel:
			s.invent(Model{Code: ref.Code, Name: called}, kept)
		case bPlace:
			s.invent(Place{Code: ref.Code}, kept)
		case bDonor:
			s.invent(Donor{Code: ref.Code, Owner: Own}, kept)
		case bJob:
			s.invent(Job{Code: ref.Code}, kept)
		case bBag:
			s.invent(Bag{Code: ref.Code, Unit: "pc", Owner: Own}, kept)
		}
	}
}

// fill writes the new store.
func (s *saved) fill(n *Store) error {
	settings := s.settings()
	if s.changed() {
		settings = append(settings, Row{bMeta, []byte("set/" + salvaged), []byte(strconv.FormatUint(s.number, 10))})
	}
	s.all.rows(settings)
	err := cmp.Or(s.catalogue(), s.booked())
	s.recs, s.live, s.formers, s.states, s.book, s.bookings = nil, nil, nil, nil, nil, nil // all is laid down
	if err = cmp.Or(err, write(n, s.all, nil)); err == nil {
		s.misfit = follows(n)
	}
	return cmp.Or(err, s.misfit)
}

// salvaged is the setting that has the number of the booking before which nothing can be
// taken back.
const salvaged = "salvaged"

// changed says whether the new store is not what the old one was.
func (s *saved) changed() bool { return len(s.lost)+len(s.missed)+len(s.broken) > 0 }

// catalogue lays records and former bytes down: whole ones as they are, those of which
// the former bytes do not tell all as written by the salvage.
func (s *saved) catalogue() (err error) {
	for _, name := range slices.Sorted(s.names()) {
		bucket, key := splitName(name)
		s.got.Records++
		if !s.broken[name] {
			s.all.add(bucket, key, s.recs[name].frame)
			continue
		}
		k := keyFormer(s.number, bucket, key)
		s.all.add(bFormer, k, sealFormer(k, formerNone, nil))
		rec, rerr := s.record(name)
		err = cmp.Or(err, rerr, s.all.record(bucket, key, s.number, rec))
	}
	for k, x := range s.formers {
		_, bucket, key := splitFormer([]byte(k))
		if !s.broken[recordName(bucket, key)] {
			s.all.add(bFormer, []byte(k), x)
		}
	}
	return err
}

// booked lays the book down.
func (s *saved) booked() (err error) {
	c := chunker{put: func(first uint64, x []byte) error { s.all.add(bEntry, keySeq(first), x); return nil }}
	day := s.day
	for _, e := range s.book {
		err = cmp.Or(err, c.add(e))
		day = max(day, e.Day)
	}
	err = cmp.Or(err, c.flush())
	if s.changed() {
		s.bookings[s.number] = Booking{Number: s.number, Day: day, Command: "salvage", Kind: "salvage"}
	}
	for n, b := range s.bookings {
		if b.Undone = 0; b.Undoes >= n {
			return fmt.Errorf("%w: booking %d takes back what came after it", ErrDamaged, n)
		}
		err = cmp.Or(err, s.all.record(bBooking, keySeq(n), n, b))
	}
	s.got.Entries, s.got.Bookings = len(s.book), len(s.bookings)
	return err
}
