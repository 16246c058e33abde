package store

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"tinful/store/code"
	"tinful/store/dim"
)

// A kind is one kind of record of the catalogue. The table of kinds is all that the
// store knows of it: booking, undo, bulk load, the plan of a workbook and check loop
// over it, so that no way of writing a record knows a rule that another lacks.
type kind interface {
	name() string  // its bucket, which is what people call it as well
	title() string // the sheet of a workbook, empty where none has it
	keyOf(rec any) ([]byte, bool)
	rowsOf(rec any) (rows []Row, mine bool)
	put(t *Tx, rec any) (mine bool, err error)
	again(t *Tx, key, b []byte) error
	remove(t *Tx, key []byte) error
	sound(w world, key, was, now []byte) error
	check(c *checker)
	read(key, body []byte) (rec any, err error)
	namesOf(rec any, name func(heading, bucket string, c code.Code))
}

// kinds are the rows of the table, those first of which there are most.
var kinds = []kind{bagKind, partKind, goesKind, seenKind, wantKind, jobKind, donorKind, modelKind, placeKind, oldKind, stepKind, countKind, draftKind, paperKind, labelKind, noteKind, shopKind, monthKind, pictureKind}

// A kindOf is one row of the table: the record's bucket and key, the keys of its
// indexes, what a new one has without being told, and what must hold of it.
type kindOf[T any] struct {
	bucket string
	sheet  string // of a workbook, empty where none has it
	key    func(T) []byte
	rows   func(T) []Row
	fresh  func(*T)               // fills what every new record has
	today  func(*T, code.Day)     // and what one has that is made at the bench on a day
	tidy   func(x, was *T) string // puts right what can mean but one thing, and says so; was is nil for a new one
	names  func(x T, name func(heading, bucket string, c code.Code))
	rules  []rule[T]
}

// A rule is what must hold of a record. Heading is the column of a workbook that it
// is about; broken says what is wrong, was being the record before, nil for none.
type rule[T any] struct {
	heading string
	broken  func(w world, was *T, x T) error
}

// A world is what rules ask of other records: the store as it stands, or as it will
// be once a workbook is taken in.
type world interface {
	has(bucket string, c code.Code) bool
	modelKind(c code.Code) string // camera, shutter or lens, empty where nobody said
	contains(part code.Code) []code.Code
	size(part code.Code) map[dim.Field]int64 // its measures, where it is a covering
	IsTray(place code.Code) bool
	openIn(place code.Code) []code.Code           // the open jobs in it
	stirred(bag code.Code) bool                   // the book has more of it than its booking in
	came(e Entry) code.Day                        // when its bag came, where the entry may be before that
	misnamed(model code.Code, kind string) string // who names it as something else than this kind
	flawed(p Part) error                          // of a part's bags, the first whose flaws lie outside at its size
	nowhere() string                              // how to say that something is not there
}

// A Breach says which rule a record breaks. It reads as the sentence alone and is
// the error that the sentence is.
type Breach struct {
	Kind    string   // part, bag, goes, ...
	Key     []string // its codes, as its key has them
	Heading string   // the column that it is about
	err     error
}

// Error is the sentence.
func (b *Breach) Error() string { return b.err.Error() }

// Unwrap is what the sentence is: [ErrRefused], [ErrNotFound] or [ErrUsage].
func (b *Breach) Unwrap() error { return b.err }

// breaches lists the rules that a record breaks and its former self did not: what
// stands in a store from before can still be edited.
func (k *kindOf[T]) breaches(w world, was *T, x T) (out []*Breach) {
	if k.names != nil {
		out = k.absent(w, x)
	}
	for _, r := range k.rules {
		if err := r.broken(w, was, x); err != nil {
			out = append(out, k.breach(x, r.heading, err))
		}
	}
	if was == nil || len(out) == 0 {
		return out
	}
	before := k.breaches(w, nil, *was)
	return slices.DeleteFunc(out, func(b *Breach) bool {
		return slices.ContainsFunc(before, func(o *Breach) bool { return o.Error() == b.Error() })
	})
}

// absent lists what a record names and is not there. Nearly always that is nothing, so
// that nothing but the list is made for it.
func (k *kindOf[T]) absent(w world, x T) []*Breach {
	r := rolls.Get().(*roll)
	r.w = w
	k.names(x, r.name)
	out := r.missing
	r.w, r.missing = nil, nil
	rolls.Put(r)
	for _, b := range out {
		b.Kind, b.Key = k.bucket, fields(k.key(x))
	}
	return out
}

// A roll is called over what a record names. A workbook has a hundred thousand rows to
// call it for, so that rolls are used again.
type roll struct {
	w       world
	missing []*Breach
	name    func(heading, bucket string, c code.Code)
}

var rolls = sync.Pool{New: func() any {
	r := &roll{}
	r.name = func(heading, bucket string, c code.Code) {
		if c != "" && !r.w.has(bucket, c) {
			r.missing = append(r.missing, &Breach{Heading: heading, err: Absent("there is no %s %s%s", bucket, c, r.w.nowhere())})
		}
	}
	return r
}}

func (k *kindOf[T]) breach(x T, heading string, err error) *Breach {
	return &Breach{k.bucket, fields(k.key(x)), heading, err}
}

func (k *kindOf[T]) name() string { return k.bucket }

func (k *kindOf[T]) title() string { return k.sheet }

func (k *kindOf[T]) keyOf(rec any) ([]byte, bool) {
	x, ok := rec.(T)
	if !ok {
		return nil, false
	}
	return k.key(x), true
}

func (k *kindOf[T]) rowsOf(rec any) ([]Row, bool) {
	x, mine := rec.(T)
	if !mine || k.rows == nil {
		return nil, mine
	}
	return k.rows(x), true
}

// put writes a record, if it is of this kind.
func (k *kindOf[T]) put(t *Tx, rec any) (bool, error) {
	x, ok := rec.(T)
	if !ok {
		return false, nil
	}
	was, err := k.stored(&t.View, k.key(x))
	if err != nil {
		return true, err
	}
	if k.tidy != nil {
		if said := k.tidy(&x, was); said != "" {
			t.Say(Say(ReadAs, "%s", said))
		}
	}
	if err := replace(t, k.bucket, k.key(x), x); err != nil {
		return true, err
	}
	if b, ok := any(x).(Bag); ok {
		old, had := any(was).(*Bag)
		if had = had && old != nil; !had {
			old = &Bag{}
		}
		return true, t.startBag(*old, b, had)
	}
	return true, nil
}

// stored is the record under a key, nil for none.
func (k *kindOf[T]) stored(v *View, key []byte) (*T, error) {
	return k.decoded(key, v.at(k.bucket, key))
}

func (k *kindOf[T]) decoded(key, b []byte) (*T, error) {
	if b == nil {
		return nil, nil
	}
	var x T
	return &x, decode(k.bucket, key, b, &x)
}

// again writes a record from its bytes, as undo gives it back.
func (k *kindOf[T]) again(t *Tx, key, b []byte) error {
	x, err := k.decoded(key, b)
	if err != nil {
		return err
	}
	_, err = k.put(t, *x)
	return err
}

func (k *kindOf[T]) remove(t *Tx, key []byte) error {
	if k.bucket == bBag {
		return t.removeBag(key)
	}
	return remove[T](t, k.bucket, key)
}

// sound returns the first rule that a record breaks, told by its bytes before and
// now.
func (k *kindOf[T]) sound(w world, key, was, now []byte) error {
	old, err := k.decoded(key, was)
	if err != nil {
		return err
	}
	x, err := k.decoded(key, now)
	if err != nil || x == nil {
		return err
	}
	for _, b := range k.breaches(w, old, *x) {
		return b
	}
	return nil
}

// check reads every record of the kind. What it names and what is not there is a
// problem, what breaks a rule is a remark.
func (k *kindOf[T]) check(c *checker) {
	read(c, k.bucket, k.key, func(booking uint64, x T) {
		c.note(x)
		if k.bucket != bDraft { // no booking writes one
			c.written(k.bucket, k.key(x), booking)
		}
		if c.rules {
			asked(func() { k.kept(c, x) })
		}
	})
	if k.bucket != bDraft {
		c.unwritten(k.bucket)
	}
}

// read is a record from its CBOR.
func (k *kindOf[T]) read(key, body []byte) (any, error) {
	var x T
	err := decodeBody(key, body, &x)
	return x, err
}

// namesOf calls name for what a record of the kind names.
func (k *kindOf[T]) namesOf(rec any, name func(heading, bucket string, c code.Code)) {
	if x, mine := rec.(T); mine && k.names != nil {
		k.names(x, name)
	}
}

// kept names the rules that a record breaks.
func (k *kindOf[T]) kept(c *checker, x T) {
	for _, b := range k.breaches(c, nil, x) {
		if errors.Is(b, ErrNotFound) {
			c.bad("%s %s: %v", b.Kind, printable(k.key(x)), b)
		} else {
			c.Remarks = append(c.Remarks, b)
		}
	}
}

// kindIn is the kind that a bucket holds.
func kindIn(bucket string) kind {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name() == bucket })
	if i < 0 {
		return nil
	}
	return kinds[i]
}

// Put writes a catalogue record: Part, Bag, Model, Goes, Donor, Seen, Place,
// Job, Want, Old, Step, Count, Draft, Paper, Label, Remark, Shop,
// Month or Picture. The record is taken as it is; what is not in it is lost. The rules of its kind are asked at the end of the booking, when all that it
// names is there.
func (t *Tx) Put(rec any) error {
	for _, k := range kinds {
		if mine, err := k.put(t, rec); mine {
			return err
		}
	}
	return fmt.Errorf("%T is no record of the catalogue", rec)
}

// Sound refuses what was written in this booking so far and breaks a rule that it did
// not break before. It returns a [Breach]. Every booking ends with it.
func (t *Tx) Sound() error {
	if t.planned {
		return nil // PlanLoad asked the same of every row
	}
	for _, k := range slices.Sorted(maps.Keys(t.former)) {
		_, bucket, key := splitFormer([]byte(k))
		if err := kindIn(bucket).sound(t, key, t.former[k].was, t.at(bucket, key)); err != nil {
			return err
		}
	}
	return nil
}

// Begin gives a record that is made at the bench today what it has without being
// told.
func Begin[T any](x *T, today code.Day) {
	for _, k := range kinds {
		if k, ok := k.(*kindOf[T]); ok {
			if k.fresh != nil {
				k.fresh(x)
			}
			if k.today != nil {
				k.today(x, today)
			}
		}
	}
}
