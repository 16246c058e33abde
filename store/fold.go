package store

import (
	"fmt"
	"slices"
	"strconv"

	"tinful/store/code"
)

// An Owed is a number of pieces that stand with a job or a borrower.
type Owed struct {
	Who string `cbor:"1,keyasint"`
	N   int64  `cbor:"2,keyasint"`
}

// A State is what the book says of one bag today. Each word counts gross:
// what came back stands under Returned, not as less under Fitted.
type State struct {
	Bag       code.Code `cbor:"-"` // told by the key
	BookedIn  int64     `cbor:"2,keyasint,omitempty"`
	Fitted    int64     `cbor:"3,keyasint,omitempty"`
	Returned  int64     `cbor:"4,keyasint,omitempty"` // from jobs
	Scrapped  int64     `cbor:"5,keyasint,omitempty"`
	Sold      int64     `cbor:"6,keyasint,omitempty"`
	Lost      int64     `cbor:"7,keyasint,omitempty"`
	Found     int64     `cbor:"8,keyasint,omitempty"`
	Corrected int64     `cbor:"9,keyasint,omitempty"`  // signed
	Shifted   int64     `cbor:"10,keyasint,omitempty"` // by split and join, signed
	HeldFor   []Owed    `cbor:"11,keyasint,omitempty"` // by job
	LentTo    []Owed    `cbor:"12,keyasint,omitempty"` // by borrower
	FittedIn  []Owed    `cbor:"13,keyasint,omitempty"` // by job, less what was returned
	About     bool      `cbor:"14,keyasint,omitempty"`
	Place     code.Code `cbor:"15,keyasint,omitempty"`
	Grade     string    `cbor:"16,keyasint,omitempty"`
	LastDay   code.Day  `cbor:"17,keyasint,omitempty"`
	Read      code.Day  `cbor:"18,keyasint,omitempty"` // last counted
	ReadN     int64     `cbor:"19,keyasint,omitempty"`
	ReadAbout bool      `cbor:"20,keyasint,omitempty"`
	ReadBy    string    `cbor:"21,keyasint,omitempty"`
	Unsettled int64     `cbor:"22,keyasint,omitempty"` // pieces booked with "which bag: unsure"
	// Book lists the numbers of the bag's entries, by day, then number.
	Book   []uint64 `cbor:"23,keyasint,omitempty"`
	LastIn code.Day `cbor:"24,keyasint,omitempty"` // day of the last booking in
	// Gone is set where the bag was taken back: its code, its book and the last day of
	// that stay.
	Gone bool  `cbor:"25,keyasint,omitempty"`
	Cut  int64 `cbor:"26,keyasint,omitempty"` // covering used up
	Past *Past `cbor:"27,keyasint,omitempty"` // of a bag with a long book, where it was made
}

// Came is the day on which pieces of the bag last came in, 0 where that was taken back.
func (s State) Came() code.Day {
	if s.BookedIn == 0 {
		return 0
	}
	return s.LastIn
}

// gone is what stays of the balance of a bag that was taken back.
func gone(s State) State { return State{Bag: s.Bag, Book: s.Book, LastDay: s.LastDay, Gone: true} }

// OnHand is the number of pieces, or millimetres, that are owned and here or lent.
func (s State) OnHand() int64 {
	return s.BookedIn - s.Fitted + s.Returned - s.Cut - s.Scrapped - s.Sold - s.Lost + s.Found + s.Corrected + s.Shifted
}

// Held is what is set aside for jobs.
func (s State) Held() int64 { return total(s.HeldFor) }

// Lent is what is with others.
func (s State) Lent() int64 { return total(s.LentTo) }

// Free is what may be taken: on hand less held and lent.
func (s State) Free() int64 { return s.OnHand() - s.Held() - s.Lent() }

// InDrawer is what a count should find: on hand less lent, held included.
func (s State) InDrawer() int64 { return s.OnHand() - s.Lent() }

// HeldForJob is what is set aside for one job.
func (s State) HeldForJob(job code.Code) int64 { return owed(s.HeldFor, string(job)) }

// FittedInJob is what was fitted in one job and not returned.
func (s State) FittedInJob(job code.Code) int64 { return owed(s.FittedIn, string(job)) }

func total(list []Owed) (n int64) {
	for _, o := range list {
		n += o.N
	}
	return n
}

func owed(list []Owed, who string) int64 {
	for _, o := range list {
		if o.Who == who {
			return o.N
		}
	}
	return 0
}

// owe returns a copy of list with n more for who, sorted, without zeros.
func owe(list []Owed, who string, n int64) []Owed {
	out := slices.Clone(list)
	i, ok := slices.BinarySearchFunc(out, who, func(o Owed, w string) int {
		if o.Who < w {
			return -1
		}
		if o.Who > w {
			return 1
		}
		return 0
	})
	if !ok {
		out = slices.Insert(out, i, Owed{Who: who})
	}
	out[i].N += n
	if out[i].N == 0 {
		out = slices.Delete(out, i, i+1)
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// A ShortError says that a bag cannot give what an entry takes. Its Unwrap
// returns [ErrRefused].
type ShortError struct {
	Bag        code.Code
	What       What
	Have, Want int64
	About      bool
	Unit       string
	Who        string // the job or borrower it was to come from, if any
}

// Error says what the bag holds and what was asked.
func (e *ShortError) Error() string {
	have := Amount(e.Have, e.Unit, e.About)
	switch {
	case e.What == Returned && e.Who != "":
		return fmt.Sprintf("%s has %s out with %s, %s asked for", e.Bag, have, e.Who, Amount(e.Want, e.Unit, false))
	case e.What == Unheld:
		return fmt.Sprintf("%s has %s held for %s, %s asked for", e.Bag, have, e.Who, Amount(e.Want, e.Unit, false))
	}
	return fmt.Sprintf("%s holds %s free, %s asked for", e.Bag, have, Amount(e.Want, e.Unit, false))
}

// Unwrap returns [ErrRefused].
func (e *ShortError) Unwrap() error { return ErrRefused }

// Amount is a quantity as people read it: 5, about 20, 400 mm.
func Amount(n int64, unit string, about bool) string {
	s := strconv.FormatInt(n, 10)
	if unit == "mm" {
		s += " mm"
	}
	if about {
		s = "about " + s
	}
	return s
}

// start is the state of a bag before its first entry.
func start(b Bag) State {
	return State{Bag: b.Code, Place: b.Place, Grade: b.Grade, About: b.About}
}

// fold returns the state of a bag after an entry. An entry with a negative
// quantity takes back what its word does. fold decides alone what the book
// allows: it returns a [ShortError] when anything would fall below zero.
func fold(q State, e Entry) (State, error) {
	s, known := sum(q, e)
	if !known {
		return q, fmt.Errorf("%w: entry %d says %q", ErrDamaged, e.Seq, e.What)
	}
	short := func(have int64, who string) error {
		return &ShortError{Bag: s.Bag, What: e.What, Have: have, Want: max(e.Quantity, -e.Quantity), About: s.About, Who: who}
	}
	// out checks what is out with somebody, who is called so in a refusal.
	out := func(had, has []Owed, who, called string) error {
		if owed(has, who) < 0 {
			return short(owed(had, who), called)
		}
		return nil
	}
	var err error
	switch job := string(e.Job); {
	case e.What == Lent, e.What == Returned && job == "":
		who := e.To
		if e.What == Returned {
			who = borrower(q, e)
		}
		err = out(q.LentTo, s.LentTo, who, who)
	case e.What == Fitted:
		err = out(q.FittedIn, s.FittedIn, job, job)
	case e.What == Returned:
		err = out(q.FittedIn, s.FittedIn, job, "job "+job)
	case e.What == Held, e.What == Unheld:
		err = out(q.HeldFor, s.HeldFor, job, "job "+job)
	}
	if err != nil {
		return s, err
	}
	s.LastDay, s.Past = max(s.LastDay, e.Day), s.Past.after(e, q, s)
	s.Book = append(s.Book, e.Seq) // a balance has one balance after it: nobody else appends here
	if s.Free() < 0 && s.Free() < q.Free() {
		return s, short(q.Free(), "")
	}
	if s.BookedIn < 0 || s.Fitted < 0 || s.Returned < 0 || s.Scrapped < 0 || s.Sold < 0 || s.Lost < 0 || s.Found < 0 || s.Cut < 0 {
		return q, fmt.Errorf("%w: %s takes back more %s than there was", ErrRefused, s.Bag, e.What)
	}
	return s, nil
}

// sum adds an entry to the state of a bag word by word, whether or not the book allows
// it, and says whether there is such a word.
func sum(s State, e Entry) (_ State, known bool) {
	n, job := e.Quantity, string(e.Job)
	switch e.What {
	case In:
		s.BookedIn += n
		s.LastIn = max(s.LastIn, e.Day)
		s.About = s.About || e.About
	case Fitted:
		s.Fitted, s.FittedIn = s.Fitted+n, owe(s.FittedIn, job, n)
	case Returned:
		if e.Job == "" { // it was lent
			s.LentTo = owe(s.LentTo, borrower(s, e), -n)
			break
		}
		s.Returned, s.FittedIn = s.Returned+n, owe(s.FittedIn, job, -n)
	case Held:
		s.HeldFor = owe(s.HeldFor, job, n)
	case Unheld:
		s.HeldFor = owe(s.HeldFor, job, -n)
	case Lent:
		s.LentTo = owe(s.LentTo, e.To, n)
	case Lost:
		s.Lost += n
	case Found:
		s.Found += n
	case Scrapped:
		s.Scrapped += n
	case Sold:
		s.Sold += n
	case Cut:
		s.Cut += n
	case Moved:
		s.Place = code.Code(e.To)
	case Graded:
		s.Grade = e.To
	case Split, Joined:
		s = shift(s, e)
	case Counted:
		s.Read, s.ReadN, s.ReadAbout, s.ReadBy = e.Day, n, e.About, e.By
		if e.Undoes != 0 {
			s.Read, s.ReadN, s.ReadAbout, s.ReadBy = 0, 0, false, ""
		}
	case Corrected:
		s.Corrected += n
		s.About = e.About
	default:
		return s, false
	}
	if e.Unsure {
		s.Unsettled += n
	}
	return s, true
}

// StateAfter is what entries of a bag make of it, by day, then number, whether or not the
// book allows each: where what was taken back is left out, another may come before what
// it took from.
func StateAfter(b Bag, entries []Entry) State {
	s := start(b)
	for _, e := range inOrder(entries) {
		s, _ = sum(s, e)
	}
	return s
}

// shift moves pieces between the two bags that a split or join names.
func shift(s State, e Entry) State {
	if string(s.Bag) == e.To {
		s.Shifted += e.Quantity
		s.About = s.About || e.About
	} else {
		s.Shifted -= e.Quantity
	}
	return s
}

// borrower is who brings pieces back: who is named, or the only or first one
// that has as many.
func borrower(s State, e Entry) string {
	if e.To != "" || len(s.LentTo) == 0 {
		return e.To
	}
	for _, o := range s.LentTo {
		if o.N >= e.Quantity {
			return o.Who
		}
	}
	return s.LentTo[0].Who
}

// A Figure is what a part's own bags add up to, of every grade.
type Figure struct {
	BookedIn  int64 `cbor:"1,keyasint,omitempty"`
	Fitted    int64 `cbor:"2,keyasint,omitempty"`
	Returned  int64 `cbor:"3,keyasint,omitempty"`
	Scrapped  int64 `cbor:"4,keyasint,omitempty"`
	Sold      int64 `cbor:"5,keyasint,omitempty"`
	Lost      int64 `cbor:"6,keyasint,omitempty"`
	Found     int64 `cbor:"7,keyasint,omitempty"`
	Corrected int64 `cbor:"8,keyasint,omitempty"`
	Shifted   int64 `cbor:"9,keyasint,omitempty"`
	Held      int64 `cbor:"10,keyasint,omitempty"`
	Lent      int64 `cbor:"11,keyasint,omitempty"`
	Cut       int64 `cbor:"12,keyasint,omitempty"`
}

// OnHand is what the part's own bags hold together.
func (f Figure) OnHand() int64 {
	return f.BookedIn - f.Fitted + f.Returned - f.Cut - f.Scrapped - f.Sold - f.Lost + f.Found + f.Corrected + f.Shifted
}

// Free is what may be taken: on hand less held and lent.
func (f Figure) Free() int64 { return f.OnHand() - f.Held - f.Lent }

// add returns f with sign times the state of one of the part's own bags.
func (f Figure) add(s State, sign int64) Figure {
	f.BookedIn += sign * s.BookedIn
	f.Fitted += sign * s.Fitted
	f.Returned += sign * s.Returned
	f.Scrapped += sign * s.Scrapped
	f.Sold += sign * s.Sold
	f.Lost += sign * s.Lost
	f.Found += sign * s.Found
	f.Corrected += sign * s.Corrected
	f.Shifted += sign * s.Shifted
	f.Held += sign * s.Held()
	f.Lent += sign * s.Lent()
	f.Cut += sign * s.Cut
	return f
}
