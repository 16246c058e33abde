package sheet

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// A derived is a column of a workbook that is only there to be read, as it follows from
// the book. Import passes over it, and names a cell that says otherwise.
type derived struct {
	heading string
	beside  string // the column it stands behind; empty: behind all that are printed
	text    bool   // of words
	of      func(k *known, cells []string) (string, error)
	names   string // the column whose code it names; empty where it speaks of the row
}

// figures are what a source may know of its bags and parts besides.
type figures interface {
	Figure(part code.Code) (store.Figure, error)
	State(bag code.Code) (store.State, error)
	Part(code.Code) (store.Part, error)
	Bag(code.Code) (store.Bag, error)
	Model(code.Code) (store.Model, error)
}

// known is what a source knows of its records: names are asked for once, and figures
// and balances once for the columns of a row that have them.
type known struct {
	figures
	names  map[string]*code.Numbers // of codes, by column: their places in texts
	texts  []string
	figure store.Figure
	part   string // that figure is of
	state  store.State
	bag    string // that state is of
}

func knownOf(f figures) *known {
	k := &known{figures: f, names: map[string]*code.Numbers{}}
	for _, n := range namesBeside {
		k.names[n.column] = &code.Numbers{}
	}
	return k
}

// figureOf is the figure of a part.
func (k *known) figureOf(part string) (store.Figure, error) {
	if k.part == part {
		return k.figure, nil
	}
	f, err := k.Figure(code.Code(part))
	if err == nil {
		k.figure, k.part = f, part
	}
	return f, err
}

// stateOf is the balance of a bag.
func (k *known) stateOf(bag string) (store.State, error) {
	if k.bag == bag {
		return k.state, nil
	}
	st, err := k.State(code.Code(bag))
	if err == nil {
		k.state, k.bag = st, bag
	}
	return st, err
}

// toRead are the derived columns of a sheet.
func toRead(title string) []derived { return allToRead()[title] }

var allToRead = sync.OnceValue(func() map[string][]derived {
	out := map[string][]derived{
		"Parts": {
			{heading: "Measures", beside: "Seat", text: true, of: func(_ *known, cells []string) (string, error) { return measures(cells), nil }},
			{heading: "To take", of: toTake},
			{heading: "Short by", of: shortBy},
		},
		"Bags": {{heading: "In the drawer", of: inDrawer}, {heading: "About there", of: aboutThere}},
	}
	for _, t := range tables() {
		heads := t.heads()
		for _, n := range namesBeside {
			i := headed(heads, n.column)
			had := slices.ContainsFunc(out[t.title()], func(d derived) bool { return d.heading == n.heading })
			if i < 0 || had || n.column+"s" == t.title() {
				continue
			}
			ofBags := t.title() == "Bags" && n.column == "Part"
			out[t.title()] = append(out[t.title()], derived{heading: n.heading, beside: n.column, names: n.column, text: true,
				of: func(k *known, cells []string) (string, error) {
					name, err := k.name(n.column, cells[i])
					if ofBags && err == nil {
						k.asPart(code.Code(cells[0]), code.Code(cells[i])) // movements ask for it
					}
					return name, err
				}})
		}
	}
	return out
})

// namesBeside are the columns of codes with a name beside: a bag's is that of its part.
var namesBeside = []struct{ column, heading string }{{"Part", "Part name"}, {"Bag", "Part name"}, {"Model", "Model name"}}

// formerly are headings, folded, that such columns had in exports of before. On hand had
// what is lent as well.
var formerly = map[string]string{"free": "To take", "short": "Short by", "onhand": "In the drawer"}

// name is what a code is called: a part by its name, with LEFT-HAND, or its class, a bag as its part, a
// model by its name. A code of nothing has none.
func (k *known) name(column, text string) (name string, err error) {
	if text == "" {
		return "", nil
	}
	c := code.Code(text)
	if n, ok := k.names[column].Get(c); ok {
		return k.texts[n], nil
	}
	switch column {
	case "Model":
		m, merr := k.Model(c)
		name, err = m.Name, merr
	case "Bag":
		b, berr := k.Bag(c)
		if err = berr; err == nil && b.Part != "" {
			if name, err = k.name("Part", string(b.Part)); err == nil {
				k.asPart(c, b.Part)
			}
			return name, err
		}
	default:
		p, perr := k.Part(c)
		if err = perr; p.Name != "" {
			name = p.Called()
		} else if p.Class != "" {
			name = words.ClassName(p.Class)
		}
	}
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	if err == nil {
		k.names[column].Set(c, len(k.texts))
		k.texts = append(k.texts, name)
	}
	return name, err
}

// asPart lets a bag be called as its part, of which the name is known.
func (k *known) asPart(bag, part code.Code) {
	if n, ok := k.names["Part"].Get(part); ok {
		k.names["Bag"].Set(bag, n)
	}
}

func toTake(k *known, cells []string) (string, error) {
	f, err := k.figureOf(cells[0])
	return strconv.FormatInt(f.Free(), 10), err
}

func shortBy(k *known, cells []string) (string, error) {
	f, err := k.figureOf(cells[0])
	keep, none := strconv.ParseInt(cells[keepColumn()], 10, 64)
	if err != nil || none != nil || f.Free() >= keep {
		return "", err
	}
	return strconv.FormatInt(keep-f.Free(), 10), nil
}

var keepColumn = sync.OnceValue(func() int {
	return slices.IndexFunc(partsTable().heads(), func(h head) bool { return h.name == "Keep" })
})

func inDrawer(k *known, cells []string) (string, error) {
	st, err := k.stateOf(cells[0])
	return strconv.FormatInt(st.InDrawer(), 10), err
}

func aboutThere(k *known, cells []string) (string, error) {
	st, err := k.stateOf(cells[0])
	if err != nil || !st.About {
		return "", err
	}
	return "yes", nil
}

// A measured is a column that is one of the measures by which a part is told.
type measured struct {
	col    int
	called string // wire, leg A; empty where the cell says what it is: right-hand
	behind string // what stands behind it: deg
}

// measuring are the columns that tell parts of a class, in the order of the bench, then
// hand and material.
var measuring = func() func(class string) []measured {
	var mu sync.Mutex
	made := map[string][]measured{}
	return func(class string) []measured {
		mu.Lock()
		defer mu.Unlock()
		if out, ok := made[class]; ok {
			return out
		}
		heads, out := partsTable().heads(), []measured{}
		fields := slices.Clone(dim.Order(class))
		if fields == nil { // no order is usual: all are told
			for _, in := range dim.Table() {
				fields = append(fields, in.Field)
			}
		}
		for _, f := range []dim.Field{dim.Thread, dim.Length, dim.Hand, dim.Material} {
			if !slices.Contains(fields, f) {
				fields = append(fields, f)
			}
		}
		for _, f := range fields {
			in := dim.Of(f)
			m := measured{col: headed(heads, in.Heading)}
			switch called := strings.TrimSuffix(in.Heading, " mm"); {
			case in.Kind == dim.KindWord:
			case f == dim.Angle:
				m.behind = " deg"
			default:
				m.called = strings.ToLower(called[:1]) + called[1:] + " "
			}
			out = append(out, m)
		}
		made[class] = out
		return out
	}
}()

// measures are those of a row of parts in one cell, for paper.
func measures(cells []string) string {
	class, _ := words.ClassNamed(cells[classCol()])
	var out []string
	for _, m := range measuring(class) {
		if text := cells[m.col]; text != "" {
			out = append(out, m.called+text+m.behind)
		}
	}
	return strings.Join(out, ", ")
}

var classCol = sync.OnceValue(func() int {
	return slices.IndexFunc(partsTable().heads(), func(h head) bool { return h.name == "Class" })
})

// A shown is a column of a sheet of a workbook: of the table, or derived.
type shown struct {
	head
	from int // in the table, -1 where it is derived
	read int // in toRead, -1 where it is of the table
	text bool
}

// shownOf are the columns of a sheet in the order they are written: each name behind
// its code, and what has no room on paper last. printed is how many paper has.
func shownOf(t table, derives bool) (cols []shown, printed int) {
	var more []derived
	if derives {
		more = toRead(t.title())
	}
	beside := func(name string) {
		for k, d := range more {
			if d.beside == name {
				h := head{name: d.heading}
				if !d.text {
					h.kind = asNumber
				}
				cols = append(cols, shown{h, -1, k, d.text})
			}
		}
	}
	heads := t.heads()
	for i, h := range heads {
		if !h.aside {
			cols = append(cols, shown{h, i, -1, false})
			beside(h.name)
		}
	}
	beside("")
	printed = len(cols)
	for i, h := range heads {
		if h.aside {
			cols = append(cols, shown{h, i, -1, false})
			beside(h.name)
		}
	}
	return cols, printed
}
