package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A kind says how a cell of a column is read from a workbook.
type kind uint8

const (
	asText   kind = iota // as shown: a number with its format, a day as 2031-08-31
	asCode               // likewise, but a day or a power was made of it by the spreadsheet
	asNumber             // as stored, at 15 digits
	asDay                // a day as 2031-08-31
)

// A column is one heading of a sheet with the field of the record it stands for.
type column[R any] struct {
	heading string
	kind    kind
	need    bool // a row without it says nothing
	get     func(*R) string
	set     func(*R, string) error
	inch    string                 // the heading that reads inches, if any
	setInch func(*R, string) error // and what reads its cells
	filled  func(*R)               // gives a new record what an empty cell stands for, if anything
	words   func() []string        // what a cell may hold, where that is a list: made when it is asked for
	money   bool
	aside   bool // in a workbook it stands behind what is printed: paper has no room for all
	tells   bool // what of a row is empty tells it apart as well
	book    bool // no flag of add and edit gives it: it is there so that a store can be made whole again
}

func (c column[R]) telling() column[R] { c.tells = true; return c }

// kept is a column that is there so that a store can be made whole again.
func (c column[R]) kept() column[R] { c.aside, c.book = true, true; return c }

func (c column[R]) required() column[R] { c.need = true; return c }
func (c column[R]) asCode() column[R]   { c.kind = asCode; return c }

// noPaper keeps a column out of what is printed: it stands behind, on the screen.
func (c column[R]) noPaper() column[R] { c.aside = true; return c }

// otherwise says what an empty cell stands for in a new record. Reading leaves an
// empty cell empty, as the record may be there already.
func (c column[R]) otherwise(fill func(*R)) column[R] { c.filled = fill; return c }

// A head is what a table tells of a column.
type head struct {
	name, inch string
	kind       kind
	need       bool
	words      []string
	money      bool
	aside      bool
	tells      bool // it tells the row from others of its sheet
}

// headed is the column that is called so, -1 for none.
func headed(heads []head, name string) int {
	return slices.IndexFunc(heads, func(h head) bool { return h.name == name })
}

// A flaw is one cell of a record that cannot be taken in.
type flaw struct {
	col     int // of the table
	problem string
}

// A table is a sheet: its columns in order and the records it holds.
type table interface {
	title() string
	heads() []head
	// take adds the record of a row to load, and returns its code if it has one
	// of its own. With flaws it adds nothing.
	take(load *store.Load, cell func(col int) (text string, inches bool, problem string)) (code.Code, []flaw)
	// show returns the text of a cell of record i.
	show(load *store.Load, i, col int) string
	// each calls row with the cells of every record of src, which are only good
	// until it returns.
	each(src Source, row func(cells []string) error) error
	// differ lists the columns in which two records of the sheet differ.
	differ(old, now any) []Change
	// packs says that its records lie packed.
	packs() bool
	// count counts the records of src.
	count(src Source) (int, error)
}

// A loaded is the records of one sheet in a load.
type loaded[R any] interface {
	Len() int
	Add(R)
	At(i int) *R
}

// A listOf is those that lie in a list.
type listOf[R any] []R

func (l *listOf[R]) Len() int    { return len(*l) }
func (l *listOf[R]) Add(r R)     { *l = append(*l, r) }
func (l *listOf[R]) At(i int) *R { return &(*l)[i] }

// in finds a list of a load.
func in[R any](list func(*store.Load) *[]R) func(*store.Load) loaded[R] {
	return func(l *store.Load) loaded[R] { return (*listOf[R])(list(l)) }
}

// A long is those that lie packed.
type long[R any] struct{ store.Rows[R] }

func (l long[R]) At(i int) *R { r := l.Rows.At(i); return &r }

type sheetOf[R any] struct {
	name    string
	columns []column[R]
	list    func(*store.Load) loaded[R]
	spare   sync.Pool          // of *R, that are filled anew
	own     func(*R) code.Code // the code of the record itself; nil where it has none
	check   func(r *R, empty func(heading string) bool) (heading, problem string)
	walk    func(Source, func(R) error) error
}

func (t *sheetOf[R]) title() string { return t.name }

func (t *sheetOf[R]) heads() []head {
	var hs []head
	for _, c := range t.columns {
		h := head{name: c.heading, inch: c.inch, kind: c.kind, need: c.need, money: c.money, aside: c.aside, tells: c.need || c.tells}
		if c.words != nil {
			h.words = c.words()
		}
		hs = append(hs, h)
	}
	return hs
}

func (t *sheetOf[R]) column(heading string) int {
	return slices.IndexFunc(t.columns, func(c column[R]) bool { return c.heading == heading })
}

func (t *sheetOf[R]) take(load *store.Load, cell func(int) (string, bool, string)) (code.Code, []flaw) {
	r, _ := t.spare.Get().(*R)
	if r == nil {
		r = new(R)
	}
	defer t.spare.Put(r)
	*r = *new(R)
	var flaws []flaw
	for i := range t.columns {
		c := &t.columns[i]
		text, inches, problem := cell(i)
		var err error
		switch {
		case problem != "":
			err = errors.New(problem)
		case text == "" && c.need:
			err = errors.New("is empty: every row needs it")
		case text == "":
		default:
			if err = plain(text); err != nil {
				break
			}
			set := c.set
			if inches {
				set = c.setInch
			}
			err = set(r, text)
		}
		if err != nil {
			flaws = append(flaws, flaw{i, err.Error()})
		}
	}
	if len(flaws) > 0 {
		return "", flaws
	}
	if t.check != nil {
		empty := func(heading string) bool { text, _, _ := cell(t.column(heading)); return text == "" }
		if heading, problem := t.check(r, empty); problem != "" {
			return "", []flaw{{t.column(heading), problem}}
		}
	}
	var own code.Code
	if t.own != nil {
		own = t.own(r)
	}
	t.list(load).Add(*r)
	return own, nil
}

func (t *sheetOf[R]) show(load *store.Load, i, col int) string {
	list := t.list(load)
	if i < 0 || i >= list.Len() || col < 0 || col >= len(t.columns) {
		return ""
	}
	return t.columns[col].get(list.At(i))
}

func (t *sheetOf[R]) each(src Source, row func([]string) error) error {
	if src == nil {
		return nil
	}
	cells := make([]string, len(t.columns))
	return t.walk(src, func(r R) error {
		for i := range t.columns {
			cells[i] = t.columns[i].get(&r)
		}
		return row(cells)
	})
}

func (t *sheetOf[R]) packs() bool {
	_, is := t.list(&store.Load{}).(long[R])
	return is
}

func (t *sheetOf[R]) count(src Source) (n int, err error) {
	if src != nil {
		err = t.walk(src, func(R) error { n++; return nil })
	}
	return n, err
}

// tables are the sheets in the order of [store.Sheets].
var tables = sync.OnceValue(func() []table {
	return []table{models(), places(), parts(), goes(), donors(), seen(), bags(), jobs(), moves(), wants(),
		remarks(), steps(), signs(), olds(), counts(), readings(), makings(), papers(), pictures()}
})

// besides are the sheets that a workbook has only where they hold something.
var besides = store.Sheets[10:]

func models() table {
	type R = store.Model
	return &sheetOf[R]{name: "Models", columns: []column[R]{
		codeOf("Model", func(r *R) *code.Code { return &r.Code }).required(),
		wordOf("Kind", "kind", store.Kinds, func(r *R) *string { return &r.Kind }),
		textOf("Maker", func(r *R) *string { return &r.Maker }),
		textOf("Name", func(r *R) *string { return &r.Name }),
		textOf("Family", func(r *R) *string { return &r.Family }).noPaper(),
		textsOf("Aliases", func(r *R) *[]string { return &r.Aliases }).noPaper(),
		textOf("Years", func(r *R) *string { return &r.Years }),
		numberOf("Numbers", func(r *R) *string { return &r.Numbers }),
		codesOf("Carries", func(r *R) *[]code.Code { return &r.Carries }),
		textOf("Scale", func(r *R) *string { return &r.Scale }).noPaper(),
		textOf("Thread form", func(r *R) *string { return &r.Form }),
		textOf("Told by", func(r *R) *string { return &r.ToldBy }),
		textOf("Tools", func(r *R) *string { return &r.Tools }),
		textOf("Hazard", func(r *R) *string { return &r.Hazard }),
		textOf("Note", func(r *R) *string { return &r.Note }),
	},
		list: in(func(l *store.Load) *[]R { return &l.Models }), own: func(r *R) code.Code { return r.Code }, walk: Source.EachModel}
}

func places() table {
	type R = store.Place
	return &sheetOf[R]{name: "Places", columns: []column[R]{
		codeOf("Place", func(r *R) *code.Code { return &r.Code }).required(),
		textOf("Where", func(r *R) *string { return &r.Where }),
		textOf("For", func(r *R) *string { return &r.For }),
	},
		list: in(func(l *store.Load) *[]R { return &l.Places }), own: func(r *R) code.Code { return r.Code }, walk: Source.EachPlace}
}

func parts() table {
	type R = store.Part
	columns := []column[R]{
		codeOf("Part", func(r *R) *code.Code { return &r.Code }).required(),
		textOf("Name", func(r *R) *string { return &r.Name }),
		classColumn(),
		wordOf("Seat", "seat", store.Seats, func(r *R) *string { return &r.Seat }),
		textsOf("Aliases", func(r *R) *[]string { return &r.Aliases }).noPaper(),
		textsOf("Maker no", func(r *R) *[]string { return &r.MakerNos }).asCode().noPaper(),
	}
	for _, info := range dim.Table() {
		columns = append(columns, dimColumn(info))
	}
	columns = append(columns,
		wordOf("Runs", "runs", store.Sides, func(r *R) *string { return &r.Runs }).noPaper(),
		wordOf("Up", "up", store.Sides, func(r *R) *string { return &r.Up }).noPaper(),
		lengthOf("Corner", dim.Width, func(r *R, n int64) { r.Corner = n }, func(r *R) (int64, bool) { return r.Corner, r.Corner != 0 }),
		lengthOf("Rim", dim.Thick, func(r *R, n int64) { r.Rim = n }, func(r *R) (int64, bool) { return r.Rim, r.Rim != 0 }),
		spotsOf("Holes", func(r *R) *[]dim.Spot { return &r.Holes }),
		codeOf("Mirror", func(r *R) *code.Code { return &r.Mirror }).noPaper(),
		countOfPtr("Keep", func(r *R) **int64 { return &r.Keep }),
		countOf("Weeks to find", func(r *R) *int64 { return &r.Weeks }).noPaper(),
		centsOf("Value", func(r *R) **code.Cents { return &r.Value }),
		codeOf("Twin", func(r *R) *code.Code { return &r.Twin }).noPaper(),
		codesOf("Holds", func(r *R) *[]code.Code { return &r.Holds }).noPaper(),
		textOf("Hazard", func(r *R) *string { return &r.Hazard }),
		textOf("Note", func(r *R) *string { return &r.Note }),
		codeOf("Same as", func(r *R) *code.Code { return &r.Same }).kept(),
		yesOf("Count first", func(r *R) *bool { return &r.CountFirst }).kept(),
	)
	return &sheetOf[R]{name: "Parts", columns: columns,
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Parts} }, own: func(r *R) code.Code { return r.Code }, walk: Source.EachPart}
}

func goes() table {
	type R = store.Goes
	return &sheetOf[R]{name: "Goes", columns: []column[R]{
		codeOf("Part", func(r *R) *code.Code { return &r.Part }).required(),
		codeOf("Model", func(r *R) *code.Code { return &r.Model }).required(),
		degreesColumn(),
		countOfPtr("Per body", func(r *R) **int64 { return &r.PerBody }),
		textOf("Where", func(r *R) *string { return &r.Where }),
		numberOf("From no", func(r *R) *string { return &r.From }).telling(),
		numberOf("To no", func(r *R) *string { return &r.To }).telling(),
		textOf("Operation", func(r *R) *string { return &r.Operation }),
		wordOf("Evidence", "evidence", store.Evidences, func(r *R) *string { return &r.Evidence }),
		textOf("By", func(r *R) *string { return &r.By }),
		dayOf("Date", func(r *R) *code.Day { return &r.Date }),
		textOf("Note", func(r *R) *string { return &r.Note }),
	},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Goes} }, walk: Source.EachGoes}
}

func donors() table {
	type R = store.Donor
	return &sheetOf[R]{name: "Donors", columns: []column[R]{
		codeOf("Donor", func(r *R) *code.Code { return &r.Code }).required(),
		codeOf("Model", func(r *R) *code.Code { return &r.Model }),
		dayOf("Bought", func(r *R) *code.Day { return &r.Bought }),
		textOf("From", func(r *R) *string { return &r.From }),
		textOf("Lot", func(r *R) *string { return &r.Lot }).noPaper(),
		centsOf("Price", func(r *R) **code.Cents { return &r.Price }),
		centsOf("Post", func(r *R) **code.Cents { return &r.Post }),
		numberOf("Body no", func(r *R) *string { return &r.BodyNo }),
		codeOf("Shutter", func(r *R) *code.Code { return &r.Shutter }),
		numberOf("Shutter no", func(r *R) *string { return &r.ShutterNo }).noPaper(),
		codeOf("Lens", func(r *R) *code.Code { return &r.Lens }),
		numberOf("Lens no", func(r *R) *string { return &r.LensNo }).noPaper(),
		wordOf("History", "history", store.Histories, func(r *R) *string { return &r.History }),
		wordOf("State", "state", store.DonorStates, func(r *R) *string { return &r.State }),
		textOf("Owner", func(r *R) *string { return &r.Owner }).otherwise(func(r *R) { r.Owner = store.Own }),
		codeOf("Place", func(r *R) *code.Code { return &r.Place }),
		centsOf("Worth", func(r *R) **code.Cents { return &r.Worth }),
		dayOf("Booked", func(r *R) *code.Day { return &r.Booked }).noPaper(),
		textOf("Note", func(r *R) *string { return &r.Note }),
		textOf("Bought for", func(r *R) *string { return &r.Why }).kept(),
		dayOf("Shared", func(r *R) *code.Day { return &r.Frozen }).kept(),
		centsOf("Carcass", func(r *R) **code.Cents { return &r.Carcass }).kept(),
	},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Donors} }, own: func(r *R) code.Code { return r.Code }, walk: Source.EachDonor}
}

func seen() table {
	type R = store.Seen
	return &sheetOf[R]{name: "Seen", columns: []column[R]{
		codeOf("Donor", func(r *R) *code.Code { return &r.Donor }).telling(),
		codeOf("Part", func(r *R) *code.Code { return &r.Part }).required(),
		wordOf("Seen", "seen", store.SeenWords, func(r *R) *string { return &r.Seen }),
		dayOf("Date", func(r *R) *code.Day { return &r.Date }),
		textOf("Note", func(r *R) *string { return &r.Note }),
		codeOf("Job", func(r *R) *code.Code { return &r.Job }).telling(),
	},
		check: func(r *R, _ func(string) bool) (heading, problem string) {
			switch {
			case r.Donor == "" && r.Job == "":
				return "Donor", "is empty: on which parts camera was it seen, or under Job, on which customer's camera?"
			case r.Donor != "" && r.Job != "":
				return "Job", "names a customer's camera, and Donor a parts camera: a row is of one"
			}
			return "", ""
		},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Seen} }, walk: Source.EachLook}
}

func bags() table {
	type R = store.Bag
	return &sheetOf[R]{name: "Bags", columns: []column[R]{
		codeOf("Bag", func(r *R) *code.Code { return &r.Code }).required(),
		codeOf("Part", func(r *R) *code.Code { return &r.Part }),
		originColumn(),
		{heading: "Quantity", kind: asNumber,
			get: func(r *R) string { return zero(r.Quantity) },
			set: func(r *R, s string) (err error) {
				r.Quantity, r.About, err = quantity(s)
				return notNegative(s, r.Quantity, err)
			}},
		wordOf("Unit", "unit", store.Units, func(r *R) *string { return &r.Unit }).otherwise(func(r *R) { r.Unit = "pc" }),
		aboutColumn(),
		wordOf("Grade", "grade", store.Grades, func(r *R) *string { return &r.Grade }),
		wordOf("Looks", "looks", store.Looks, func(r *R) *string { return &r.Looks }),
		codeOf("Place", func(r *R) *code.Code { return &r.Place }),
		textOf("Owner", func(r *R) *string { return &r.Owner }).otherwise(func(r *R) { r.Owner = store.Own }),
		numberOf("Number", func(r *R) *string { return &r.Number }),
		textOf("Goes with", func(r *R) *string { return &r.GoesWith }),
		centsOf("Cost", func(r *R) **code.Cents { return &r.Cost }),
		dayOf("Booked", func(r *R) *code.Day { return &r.Booked }),
		ownSize("Width", dim.Width), ownSize("Length", dim.Length), ownSize("Thick", dim.Thick),
		wordOf("Runs", "runs", store.Sides, func(r *R) *string { return &r.Runs }).noPaper(),
		spotsOf("Flaws", func(r *R) *[]dim.Spot { return &r.Flaws }),
		{heading: "Stretch", aside: true, get: func(r *R) string { return r.Stretch },
			set: func(r *R, s string) (err error) { r.Stretch, err = store.ParseStretch(s); return err }},
		wordOf("Whole", "whole", store.WholeWords, func(r *R) *string { return &r.Whole }).noPaper(),
		textOf("Note", func(r *R) *string { return &r.Note }),
		codeOf("Split from", func(r *R) *code.Code { return &r.Split }).kept(),
		codeOf("Cut from", func(r *R) *code.Code { return &r.Cut }).kept(),
		entryOf("Entry", func(r *R) *uint64 { return &r.Entry }).kept(),
		textOf("By", func(r *R) *string { return &r.By }).kept(),
	},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Bags} }, own: func(r *R) code.Code { return r.Code }, walk: eachBag}
}

func jobs() table {
	type R = store.Job
	return &sheetOf[R]{name: "Jobs", columns: []column[R]{
		codeOf("Job", func(r *R) *code.Code { return &r.Code }).required(),
		codeOf("Model", func(r *R) *code.Code { return &r.Model }),
		numberOf("Body no", func(r *R) *string { return &r.BodyNo }),
		codeOf("Shutter", func(r *R) *code.Code { return &r.Shutter }).noPaper(),
		codeOf("Lens", func(r *R) *code.Code { return &r.Lens }).noPaper(),
		textOf("Owner", func(r *R) *string { return &r.Owner }),
		textOf("Fault", func(r *R) *string { return &r.Fault }),
		textOf("Accessories", func(r *R) *string { return &r.Accessories }),
		wordOf("State", "state", store.JobStates, func(r *R) *string { return &r.State }),
		codeOf("Tray", func(r *R) *code.Code { return &r.Tray }),
		wordOf("Agreed", "agreed", yesNo, func(r *R) *string { return &r.Agreed }),
		dayOf("Promised", func(r *R) *code.Day { return &r.Promised }),
		centsOf("Value", func(r *R) **code.Cents { return &r.Value }),
		dayOf("Opened", func(r *R) *code.Day { return &r.Opened }),
		dayOf("Closed", func(r *R) *code.Day { return &r.Closed }).noPaper(),
		textOf("Note", func(r *R) *string { return &r.Note }),
		wordOf("History", "history", store.Histories, func(r *R) *string { return &r.History }).kept(),
	},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Jobs} }, own: func(r *R) code.Code { return r.Code }, walk: Source.EachJob}
}

func wants() table {
	type R = store.Want
	return &sheetOf[R]{name: "Wants", columns: []column[R]{
		dayOf("Date", func(r *R) *code.Day { return &r.Date }).required(),
		codeOf("Part", func(r *R) *code.Code { return &r.Part }).required(),
		codeOf("Model", func(r *R) *code.Code { return &r.Model }).telling(),
		codeOf("Job", func(r *R) *code.Code { return &r.Job }).telling(),
		dayOf("Met", func(r *R) *code.Day { return &r.Met }),
		textOf("Instead", func(r *R) *string { return &r.Instead }),
		textOf("Note", func(r *R) *string { return &r.Note }),
		countOf("No", func(r *R) *int64 { return &r.Nth }).kept(),
	},
		list: in(func(l *store.Load) *[]R { return &l.Wants }), walk: Source.EachWant}
}

func moves() table {
	type R = store.Entry
	return &sheetOf[R]{name: "Moves", columns: []column[R]{
		dayOf("Date", func(r *R) *code.Day { return &r.Day }).required(),
		whatColumn(),
		codeOf("Bag", func(r *R) *code.Code { return &r.Bag }).required(),
		{heading: "Quantity", kind: asNumber, get: moveQuantity,
			set: func(r *R, s string) (err error) { r.Quantity, r.About, err = quantity(s); return err }},
		codeOf("Job", func(r *R) *code.Code { return &r.Job }),
		{heading: "To", kind: asCode, get: func(r *R) string { return r.To }, set: setTo},
		textOf("Why", func(r *R) *string { return &r.Why }),
		{heading: "Amount", kind: asNumber, money: true,
			get: func(r *R) string {
				if r.Amount == 0 {
					return ""
				}
				return r.Amount.String()
			},
			set: func(r *R, s string) (err error) { r.Amount, err = code.ParseCents(s); return err }},
		textOf("By", func(r *R) *string { return &r.By }),
		dayOf("Due", func(r *R) *code.Day { return &r.Due }),
		codeOf("Model", func(r *R) *code.Code { return &r.Model }).kept(),
		entryOf("Count", func(r *R) *uint64 { return &r.Count }).kept(),
		yesOf("Unsure", func(r *R) *bool { return &r.Unsure }).kept(),
		entryOf("Entry", func(r *R) *uint64 { return &r.Seq }).kept(),
	},
		list: func(l *store.Load) loaded[R] { return long[R]{&l.Moves} }, check: checkMove, walk: Source.EachMove}
}

func whatColumn() column[store.Entry] {
	return column[store.Entry]{heading: "What", need: true, words: whats,
		get: func(r *store.Entry) string { return r.What.String() },
		set: func(r *store.Entry, s string) error {
			w, ok := store.ParseWhat(strings.ToLower(s))
			if !ok {
				return words.NotOneOf("what", whats(), s)
			}
			r.What = w
			return nil
		}}
}

func whats() []string {
	var all []string
	for w := store.In; w <= store.Cut; w++ {
		all = append(all, w.String())
	}
	return all
}

// moveQuantity leaves out the nought of an entry that moves no pieces.
func moveQuantity(r *store.Entry) string {
	if r.Quantity == 0 && (r.What == store.Moved || r.What == store.Graded) {
		return ""
	}
	return showQuantity(r.Quantity, r.About)
}

// setTo reads To as what the word of the row makes of it.
func setTo(r *store.Entry, s string) error {
	switch r.What {
	case store.Moved, store.Split, store.Joined:
		c, err := code.Parse(s)
		r.To = string(c)
		return err
	case store.Graded:
		w, err := words.OneOf("grade", store.Grades, s)
		r.To = w
		return err
	case store.Cut:
		all, err := store.ParseArisen(s)
		r.To = store.Arisen(all)
		return err
	}
	r.To = s
	return nil
}

// checkMove checks what takes several cells of a row. A counter-entry, whose Why
// is such as undo 57, may be a negative reading, or go back to no place or grade.
func checkMove(r *store.Entry, empty func(string) bool) (heading, problem string) {
	still := r.What == store.Moved || r.What == store.Graded
	counter := strings.HasPrefix(r.Why, "undo ")
	switch {
	case !still && empty("Quantity"):
		return "Quantity", fmt.Sprintf("is empty: %s needs a whole number", r.What)
	case r.What == store.Counted && r.Quantity < 0 && !counter:
		return "Quantity", "a reading cannot be negative: write what was counted"
	case r.To != "", still && counter:
		return "", ""
	case r.What == store.Moved:
		return "To", "is empty: moved needs the place it went to"
	case r.What == store.Graded:
		return "To", "is empty: graded needs one of " + strings.Join(store.Grades, ", ")
	case r.What == store.Split || r.What == store.Joined:
		return "To", fmt.Sprintf("is empty: %s needs the other bag", r.What)
	case r.What == store.Cut && r.Why == "":
		return "To", "is empty: cut needs the bags that arose, or under Why why there are none"
	}
	return "", ""
}

// classNames are the trade words of all classes.
func classNames() (all []string) {
	for _, c := range words.Classes() {
		all = append(all, words.ClassName(c))
	}
	return all
}

// classColumn is the class of a part, written as its trade word and read as that, as
// another one or as its code.
func classColumn() column[store.Part] {
	return column[store.Part]{heading: "Class", words: classNames, get: func(r *store.Part) string { return words.ClassName(r.Class) },
		set: func(r *store.Part, s string) error {
			if c, ok := words.ClassNamed(s); ok {
				r.Class = c
				return nil
			}
			if up := strings.ToUpper(s); words.Known(up) {
				r.Class = up
				return nil
			}
			classes, _ := words.ClassOf(s)
			switch len(classes) {
			case 1:
				r.Class = classes[0]
				return nil
			case 0:
				return fmt.Errorf("class %q is not known: write a code such as SPR-TOR or a trade word such as torsion spring", s)
			}
			return fmt.Errorf("class %q may be %s: write one", s, strings.Join(classes, " or "))
		}}
}

// dimColumn is the column of a dimension. Its range follows the class, which is
// read before it.
func dimColumn(info dim.Info) column[store.Part] {
	f := info.Field
	c := column[store.Part]{heading: info.Heading, inch: info.InchHeading(), kind: asNumber, aside: true}
	if f == dim.Thread {
		c.kind = asCode
		c.get = func(r *store.Part) string { return r.Marks[f] }
		c.set = func(r *store.Part, s string) error {
			t, err := thread.Parse(s)
			if err == nil {
				mark(r, f, t.String())
			}
			return err
		}
		return c
	}
	if info.Kind == dim.KindWord {
		c.kind = asText
		c.get = func(r *store.Part) string { return r.Marks[f] }
	} else {
		c.get = func(r *store.Part) string {
			if n, ok := r.Dims[f]; ok {
				return dim.Format(f, n)
			}
			return ""
		}
	}
	with := func(parse func(dim.Field, string, string) (int64, string, error)) func(*store.Part, string) error {
		return func(r *store.Part, s string) error {
			n, word, err := parse(f, r.Class, s)
			switch {
			case err != nil:
				return err
			case info.Kind == dim.KindWord:
				mark(r, f, word)
			default:
				if r.Dims == nil {
					r.Dims = map[dim.Field]int64{}
				}
				r.Dims[f] = n
			}
			return nil
		}
	}
	c.set, c.setInch = with(dim.Parse), with(dim.ParseInch)
	return c
}

// lengthOf is a length that is no dimension of its own: it is read as field f is.
func lengthOf[R any](name string, f dim.Field, set func(*R, int64), get func(*R) (int64, bool)) column[R] {
	with := func(parse func(dim.Field, string, string) (int64, string, error)) func(*R, string) error {
		return func(r *R, s string) error {
			n, _, err := parse(f, "", s)
			if err == nil {
				set(r, n)
			}
			return err
		}
	}
	return column[R]{heading: name + " mm", inch: name + " in", kind: asNumber, aside: true, set: with(dim.Parse), setInch: with(dim.ParseInch),
		get: func(r *R) string {
			if n, ok := get(r); ok {
				return dim.Format(f, n)
			}
			return ""
		}}
}

// ownSize is a measure of a sheet, an offcut, a panel or a pattern by itself.
func ownSize(name string, f dim.Field) column[store.Bag] {
	return lengthOf(name, f, func(b *store.Bag, n int64) {
		if b.Dims == nil {
			b.Dims = map[dim.Field]int64{}
		}
		b.Dims[f] = n
	}, func(b *store.Bag) (int64, bool) { n, ok := b.Dims[f]; return n, ok })
}

// spotsOf are holes or flaws: 8@28,10; 40x20@100,30.
func spotsOf[R any](heading string, at func(*R) *[]dim.Spot) column[R] {
	return column[R]{heading: heading, aside: true, get: func(r *R) string { return dim.FormatSpots(*at(r)) },
		set: func(r *R, s string) (err error) { *at(r), err = dim.ParseSpots(s); return err }}
}

func mark(r *store.Part, f dim.Field, word string) {
	if r.Marks == nil {
		r.Marks = map[dim.Field]string{}
	}
	r.Marks[f] = word
}

func degreesColumn() column[store.Goes] {
	return column[store.Goes]{heading: "Degree", words: func() []string { return store.Degrees },
		get: func(r *store.Goes) string { return strings.Join(r.Degrees, ";") },
		set: func(r *store.Goes, s string) error {
			for _, w := range split(s) {
				d, err := words.OneOf("degree", store.Degrees, w)
				if err != nil {
					return err
				}
				if slices.Contains(r.Degrees, d) {
					return fmt.Errorf("degree %q stands there twice", d)
				}
				r.Degrees = append(r.Degrees, d)
			}
			return nil
		}}
}

func originColumn() column[store.Bag] {
	return column[store.Bag]{heading: "Origin", kind: asCode, get: func(r *store.Bag) string { return r.Origin },
		set: func(r *store.Bag, s string) error {
			if w := strings.ToLower(s); slices.Contains(store.Origins, w) {
				r.Origin = w
				return nil
			}
			c, err := code.Parse(s)
			if err != nil {
				return fmt.Errorf("origin %q is neither a donor's code nor one of %s", s, strings.Join(store.Origins, ", "))
			}
			r.Origin = string(c)
			return nil
		}}
}

// aboutColumn says with yes that the quantity was estimated. Nothing here makes
// an about figure exact.
func aboutColumn() column[store.Bag] {
	return column[store.Bag]{heading: "About", words: func() []string { return yesNo },
		get: func(r *store.Bag) string {
			if r.About {
				return "yes"
			}
			return ""
		},
		set: func(r *store.Bag, s string) error {
			w, err := words.OneOf("about", yesNo, s)
			if err == nil && w == "no" && r.About {
				return errors.New("says no, and the quantity says about: write one or the other")
			}
			r.About = r.About || w == "yes"
			return err
		}}
}

func textOf[R any](heading string, at func(*R) *string) column[R] {
	return column[R]{heading: heading,
		get: func(r *R) string { return *at(r) },
		set: func(r *R, s string) error { *at(r) = s; return nil }}
}

// numberOf is a number that is stamped or engraved, of digits, letters and strokes.
func numberOf[R any](heading string, at func(*R) *string) column[R] {
	return textOf(heading, at).asCode()
}

func textsOf[R any](heading string, at func(*R) *[]string) column[R] {
	return column[R]{heading: heading,
		get: func(r *R) string { return strings.Join(*at(r), "; ") },
		set: func(r *R, s string) error { *at(r) = split(s); return nil }}
}

func codeOf[R any](heading string, at func(*R) *code.Code) column[R] {
	return column[R]{heading: heading, kind: asCode,
		get: func(r *R) string { return string(*at(r)) },
		set: func(r *R, s string) (err error) { *at(r), err = code.Parse(s); return err }}
}

func codesOf[R any](heading string, at func(*R) *[]code.Code) column[R] {
	return column[R]{heading: heading, kind: asCode,
		get: func(r *R) string {
			var all []string
			for _, c := range *at(r) {
				all = append(all, string(c))
			}
			return strings.Join(all, "; ")
		},
		set: func(r *R, s string) error {
			for _, w := range split(s) {
				c, err := code.Parse(w)
				if err != nil {
					return err
				}
				*at(r) = append(*at(r), c)
			}
			return nil
		}}
}

func wordOf[R any](heading, what string, list []string, at func(*R) *string) column[R] {
	return column[R]{heading: heading, words: func() []string { return list },
		get: func(r *R) string { return *at(r) },
		set: func(r *R, s string) (err error) { *at(r), err = words.OneOf(what, list, s); return err }}
}

func dayOf[R any](heading string, at func(*R) *code.Day) column[R] {
	return column[R]{heading: heading, kind: asDay,
		get: func(r *R) string { return at(r).String() },
		set: func(r *R, s string) (err error) { *at(r), err = code.ISODay(s); return err }}
}

// centsOf is an amount of money, which is not negative.
func centsOf[R any](heading string, at func(*R) **code.Cents) column[R] {
	return column[R]{heading: heading, kind: asNumber, money: true,
		get: func(r *R) string {
			if c := *at(r); c != nil {
				return c.String()
			}
			return ""
		},
		set: func(r *R, s string) error {
			c, err := code.ParseCents(s)
			if err := notNegative(s, int64(c), err); err != nil {
				return err
			}
			*at(r) = &c
			return nil
		}}
}

// countOf is a whole number of which nought and nothing are the same.
func countOf[R any](heading string, at func(*R) *int64) column[R] {
	return column[R]{heading: heading, kind: asNumber,
		get: func(r *R) string { return zero(*at(r)) },
		set: func(r *R, s string) (err error) { *at(r), err = count(s); return err }}
}

// countOfPtr is a whole number that may be nought.
func countOfPtr[R any](heading string, at func(*R) **int64) column[R] {
	return column[R]{heading: heading, kind: asNumber,
		get: func(r *R) string {
			if n := *at(r); n != nil {
				return strconv.FormatInt(*n, 10)
			}
			return ""
		},
		set: func(r *R, s string) error {
			n, err := count(s)
			if err == nil {
				*at(r) = &n
			}
			return err
		}}
}

var yesNo = []string{"yes", "no"}

// split parts a cell at its semicolons.
func split(s string) []string {
	var out []string
	for w := range strings.SplitSeq(s, ";") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}

func quantity(s string) (int64, bool, error) {
	q, err := code.ParseSheetQty(s)
	return q.N, q.About, err
}

func count(s string) (int64, error) {
	n, about, err := quantity(s)
	if err == nil && about {
		err = fmt.Errorf("%q is an about figure: write a whole number", s)
	}
	return n, notNegative(s, n, err)
}

func notNegative(s string, n int64, err error) error {
	if err == nil && n < 0 {
		return fmt.Errorf("%q is negative: write a number from 0 up", s)
	}
	return err
}

func zero(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

func showQuantity(n int64, about bool) string {
	if about {
		return "ca. " + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}
