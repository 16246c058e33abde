package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tinful/store/code"
)

// A doing is how pieces of a request are chosen and booked.
type doing struct {
	verb   string // as in "can fit 2"
	book   func(*Tx, Take) error
	give   func(t *taking, st State) int64 // how much of a bag it may take
	into   bool                            // pieces are for a job's camera: they must go into it
	theirs bool                            // bags of the job's owner will do
	leaves bool                            // pieces leave: an about figure is refused
	rest   bool                            // a number may be left out for what is all of it
	worn   bool                            // bags graded scrap or pattern will do
	bag    bool                            // a bag is named, not a part
	to     string                          // the kind of thing that To names
}

var doings = sync.OnceValue(func() map[What]doing {
	return map[What]doing{
		Fitted:   {verb: "fit", book: (*Tx).Fit, give: freeOrHeld, into: true, theirs: true, leaves: true},
		Held:     {verb: "hold", book: (*Tx).Hold, give: free, into: true, leaves: true},
		Unheld:   {verb: "give back", book: (*Tx).Unhold, give: heldOf, rest: true, worn: true},
		Returned: {verb: "return", book: (*Tx).Return, give: outOf, rest: true, worn: true},
		Lent:     {verb: "lend", book: (*Tx).Lend, give: free, leaves: true},
		Lost:     {verb: "lose", book: away(Lost), give: free, leaves: true, worn: true},
		Scrapped: {verb: "scrap", book: away(Scrapped), give: free, leaves: true, worn: true},
		Sold:     {verb: "sell", book: away(Sold), give: free, leaves: true},
		Found:    {verb: "find", book: (*Tx).Back, give: anyNumber, leaves: true},
		Moved:    {book: (*Tx).Move, bag: true, rest: true, to: "place"},
		Graded:   {book: (*Tx).Regrade, bag: true, rest: true},
		Joined:   {book: (*Tx).JoinBags, bag: true, rest: true, to: "bag"},
		Split:    {verb: "split", book: splitOff, bag: true, leaves: true, to: "place"},
	}
})

func splitOff(t *Tx, k Take) error {
	_, err := t.SplitBag(k, code.Code(k.To))
	return err
}

func away(what What) func(*Tx, Take) error {
	return func(t *Tx, k Take) error { return t.Away(what, k) }
}

func free(_ *taking, st State) int64 { return st.Free() }

func freeOrHeld(t *taking, st State) int64 { return Use{Job: t.job.Code}.Free(st) }

// anyNumber lets pieces be put back into any bag, an empty one too; the fullest is
// preferred.
func anyNumber(_ *taking, st State) int64 { return st.OnHand() + 1<<40 }

func heldOf(t *taking, st State) int64 {
	if t.job.Code != "" {
		return st.HeldForJob(t.job.Code)
	}
	return st.Held()
}

// outOf is how much of a bag may come back: from the job or borrower named, else
// from anywhere.
func outOf(t *taking, st State) int64 {
	switch {
	case t.job.Code != "":
		return st.FittedInJob(t.job.Code)
	case t.To != "":
		return owed(st.LentTo, t.To)
	}
	return st.Lent() + total(st.FittedIn)
}

// choose makes a take of an item: of the bag named, or of the bag of the part named
// that will do.
func (t *taking) choose(it Item) (Take, error) {
	ref, err := t.named(&it)
	if err != nil {
		return Take{}, t.missed(it, err)
	}
	k := Take{Job: t.job.Code, To: t.To, Why: t.Why, Amount: t.Amount, Due: t.Due, Check: it.Check, Anyway: t.Anyway}
	if ref.Kind == "bag" {
		b, err := t.Bag(ref.Code)
		if err != nil {
			return k, err
		}
		d := t.doing
		d.leaves = d.leaves && !(t.What == Split && b.About) // about is split into about
		k.Bag = b.Code
		k.N, err = d.pieces(it.Qty, string(b.Code), b.Unit)
		return k, err
	}
	part, err := t.Part(ref.Code)
	if err != nil {
		return k, err
	}
	bags, err := t.choices(part)
	if err != nil {
		return k, err
	}
	if k.N, err = t.pieces(it.Qty, string(part.Code), unitOf(bags)); err != nil {
		return k, err
	}
	if t.into && t.job.Code != "" && !t.Anyway {
		if err := t.MayGo(part, t.job); err != nil {
			return k, err // before anybody is asked which bag
		}
	}
	return k, t.pick(&k, part, bags)
}

// named is the bag or part of an item. Where a code could stand words may stand: the
// check words are then words of the name.
func (t *taking) named(it *Item) (Ref, error) {
	if t.bag {
		return t.Thing(it.Token, "bag")
	}
	if mayBeCode(it.Token) || len(t.Resolve(it.Token, "bag", "part")) > 0 {
		return t.Thing(it.Token, "bag", "part")
	}
	p, _, err := t.called(append([]string{it.Token}, it.Check...))
	it.Check = nil
	return Ref{"part", p.Code}, err
}

// called is [View.PartCalled], and says which part words led to.
func (t *Tx) called(typed []string) (p Part, byWords bool, err error) {
	p, byWords, err = t.PartCalled(typed...)
	if byWords && err == nil {
		t.Say(Say(FoundByWords, "%s %s", p.Code, p.Called()).Of(p.Code))
	}
	return p, byWords, err
}

// mayBeCode tells whether a token is a code rather than a word: it holds a digit or
// a kind.
func mayBeCode(token string) bool { return strings.ContainsAny(token, "0123456789:") }

// pieces reads the number of pieces, one where none is given, or 0 for the rest.
func (d doing) pieces(text, name, unit string) (int64, error) {
	switch {
	case text == "" && d.rest:
		return 0, nil
	case text == "" && unit == "mm":
		return 0, refuse("%s is sold by length: name it, for example 40cm", name)
	case text == "":
		return 1, nil
	}
	q, err := code.ParseQty(text, unit)
	switch {
	case err != nil:
		return 0, Misread("%s: %v", name, err)
	case q.About && d.leaves:
		return 0, refuse("%s: count them: about is no number to %s", name, d.verb)
	case q.N <= 0:
		return 0, refuse("%s: %d is no number of pieces to book", name, q.N)
	}
	return q.N, nil
}

// choices are the bags of a part, best grade first, then by place and what is free.
func (v *View) choices(part Part) ([]Choice, error) {
	var out []Choice
	for _, c := range v.BagsOf(part.Code) {
		b, st, err := v.BagState(c)
		if err != nil {
			return nil, err
		}
		out = append(out, Choice{Ref: Ref{"bag", c}, Part: part, Free: st.Free(), Bag: b, State: st})
	}
	slices.SortStableFunc(out, func(a, b Choice) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Grades, a.State.Grade), slices.Index(Grades, b.State.Grade)),
			cmp.Compare(a.State.Place, b.State.Place),
			cmp.Compare(b.Free, a.Free),
		)
	})
	return out, nil
}

// unitOf is the unit of a part's own bags.
func unitOf(bags []Choice) string {
	for _, b := range bags {
		if b.Bag.Owner == Own {
			return b.Bag.Unit
		}
	}
	return "pc"
}

// pick takes the bag of a part that will do: what is held for the job before all,
// the only one, or with Any the one that can give most.
func (t *taking) pick(k *Take, part Part, bags []Choice) error {
	will := slices.DeleteFunc(slices.Clone(bags), func(b Choice) bool { return !t.will(b, k.N) })
	if i := slices.IndexFunc(will, func(b Choice) bool { return t.What == Fitted && b.State.HeldForJob(t.job.Code) > 0 }); i >= 0 {
		will = will[i : i+1]
	}
	switch {
	case len(will) == 0:
		return t.noneLeft(part, bags, k.N)
	case len(will) == 1:
		k.Bag = will[0].Code
		return nil
	case t.Any:
		most := slices.MaxFunc(will, func(a, b Choice) int { return cmp.Compare(t.give(t, a.State), t.give(t, b.State)) })
		k.Bag, k.Unsure = most.Code, true
		return nil
	}
	e := &ChoiceError{Rows: will, N: k.N}
	if t.job.Code != "" && !t.Anyway {
		e.Closed = t.job.TakesPieces() // with the list, not after the choice
	}
	return e
}

// will tells whether a bag will do.
func (t *taking) will(b Choice, n int64) bool {
	use := Use{Worn: t.worn || t.into && t.Anyway}
	if t.theirs && t.job.Code != "" {
		use.Owner = t.job.Owner
	}
	return t.MayTake(b.Bag, b.State, use) == nil && t.give(t, b.State) >= max(n, 1)
}

// noneLeft says what there is of a part when no bag will do.
func (t *taking) noneLeft(part Part, bags []Choice, n int64) error {
	var have []string
	for _, b := range bags {
		if b.State.OnHand() > 0 || t.give(t, b.State) > 0 {
			have = append(have, fmt.Sprintf("%s %s", b.Code, b.Words()))
		}
	}
	if len(have) == 0 {
		return refuseAs(NoneInHouse, "%s %s: none in the house", part.Code, part.Called()).of(part.Code)
	}
	return refuse("%s %s: no bag of it can %s %s: %s", part.Code, part.Called(), t.verb, Amount(max(n, 1), bags[0].Bag.Unit, false), strings.Join(have, "; "))
}

// Words say what a bag holds and with whom its pieces stand.
func (b Choice) Words() string {
	amount := func(n int64) string { return Amount(n, b.Bag.Unit, b.State.About) }
	out := []string{amount(b.Free) + " free"}
	for _, o := range b.State.HeldFor {
		out = append(out, fmt.Sprintf("%s held for job %s", amount(o.N), o.Who))
	}
	for _, o := range b.State.LentTo {
		out = append(out, fmt.Sprintf("%s lent to %s", amount(o.N), o.Who))
	}
	if Worn(b.State.Grade) {
		out = append(out, "graded "+b.State.Grade)
	}
	if !b.Bag.Ours() {
		out = append(out, "belongs to "+b.Bag.Owner)
	}
	return strings.Join(out, ", ")
}
