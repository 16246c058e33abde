package store

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"reflect"
	"slices"
	"syscall"

	"tinful/store/code"
)

// The sheets of a workbook, in the order they are read and written.
var Sheets = []string{"Models", "Places", "Parts", "Goes", "Donors", "Seen", "Bags", "Jobs", "Moves", "Wants",
	"Notes", "Steps", "Signs", "Old", "Counts", "Measured", "Made", "Papers", "Pictures"}

// A Load is what a workbook holds, read cell by cell. A field without a value
// leaves the field of an existing record alone.
type Load struct {
	Models []Model
	Places []Place
	Parts  List[Part]
	Goes   List[Goes]
	Donors List[Donor]
	Seen   List[Seen]
	Bags   List[Bag]
	Jobs   List[Job]
	Moves  Moves
	Wants  []Want
	// What records keep in lists has a row an element: see whole.go.
	Notes    []Remark
	Steps    []Step
	Signs    []SignRow
	Old      []Old
	Counts   []Count
	Measured []MeasuredRow
	Made     []MakingRow
	Papers   []PaperRow
	Pictures []PictureRow
	// Look makes of a file what is kept of it as a picture, by the rules of one that is
	// taken in at the bench; nil where no row has a Path.
	Look func(path string, asItIs bool) (Photo, error)
	// Counted says that the quantities of Bags are what was counted, by bag: they
	// become readings, and nothing else of the workbook is looked at. nil: they are
	// what was booked in.
	Counted map[code.Code]code.Qty
	// OnHand says that Counted is what an export showed as on hand: where it is as in the
	// book nobody counted. Since is the last booking that the export held, 0 where it is
	// none of this store.
	OnHand bool
	// InDrawer says that it is without what is lent.
	InDrawer bool
	Since    uint64
	// Unsaid is what a new bag holds of which the workbook does not say how many; the
	// zero Qty refuses such a bag.
	Unsaid code.Qty
	// Empty are the rows of Bags that say nought: nothing is in these.
	Empty map[int]bool
	// Nameless says that codes of parts and bags are to be found or made: see the
	// function of that name.
	Nameless bool
	// Named are the texts that stand where codes belong, by the codes that stand for them;
	// Make are the things that may be made of them, of [Makes].
	Named map[code.Code]Named
	Make  []string
	// Guessed are the rows of Parts whose class was told by their names: a part that is
	// here without one may be such a row.
	Guessed []int
	// Flawed are the codes of rows that cannot be read, by sheet: what names
	// them is not a mistake of its own.
	Flawed map[string][]code.Code
	Again  map[string]map[int]bool // rows of sheets whose code stands in a row before
	File   string                  // the base name of what was read
	Hash   string                  // its SHA-256, in hex

	// Cell names the cell of a record for a person: the sheet as the person
	// calls it ("Parts" or "parts.csv"), the cell ("C17") and what it holds.
	// i counts the records of the sheet from 0.
	Cell func(sheet string, i int, heading string) (name, cell, value string)
}

// KeepBeside says beside which store goes to the disk what does not fit into memory; it
// is asked before anything is added.
func (l *Load) KeepBeside(store string) {
	for _, list := range l.long() {
		list.disk.path = store
	}
}

// long are the packed rows of the long lists.
func (l *Load) long() []*packed {
	return []*packed{&l.Parts.far, &l.Goes.far, &l.Donors.far, &l.Seen.far, &l.Bags.far, &l.Jobs.far, &l.Moves.rows}
}

// beside is the store of KeepBeside.
func (l *Load) beside() string { return l.Bags.far.disk.path }

// failed is the first error that the disk gave of the long lists.
func (l *Load) failed() (err error) {
	for _, list := range l.long() {
		err = cmp.Or(err, list.err)
	}
	return err
}

// Close lets go of the long lists, some of which may lie on the disk.
func (l *Load) Close() {
	l.Parts.drop()
	l.Goes.drop()
	l.Donors.drop()
	l.Seen.drop()
	l.Bags.drop()
	l.Jobs.drop()
	l.Moves.drop()
}

// LastDay is the latest day on which something was booked or moved, and its cell.
func (l *Load) LastDay() (day code.Day, sheet, cell string) {
	at, column := -1, ""
	for r := l.Moves.rows.each(); r.advance(); {
		if d := packedEntry(r.row).day(); d > day {
			day, sheet, column, at = d, "Moves", "Date", r.next-1
		}
	}
	for i, b := range l.Bags.All() {
		if b.Booked > day {
			day, sheet, column, at = b.Booked, "Bags", "Booked", i
		}
	}
	if at >= 0 && l.Cell != nil {
		sheet, cell, _ = l.Cell(sheet, at, column)
	}
	return day, sheet, cell
}

// SaysAgain notes that row i of a sheet has the code of a row before, which is
// refused: it is looked at for its other mistakes alone.
func (l *Load) SaysAgain(sheet string, i int) {
	if l.Again == nil {
		l.Again = map[string]map[int]bool{}
	}
	if l.Again[sheet] == nil {
		l.Again[sheet] = map[int]bool{}
	}
	l.Again[sheet][i] = true
}

// A Problem is one cell that cannot be taken in: what it holds, what is wrong
// and what would be right.
type Problem struct {
	Sheet   string     `json:"sheet"`
	Cell    string     `json:"cell"`
	Value   string     `json:"value"`
	Problem string     `json:"problem"`
	Kind    ReasonKind `json:"-"` // of a refusal about which something can be done
}

// A Tally counts the rows of one sheet by what taking them in would do.
type Tally struct {
	New     int `json:"new"`
	Changed int `json:"changed"`
	Same    int `json:"same"`
	Refused int `json:"refused"`
}

// A Plan is what taking a workbook in would do, sheet by sheet. With a problem
// in it nothing can be taken in.
type Plan struct {
	Sheets   map[string]*Tally
	Problems []Problem
	Readings []Reads             // where the workbook is a count
	Made     []Made              // codes that were made up for rows without
	Said     []string            // what is read otherwise than it is written
	Missing  map[string][]string // what is named and neither there nor made, by [Makes]
	Unsaid   int                 // new bags of which nobody said how many
	Currency string              // of a workbook that says it; a new store takes it

	load    *Load
	view    *View // nil: a store that is not there yet
	head    Head
	put     []toPut   // new and changed records but new bags, in order of sheets
	own     []any     // those of sheets whose rows become records of their own: see planWhole
	bulk    *bulk     // of a store that is not there yet: its records, packed
	packer  *packer   // packs them
	bags    List[Bag] // new bags
	packed  bool      // bags, balances and their first entries are in bulk
	rows    []int32   // the rows of Moves that are new, by day, then in order of the sheet
	states  map[code.Code]*State
	pending map[code.Code][]Entry // new entries of bags the store has
	here    comers                // what rules ask of the workbook
	// Records that rows of other sheets need, by sheet and place: see foldIn.
	lent     map[string]map[int]borrowed
	numbered *numbering   // nil: bags first, then movements by their days
	photos   []PictureRow // whose files are to be kept
	ordered  *heaps       // of a new store whose bags are packed: entries that come behind those of bags, by number
}

// A Changed is a record of the store that a row changes, as it is and as it will be.
type Changed struct {
	Sheet    string
	Old, New any // records of one type, such as [Part]
}

// Changes are the records that a plan changes, in order of sheets, until it is taken in.
func (p *Plan) Changes() iter.Seq[Changed] {
	return func(yield func(Changed) bool) {
		for _, list := range p.put {
			if p.view != nil && !list.changes(p.view, yield) {
				return
			}
		}
	}
}

// toPut are records that are to be put into a store.
type toPut interface {
	changes(v *View, yield func(Changed) bool) bool
	putAll(t *Tx) error
	failed() error
	drop()
}

// A putList has those of one kind.
type putList[T any] struct {
	List[T]
	kind *kindOf[T]
}

// toPutOf begins the list of a kind.
func toPutOf[T any](p *Plan, k *kindOf[T]) *putList[T] {
	list := &putList[T]{kind: k}
	list.far.disk.path = p.load.beside()
	p.put = append(p.put, list)
	return list
}

func (l *putList[T]) failed() error { return l.far.err }

func (l *putList[T]) changes(v *View, yield func(Changed) bool) bool {
	for _, now := range l.All() {
		was, err := l.kind.stored(v, l.kind.key(now))
		if err == nil && was != nil && !yield(Changed{l.kind.sheet, *was, now}) {
			return false
		}
	}
	return true
}

func (l *putList[T]) putAll(t *Tx) error {
	for _, x := range l.All() {
		if _, err := l.kind.put(t, x); err != nil {
			return err
		}
	}
	return l.far.err
}

// A Reads is what a row counted of a bag that the store has.
type Reads struct {
	Bag  code.Code
	Unit string
	Book int64 // what should lie there now
	Qty  code.Qty
}

// Counts says how many rows are new or changed: 0 means that there is nothing
// to take in.
func (p *Plan) Counts() (news, changed int) {
	for _, t := range p.Sheets {
		news, changed = news+t.New, changed+t.Changed
	}
	return news, changed
}

// Close lets go of what a plan has on the disk; it cannot be taken in any more.
func (p *Plan) Close() {
	if p.bulk != nil {
		p.bulk.close()
	}
	if p.ordered != nil {
		p.ordered.close()
	}
	for _, list := range p.put {
		list.drop()
	}
	p.bags.drop()
}

func (p *Plan) tally(sheet string) *Tally {
	t := p.Sheets[sheet]
	if t == nil {
		t = &Tally{}
		p.Sheets[sheet] = t
	}
	return t
}

// PlanLoad says what taking a workbook into a store would do. v is nil where
// there is no store yet.
func PlanLoad(v *View, l *Load, h Head) (*Plan, error) {
	h, err := h.clean()
	if err != nil {
		return nil, err
	}
	p := &Plan{Sheets: map[string]*Tally{}, load: l, view: v, head: h, states: map[code.Code]*State{}, pending: map[code.Code][]Entry{}, lent: map[string]map[int]borrowed{}}
	p.bags.far.disk.path = l.beside()
	if v != nil {
		v.mapped = newMapped(v.tx, manyMapped, manyMapped) // a booking keeps what it reads, but this one reads all
	} else {
		p.bulk = newBulk(l.beside())
		p.packer = newPacker(p.bulk, h.By)
	}
	err = p.look()
	if v == nil {
		err = cmp.Or(err, p.packer.stop())
	}
	for _, list := range p.put {
		err = cmp.Or(err, list.failed())
	}
	if err = cmp.Or(err, p.bags.far.err, l.failed()); err != nil {
		p.Close()
		if v != nil && errors.Is(err, syscall.ENOSPC) {
			return nil, fmt.Errorf("nothing was taken in: the disk is full beside %s, where what does not fit into memory is sorted", l.beside())
		}
		return nil, unmade(l.beside(), err)
	}
	return p, nil
}

// look goes through the sheets in their order.
func (p *Plan) look() error {
	l := p.load
	if err := p.makeNamed(); err != nil {
		return err
	}
	if l.Nameless {
		if err := p.name(); err != nil {
			return err
		}
	}
	if err := p.gather(); err != nil {
		return err
	}
	if l.Counted != nil {
		return p.planCount()
	}
	if err := p.foldIn(); err != nil {
		return err
	}
	for _, step := range []func() error{
		func() error { return planSheet(p, modelKind, slices.All(l.Models)) },
		func() error { return planSheet(p, placeKind, slices.All(l.Places)) },
		p.planParts,
		func() error { return planSheet(p, goesKind, l.Goes.All()) },
		func() error { return planSheet(p, donorKind, l.Donors.All()) },
		func() error { return planSheet(p, seenKind, l.Seen.All()) },
		p.planBags,
		func() error { return planSheet(p, jobKind, l.Jobs.All()) },
		p.planMoves,
		p.planWants,
		p.planWhole,
	} {
		if err := step(); err != nil {
			return err
		}
		if p.view == nil {
			p.release()
		}
	}
	for _, sheet := range Sheets[slices.Index(Sheets, "Notes"):] { // a workbook has these where they hold something
		if t := p.Sheets[sheet]; t != nil && *t == (Tally{}) {
			delete(p.Sheets, sheet)
		}
	}
	return nil
}

// release lets go of the records that are packed already: the bags and
// movements are needed until they are.
func (p *Plan) release() {
	l, t := p.load, p.Sheets
	if t["Parts"] != nil && t["Goes"] != nil {
		l.Models, l.Places = nil, nil
		l.Parts.drop()
	}
	if t["Donors"] != nil {
		l.Goes.drop()
	}
	if t["Bags"] != nil {
		l.Donors.drop()
		l.Seen.drop()
	}
	if t["Moves"] != nil {
		l.Jobs.drop()
		if len(l.Notes)+len(l.Steps)+len(l.Counts)+len(l.Papers)+len(l.Pictures) == 0 { // which name them
			p.here.codes[bBag], p.here.codes[bDonor], p.here.codes[bPlace] = nil, nil, nil
		}
	}
}

func (p *Plan) problem(sheet string, i int, heading, format string, args ...any) {
	p.advised("", sheet, i, heading, format, args...)
}

// advised notes a problem of a kind about which something can be done.
func (p *Plan) advised(kind ReasonKind, sheet string, i int, heading, format string, args ...any) {
	name, cell, value := p.cell(sheet, i, heading)
	p.Problems = append(p.Problems, Problem{Sheet: name, Cell: cell, Value: value, Problem: fmt.Sprintf(format, args...), Kind: kind})
	p.tally(sheet).Refused++
}

// planSheet sorts the records of one sheet into new, changed and same. What a
// cell leaves empty stays as it is.
func planSheet[T any](p *Plan, k *kindOf[T], recs iter.Seq2[int, T]) error {
	p.tally(k.sheet)
	list := toPutOf(p, k)
	for i, rec := range recs {
		t := p.rowTally(k.sheet, i)
		was, now, changed, err := planned(p, k, rec)
		switch {
		case err != nil:
			return err
		case p.refused(k.sheet, i, k.breaches(p, was, now)), p.load.Again[k.sheet][i]:
		case was != nil && !changed:
			t.Same++
		case was != nil:
			t.Changed++
			list.Add(now)
		default:
			t.New++
			if p.bulk != nil {
				p.packer.record(now)
			} else {
				list.Add(now)
			}
		}
	}
	return nil
}

// planParts refuses to make a part that is here a second name: what is booked of it would
// stay behind.
func (p *Plan) planParts() error {
	for i, x := range p.load.Parts.All() {
		if x.Same == "" || p.view == nil || !p.view.has(bPart, x.Code) {
			continue
		}
		if was, err := byCode[Part](p.view, bPart, x.Code); err != nil {
			return err
		} else if was.Same != x.Same {
			p.advised(ByItself, "Parts", i, "Same as", "%s is a part by itself here", x.Code)
		}
	}
	return planSheet(p, partKind, p.load.Parts.All())
}

// planned is a record as it is, nil for none, and as a row makes it.
func planned[T any](p *Plan, k *kindOf[T], rec T) (was *T, now T, changed bool, err error) {
	if p.view != nil {
		if was, err = k.stored(p.view, k.key(rec)); err != nil {
			return was, now, false, err
		}
	}
	if now = rec; was != nil {
		now, changed = merge(*was, rec)
	} else if k.fresh != nil {
		k.fresh(&now)
	}
	if k.tidy != nil {
		if said := k.tidy(&now, was); said != "" {
			p.Said, changed = append(p.Said, said), was != nil && !reflect.DeepEqual(*was, now)
		}
	}
	return was, now, changed, nil
}

// refused makes problems of what is wrong with a row, which is refused once,
// whatever is wrong with it.
func (p *Plan) refused(sheet string, i int, all []*Breach) bool {
	for _, b := range all {
		name, cell, value := p.cell(sheet, i, b.Heading)
		said := Problem{Sheet: name, Cell: cell, Value: value, Problem: b.Error()}
		if e, ok := errors.AsType[*Refusal](b); ok {
			said.Kind = e.Reason.Kind
		}
		p.Problems = append(p.Problems, said)
	}
	if len(all) > 0 && !p.load.Again[sheet][i] {
		p.tally(sheet).Refused++
	}
	return len(all) > 0
}

// keep notes a record of its own.
func (p *Plan) keep(rec any) {
	if p.bulk != nil {
		p.packer.record(rec)
		return
	}
	p.own = append(p.own, rec)
}

// planBags takes new bags in and holds those that are there against what was
// booked in.
func (p *Plan) planBags() error {
	p.tally("Bags")
	list := toPutOf(p, bagKind)
	for i, b := range p.load.Bags.All() {
		t := p.rowTally("Bags", i)
		was, now, changed, err := planned(p, bagKind, b)
		if err != nil {
			return err
		}
		if was == nil {
			if now.Split != "" && !p.here.split.Has(now.Code) {
				now.Split = "" // no movement says so
			}
			p.say(i, &now)
		}
		all := bagKind.breaches(p, was, now)
		if was != nil {
			all = append(all, p.booked(*was, b)...)
		}
		switch {
		case p.refused("Bags", i, all), p.load.Again["Bags"][i]:
		case was == nil:
			t.New++
			p.bags.Add(now)
		case changed:
			t.Changed++
			list.Add(now)
		default:
			t.Same++
		}
	}
	return nil
}

// say gives a new bag the quantity of those of which nobody said it.
func (p *Plan) say(i int, b *Bag) {
	switch {
	case b.Quantity != 0 || p.stirred(b.Code):
	case p.load.Empty[i]:
		p.here.stirs.Add(b.Code) // the rule asks no more
	case p.load.Unsaid.N == 0:
		p.Unsaid++
	default:
		b.Quantity, b.About = p.load.Unsaid.N, p.load.Unsaid.About
	}
}

// booked refuses cells of a bag that differ from what was booked in.
func (p *Plan) booked(old, b Bag) (out []*Breach) {
	said := func(heading string, differs bool, was, how string, kind ReasonKind) {
		if differs {
			out = append(out, &Breach{bBag, nil, heading, refuseAs(kind, "bag %s was booked in with %s; %s", b.Code, or(was, "nothing"), how)})
		}
	}
	said("Quantity", b.Quantity != 0 && b.Quantity != old.Quantity, Amount(old.Quantity, old.Unit, old.About), "what is there now is for count to say", Recounted)
	said("About", b.About && !old.About, "an exact quantity", "what is there now is for count to say", Recounted)
	said("Place", b.Place != "" && b.Place != old.Place, string(old.Place), "a list moves no bag", Relisted)
	said("Grade", b.Grade != "" && b.Grade != old.Grade, old.Grade, "a grade changes for a reason", Regraded)
	said("Part", b.Part != "" && b.Part != old.Part, string(old.Part), "a bag keeps its part", "")
	said("Origin", b.Origin != "" && b.Origin != old.Origin, old.Origin, "a bag keeps its origin", "")
	said("Unit", b.Unit != "" && b.Unit != old.Unit, old.Unit, "a bag keeps its unit", "")
	said("Split from", b.Split != "" && b.Split != old.Split, string(old.Split), "what it was split from stays", "")
	said("Cut from", b.Cut != "" && b.Cut != old.Cut, string(old.Cut), "what it was cut from stays", "")
	said("Booked", b.Booked != 0 && b.Booked != old.Booked, old.Booked.String(), "the day stays", "")
	return out
}

// planMoves finds which rows are movements the book has not, and folds them
// into their bags day by day.
func (p *Plan) planMoves() error {
	t := p.tally("Moves")
	if p.view == nil && !p.load.Moves.shifts() {
		return p.packBags()
	}
	order, err := p.newMoves()
	if err != nil {
		return err
	}
	p.numberAll(order)
	p.inTurn(order)
	p.states = make(map[code.Code]*State, p.bags.Len())
	slab := make([]State, p.bags.Len())
	first := p.firstDays(order)
	for i, b := range p.bags.All() {
		p.states[b.Code] = &slab[i]
		if b.Split != "" {
			slab[i] = start(b)
		} else if !p.startNew(b, p.bagNumber(i), first) {
			p.problem("Bags", i, "Quantity", "bag %s cannot begin like this", b.Code)
		}
	}
	begun := p.bags.Len()
	for _, i := range order {
		before := t.Refused
		e := p.load.Moves.At(int(i))
		e.Seq, e.By = p.rowNumber(i, begun+len(p.rows)), or(e.By, p.head.By) // as it will stand in the book
		p.move(int(i), e)
		if t.Refused > before {
			t.Refused = before + 1
			continue
		}
		t.New++
		p.rows = append(p.rows, i)
	}
	return nil
}

// unread says whether the balance of a bag cannot be judged: its own row
// cannot be read, or a movement that this one may give back.
func (p *Plan) unread(bag code.Code, what What) bool {
	back := what == Returned || what == Unheld
	return slices.Contains(p.load.Flawed["Bags"], bag) || back && slices.Contains(p.load.Flawed["Moves"], bag)
}

// firstDays finds the first move of every new bag without a booking day.
func (p *Plan) firstDays(order []int32) map[code.Code]code.Day {
	undated := map[code.Code]code.Day{}
	for _, b := range p.bags.All() {
		if b.Booked == 0 {
			undated[b.Code] = p.head.Day
		}
	}
	if len(undated) == 0 {
		return undated
	}
	for _, i := range order {
		e := p.load.Moves.At(int(i))
		bags := [2]code.Code{e.Bag, ""}
		if e.What == Split || e.What == Joined {
			bags[1] = code.Code(e.To)
		}
		for _, b := range bags {
			if d, ok := undated[b]; ok && e.Day < d {
				undated[b] = e.Day
			}
		}
	}
	return undated
}

// firstEntry is the entry that books a new bag in, on a day where the bag has none.
func (p *Plan) firstEntry(b Bag, day code.Day) Entry {
	if b.Booked != 0 {
		day = b.Booked
	}
	return Entry{What: In, Bag: b.Code, Quantity: b.Quantity, About: b.About, Day: day, By: b.By, First: true}
}

// bagNumber is the number of the entry that books a new bag in.
func (p *Plan) bagNumber(i int) uint64 {
	if p.numbered != nil {
		return p.numbered.bags[i]
	}
	return p.number(i)
}

// rowNumber is the number of a row of Moves, which is the nth that is entered.
func (p *Plan) rowNumber(row int32, nth int) uint64 {
	if p.numbered != nil {
		return p.numbered.rows[row]
	}
	return p.number(nth)
}

// inOrder calls fn for the entries that book new bags in and for the new rows of Moves,
// in the order of their numbers.
func (p *Plan) inOrder(undated map[code.Code]code.Day, fn func(Entry) error) error {
	bag := func(b Bag) error {
		if b.Split != "" {
			return nil
		}
		return fn(p.firstEntry(b, undated[b.Code]))
	}
	if p.numbered == nil {
		for _, b := range p.bags.All() {
			if err := bag(b); err != nil {
				return err
			}
		}
		for _, i := range p.rows {
			if err := fn(p.load.Moves.At(int(i))); err != nil {
				return err
			}
		}
		return nil
	}
	for _, what := range p.numbered.order {
		var err error
		if what >= 0 {
			err = bag(p.bags.At(int(what)))
		} else {
			err = fn(p.load.Moves.At(int(^what)))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// number is the number the i-th entry of the workbook will have: all of the
// bags, then all movements.
func (p *Plan) number(i int) uint64 {
	if p.view == nil {
		return uint64(i + 1)
	}
	return p.view.meta("entry") + uint64(i+1)
}

func (p *Plan) startNew(b Bag, seq uint64, undated map[code.Code]code.Day) bool {
	e := p.firstEntry(b, undated[b.Code])
	e.Seq = seq
	st, err := fold(start(b), e)
	*p.states[b.Code] = st
	return err == nil
}

// move checks one new movement and folds it.
func (p *Plan) move(i int, e Entry) {
	to := code.Code(e.To)
	shifts := e.What == Split || e.What == Joined
	all := entryKind.breaches(p, nil, e)
	if e.What == Split && p.has(bBag, e.Bag) && !p.has(bBag, to) {
		p.splitOff(e)
	}
	absent := func(heading string, bag code.Code) {
		if !p.has(bBag, bag) {
			all = append(all, &Breach{bEntry, nil, heading, Absent("there is no bag %s%s", bag, p.nowhere())})
		}
	}
	absent("Bag", e.Bag)
	if shifts && to != "" {
		absent("To", to)
	}
	if p.refused("Moves", i, all) {
		return
	}
	p.foldMove(i, e.Bag, e)
	if shifts {
		p.foldMove(i, to, e)
	}
}

// splitOff makes the record of a bag that a split made and that has no row.
func (p *Plan) splitOff(e Entry) {
	b, st, err := p.bagNow(e.Bag)
	if err != nil {
		return
	}
	n := inherit(b, st, code.Code(e.To))
	p.here.note(bBag, n.Code)
	p.bags.Add(n)
	st = start(n)
	p.states[n.Code] = &st
}

// bagNow is a bag and its state as planned so far.
func (p *Plan) bagNow(c code.Code) (Bag, State, error) {
	for _, b := range p.bags.All() {
		if b.Code == c {
			return b, *p.states[c], nil
		}
	}
	if p.view == nil {
		return Bag{}, State{}, ErrNotFound
	}
	b, err := p.view.Bag(c)
	if err != nil {
		return b, State{}, err
	}
	if st := p.states[c]; st != nil {
		return b, *st, nil
	}
	st, err := p.view.State(c)
	return b, st, err
}

func (p *Plan) foldMove(i int, bag code.Code, e Entry) {
	var st State
	planned := p.states[bag]
	if planned != nil {
		st = *planned
	}
	old := false
	if p.view != nil {
		was, err := p.view.State(bag)
		if old = err == nil; old && planned == nil {
			st = was
		}
	}
	now, err := fold(st, e)
	if e.Day < st.LastDay && old {
		now, err = p.backdated(bag, e)
	}
	if p.unread(bag, e.What) || planned == nil && !old {
		return // a row of this bag cannot be read: its balance is not judged
	}
	if err != nil {
		p.problem("Moves", i, "Quantity", "%v on %s", err, e.Day)
		return
	}
	if planned == nil {
		planned = new(State)
		p.states[bag] = planned
	}
	*planned = now
	if old {
		p.pending[bag] = append(p.pending[bag], e)
	}
}

// backdated folds the whole book of a bag with the new entries among the old.
func (p *Plan) backdated(bag code.Code, e Entry) (State, error) {
	b, err := p.view.Bag(bag)
	if err != nil {
		return State{}, err
	}
	all, err := p.view.EntriesOf(bag)
	if err != nil {
		return State{}, err
	}
	return foldBook(b, append(append(all, p.pending[bag]...), e))
}

func (p *Plan) planWants() error {
	nth := map[string]int64{}
	l := p.load
	for i := range l.Wants {
		w := &l.Wants[i]
		k := string(keyWant(Want{Date: w.Date, Part: w.Part, Model: w.Model, Job: w.Job}))
		w.Nth = max(w.Nth, nth[k])
		nth[k] = w.Nth + 1
	}
	return planSheet(p, wantKind, slices.All(l.Wants))
}

// TakeIn takes a planned workbook into the store that p was planned on, as one
// booking.
func (t *Tx) TakeIn(p *Plan) error {
	t.planned = true
	if err := p.keepPhotos(t.tx.DB().Path()); err != nil {
		return err
	}
	if len(p.Readings) > 0 {
		return t.readPlanned(p)
	}
	for _, list := range p.put {
		if err := list.putAll(t); err != nil {
			return err
		}
	}
	for _, rec := range p.own {
		if err := t.Put(rec); err != nil {
			return err
		}
	}
	undated := p.firstDays(p.rows)
	for _, b := range p.bags.All() {
		if err := t.Put(b); err != nil {
			return err
		}
	}
	return p.inOrder(undated, t.Enter)
}
