package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A wish is what a PIECE of a booking is wanted for. It decides which bags of a
// part would do.
type wish struct {
	verb string    // fit: as in "can fit 2"
	job  store.Job // the job of the booking, empty for none
	// give is how much of a bag may be taken; a bag that gives less than the number
	// wanted will not do.
	give func(store.State) int64
	// first is above zero for a bag that is taken without asking.
	first  func(store.State) int64
	leaves bool // pieces leave: an about figure is refused
	rest   bool // a number may be left out for what is all of it
	worn   bool // bags graded scrap or pattern will do
	theirs bool // bags of the job's owner will do
}

// takes reads the arguments of a booking and makes a take of each.
func takes(c *call, t *store.Tx, w wish) ([]store.Take, error) {
	pairs, err := c.pairs()
	if err != nil {
		return nil, err
	}
	var takes []store.Take
	for _, p := range pairs {
		k, err := piece(c, &t.View, p, w)
		if err != nil {
			return nil, blame(p, err)
		}
		k.Why = c.String("why")
		takes = append(takes, k)
	}
	return takes, nil
}

// piece makes a take of one pair: of the bag named, or of a bag of the part named.
func piece(c *call, v *store.View, p line.Pair, w wish) (store.Take, error) {
	ref, err := named(c, v, &p)
	if err != nil {
		return store.Take{}, missed(v, p, w, err)
	}
	if ref.Kind == "bag" {
		b, err := v.Bag(ref.Code)
		if err != nil {
			return store.Take{}, err
		}
		n, err := number(p.Qty, string(b.Code), b.Unit, w)
		return store.Take{Bag: b.Code, N: n, Job: w.job.Code, Check: p.Check}, err
	}
	part, err := v.Part(ref.Code)
	if err != nil {
		return store.Take{}, err
	}
	bags, err := bagsOf(v, part.Code)
	if err != nil {
		return store.Take{}, err
	}
	n, err := number(p.Qty, string(part.Code), unitOf(bags), w)
	if err != nil {
		return store.Take{}, err
	}
	if w.job.Code != "" && !c.Bool("anyway") && (w.verb == "fit" || w.verb == "hold") {
		if err := v.MayGo(part, w.job); err != nil {
			return store.Take{}, err // before anybody is asked which bag
		}
	}
	k, err := pick(c, v, part, bags, n, w)
	if e, ok := err.(*severalError); ok && !c.Bool("anyway") {
		if closed := w.job.TakesPieces(); closed != nil {
			e.beware = closed.Error() // with the list, not after the choice
		}
	}
	k.Check = p.Check
	return k, err
}

// named is the bag or part of a pair. Where a code could stand words may stand: the
// check words of the pair are then words of the name.
func named(c *call, v *store.View, p *line.Pair) (store.Ref, error) {
	if line.IsCode(p.Token) || len(v.Resolve(p.Token, "bag", "part")) > 0 {
		return c.thing(v, p.Token, "bag", "part")
	}
	part, err := c.partOf(v, append([]string{p.Token}, p.Check...))
	p.Check = nil
	return store.Ref{Kind: "part", Code: part.Code}, err
}

// number reads the number of pieces, one where none is given, or 0 for the rest.
func number(text, name, unit string, w wish) (int64, error) {
	switch {
	case text == "" && w.rest:
		return 0, nil
	case text == "" && unit == "mm":
		return 0, refusef("%s is sold by length: name it, for example 40cm", name)
	case text == "":
		return 1, nil
	}
	q, err := code.ParseQty(text, unit)
	switch {
	case err != nil:
		return 0, line.UsageError{Err: fmt.Errorf("%s: %w", name, err)}
	case q.About && w.leaves:
		return 0, refusef("%s: count them: about is no number to %s", name, w.verb)
	case q.N <= 0:
		return 0, refusef("%s: %d is no number of pieces to book", name, q.N)
	}
	return q.N, nil
}

// A bagNow is a bag and what the book says of it today.
type bagNow struct {
	store.Bag
	st store.State
}

// bagsOf are the bags of a part, best grade first, then by place and what is free.
func bagsOf(v *store.View, part code.Code) ([]bagNow, error) {
	var out []bagNow
	for _, c := range v.BagsOf(part) {
		b, err := v.Bag(c)
		if err != nil {
			return nil, err
		}
		st, err := v.State(c)
		if err != nil {
			return nil, err
		}
		out = append(out, bagNow{b, st})
	}
	slices.SortStableFunc(out, func(a, b bagNow) int {
		return cmp.Or(
			cmp.Compare(slices.Index(store.Grades, a.st.Grade), slices.Index(store.Grades, b.st.Grade)),
			cmp.Compare(a.st.Place, b.st.Place),
			cmp.Compare(b.st.Free(), a.st.Free()),
		)
	})
	return out, nil
}

// unitOf is the unit of a part's own bags.
func unitOf(bags []bagNow) string {
	for _, b := range bags {
		if b.Owner == store.Own {
			return b.Unit
		}
	}
	return "pc"
}

// pick takes the bag of a part that will do: one that comes first, the only one,
// or with --any the one that can spare most.
func pick(c *call, v *store.View, part store.Part, bags []bagNow, n int64, w wish) (store.Take, error) {
	var will []bagNow
	for _, b := range bags {
		if w.will(b, n) {
			will = append(will, b)
		}
	}
	take := func(b bagNow, unsure bool) (store.Take, error) {
		return store.Take{Bag: b.Code, N: n, Job: w.job.Code, Unsure: unsure}, nil
	}
	if w.first != nil {
		for _, b := range will {
			if w.first(b.st) > 0 {
				return take(b, false)
			}
		}
	}
	switch {
	case len(will) == 0:
		return store.Take{}, noneLeft(part, bags, n, w)
	case len(will) == 1:
		return take(will[0], false)
	case c.Bool("any"):
		return take(slices.MaxFunc(will, func(a, b bagNow) int { return cmp.Compare(w.give(a.st), w.give(b.st)) }), true)
	}
	return store.Take{}, severalBags(c, v, part, will, n)
}

// will tells whether a bag will do.
func (w wish) will(b bagNow, n int64) bool {
	if b.Owner != store.Own && (!w.theirs || w.job.Code == "" || b.Owner != w.job.Owner) {
		return false
	}
	if !w.worn && (b.st.Grade == "scrap" || b.st.Grade == "pattern") {
		return false
	}
	return w.give(b.st) >= max(n, 1)
}

// severalBags lists the bags that would do, and what the part is easily taken for.
func severalBags(c *call, v *store.View, part store.Part, will []bagNow, n int64) error {
	alike, err := ask.LooksLike(v, part)
	if err != nil {
		return err
	}
	e := &severalError{notes: alike}
	for _, b := range will {
		row := []string{string(b.Code), b.st.Grade, string(b.st.Place), strings.Join(tell.Filled(bagWords(b), b.Looks, b.Note), "; ")}
		e.rows = append(e.rows, row)
		e.answer = append(e.answer, "bag:"+string(b.Code))
	}
	example := c.Name + " :1"
	switch {
	case n > 0 && will[0].Unit == "mm":
		example += fmt.Sprintf(" %dmm", n)
	case n > 1:
		example += fmt.Sprintf(" %d", n)
	}
	if c.Has("any") {
		example += ", or --any"
	}
	e.text = fmt.Sprintf("%d bags of %s %s would do: say which, %s", len(will), part.Code, part.Name, example)
	return e
}

// noneLeft says what there is of a part when no bag will do.
func noneLeft(part store.Part, bags []bagNow, n int64, w wish) error {
	var have []string
	for _, b := range bags {
		if b.st.OnHand() > 0 || w.give(b.st) > 0 {
			have = append(have, fmt.Sprintf("%s %s", b.Code, bagWords(b)))
		}
	}
	if len(have) == 0 {
		return refusef("%s %s: none in the house; tinful need %s looks further", part.Code, part.Name, part.Code)
	}
	return refusef("%s %s: no bag of it can %s %s: %s", part.Code, part.Name, w.verb, store.Amount(max(n, 1), bags[0].Unit, false), strings.Join(have, "; "))
}

// bagWords say what a bag holds and with whom its pieces stand.
func bagWords(b bagNow) string {
	amount := func(n int64) string { return store.Amount(n, b.Unit, b.st.About) }
	out := []string{amount(b.st.Free()) + " free"}
	for _, o := range b.st.HeldFor {
		out = append(out, fmt.Sprintf("%s held for job %s", amount(o.N), o.Who))
	}
	for _, o := range b.st.LentTo {
		out = append(out, fmt.Sprintf("%s lent to %s", amount(o.N), o.Who))
	}
	if b.st.Grade == "scrap" || b.st.Grade == "pattern" {
		out = append(out, "graded "+b.st.Grade)
	}
	if b.Owner != store.Own && b.Owner != "" {
		out = append(out, "belongs to "+b.Owner)
	}
	return strings.Join(out, ", ")
}
