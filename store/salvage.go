package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
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
		defer w.found.close()
	}
	if err != nil {
		return out, err
	}
	s, err := w.sort(to, day)
	if err != nil {
		return out, err
	}
	defer s.all.close()
	lacks, err := copyThese(s.pictures, photoFolders(from), PhotoFolder(to))
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
	out.Lost, err = w.losses()
	return out, err
}

// A saved is the new store before it is written.
type saved struct {
	*wreck
	all      *heaps // what its buckets will hold
	got      Salvaged
	day      code.Day
	number   uint64                 // of the booking of the salvage
	broken   bool                   // a record does not stand as it stood
	has      map[string]*code.Index // what has a record, by bucket
	named    map[string]*code.Index // what records and entries name
	counts   []savedRecord          // they name entries, whose numbers change
	pictures []Picture
	misfit   error // what was found does not fit together
}

// A savedRecord is a record that was found, with its former bytes.
type savedRecord struct {
	bucket  string
	key     []byte
	rec     any
	frame   []byte
	broken  bool // the former bytes do not tell all
	formers []former
}

// What waits until all records are known, in heaps of a wreck.
const (
	waiting = "waiting" // former bytes of records that are not there
	byBag   = "bag"     // entries, by bag
	bagRows = "lines"   // the rows by part of bags without a record, by bag
)

// sort makes records, book and bookings of what was found.
func (w *wreck) sort(to string, day code.Day) (*saved, error) {
	s := &saved{wreck: w, all: newHeaps(to), day: day, number: w.last + 1, has: map[string]*code.Index{}, named: map[string]*code.Index{}}
	if w.doubt {
		w.lose("the list of pages that are not in use: what was changed or taken away may stand as it was before")
	}
	for _, step := range []func() error{s.records, s.entries, s.stand, s.waited} {
		if err := step(); err != nil {
			s.all.close()
			return nil, err
		}
	}
	return s, nil
}

// records lays the records down that stand in the new store.
func (s *saved) records() error {
	j := braided(s.found.of(foundRecords), s.found.of(foundFormers), s.found.of(foundNames))
	for k := j.next(); k != nil; k = j.next() {
		name := string(k)
		r := savedRecord{}
		r.bucket, r.key = splitName(name)
		for x := range j.under(1) {
			r.formers = append(r.formers, former{keyFormer(binary.BigEndian.Uint64(x), r.bucket, r.key), bytes.Clone(x[8:])})
		}
		slices.SortStableFunc(r.formers, func(a, b former) int { return bytes.Compare(a.key, b.key) })
		var rec found
		rec, r.broken = s.history(name, latest(r.bucket, r.key, j.under(0)), r.formers)
		s.broken = s.broken || r.broken
		if r.frame = rec.frame; r.frame == nil {
			for range j.under(2) {
				s.miss(name, "")
				break
			}
		} else {
			_, body, err := unseal(r.bucket, r.key, r.frame)
			if err == nil {
				r.rec, err = kindIn(r.bucket).read(r.key, body)
			}
			if err != nil {
				s.miss(name, ": %v", err)
				r.frame = nil
			}
		}
		if err := s.record(r); err != nil {
			return err
		}
	}
	for _, name := range []string{foundRecords, foundFormers, foundNames} {
		s.found.drop(name)
	}
	return j.err()
}

// record lays one record down, or its former bytes where it is not there: a whole one as
// it is, one of which the former bytes do not tell all as written by the salvage.
func (s *saved) record(r savedRecord) error {
	if r.frame == nil {
		for _, f := range r.formers {
			if !r.broken {
				s.found.add(waiting, f.key, f.x)
			}
		}
		return nil
	}
	switch rec := r.rec.(type) {
	case Count:
		s.counts = append(s.counts, r)
		return nil
	case Picture:
		s.pictures = append(s.pictures, rec)
	}
	return s.lay(r)
}

// lay lays down a record that is there.
func (s *saved) lay(r savedRecord) error {
	s.got.Records++
	indexIn(s.has, r.bucket).Add(code.Code(r.key))
	kindIn(r.bucket).namesOf(r.rec, s.note)
	if b, ok := r.rec.(Bag); ok && b.Origin != "" && !slices.Contains(Origins, b.Origin) {
		s.note("", bDonor, code.Code(b.Origin))
	}
	if !r.broken {
		s.all.add(r.bucket, r.key, r.frame)
		for _, f := range r.formers {
			s.all.add(bFormer, f.key, f.x)
		}
		return nil
	}
	s.broken = true
	k := keyFormer(s.number, r.bucket, r.key)
	s.all.add(bFormer, k, sealFormer(k, formerNone, nil))
	return s.all.record(r.bucket, r.key, s.number, r.rec)
}

// indexIn is the index of a bucket.
func indexIn(all map[string]*code.Index, bucket string) *code.Index {
	if all[bucket] == nil {
		all[bucket] = &code.Index{}
	}
	return all[bucket]
}

// note notes what something names.
func (s *saved) note(_, bucket string, c code.Code) {
	if c != "" {
		indexIn(s.named, bucket).Add(c)
	}
}

// lines sorts the rows of the index by part of bags without a record by their bags.
func (s *saved) lines() error {
	return s.each(bBagByPart, func(k, x []byte) {
		if f := fields(k); len(f) == 2 && f[1] != "" && !s.has[bBag].Has(code.Code(f[1])) {
			s.found.add(bagRows, []byte(f[1]), append(prefix(f[0]), x...))
		}
	})
}

// inventBag gives a bag that has a balance, or entries that leave something in it, and no
// record, what the index by part tells of it: the last of some rows.
func (s *saved) inventBag(bag code.Code, own, book []Entry, st *State, rows func(func([]byte) bool)) error {
	now, err := foldBook(Bag{Code: bag}, book)
	need := err == nil && now.OnHand() != 0 // what came from another bag, too
	if len(own) > 0 && !need {
		now, err = foldBook(Bag{Code: bag}, own)
		need = err != nil || now.OnHand() != 0
	}
	b := Bag{Code: bag, Unit: "pc", Owner: Own}
	if st != nil {
		need, b.Quantity, b.Place = !st.Gone, st.BookedIn, st.Place
	}
	if !need {
		return nil
	}
	for row := range rows {
		part, x, _ := bytes.Cut(row, []byte{0})
		if l, err := unpackLine(bag, x); err == nil {
			b.Part, b.Unit, b.Owner, b.Origin, b.Place, b.Grade, b.About = code.Code(part), l.Unit, l.Owner, l.Origin, l.Place, l.Grade, l.About
		}
	}
	return s.invent(b, "what lists and balances tell of it is kept")
}

// invent puts a record in for one that is lost.
func (s *saved) invent(rec any, kept string) error {
	for _, k := range kinds {
		if key, mine := k.keyOf(rec); mine {
			s.miss(recordName(k.name(), key), ": %s", kept)
			return s.lay(savedRecord{bucket: k.name(), key: key, rec: rec, broken: true})
		}
	}
	return nil
}

// stand gives everything that is named and is lost a record of its code alone.
func (s *saved) stand() error {
	var missing []Ref
	names := map[string]string{} // by kind and code
	for bucket, all := range s.named {
		for n := range all.Len() {
			if c := all.At(n); !s.has[bucket].Has(c) {
				missing = append(missing, Ref{bucket, c})
				names[Ref{bucket, c}.String()] = ""
			}
		}
	}
	s.named = nil
	if len(missing) > 0 {
		err := s.each(bName, func(k, _ []byte) {
			if f := fields(k); len(f) == 3 {
				if _, asked := names[f[0]+":"+f[2]]; asked {
					names[f[0]+":"+f[2]] = f[1]
				}
			}
		})
		if err != nil {
			return err
		}
	}
	s.named = map[string]*code.Index{}
	for _, ref := range missing {
		const kept = "its code is kept, for others name it"
		var err error
		switch called := or(names[ref.String()], "lost"); ref.Kind {
		case bPart:
			err = s.invent(Part{Code: ref.Code, Name: called}, kept)
		case bModel:
			err = s.invent(Model{Code: ref.Code, Name: called}, kept)
		case bPlace:
			err = s.invent(Place{Code: ref.Code}, kept)
		case bDonor:
			err = s.invent(Donor{Code: ref.Code, Owner: Own}, kept)
		case bJob:
			err = s.invent(Job{Code: ref.Code}, kept)
		case bBag:
			err = s.invent(Bag{Code: ref.Code, Unit: "pc", Owner: Own}, kept)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// waited lays the former bytes down of what is not there and nobody named.
func (s *saved) waited() error {
	return s.each(waiting, func(k, x []byte) {
		if _, bucket, key := splitFormer(k); !s.has[bucket].Has(code.Code(key)) {
			s.all.add(bFormer, k, x)
		}
	})
}

// fill writes the new store.
func (s *saved) fill(n *Store) error {
	settings := s.settings()
	if s.changed() {
		settings = append(settings, Row{bMeta, []byte("set/" + salvaged), []byte(strconv.FormatUint(s.number, 10))})
	}
	s.all.rows(settings)
	err := s.booked()
	if err = cmp.Or(err, write(n, s.all, nil)); err == nil {
		s.misfit = follows(n)
	}
	return cmp.Or(err, s.misfit)
}

// salvaged is the setting that has the number of the booking before which nothing can be
// taken back.
const salvaged = "salvaged"

// changed says whether the new store is not what the old one was.
func (s *saved) changed() bool { return len(s.lost)+s.found.of(foundMissed).n > 0 || s.broken }

// booked lays the bookings down.
func (s *saved) booked() (err error) {
	if s.changed() {
		s.bookings[s.number] = Booking{Number: s.number, Day: s.day, Command: "salvage", Kind: "salvage"}
	}
	for n, b := range s.bookings {
		if b.Undone = 0; b.Undoes >= n {
			return fmt.Errorf("%w: booking %d takes back what came after it", ErrDamaged, n)
		}
		err = cmp.Or(err, s.all.record(bBooking, keySeq(n), n, b))
	}
	s.got.Bookings = len(s.bookings)
	return err
}
