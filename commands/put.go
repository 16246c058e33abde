package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

func putCommand() *command {
	return &command{
		Name: "put", Usage: "put pieces into the house: a new bag, or more into the same",
		ArgsUsage: "N PART from ORIGIN",
		UsageText: "tinful put 2 P003 from PC-01\ntinful put 25 \"e-clip 1.5\" from bought --cost 4.50\n" +
			"tinful put 4m P073 from bought --place M1\ntinful put 5 p21 from b301",
		Description: "ORIGIN is a parts camera, bought, made or unknown, or an unsorted bag: then the pieces are taken out of it, and what is left stays about where it was. The place is where other bags of the part lie, else --place. " +
			"The grade is --grade, else new for what was bought and made for what was made; on a terminal it is asked, else it is unknown. " +
			"Pieces of the same part, origin, grade, place and owner go into the bag that is there. " +
			"Exit code 4 when the place is not known or the words fit several parts, 3 when there is no such part or origin.",
		Flags: []*line.Flag{
			line.ValueFlag("grade", "`GRADE`: "+strings.Join(store.Grades, ", ")),
			line.ValueFlag("place", "it lies in this `PLACE`"),
			line.ValueFlag("cost", "`AMOUNT` paid for all of it"),
			line.ValueFlag("owner", "it belongs to this `NAME`, else to the owner of the parts camera"),
			line.ValueFlag("looks", "`LOOKS`: "+strings.Join(store.Looks, ", ")),
			line.ValueFlag("number", "`NUMBER` engraved on it"),
			line.ValueFlag("goes-with", "`BAG` or thing it is paired with"),
			line.ValueFlag("note", "`WORDS` to keep with the bag"),
			line.ValueFlag("bag", "a new bag of this `CODE`"),
			line.ValueFlag("into", "more into this `BAG`"),
		},
		Action: put,
	}
}

// A putting is a line of put, and what was asked for beside it.
type putting struct {
	qty          string
	part         []string
	origin       string
	from         code.Code // the unsorted bag the pieces are taken out of, if any
	place, grade string
	cost         *code.Cents
	material     string // of what was made here, with the minutes it took
	minutes      int64
	notes        []string // what is worth knowing, said when it is booked
}

func put(c *call) error {
	p, err := readPut(c)
	if err != nil {
		return err
	}
	return putNow(c, p)
}

// putNow asks what is not known, and books.
func putNow(c *call, p *putting) error {
	if c.env.Terminal && c.String("into") == "" {
		if err := askPut(c, p); err != nil {
			return c.offer(err)
		}
	}
	res, err := c.book(false, func(t *store.Tx) error { return firstOf(putIn(c, t, p), broken(t, p)) })
	if err != nil {
		return c.offer(err)
	}
	for _, n := range p.notes {
		c.Notef("%s", n)
	}
	return c.booked(res)
}

// broken notes a unit that cannot be complete because its parts came by themselves,
// and what its parts camera cannot have given.
func broken(t *store.Tx, p *putting) error {
	refs := t.Resolve(p.origin, "donor")
	if len(refs) != 1 {
		return nil
	}
	list, err := overdrawn(&t.View, refs[0])
	for _, r := range list {
		if slices.Contains(r.Codes, code.Code(strings.TrimPrefix(p.part[0], "part:"))) {
			p.notes = append(p.notes, r.Text)
		}
	}
	return err
}

// readPut reads the line and the flags that need no store.
func readPut(c *call) (*putting, error) {
	if err := c.Want(4, -1); err != nil {
		return nil, err
	}
	args := c.Args()
	qty, used := line.QuantityAt(args)
	from := len(args) - 2
	switch {
	case used == 0:
		return nil, line.Usagef("%q is no number: say first how many, tinful put 2 P003 from PC-01", args[0])
	case from <= used || !strings.EqualFold(args[from], "from"):
		return nil, line.Usagef("say where it comes from at the end: tinful put 2 P003 from PC-01, from bought, from made or from unknown")
	}
	p := &putting{qty: qty, part: args[used:from], origin: args[from+1], place: c.String("place"), grade: c.String("grade")}
	if p.grade != "" {
		grade, err := gradeWord(p.grade)
		if err != nil {
			return nil, err
		}
		p.grade = grade
	}
	return p, putFlags(c, p)
}

// putFlags reads the flags that put and made share.
func putFlags(c *call, p *putting) error {
	if _, err := flagWord(c, "looks", store.Looks); err != nil {
		return err
	}
	if c.String("bag") != "" && c.String("into") != "" {
		return line.Usagef("--bag makes a new bag and --into takes one that is there: not both")
	}
	if text := c.String("cost"); text != "" {
		cost, err := code.ParseCents(text)
		if err != nil {
			return line.UsageError{Err: err}
		}
		if cost < 0 {
			return line.Usagef("--cost %s: a cost is not below zero", text)
		}
		p.cost = &cost
	}
	return nil
}

// askPut asks on the terminal for place and grade where they are not known. The
// store is closed meanwhile.
func askPut(c *call, p *putting) error {
	var b store.Bag
	draft := func() error {
		return c.view(func(v *store.View) (err error) { b, err = draft(c, v, p); return err })
	}
	err := draft()
	if several, ok := errors.AsType[*placesError](err); ok {
		if p.place, err = c.ask(fmt.Sprintf("%s lies in %s: where does this go? [%s]", b.Part, strings.Join(several.places, " and "), several.fullest)); err != nil {
			return err
		}
		p.place = cmp.Or(p.place, several.fullest)
		err = draft()
	}
	if err != nil {
		return err
	}
	if b.Place == "" {
		if p.place, err = c.ask(fmt.Sprintf("where does %s go? place:", b.Part)); err != nil {
			return err
		}
	}
	if b.Grade == "" {
		text, err := c.ask("grade (ready, usable, rework, pattern, unknown) [unknown]:")
		if err != nil {
			return err
		}
		if p.grade, err = gradeWord(cmp.Or(text, "unknown")); err != nil {
			return err
		}
	}
	return nil
}

// draft is the bag as it would be booked in, place and grade empty where they are
// not known.
func draft(c *call, v *store.View, p *putting) (store.Bag, error) {
	p.notes = nil
	part, err := c.partOf(v, p.part)
	if err != nil {
		return store.Bag{}, err
	}
	b := store.Bag{
		Material: p.material, Minutes: p.minutes, Part: part.Code, Owner: store.Own, Grade: p.grade, Cost: p.cost, Looks: c.String("looks"),
		Number: c.String("number"), GoesWith: c.String("goes-with"), Note: c.String("note"),
	}
	p.part = []string{"part:" + string(part.Code)} // words are read and noted once
	sisters, err := bagsOf(v, part.Code)
	if err != nil {
		return b, err
	}
	if err := origin(c, v, p, &b); err != nil {
		return b, err
	}
	if owner := c.String("owner"); owner != "" {
		b.Owner = owner
	}
	if err := quantity(p, sisters, &b); err != nil {
		return b, err
	}
	if b.Pattern, err = patternOf(c, v, p, part.Code); err != nil {
		return b, err
	}
	if n := v.OpenWants(part.Code); n > 0 {
		p.notes = append(p.notes, fmt.Sprintf("%s was asked for and not found: tinful wants says for whom", part.Code))
	}
	b.Place, err = placeFor(c, v, p.place, part, sisters)
	return b, err
}

// origin fills what follows from where pieces come from.
func origin(c *call, v *store.View, p *putting, b *store.Bag) error {
	switch word := strings.ToLower(p.origin); word {
	case "bought":
		b.Origin, b.Grade = word, cmp.Or(b.Grade, "new")
		return nil
	case "made":
		b.Origin, b.Grade = word, cmp.Or(b.Grade, "made")
		return nil
	case "unknown":
		b.Origin = word
		return nil
	}
	token, err := c.answerLine(p.origin)
	if err != nil {
		return err
	}
	if len(v.Resolve(token, "donor")) == 0 && len(v.Resolve(token, "bag")) > 0 {
		return sortedOut(c, v, p, b)
	}
	ref, err := c.thing(v, p.origin, "donor")
	if err != nil {
		return fmt.Errorf("%w; an origin is a parts camera, bought, made or unknown", err)
	}
	d, err := v.Donor(ref.Code)
	if err != nil {
		return err
	}
	b.Origin, b.Owner = string(d.Code), cmp.Or(d.Owner, store.Own)
	if err := d.Gives(); err != nil {
		return err
	}
	if b.Owner != store.Own {
		p.notes = append(p.notes, fmt.Sprintf("%s belongs to %s, and so does this", d.Code, b.Owner))
	}
	return missing(v, p, d.Code, b.Part)
}

// sortedOut fills what follows from the unsorted bag that pieces are taken out of.
func sortedOut(c *call, v *store.View, p *putting, b *store.Bag) error {
	ref, err := c.thing(v, p.origin, "bag")
	if err != nil {
		return err
	}
	from, err := v.Bag(ref.Code)
	if err != nil {
		return err
	}
	p.from, b.Origin, b.Owner = from.Code, from.Origin, from.Owner
	return nil
}

// missing notes that a part was not on its parts camera when that was looked at.
func missing(v *store.View, p *putting, donor, part code.Code) error {
	seen, err := v.SeenOn(donor)
	if err != nil {
		return err
	}
	for _, s := range seen {
		if s.Part == part && s.Seen == "missing" {
			p.notes = append(p.notes, fmt.Sprintf("%s was seen missing on %s on %s: is this the right parts camera?", part, donor, s.Date))
		}
	}
	return nil
}

// quantity reads how many, in the unit of the bags that are there; without any a
// length is a length.
func quantity(p *putting, sisters []bagNow, b *store.Bag) error {
	b.Unit = "pc"
	if len(sisters) > 0 {
		b.Unit = unitOf(sisters)
	}
	q, err := code.ParseQty(p.qty, b.Unit)
	if err != nil && len(sisters) == 0 {
		if length, lerr := code.ParseQty(p.qty, "mm"); lerr == nil {
			b.Unit, q, err = "mm", length, nil
		}
	}
	switch {
	case err != nil:
		return line.UsageError{Err: err}
	case q.N <= 0:
		return refusef("%d is no number of pieces to book", q.N)
	}
	b.Quantity, b.About = q.N, q.About
	return nil
}

// placeFor is the place named, else the one where the part's own bags lie. It is
// empty where they lie nowhere.
func placeFor(c *call, v *store.View, named string, part store.Part, sisters []bagNow) (code.Code, error) {
	if named != "" {
		ref, err := c.thing(v, named, "place")
		return ref.Code, err
	}
	var full, all []string
	for _, b := range sisters {
		place := string(b.st.Place)
		if b.Owner != store.Own || place == "" {
			continue
		}
		all = append(all, place)
		if b.st.OnHand() > 0 {
			full = append(full, place)
		}
	}
	if len(full) == 0 {
		full = all
	}
	slices.Sort(full)
	switch full = slices.Compact(full); len(full) {
	case 0:
		return "", nil
	case 1:
		return code.Code(full[0]), nil
	}
	return "", &placesError{part, full, fullestOf(sisters)}
}

// A placesError says that the bags of a part lie in several places. Its Unwrap
// returns [store.ErrSeveral].
type placesError struct {
	part    store.Part
	places  []string
	fullest string
}

func (e *placesError) Error() string {
	return fmt.Sprintf("%s %s lies in %s; say where with --place", e.part.Code, e.part.Name, strings.Join(e.places, " and "))
}

func (e *placesError) Unwrap() error { return store.ErrSeveral }

// fullestOf is the place where most of a part's own pieces lie.
func fullestOf(sisters []bagNow) string {
	sum, best := map[code.Code]int64{}, code.Code("")
	for _, b := range sisters {
		if b.Owner != store.Own || b.st.Place == "" {
			continue
		}
		sum[b.st.Place] += b.st.OnHand()
		if best == "" || sum[b.st.Place] > sum[best] {
			best = b.st.Place
		}
	}
	return string(best)
}

// putIn books the pieces in: into the bag named, into one like it, or as a new bag.
func putIn(c *call, t *store.Tx, p *putting) error {
	b, err := draft(c, &t.View, p)
	into := c.String("into")
	if into != "" && errors.Is(err, store.ErrSeveral) && b.Part != "" {
		err = nil // the bag says where
	}
	if err != nil {
		return err
	}
	if into != "" {
		return putInto(c, t, b, into, p)
	}
	if b.Place == "" {
		return refusef("no bag of %s lies anywhere yet: say where this one goes with --place", b.Part)
	}
	b.Grade = cmp.Or(b.Grade, "unknown")
	if text := c.String("bag"); text != "" {
		if b.Code, err = code.Parse(text); err != nil {
			return line.UsageError{Err: err}
		}
		return p.asNew(t, b)
	}
	same, err := sameBag(&t.View, b)
	if err != nil {
		return err
	}
	if same.Code != "" {
		return p.into(t, same, b)
	}
	return p.asNew(t, b)
}

// sameBag finds the bag that pieces like b's lie in already, the zero Bag for none.
// What is numbered, paired or noted has a bag of its own.
func sameBag(v *store.View, b store.Bag) (store.Bag, error) {
	sisters, err := bagsOf(v, b.Part)
	if err != nil {
		return store.Bag{}, err
	}
	for _, s := range sisters {
		if s.Origin == b.Origin && s.st.Grade == b.Grade && s.st.Place == b.Place && s.Owner == b.Owner && s.Unit == b.Unit &&
			s.Number == b.Number && s.GoesWith == b.GoesWith && s.Material == b.Material && s.Pattern == b.Pattern && (b.Looks == "" || b.Looks == s.Looks) && (b.Note == "" || b.Note == s.Note) {
			return s.Bag, nil
		}
	}
	return store.Bag{}, nil
}

// putMore books b's pieces into a bag that is there. A cost is added to the bag's
// where that is known, else it is kept in the book.
func putMore(t *store.Tx, into, b store.Bag) error {
	why := ""
	into.Minutes += b.Minutes
	if b.Cost != nil && into.Cost != nil {
		sum := *into.Cost + *b.Cost
		into.Cost = &sum
	} else if b.Cost != nil {
		why = "cost " + b.Cost.String()
	}
	if err := t.Put(into); err != nil { // the same bytes change nothing
		return err
	}
	return t.PutMore(into.Code, code.Qty{N: b.Quantity, About: b.About}, why)
}

// putInto books b's pieces into the bag named, which must be of the same part and
// owner.
func putInto(c *call, t *store.Tx, b store.Bag, named string, p *putting) error {
	ref, err := c.thing(&t.View, named, "bag")
	if err != nil {
		return err
	}
	into, err := t.Bag(ref.Code)
	if err != nil {
		return err
	}
	st, err := t.State(ref.Code)
	switch {
	case err != nil:
		return err
	case into.Part != b.Part:
		return refusef("%s holds %s, and this is %s: nothing is booked", into.Code, cmp.Or(string(into.Part), "no known part"), b.Part)
	case into.Owner != b.Owner:
		return refusef("%s belongs to %s, and this to %s", into.Code, into.Owner, b.Owner)
	case p.grade != "" && p.grade != st.Grade:
		return refusef("%s is graded %s, and this is %s: put it into a bag of its own", into.Code, st.Grade, p.grade)
	case p.place != "" && b.Place != st.Place:
		return refusef("%s lies in %s: leave --place out, or put it into a bag of its own", into.Code, st.Place)
	}
	if into.Origin != b.Origin && into.Origin != "several" {
		into.Origin = "several"
		if err := t.Put(into); err != nil {
			return err
		}
	}
	return p.into(t, into, b)
}

// into books b's pieces into a bag that is there.
func (p *putting) into(t *store.Tx, into, b store.Bag) error {
	if p.from == "" {
		return putMore(t, into, b)
	}
	_, err := t.SortOut(p.from, b, into.Code)
	return err
}

// asNew books b as a new bag.
func (p *putting) asNew(t *store.Tx, b store.Bag) error {
	if p.from == "" {
		_, err := t.PutIn(b)
		return err
	}
	_, err := t.SortOut(p.from, b, "")
	return err
}
