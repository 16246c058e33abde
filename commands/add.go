package commands

import (
	"maps"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// newName cuts the arguments of add into a code and the words behind it.
func newName(c *call, codeOnly bool) (own code.Code, name string, err error) {
	args := c.Args()
	if len(args) > 0 && (line.IsCode(args[0]) || codeOnly || len(args) == 1 && shouted(args[0])) {
		if own, err = code.Parse(args[0]); err != nil {
			return "", "", line.AsUsage(err)
		}
		args = args[1:]
	}
	if codeOnly && len(args) > 0 {
		return "", "", line.Usagef("%s does not know what %q is for", c.Name, args[0])
	}
	return own, strings.Join(args, " "), nil
}

// shouted tells whether a word is written in capitals, as codes are.
func shouted(s string) bool { return s == strings.ToUpper(s) && s != strings.ToLower(s) }

// A kindOf is a kind of thing that add makes and edit changes.
type kindOf[R any] struct {
	kind  string
	words string // the column that words behind the code fill, if any
	read  func(*store.View, code.Code) (R, error)
	// follows sets what follows from the flags of an edit, if anything.
	follows func(c *call, was R, now *R) error
}

// add makes a new record.
func (k kindOf[R]) add(c *call) error {
	own, preset, err := k.preset(c)
	if err != nil {
		return err
	}
	return bookThing(c, true, "added", func(l *lookup, t *store.Tx) (ref store.Ref) {
		if ref.Kind = k.kind; l.Err == nil {
			ref.Code, l.Err = t.OwnCode(k.kind, own)
		}
		preset[ownColumn(k.kind)] = string(ref.Code)
		var rec R
		if rec = filled(l, ownColumn(k.kind), rec, preset); l.Err == nil {
			store.Begin(&rec, t.Day())
			l.Err = k.put(t, rec)
		}
		return ref
	})
}

// put writes a record; a bag is booked in with its pieces.
func (k kindOf[R]) put(t *store.Tx, rec R) error {
	if b, ok := any(rec).(store.Bag); ok {
		_, err := t.PutIn(b)
		return err
	}
	return t.Put(rec)
}

// preset reads the arguments of add: the code, and the words behind it.
func (k kindOf[R]) preset(c *call) (code.Code, map[string]string, error) {
	own, name, err := newName(c, k.words == "")
	if err == nil && own == "" && name == "" && !anyFlag(c) {
		err = c.Want(1, -1)
	}
	if err != nil {
		return "", nil, err
	}
	texts := map[string]string{}
	if name == "" {
		return own, texts, nil
	}
	if c.IsSet(flagFor(k.words)) {
		return "", nil, line.Usagef("the words %q and --%s say the same: write one", name, flagFor(k.words))
	}
	if texts[k.words], err = store.CleanText(name); err != nil {
		return "", nil, line.AsUsage(err)
	}
	return own, texts, nil
}

// edit changes the fields of a record whose flags are given.
func (k kindOf[R]) edit(l *lookup, t *store.Tx, own code.Code) {
	l.Keep(foreign[R](l.call, k.kind))
	was := asked(l, k.read, own)
	now := filled(l, ownColumn(k.kind), was, nil)
	if store.KeepUntold(was, &now); k.follows != nil && l.Err == nil {
		l.Err = k.follows(l.call, was, &now)
	}
	if l.Err == nil {
		l.Err = t.Put(now)
	}
}

// note is the standing note of a record of the kind, empty for none.
func (k kindOf[R]) note(v *store.View, own code.Code) string {
	rec, _ := k.read(v, own) // one that is not there has none
	for _, f := range sheet.Fields[R]() {
		if f.Heading == "Note" {
			return f.Get(&rec)
		}
	}
	return ""
}

var (
	partKind  = kindOf[store.Part]{kind: "part", words: "Name", read: (*store.View).Part, follows: countedFirst}
	bagKind   = kindOf[store.Bag]{kind: "bag", read: (*store.View).Bag}
	modelKind = kindOf[store.Model]{kind: "model", words: "Name", read: (*store.View).Model}
	placeKind = kindOf[store.Place]{kind: "place", words: "Where", read: (*store.View).Place}
	donorKind = kindOf[store.Donor]{kind: "donor", read: (*store.View).Donor}
	jobKind   = kindOf[store.Job]{kind: "job", read: (*store.View).Job, follows: reopened}
)

// kindCalled is one of them by its name.
func kindCalled(kind string) interface {
	edit(l *lookup, t *store.Tx, own code.Code)
	note(v *store.View, own code.Code) string
} {
	switch kind {
	case "part":
		return partKind
	case "bag":
		return bagKind
	case "model":
		return modelKind
	case "place":
		return placeKind
	case "donor":
		return donorKind
	}
	return jobKind
}

// reopened opens a job again whose state is set, and sets lines of its estimate.
func reopened(c *call, was store.Job, now *store.Job) error {
	if c.IsSet("state") {
		store.Reopened(was, now)
	}
	return estimateLines(c, now)
}

func addBag(c *call) error {
	if day := c.String("booked"); day != "" {
		if c.String("at") != "" && c.String("at") != day {
			return line.Usagef("--booked and --at say two days: write one")
		}
		c.Set("at", day)
	}
	return bagKind.add(c)
}

// bookOnly are the columns of a bag that the book decides, with the command for
// each.
var bookOnly = map[string]string{"quantity": "count", "unit": "count", "about": "count", "grade": "grade", "place": "move", "booked": "undo"}

// editFlags are the columns of every kind of thing.
func editFlags() []*line.Flag {
	var all []*line.Flag
	for _, flags := range []func() []*line.Flag{flagsFor[store.Part]("Part"), flagsFor[store.Bag]("Bag", "About"), flagsFor[store.Model]("Model"),
		flagsFor[store.Place]("Place"), flagsFor[store.Donor]("Donor"), flagsFor[store.Job]("Job")} {
		for _, f := range flags() {
			if line.Named(all, f.Name) == nil {
				all = append(all, f)
			}
		}
	}
	return all
}

func editThing(c *call) error {
	if !anyFlag(c) {
		return line.Usagef("edit changes what a flag says, and none is given: see tinful help edit")
	}
	if strings.EqualFold(c.Args()[0], "shop") {
		return editShop(c)
	}
	var ref store.Ref
	var was, now, typed string
	err := bookThing(c, false, "changed", func(l *lookup, t *store.Tx) store.Ref {
		if ref = l.thing(c.Args()[0]); l.Err != nil {
			return ref
		}
		kind := kindCalled(ref.Kind)
		was, typed = kind.note(l.View, ref.Code), string(t.Typed(ref.Kind, ref.Code))
		ofTheBook(l, ref)
		kind.edit(l, t, ref.Code)
		now = kind.note(l.View, ref.Code)
		return ref
	})
	if err == nil && was != now {
		sayNote(c, ref, typed, was)
	}
	return err
}

// sayNote says that an edit changed the standing note, which is no dated remark.
func sayNote(c *call, ref store.Ref, typed, was string) {
	text := "the standing note is set"
	if was != "" {
		text = "the standing note is changed; it was: " + was
	}
	if ref.Kind != "model" {
		text += "; what is remarked on a day stands beside it: tinful note " + typed
	}
	c.Notef("%s", text)
}

// ofTheBook refuses to edit what of a bag follows from the book.
func ofTheBook(l *lookup, ref store.Ref) {
	for flag, command := range bookOnly {
		if ref.Kind == "bag" && l.IsSet(flag) {
			l.Keep(refusef("%s of bag %s follows from the book: use %s", flag, ref.Code, command))
		}
	}
}

// countFirst is the flag of a part's field that stands in no sheet.
const countFirst = "count-first"

// countedFirst sets that field.
func countedFirst(c *call, _ store.Part, now *store.Part) error {
	word := strings.ToLower(c.String(countFirst))
	if c.IsSet(countFirst) && word != "yes" && word != "no" {
		return line.Usagef("--%s is yes or no, not %q", countFirst, c.String(countFirst))
	}
	now.CountFirst = word == "yes" || word == "" && now.CountFirst
	return nil
}

// bookThing books a change of a thing of the catalogue and says what was done.
func bookThing(c *call, create bool, done string, fn func(*lookup, *store.Tx) store.Ref) error {
	var ref store.Ref
	name := ""
	res, err := c.book(create, func(t *store.Tx) error {
		return c.over(&t.View, func(l *lookup) {
			ref = fn(l, t)
			name = ask.Title(&t.View, ref)
		})
	})
	if err != nil {
		return err
	}
	return toldOf(c, res, ref, name, done)
}

// toldOf says what a change of a thing of the catalogue did; name is what it is called.
func toldOf(c *call, res store.Result, ref store.Ref, name, done string) error {
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{ref.Kind: ref.Code}))
	}
	if res.Booking.Number == 0 {
		c.Printf("%s: nothing to change\n", ref.Code)
		return nil
	}
	if ref.Kind == "bag" && done == "added" {
		return tell.Booked(c.Screen, res)
	}
	lines := tell.WithUndo([]string{strings.TrimSpace(string(ref.Code)+" "+name) + "   " + done}, res)
	c.Println(strings.Join(append(lines, tell.Shortages(res)...), "\n"))
	return nil
}

// catalogueAnswer is the JSON of a booking with more beside it.
func catalogueAnswer(res store.Result, more map[string]any) map[string]any {
	r := tell.BookedAnswer(res)
	answer := map[string]any{"booking": r.Booking, "entries": r.Entries, "bags": r.Bags, "short": r.Short}
	maps.Copy(answer, more)
	return answer
}
