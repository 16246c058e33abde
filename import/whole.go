package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// The sheets that hold what records keep in lists, a row an element, so that an export
// is whole.

// things are the kinds of what remarks are kept of, cameras those that are taken apart.
var (
	things  = []string{"part", "bag", "donor", "job", "place"}
	cameras = []string{"donor", "job"}
)

func remarks() table {
	type R = store.Remark
	return &sheetOf[R]{name: "Notes", columns: []column[R]{
		thingOf("Thing", things, func(r *R) (*string, *code.Code) { return &r.Kind, &r.Code }).required(),
		entryOf("No", func(r *R) *uint64 { return &r.Nth }).telling(),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		textOf("By", func(r *R) *string { return &r.By }),
		textOf("Note", func(r *R) *string { return &r.Text }).required(),
	},
		list: in(func(l *store.Load) *[]R { return &l.Notes }), walk: Source.EachNote}
}

func steps() table {
	type R = store.Step
	off := at(func(r *R) *[]store.Off { return &r.Off })
	under, over := at(func(r *R) *[]store.Layer { return &r.Under }), at(func(r *R) *[]store.Layer { return &r.Over })
	wrong := at(func(r *R) *[]store.Wrong { return &r.Wrong })
	layer := func(name string, of func(*R, bool) *store.Layer) []column[R] {
		return []column[R]{
			elem(codeOf(name, func(x *store.Layer) *code.Code { return &x.Part }), of),
			elem(textOf(name+" piece", func(x *store.Layer) *string { return &x.Piece }), of),
			elem(measureOf(name+" mm", dim.Thick, func(x *store.Layer) **int64 { return &x.Thick }), of),
		}
	}
	columns := []column[R]{
		thingOf("Camera", cameras, func(r *R) (*string, *code.Code) { return &r.Kind, &r.Camera }).required(),
		entryOf("Step", func(r *R) *uint64 { return &r.Nth }).required(),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		textOf("By", func(r *R) *string { return &r.By }),
		wordOf("Seat", "seat", store.Seats, func(r *R) *string { return &r.Seat }),
		textOf("Facing", func(r *R) *string { return &r.Facing }),
		measureOf("Turns", dim.Coils, func(r *R) **int64 { return &r.Turns }),
		countOfPtr("Teeth", func(r *R) **int64 { return &r.Teeth }),
		elem(codeOf("Off", func(x *store.Off) *code.Code { return &x.Part }), off),
		elem(textOf("Off piece", func(x *store.Off) *string { return &x.Piece }), off),
		elem(countOf("Quantity", func(x *store.Off) *int64 { return &x.Quantity }), off),
		elem(wordOf("Unit", "unit", store.Units, func(x *store.Off) *string { return &x.Unit }), off),
		elem(textOf("Hole", func(x *store.Off) *string { return &x.Hole }), off),
		elem(textOf("Hand", func(x *store.Off) *string { return &x.Hand }), off),
		elem(wordOf("Grade", "grade", store.Grades, func(x *store.Off) *string { return &x.Grade }), off),
		elem(codeOf("Bag", func(x *store.Off) *code.Code { return &x.Bag }), off),
		elem(codeOf("Place", func(x *store.Off) *code.Code { return &x.Place }), off),
	}
	columns = append(append(columns, layer("Under", under)...), layer("Over", over)...)
	columns = append(columns,
		elem(codeOf("Missing", func(x *store.Wrong) *code.Code { return &x.Part }), wrong),
		elem(wordOf("Seen", "seen", store.SeenWords, func(x *store.Wrong) *string { return &x.Seen }), wrong),
		elem(textOf("Wrong", func(x *store.Wrong) *string { return &x.Text }), wrong),
		elem(textOf("Picture", func(x *string) *string { return x }), at(func(r *R) *[]string { return &r.Pictures })),
		textOf("Sealed", func(r *R) *string { return &r.Sealed }),
		textOf("Tools", func(r *R) *string { return &r.Tools }),
		textOf("Went", func(r *R) *string { return &r.Went }),
		textOf("Set", func(r *R) *string { return &r.Set }),
		textOf("Stop", func(r *R) *string { return &r.Stop }),
		textOf("Note", func(r *R) *string { return &r.Note }),
		textOf("Text", func(r *R) *string { return &r.Text }))
	onPaper := []string{"Camera", "Step", "Date", "Seat", "Facing", "Off", "Off piece", "Quantity", "Bag", "Under piece", "Wrong", "Note"}
	for i := range columns {
		columns[i].aside = !slices.Contains(onPaper, columns[i].heading)
	}
	return &sheetOf[R]{name: "Steps", columns: columns,
		list: in(func(l *store.Load) *[]R { return &l.Steps }), walk: Source.EachStepRow}
}

func signs() table {
	type R = store.SignRow
	return &sheetOf[R]{name: "Signs", columns: []column[R]{
		codeOf("Camera", func(r *R) *code.Code { return &r.Donor }).required(),
		textOf("Sign", func(r *R) *string { return &r.Text }).required(),
	},
		list: in(func(l *store.Load) *[]R { return &l.Signs }), walk: Source.EachSign}
}

func olds() table {
	type R = store.Old
	return &sheetOf[R]{name: "Old", columns: []column[R]{
		codeOf("Job", func(r *R) *code.Code { return &r.Job }).required(),
		entryOf("No", func(r *R) *uint64 { return &r.Nth }).telling(),
		codeOf("Part", func(r *R) *code.Code { return &r.Part }),
		textOf("Piece", func(r *R) *string { return &r.Piece }),
		countOf("Quantity", func(r *R) *int64 { return &r.Quantity }),
		textOf("Why", func(r *R) *string { return &r.Why }).required(),
		wordOf("Becomes", "becomes", store.Fates, func(r *R) *string { return &r.Fate }),
		textOf("Where", func(r *R) *string { return &r.Where }),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		dayOf("Settled", func(r *R) *code.Day { return &r.Settled }),
		textOf("By", func(r *R) *string { return &r.By }),
		textOf("Note", func(r *R) *string { return &r.Note }),
	},
		list: in(func(l *store.Load) *[]R { return &l.Old }), walk: Source.EachOld}
}

func counts() table {
	type R = store.Count
	loose := at(func(r *R) *[]store.Loose { return &r.Loose })
	return &sheetOf[R]{name: "Counts", columns: []column[R]{
		entryOf("Count", func(r *R) *uint64 { return &r.Number }).required(),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		elem(codeOf("Place", func(x *code.Code) *code.Code { return x }), at(func(r *R) *[]code.Code { return &r.Places })).telling(),
		dayOf("Closed", func(r *R) *code.Day { return &r.Closed }),
		textOf("By", func(r *R) *string { return &r.By }),
		entryOf("Cut-off", func(r *R) *uint64 { return &r.Cut }),
		dayOf("Goes on since", func(r *R) *code.Day { return &r.Since }),
		elem(codeOf("Loose", func(x *store.Loose) *code.Code { return &x.Part }), loose).telling(),
		elem(codeOf("Lay in", func(x *store.Loose) *code.Code { return &x.Place }), loose).telling(),
		elem(countOf("Counted", func(x *store.Loose) *int64 { return &x.N }), loose),
		elem(yesOf("About", func(x *store.Loose) *bool { return &x.About }), loose),
		elem(codeOf("Bag", func(x *store.Loose) *code.Code { return &x.Bag }), loose),
		elem(dayOf("Read on", func(x *store.Loose) *code.Day { return &x.Day }), loose),
		elem(textOf("Read by", func(x *store.Loose) *string { return &x.By }), loose),
	},
		list: in(func(l *store.Load) *[]R { return &l.Counts }), walk: Source.EachCountRow}
}

func readings() table {
	type R = store.MeasuredRow
	return &sheetOf[R]{name: "Measured", columns: []column[R]{
		codeOf("Part", func(r *R) *code.Code { return &r.Part }).telling(),
		codeOf("Bag", func(r *R) *code.Code { return &r.Bag }).telling(),
		{heading: "Measure", need: true, tells: true, words: measureNames,
			get: func(r *R) string { return dim.Of(r.Field).Heading },
			set: func(r *R, s string) error {
				in, ok := measureCalled(s)
				if !ok || in.Kind == dim.KindWord {
					return fmt.Errorf("%q is no measure: write one of %s", s, strings.Join(measureNames(), ", "))
				}
				r.Field = in.Field
				return nil
			}},
		{heading: "Value", kind: asNumber, need: true,
			get: func(r *R) string { return dim.Format(r.Field, r.Value) },
			set: func(r *R, s string) (err error) { r.Value, err = dim.Bare(r.Field, s); return err }},
		wordOf("Tool", "tool", dim.Tools, func(r *R) *string { return &r.Tool }),
		countOf("Times", func(r *R) *int64 { return &r.Times }),
		{heading: "Each", kind: asCode,
			get: func(r *R) string {
				var all []string
				for _, n := range r.Each {
					all = append(all, dim.Format(r.Field, n))
				}
				return strings.Join(all, "; ")
			},
			set: func(r *R, s string) error {
				for _, w := range split(s) {
					n, err := dim.Bare(r.Field, w)
					if err != nil {
						return err
					}
					r.Each = append(r.Each, n)
				}
				return nil
			}},
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		textOf("By", func(r *R) *string { return &r.By }),
		textOf("From", func(r *R) *string { return &r.From }),
	},
		check: func(r *R, _ func(string) bool) (heading, problem string) {
			if (r.Part == "") == (r.Bag == "") {
				return "Part", "of which part, or under Bag, of the pieces in which bag? A row is of one"
			}
			return "", ""
		},
		list: in(func(l *store.Load) *[]R { return &l.Measured }), walk: Source.EachMeasured}
}

// measureCalled is a measure by its heading, its name or its key: Free length mm, free
// length, free_length.
func measureCalled(s string) (dim.Info, bool) {
	if in, ok := dim.ByHeading(s); ok {
		return in, true
	}
	all := dim.Table()
	i := slices.IndexFunc(all, func(in dim.Info) bool { return strings.EqualFold(s, in.Key) || strings.EqualFold(s, in.Name()) })
	if i < 0 {
		return dim.Info{}, false
	}
	return all[i], true
}

// measureNames are the headings of measures that are numbers.
func measureNames() (all []string) {
	for _, in := range dim.Table() {
		if in.Kind != dim.KindWord {
			all = append(all, in.Heading)
		}
	}
	return all
}

func makings() table {
	type R = store.MakingRow
	return &sheetOf[R]{name: "Made", columns: []column[R]{
		codeOf("Bag", func(r *R) *code.Code { return &r.Bag }).required(),
		textOf("From", func(r *R) *string { return &r.Material }),
		codeOf("Pattern", func(r *R) *code.Code { return &r.Pattern }),
		countOf("Minutes", func(r *R) *int64 { return &r.Minutes }),
	},
		list: in(func(l *store.Load) *[]R { return &l.Made }), walk: Source.EachMaking}
}

func papers() table {
	type R = store.PaperRow
	return &sheetOf[R]{name: "Papers", columns: []column[R]{
		wordOf("What", "what", store.PaperWords, func(r *R) *string { return &r.What }).required(),
		textOf("Name", func(r *R) *string { return &r.Name }).asCode().telling(),
		countOf("Line", func(r *R) *int64 { return &r.Line }).telling(),
		textOf("Text", func(r *R) *string { return &r.Text }),
		centsOf("Sum", func(r *R) **code.Cents { return &r.Sum }),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		textOf("By", func(r *R) *string { return &r.By }),
		entryOf("Entry", func(r *R) *uint64 { return &r.Entry }),
	},
		list: in(func(l *store.Load) *[]R { return &l.Papers }), walk: Source.EachPaperRow}
}

// eachBag calls fn for the bags of a source, with the entry that booked each in where
// the source knows it.
func eachBag(s Source, fn func(store.Bag) error) error {
	book, known := s.(interface {
		Entered() (func(bag code.Code) (entry uint64, by string), error)
	})
	if !known {
		return s.EachBag(fn)
	}
	entered, err := book.Entered()
	if err != nil {
		return err
	}
	return s.EachBag(func(b store.Bag) error {
		b.Entry, b.By = entered(b.Code)
		return fn(b)
	})
}

// at is the one element of a list of a row; with make it is there from then on.
func at[R, E any](list func(*R) *[]E) func(r *R, make bool) *E {
	return func(r *R, make bool) *E {
		all := list(r)
		if len(*all) == 0 {
			if !make {
				return nil
			}
			*all = append(*all, *new(E))
		}
		return &(*all)[0]
	}
}

// elem is a column of an element that a row has.
func elem[R, E any](c column[E], of func(r *R, make bool) *E) column[R] {
	return column[R]{heading: c.heading, kind: c.kind, words: c.words, money: c.money,
		get: func(r *R) string {
			if e := of(r, false); e != nil {
				return c.get(e)
			}
			return ""
		},
		set: func(r *R, s string) error { return c.set(of(r, true), s) }}
}

// thingOf is a thing such as bag:B203. What it is may be left out where its code says so.
func thingOf[R any](heading string, kinds []string, at func(*R) (kind *string, c *code.Code)) column[R] {
	return column[R]{heading: heading, kind: asCode,
		get: func(r *R) string {
			kind, c := at(r)
			if *kind == "" {
				return string(*c)
			}
			return *kind + ":" + string(*c)
		},
		set: func(r *R, s string) (err error) {
			kind, c := at(r)
			before, rest, has := strings.Cut(s, ":")
			if has {
				if *kind = strings.ToLower(strings.TrimSpace(before)); !slices.Contains(kinds, *kind) {
					return fmt.Errorf("%q is none of %s: write it like %s:%s", before, strings.Join(kinds, ", "), kinds[0], rest)
				}
				s = strings.TrimSpace(rest)
			}
			*c, err = code.Parse(s)
			return err
		}}
}

// entryOf is a number of an entry, a count or a step.
func entryOf[R any](heading string, at func(*R) *uint64) column[R] {
	return column[R]{heading: heading, kind: asNumber,
		get: func(r *R) string {
			if n := *at(r); n != 0 {
				return strconv.FormatUint(n, 10)
			}
			return ""
		},
		set: func(r *R, s string) error {
			n, err := strconv.ParseUint(s, 10, 32)
			if err != nil || n == 0 {
				return fmt.Errorf("%q is no number from 1 up", s)
			}
			*at(r) = n
			return nil
		}}
}

// yesOf is yes, or nothing.
func yesOf[R any](heading string, at func(*R) *bool) column[R] {
	return column[R]{heading: heading, words: func() []string { return yesNo },
		get: func(r *R) string {
			if *at(r) {
				return "yes"
			}
			return ""
		},
		set: func(r *R, s string) error {
			w, err := words.OneOf(strings.ToLower(heading), yesNo, s)
			*at(r) = w == "yes"
			return err
		}}
}

// measureOf is a measure of a field that nobody holds against a class.
func measureOf[R any](heading string, f dim.Field, at func(*R) **int64) column[R] {
	return column[R]{heading: heading, kind: asNumber,
		get: func(r *R) string {
			if n := *at(r); n != nil {
				return dim.Format(f, *n)
			}
			return ""
		},
		set: func(r *R, s string) error {
			n, err := dim.Bare(f, s)
			if err == nil {
				*at(r) = &n
			}
			return err
		}}
}
