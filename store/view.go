package store

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"
	"sync"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"

	bolt "go.etcd.io/bbolt"
)

// A View reads the store as it stands. It is good only inside the function it
// was handed to.
type View struct {
	tx      *bolt.Tx
	pending []Entry            // entries of a booking in the making
	run     *course            // of the movements, once it was asked for in a reading transaction
	few     *sideRows          // what few records have beside their columns, likewise
	memo    *memo              // of a store that is open for questions
	opened  map[string]*branch // buckets that were read, of one that does not book
	books   bool               // it is of a booking, which looks at a balance several times
	balance *State             // the last one that a booking looked at or wrote
	mapped  *mapped            // what a question has read of the file, nil where it is not counted
	asides  sync.WaitGroup     // what is asked aside and has no answer yet
}

// get reads one record. It returns [ErrNotFound], naming kind and code, and
// [ErrDamaged] where the record is still named.
func get[T any](v *View, bucket string, key []byte, name string) (T, error) {
	if x, ok := v.memo.record(bucket, key); ok {
		return x.(T), nil
	}
	var rec T
	b := v.at(bucket, key)
	if b == nil {
		return rec, cmp.Or(v.torn(bucket, key), Absent("no %s %s here", bucket, name))
	}
	if err := decode(bucket, key, b, &rec); err != nil {
		return rec, fmt.Errorf("%s %s: %w", bucket, name, err)
	}
	v.memo.keep(bucket, key, rec)
	return rec, nil
}

func byCode[T any](v *View, bucket string, c code.Code) (T, error) {
	return get[T](v, bucket, keyCode(c), string(c))
}

// Part reads a part; a second name leads to the part it was joined to.
func (v *View) Part(c code.Code) (Part, error) {
	p, err := byCode[Part](v, bPart, c)
	if err == nil && p.Same != "" && p.Same != c {
		return byCode[Part](v, bPart, p.Same)
	}
	return p, err
}

// Bag reads what was booked in with a bag.
func (v *View) Bag(c code.Code) (Bag, error) { return byCode[Bag](v, bBag, c) }

// Model reads a model.
func (v *View) Model(c code.Code) (Model, error) { return byCode[Model](v, bModel, c) }

// Donor reads a parts camera.
func (v *View) Donor(c code.Code) (Donor, error) { return byCode[Donor](v, bDonor, c) }

// Place reads a place.
func (v *View) Place(c code.Code) (Place, error) { return byCode[Place](v, bPlace, c) }

// Job reads a job.
func (v *View) Job(c code.Code) (Job, error) { return byCode[Job](v, bJob, c) }

// State is what the book says of a bag today.
func (v *View) State(bag code.Code) (State, error) {
	if v.balance != nil && v.balance.Bag == bag {
		return *v.balance, nil
	}
	st, err := byCode[State](v, bState, bag)
	if err == nil && v.books {
		v.balance = &st
	}
	if errors.Is(err, ErrNotFound) && v.has(bBag, bag) {
		return st, lacking("the balance of bag", bag)
	}
	return st, err
}

// Figure is what a part's own bags add up to; the zero Figure where it has none.
func (v *View) Figure(part code.Code) (Figure, error) {
	key := keyCode(part)
	if f, ok := v.memo.record(bFigure, key); ok {
		return f.(Figure), nil
	}
	var f Figure
	if b := v.at(bFigure, key); b != nil {
		if err := decode(bFigure, key, b, &f); err != nil {
			return f, err
		}
	}
	v.memo.keep(bFigure, key, f)
	return f, nil
}

// BookingNo reads one booking.
func (v *View) BookingNo(n uint64) (Booking, error) {
	b, err := get[Booking](v, bBooking, keySeq(n), fmt.Sprint(n))
	switch {
	case err == nil:
		if u := v.at(bBookingByUndo, keySeq(n)); u != nil {
			b.Undone = binary.BigEndian.Uint64(u)
		}
	case errors.Is(err, ErrNotFound) && n > 0 && n <= v.LastBooking():
		err = lacking("booking", n)
	}
	return b, err
}

// Undone says whether a booking was taken back.
func (v *View) Undone(n uint64) bool { return v.at(bBookingByUndo, keySeq(n)) != nil }

// Identity tells this store and its copies from others: a sum over the booking that
// made it, empty where there is none yet.
func (v *View) Identity() string {
	b, err := v.BookingNo(1)
	if err != nil {
		return ""
	}
	b.Undone = 0
	sum := sha256.Sum256(fmt.Append(nil, b))
	return hex.EncodeToString(sum[:8])
}

// LastBooking is the number of the latest booking, 0 in an empty book.
func (v *View) LastBooking() uint64 { return v.meta("booking") }

// LastDay is the last day in the book.
func (v *View) LastDay() code.Day { return code.Day(int32(v.meta("day"))) }

func (v *View) meta(name string) uint64 {
	b := v.at(bMeta, []byte(name))
	if len(b) != 8 {
		return 0
	}
	return binary.BigEndian.Uint64(b)
}

// Setting reads a setting of the store: "demo", "currency".
func (v *View) Setting(name string) string { return string(v.at(bMeta, []byte("set/"+name))) }

// Size is how many bytes the store has.
func (v *View) Size() int64 { return v.tx.Size() }

// codes lists the codes that end the keys with a prefix.
func (v *View) codes(bucket string, pre []byte) []code.Code {
	var out []code.Code
	v.scan(bucket, pre, func(rest, _ []byte) error {
		out = append(out, code.Code(rest))
		return nil
	})
	return out
}

// BagsOf lists the bags of a part, whoever owns them, empty ones too.
func (v *View) BagsOf(part code.Code) []code.Code { return v.codes(bBagByPart, prefix(part)) }

// BagsFrom lists the bags with an origin: a donor's code, bought, made.
func (v *View) BagsFrom(origin string) []code.Code { return v.codes(bBagByOrigin, prefix(origin)) }

// BagsAt lists the bags that lie in a place, empty ones too.
func (v *View) BagsAt(place code.Code) []code.Code { return v.codes(bBagByPlace, prefix(place)) }

// BagsGraded lists the bags of a grade.
func (v *View) BagsGraded(grade string) []code.Code { return v.codes(bBagByGrade, prefix(grade)) }

// PartsOfClass lists the parts whose class is exactly this one, and with below
// set those of the classes below it (SPR: SPR-TOR).
func (v *View) PartsOfClass(class string, below bool) []code.Code {
	out := v.codes(bClass, prefix(class))
	if below {
		v.scan(bClass, []byte(class+"-"), func(rest, _ []byte) error {
			_, c, _ := bytes.Cut(rest, []byte{0})
			out = append(out, code.Code(c))
			return nil
		})
	}
	return out
}

// OfClass says whether the class of a part is exactly this one.
func (v *View) OfClass(part code.Code, class string) bool {
	return v.at(bClass, keyClass(class, part)) != nil
}

// AllClassed says whether the class of every part is said. It reads no part.
func (v *View) AllClassed() bool {
	return uint64(v.bucket(bClass).Stats().KeyN) == v.meta("parts")
}

// PartsOfClassAmong lists those of the parts given whose class is this one or
// below it. It reads no part.
func (v *View) PartsOfClassAmong(class string, among map[code.Code]bool) []code.Code {
	var out []code.Code
	take := func(c []byte) error {
		if among[code.Code(c)] {
			out = append(out, code.Code(c))
		}
		return nil
	}
	v.scan(bClass, prefix(class), func(rest, _ []byte) error { return take(rest) })
	v.scan(bClass, []byte(class+"-"), func(rest, _ []byte) error {
		_, c, _ := bytes.Cut(rest, []byte{0})
		return take(c)
	})
	return out
}

// PartsNamed lists the parts of exactly this folded name.
func (v *View) PartsNamed(folded string) []code.Code { return v.codes(bName, prefix("part", folded)) }

// ModelsNamed lists the models that have this folded name or alias.
func (v *View) ModelsNamed(folded string) []code.Code { return v.codes(bName, prefix("model", folded)) }

// Family lists the models of a family, by its folded name.
func (v *View) Family(folded string) []code.Code { return v.codes(bFamily, prefix(folded)) }

// TwinsOf lists the parts that name this one as their opposite-hand twin.
func (v *View) TwinsOf(part code.Code) []code.Code { return v.codes(bTwin, prefix(part)) }

// UnitsWith lists the units that contain a part.
func (v *View) UnitsWith(part code.Code) []code.Code { return v.codes(bHeldIn, prefix(part)) }

// CarriedBy lists the cameras that may carry a shutter or lens.
func (v *View) CarriedBy(model code.Code) []code.Code { return v.codes(bCarried, prefix(model)) }

// DonorsOf lists the parts cameras of a model.
func (v *View) DonorsOf(model code.Code) []code.Code { return v.codes(bDonorByModel, prefix(model)) }

// A Posting is one part that has a word, how often, and how many words it has.
type Posting struct {
	Part      code.Code
	Count, Of int
}

// WordIn lists the parts that have a folded word.
func (v *View) WordIn(word string) []Posting {
	var out []Posting
	v.scan(bWord, prefix(word), func(rest, x []byte) error {
		out = append(out, Posting{code.Code(rest), int(x[0]), int(x[1])})
		return nil
	})
	return out
}

// WordAmong lists those of some parts that have a folded word, and counts all that have it.
func (v *View) WordAmong(word string, among map[code.Code]bool) (out []Posting, all int) {
	v.scan(bWord, prefix(word), func(rest, x []byte) error {
		if all++; among[code.Code(rest)] {
			out = append(out, Posting{code.Code(rest), int(x[0]), int(x[1])})
		}
		return nil
	})
	return out, all
}

// HasWord says how often a part has a folded word, without listing others.
func (v *View) HasWord(word string, part code.Code) (count, of int) {
	if x := v.at(bWord, keyWord(word, part)); x != nil {
		return int(x[0]), int(x[1])
	}
	return 0, 0
}

// AnyWord says whether any part has a folded word.
func (v *View) AnyWord(word string) bool { return v.any(bWord, prefix(word)) }

// WordsFrom lists every distinct folded word that starts with a text, in order.
func (v *View) WordsFrom(start string) []string {
	var out []string
	c := v.cursor(bWord)
	for k, _ := c.seek([]byte(start)); k != nil && strings.HasPrefix(string(k), start); {
		w, _, _ := bytes.Cut(k, []byte{0})
		out = append(out, string(w))
		k, _ = c.seek(append(bytes.Clone(w), 1))
	}
	return out
}

// CodesFrom lists the codes of things of some kinds that start with a text, at most
// n of each kind: as written, else read forgivingly (pc3: PC-03).
func (v *View) CodesFrom(start string, n int, kinds ...string) []code.Code {
	var out []code.Code
	for _, kind := range kinds {
		c := v.cursor(kind)
		pre, some := []byte(strings.ToUpper(start)), 0
		for k, _ := c.seek(pre); k != nil && bytes.HasPrefix(k, pre) && some < n; k, _ = c.next() {
			out, some = append(out, code.Code(k)), some+1
		}
	}
	if len(out) > 0 {
		return out
	}
	c, pre := v.cursor(bCode), []byte(code.Loose(start))
	for k, _ := c.seek(pre); k != nil && bytes.HasPrefix(k, pre) && len(out) < n; k, _ = c.next() {
		if f := fields(k); len(f) == 3 && slices.Contains(kinds, f[1]) {
			out = append(out, code.Code(f[2]))
		}
	}
	return out
}

// Words is the number of parts that are found by words, and the number of
// words they have together.
func (v *View) Words() (parts, all int64) { return int64(v.meta("parts")), int64(v.meta("words")) }

// A Measured is a part met in the dimension index with its indexed measures. It
// is good only until the function it is given to returns.
type Measured struct{ part, class, dims []byte }

// Part is its code.
func (m Measured) Part() code.Code { return code.Code(m.part) }

// Class is its class.
func (m Measured) Class() string {
	if c, ok := words.Intern(m.class); ok {
		return c
	}
	return string(m.class)
}

// Dim is one of its indexed measures, or false where it was not taken.
func (m Measured) Dim(f dim.Field) (int64, bool) {
	for has, n := range m.all() {
		if has == f {
			return n, true
		}
	}
	return 0, false
}

// all yields its indexed measures.
func (m Measured) all() iter.Seq2[dim.Field, int64] {
	return func(yield func(dim.Field, int64) bool) {
		for x := m.dims; len(x) > 0; {
			n, w := binary.Varint(x[1:])
			if !yield(dim.Field(x[0]), n) {
				return
			}
			x = x[1+w:]
		}
	}
}

// Measured calls fn for every part with a measure from lo to hi, bounds
// inclusive, in order of the measure.
func (v *View) Measured(f dim.Field, lo, hi int64, fn func(Measured) error) error {
	c := v.cursor(bDim)
	end := prefixDim(f, hi)
	for k, x := c.seek(prefixDim(f, lo)); k != nil && k[0] == byte(f) && bytes.Compare(k[:9], end) <= 0; k, x = c.next() {
		if err := fn(measured(k, x)); err != nil {
			return err
		}
	}
	return nil
}

func measured(k, x []byte) Measured {
	n := 1 + int(x[0])
	return Measured{part: k[9:], class: x[1:n], dims: x[n:]}
}

// GoesOf lists what is said of a part.
func (v *View) GoesOf(part code.Code) ([]Goes, error) { return list[Goes](v, bGoes, prefix(part)) }

// GoesOn lists what is said of a part and one model: more than one statement
// where they hold for different numbers.
func (v *View) GoesOn(part, model code.Code) ([]Goes, error) {
	key := prefix(part, model)
	if said, ok := v.memo.record(bGoes, key); ok {
		return slices.Clone(said.([]Goes)), nil
	}
	said, err := list[Goes](v, bGoes, key)
	if err == nil {
		v.memo.keep(bGoes, key, slices.Clip(said))
	}
	return said, err
}

// degreesOn is GoesOn without what is written beside degrees and numbers.
func (v *View) degreesOn(part, model code.Code) (out []Goes, err error) {
	v.scan(bGoesByModel, prefix(model, part), func(numbers, x []byte) error {
		from, to, _ := strings.Cut(string(numbers), "\x00")
		out = append(out, Goes{Part: part, Model: model, From: from, To: to, Degrees: strings.Split(string(x), ";")})
		return nil
	})
	return out, nil
}

// GoesInto calls fn for every part of which something is said about a model,
// with the degrees.
func (v *View) GoesInto(model code.Code, fn func(part code.Code, degrees []string) error) error {
	return v.scan(bGoesByModel, prefix(model), func(rest, x []byte) error {
		p, _, _ := bytes.Cut(rest, []byte{0})
		return fn(code.Code(p), strings.Split(string(x), ";"))
	})
}

// BelongsInto says whether a statement means that a part sits in a model. It reads no record.
func (v *View) BelongsInto(part, model code.Code) (in bool) {
	v.scan(bGoesByModel, prefix(model, part), func(_, x []byte) error {
		in = in || Goes{Degrees: strings.Split(string(x), ";")}.Belongs()
		return nil
	})
	return in
}

// PartsInto lists the parts of which something is said about a model.
func (v *View) PartsInto(model code.Code) []code.Code {
	var out []code.Code
	v.scan(bGoesByModel, prefix(model), func(rest, _ []byte) error {
		p, _, _ := bytes.Cut(rest, []byte{0})
		if len(out) == 0 || string(out[len(out)-1]) != string(p) {
			out = append(out, code.Code(p))
		}
		return nil
	})
	return out
}

// SeenOn lists what was seen on a donor.
func (v *View) SeenOn(donor code.Code) ([]Seen, error) { return list[Seen](v, bSeen, prefix(donor)) }

// Looked is one observation on one camera.
type Looked struct {
	Donor code.Code
	Seen  string
}

// SeenOnJob lists what was seen on a customer's camera.
func (v *View) SeenOnJob(job code.Code) ([]Seen, error) {
	return list[Seen](v, bSeen, prefix(seenOnJob+string(job)))
}

// SeenOf lists the donors that were looked at for a part.
func (v *View) SeenOf(part code.Code) []Looked {
	var out []Looked
	for _, s := range v.LooksOf(part) {
		if s.Job == "" {
			out = append(out, Looked{s.Donor, s.Seen})
		}
	}
	return out
}

// LooksOf lists all cameras that were looked at for a part, with what was seen:
// donors, and customers' cameras, which have a Job. Date and note are left out.
func (v *View) LooksOf(part code.Code) []Seen {
	var out []Seen
	v.scan(bSeenByPart, prefix(part), func(rest, x []byte) error {
		s := Seen{Part: part, Seen: string(x)}
		s.Donor, s.Job = CameraSeen(string(rest))
		out = append(out, s)
		return nil
	})
	return out
}

// EachLooked calls fn for every observation, as [View.LooksOf] has them, in order of
// part and camera. It reads no records.
func (v *View) EachLooked(fn func(Seen) error) error {
	return v.EachLookedAt(func(part code.Code, camera []byte, seen string) error {
		s := Seen{Part: part, Seen: seen}
		s.Donor, s.Job = CameraSeen(string(camera))
		return fn(s)
	})
}

// EachLookedAt is [View.EachLooked] with the camera as keys have it, [CameraSeen], which is
// good until fn returns.
func (v *View) EachLookedAt(fn func(part code.Code, camera []byte, seen string) error) error {
	var part code.Code
	return v.scan(bSeenByPart, nil, func(k, x []byte) error {
		p, camera, _ := bytes.Cut(k, []byte{0})
		if string(p) != string(part) {
			part = code.Code(p)
		}
		return fn(part, camera, oneOfThe(SeenWords, x))
	})
}

// WantsOf lists the wants of a part, WantsFor those of a job.
func (v *View) WantsOf(part code.Code) ([]Want, error) { return v.wants(bWantByPart, part) }

// WantsFor lists the wants of a job.
func (v *View) WantsFor(job code.Code) ([]Want, error) { return v.wants(bWantByJob, job) }

func (v *View) wants(index string, c code.Code) ([]Want, error) {
	var out []Want
	err := v.scan(index, prefix(c), func(rest, _ []byte) error {
		w, err := get[Want](v, bWant, rest, string(c))
		out = append(out, w)
		return namedLost(err, "a want of", c)
	})
	return out, err
}

// OpenWants counts the wants of a part that are open.
func (v *View) OpenWants(part code.Code) (n int64) {
	v.scan(bWantByPart, prefix(part), func(_, open []byte) error {
		if open[0] != 0 {
			n++
		}
		return nil
	})
	return n
}

// EachOpenWant calls fn for the part of every want that is not met.
func (v *View) EachOpenWant(fn func(part code.Code)) {
	v.scan(bWantByPart, nil, func(k, x []byte) error {
		if x[0] != 0 {
			p, _, _ := bytes.Cut(k, []byte{0})
			fn(code.Code(p))
		}
		return nil
	})
}

// Short calls fn for every part that has fewer free than it should keep; part and name are
// good until fn returns.
func (v *View) Short(fn func(part, name []byte, free, keep, held int64) error) error {
	return v.scan(bShort, nil, func(k, x []byte) error {
		var n [3]int64
		for i := range n {
			d, w := binary.Varint(x)
			n[i], x = d, x[w:]
		}
		return fn(k, x, n[0], n[1], n[2])
	})
}

// EntriesOf lists the entries of a bag by day, then number.
func (v *View) EntriesOf(bag code.Code) ([]Entry, error) {
	st, err := v.State(bag)
	if err != nil {
		return nil, err
	}
	out := make([]Entry, 0, len(st.Book)+1)
	for _, seq := range st.Book {
		e, err := v.EntryNo(seq)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// EntriesFor lists the entries of a job by day, then number.
func (v *View) EntriesFor(job code.Code) ([]Entry, error) {
	var out []Entry
	for _, bag := range v.BagsFor(job) {
		all, err := v.EntriesOf(bag)
		if err != nil {
			return nil, err
		}
		for _, e := range all {
			if e.Job == job && e.Bag == bag {
				out = append(out, e)
			}
		}
	}
	slices.SortFunc(out, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Seq, b.Seq)) })
	return out, nil
}

// BagsFor lists the bags of which something was ever booked for a job.
func (v *View) BagsFor(job code.Code) []code.Code { return v.codes(bBagByJob, prefix(job)) }

// EntriesIn lists the entries of a booking.
func (v *View) EntriesIn(b Booking) ([]Entry, error) {
	var out []Entry
	for n := b.First; n != 0 && n <= b.Last; n++ {
		e, err := v.EntryNo(n)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// Bookings calls fn for every booking, latest first, until fn returns false.
func (v *View) Bookings(fn func(Booking) bool) error {
	for n := v.LastBooking(); n > 0; n-- {
		b, err := v.BookingNo(n)
		if err != nil {
			return err
		}
		if !fn(b) {
			return nil
		}
	}
	return nil
}

func list[T any](v *View, bucket string, pre []byte) ([]T, error) {
	var out []T
	err := v.scan(bucket, pre, func(rest, x []byte) error {
		var rec T
		if err := decode(bucket, append(bytes.Clone(pre), rest...), x, &rec); err != nil {
			return fmt.Errorf("%s %s%s: %w", bucket, bytes.ReplaceAll(pre, []byte{0}, []byte(" ")), rest, err)
		}
		out = append(out, rec)
		return nil
	})
	return out, err
}

func each[T any](v *View, bucket string, fn func(T) error) error {
	return eachFrom(v, bucket, "", fn)
}

// eachFrom calls fn for every record whose key starts with pre.
func eachFrom[T any](v *View, bucket, pre string, fn func(T) error) error {
	return v.scan(bucket, []byte(pre), func(rest, x []byte) error {
		var rec T
		k := append([]byte(pre), rest...)
		if err := decode(bucket, k, x, &rec); err != nil {
			return fmt.Errorf("%s %q: %w", bucket, k, err)
		}
		return fn(rec)
	})
}

// EachModel calls fn for every model, in order of codes.
func (v *View) EachModel(fn func(Model) error) error { return each(v, bModel, fn) }

// EachPlace calls fn for every place, in order of codes.
func (v *View) EachPlace(fn func(Place) error) error { return each(v, bPlace, fn) }

// EachPart calls fn for every part, second names too, in order of codes.
func (v *View) EachPart(fn func(Part) error) error { return each(v, bPart, fn) }

// EachGoes calls fn for every statement, in order of part and model.
func (v *View) EachGoes(fn func(Goes) error) error { return each(v, bGoes, fn) }

// EachDonor calls fn for every donor, in order of codes.
func (v *View) EachDonor(fn func(Donor) error) error { return each(v, bDonor, fn) }

// EachLook calls fn for every observation, in order of camera and part: on
// donors, and on customers' cameras, which have a Job.
func (v *View) EachLook(fn func(Seen) error) error { return each(v, bSeen, fn) }

// EachLookOnJobs calls fn for every observation on a customer's camera, in order
// of job and part.
func (v *View) EachLookOnJobs(fn func(Seen) error) error { return eachFrom(v, bSeen, seenOnJob, fn) }

// EachBag calls fn for every bag, in order of codes.
func (v *View) EachBag(fn func(Bag) error) error { return each(v, bBag, fn) }

// EachJob calls fn for every job, in order of codes.
func (v *View) EachJob(fn func(Job) error) error { return each(v, bJob, fn) }

// EachWant calls fn for every want, in order of days.
func (v *View) EachWant(fn func(Want) error) error { return each(v, bWant, fn) }

// OldOf lists the pieces that came out of a job's camera, in order of numbers.
func (v *View) OldOf(job code.Code) ([]Old, error) { return list[Old](v, bOld, prefix(job)) }

// StepsOf lists the steps of the strip-down of a donor or of a job's camera, in
// their order. Kind is donor or job.
func (v *View) StepsOf(kind string, camera code.Code) ([]Step, error) {
	return list[Step](v, bStep, prefix(kind, string(camera)))
}

// EachCount calls fn for every count, the earliest first.
func (v *View) EachCount(fn func(Count) error) error { return each(v, bCount, fn) }

// LastEntry is the number of the latest entry, 0 in an empty book.
func (v *View) LastEntry() uint64 { return v.meta("entry") }

// IsPart refuses words that are not those of a bag's part: its name, its other
// names, its class.
func (v *View) IsPart(b Bag, check []string) error {
	var p Part
	if b.Part != "" {
		var err error
		if p, err = v.Part(b.Part); err != nil {
			return err
		}
	}
	return CheckWords(b.Code, p, check)
}

// EachBagOf calls fn for bags that are asked for in order of codes, with how each stands.
func (v *View) EachBagOf(list []code.Code, fn func(Bag, State)) error {
	bags, states := v.cursor(bBag), v.cursor(bState)
	for _, c := range list {
		b, err := along(v, bags, c, v.Bag)
		if err != nil {
			return err
		}
		st, err := along(v, states, c, v.State)
		if err != nil {
			return err
		}
		fn(b, st)
	}
	return nil
}

// along is the record of a code to which a cursor goes on, else what another function has
// for it.
func along[T any](v *View, at *cursor, c code.Code, other func(code.Code) (T, error)) (T, error) {
	key := keyCode(c)
	var rec T
	if k, x := at.onto(key); !bytes.Equal(k, key) || decode(at.bucket, key, x, &rec) != nil {
		return other(c)
	}
	return rec, nil
}

// BagState is a bag and how it stands.
func (v *View) BagState(c code.Code) (b Bag, st State, err error) {
	if b, err = v.Bag(c); err == nil {
		st, err = v.State(c)
	}
	return b, st, err
}
