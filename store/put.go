package store

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A Putting is pieces that come into the house, as a person says it.
type Putting struct {
	Quantity string
	Part     []string // a code, a bag that holds the part, or words of its name
	Origin   string   // a parts camera, bought, made or unknown, or an unsorted bag they are taken out of
	Place    string   // empty where nobody says; so is Bag.Grade
	Into     string   // the bag they go into, empty for whichever it should be
	Like     string   // of what was made here: the bag or part it was made after
	Bag      Bag      // what else is said: grade, owner, cost, looks, a code for a new bag ...
	Asks     bool     // place and grade can be asked for: a [QuestionError] rather than a refusal or "unknown"
}

// A QuestionError says what must be known before pieces are put away. Its Unwrap
// returns [ErrSeveral] where one of several places must be named, else
// [ErrRefused].
type QuestionError struct {
	Part    Part
	ByWords bool        // the part was found by words
	Place   bool        // in which place do they go?
	Places  []code.Code // where bags of the part lie, if they lie in several
	Best    code.Code   // where they go by [View.PlaceFor], empty for nowhere yet
	Grade   bool        // of which grade are they?
}

// Unwrap returns [ErrSeveral] where one of several places must be named, else [ErrRefused].
func (e *QuestionError) Unwrap() error {
	if len(e.Places) > 0 {
		return ErrSeveral
	}
	return ErrRefused
}

// Error says why the place is not known.
func (e *QuestionError) Error() string {
	switch {
	case len(e.Places) > 0:
		return fmt.Sprintf("%s %s lies in %s; say where", e.Part.Code, e.Part.Called(), words.And(e.Places))
	case e.Place:
		return fmt.Sprintf("no bag of %s lies anywhere yet: say where this one goes", e.Part.Code)
	}
	return fmt.Sprintf("the grade of %s is not said", e.Part.Code)
}

// Kinds of what is said beside pieces that are put away.
const (
	TheirOwner   ReasonKind = "their-owner"   // whom the parts camera belongs to, and so they
	SeenMissing  ReasonKind = "seen-missing"  // the part was not on that parts camera
	WasWanted    ReasonKind = "was-wanted"    // the part was asked for and not found
	OtherPattern ReasonKind = "other-pattern" // it was made after another part
)

// A putting is a Putting while it is booked.
type putting struct {
	*Tx
	Putting
	part    Part
	byWords bool
	sisters []Choice  // the bags of the part
	from    code.Code // the unsorted bag the pieces are taken out of, if any
	b       Bag       // as it would be booked in
}

// PutPieces books pieces in: into the bag named, into their [View.Sister], or as a
// new bag. It returns the bag as it would be new, with the code of the one they went
// into.
func (t *Tx) PutPieces(p Putting) (Bag, error) {
	w := &putting{Tx: t, Putting: p, b: p.Bag}
	for _, step := range []func() error{w.what, w.origin, w.howMany, w.pattern, w.wanted, w.where, w.book} {
		if err := step(); err != nil {
			return w.b, err
		}
	}
	return w.b, nil
}

func (w *putting) what() (err error) {
	if w.part, w.byWords, err = w.called(w.Part); err != nil {
		return err
	}
	w.b.Part = w.part.Code
	w.sisters, err = w.choices(w.part)
	return err
}

// origin fills what follows from where pieces come from.
func (w *putting) origin() error {
	switch word := strings.ToLower(w.Origin); word {
	case "bought", "made", "unknown":
		w.b.Origin = word
		w.b.Grade = cmp.Or(w.b.Grade, map[string]string{"bought": "new", "made": "made"}[word])
		return nil
	}
	if len(w.Resolve(w.Origin, "donor")) == 0 && len(w.Resolve(w.Origin, "bag")) > 0 {
		return w.sortedOut()
	}
	ref, err := w.Thing(w.Origin, "donor")
	if err != nil {
		return fmt.Errorf("%w; an origin is a parts camera, bought, made or unknown", err)
	}
	d, err := w.Donor(ref.Code)
	if err != nil {
		return err
	}
	w.b.Origin = string(d.Code)
	if err := d.Gives(); err != nil {
		return err
	}
	if d.Owner != "" && d.Owner != Own {
		w.b.Owner = cmp.Or(w.b.Owner, d.Owner)
		w.Say(Say(TheirOwner, "%s belongs to %s, and so does this", d.Code, d.Owner).Of(d.Code))
	}
	return w.seenMissing(d.Code)
}

// sortedOut fills what follows from the unsorted bag that pieces are taken out of.
func (w *putting) sortedOut() error {
	ref, err := w.Thing(w.Origin, "bag")
	if err != nil {
		return err
	}
	from, err := w.View.Bag(ref.Code)
	w.from, w.b.Origin, w.b.Owner = from.Code, from.Origin, cmp.Or(w.b.Owner, from.Owner)
	return err
}

// seenMissing says that a part was not on its parts camera when that was looked at.
func (w *putting) seenMissing(donor code.Code) error {
	seen, err := w.SeenOn(donor)
	for _, s := range seen {
		if s.Part == w.part.Code && s.Seen == "missing" {
			w.Say(Say(SeenMissing, "%s was seen missing on %s on %s: is this the right parts camera?", s.Part, donor, s.Date).Of(s.Part, donor))
		}
	}
	return err
}

// howMany reads how many, in the unit of the bags that are there; without any a
// length is a length. What nobody said the owner of is the workshop's own.
func (w *putting) howMany() error {
	w.b.Unit, w.b.Owner = unitOf(w.sisters), or(w.b.Owner, Own)
	q, err := code.ParseQty(w.Quantity, w.b.Unit)
	if err != nil && len(w.sisters) == 0 {
		if length, lerr := code.ParseQty(w.Quantity, "mm"); lerr == nil {
			w.b.Unit, q, err = "mm", length, nil
		}
	}
	switch {
	case err != nil:
		return Misread("%v", err)
	case q.N <= 0:
		return refuse("%d is no number of pieces to book", q.N)
	}
	w.b.Quantity, w.b.About = q.N, q.About
	return nil
}

// pattern is the bag or part that pieces were made after. One that is another part
// is said.
func (w *putting) pattern() error {
	if w.Like == "" || w.b.Origin != "made" {
		return nil
	}
	ref, err := w.Thing(w.Like, "bag", "part")
	if err != nil {
		return err
	}
	w.b.Pattern = ref.Code
	like := ref.Code
	if ref.Kind == "bag" {
		b, err := w.View.Bag(ref.Code)
		if err != nil {
			return err
		}
		like = b.Part
	}
	if like != w.part.Code {
		w.Say(Say(OtherPattern, "%s is %s, and this is %s: it was made after another part", ref.Code, or(string(like), "no known part"), w.part.Code).Of(ref.Code))
	}
	return nil
}

func (w *putting) wanted() error {
	if w.OpenWants(w.part.Code) > 0 {
		w.Say(Say(WasWanted, "%s was asked for and not found", w.part.Code).Of(w.part.Code))
	}
	return nil
}

// where is the place named, else the one where the part's own bags lie; a bag that
// is named says itself where. What is not known is asked for.
func (w *putting) where() error {
	e := &QuestionError{Part: w.part, ByWords: w.byWords, Grade: w.Asks && w.b.Grade == ""}
	switch {
	case w.Place != "":
		ref, err := w.Thing(w.Place, "place")
		if err != nil {
			return err
		}
		w.b.Place = ref.Code
	case w.Into != "":
	default:
		var err error
		if e.Best, e.Places, err = w.PlaceFor(w.part, w.b.Grade); err != nil {
			return err
		}
		if len(e.Places) == 1 {
			w.b.Place, e.Places = e.Places[0], nil
		}
		e.Place = w.b.Place == ""
	}
	if w.Into == "" && (e.Place || e.Grade) {
		return e
	}
	return nil
}

// book writes the pieces into the bag where they go.
func (w *putting) book() error {
	if w.Into != "" {
		return w.intoNamed()
	}
	w.b.Grade = cmp.Or(w.b.Grade, "unknown")
	if w.b.Code == "" {
		sister, found, err := w.Sister(w.b)
		if err != nil {
			return err
		}
		if found {
			return w.into(sister)
		}
	}
	return w.asNew()
}

// intoNamed books the pieces into the bag named, which must be of the same part and
// owner.
func (w *putting) intoNamed() error {
	ref, err := w.Thing(w.Into, "bag")
	if err != nil {
		return err
	}
	into, st, err := w.BagState(ref.Code)
	switch {
	case err != nil:
		return err
	case into.Part != w.b.Part:
		return refuse("%s holds %s, and this is %s: nothing is booked", into.Code, or(string(into.Part), "no known part"), w.b.Part)
	case into.Owner != w.b.Owner:
		return refuse("%s belongs to %s, and this to %s", into.Code, into.Owner, w.b.Owner)
	case w.Putting.Bag.Grade != "" && w.Putting.Bag.Grade != st.Grade:
		return refuse("%s is graded %s, and this is %s: put it into a bag of its own", into.Code, st.Grade, w.b.Grade)
	case w.Place != "" && w.b.Place != st.Place:
		return refuse("%s lies in %s: leave the place out, or put it into a bag of its own", into.Code, st.Place)
	}
	if err := w.mixed(&into, w.b.Origin); err != nil {
		return err
	}
	return w.into(into)
}

// into books the pieces into a bag that is there. A cost is added to the bag's where
// that is known, else it is kept in the book.
func (w *putting) into(bag Bag) (err error) {
	if w.from != "" {
		w.b.Code, err = w.SortOut(w.from, w.b, bag.Code)
		return err
	}
	w.b.Code = bag.Code
	why := ""
	bag.Minutes += w.b.Minutes
	if w.b.Cost != nil && bag.Cost != nil {
		sum := *bag.Cost + *w.b.Cost
		bag.Cost = &sum
	} else if w.b.Cost != nil {
		why = "cost " + w.b.Cost.String()
	}
	if err := w.Put(bag); err != nil { // the same bytes change nothing
		return err
	}
	return w.PutMore(bag.Code, code.Qty{N: w.b.Quantity, About: w.b.About}, why)
}

// asNew books the pieces as a new bag.
func (w *putting) asNew() (err error) {
	if w.from == "" {
		w.b.Code, err = w.PutIn(w.b)
	} else {
		w.b.Code, err = w.SortOut(w.from, w.b, "")
	}
	return err
}
