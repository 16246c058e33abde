package sheet

import (
	"cmp"
	_ "embed"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// What headings of lists are called, by the column they stand for, in the languages of
// [cellWords]. Common practice, no source; all but English from memory.
//
//go:embed headings.csv
var headingsText string

// knownHeadings are the columns of a sheet by what headings are called.
var knownHeadings = sync.OnceValue(func() map[string]map[string]int {
	all := map[string]map[string]int{}
	for _, t := range tables() {
		all[t.title()] = map[string]int{}
		for i, h := range t.heads() {
			all[t.title()][bareKey(h.name)] = i
		}
	}
	for line := range strings.Lines(headingsText) {
		column, list, _ := strings.Cut(strings.TrimSpace(line), ",")
		title, name, _ := strings.Cut(column, " ")
		t, _ := tableNamed(title)
		to, _ := columnNamed(t, fold(name))
		for w := range strings.SplitSeq(list, ";") {
			if _, there := all[title][bareKey(w)]; !there {
				all[title][bareKey(w)] = to.col
			}
		}
	}
	return all
})

// unitWords are words of headings that say how a column is measured.
var unitWords = []string{"mm", "in", "inch", "inches", "zoll", "deg", "grad", "g", "cr", "eur", "euro", "chf"}

// besideWords stand beside the word of a heading and add nothing: Wire Ø, Menge (Stk).
var besideWords = []string{"o", "dia", "st", "stk", "stuck", "pc", "pcs", "pieces"}

// bareKey is a heading without units and without blanks.
func bareKey(s string) string { return keyWithout(s, unitWords) }

func keyWithout(s string, some ...[]string) string {
	var kept []string
	for _, w := range words.Tokens(strings.NewReplacer("Ø", " ø ", "⌀", " ø ", "ø", " ø ").Replace(s)) {
		if !slices.ContainsFunc(some, func(list []string) bool { return slices.Contains(list, w) }) {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, "")
}

// A Suggested is a proposal for reading a list, to be looked through and kept as a
// map file.
type Suggested struct {
	Sheet     string         `json:"sheet,omitempty"`
	Sheets    string         `json:"sheets,omitempty"` // every sheet is read, and its name stands for that column
	As        string         `json:"as"`
	HeaderRow int            `json:"header_row"`
	Dates     string         `json:"dates,omitempty"`
	Cross     bool           `json:"cross,omitempty"` // headings that are not listed are parts
	Columns   []SuggestedCol `json:"columns"`
	Remarks   []string       `json:"remarks,omitempty"`
	file      string
}

// A SuggestedCol is one heading of the list. Column is "-" where nothing is proposed.
type SuggestedCol struct {
	Heading string   `json:"heading"`
	Column  string   `json:"column"`
	Why     string   `json:"why"`
	Cells   []string `json:"cells"` // the first three that differ
}

// Say takes another column for heading i than is proposed, "-" for none.
func (s *Suggested) Say(i int, column string) error {
	m := &Mapping{As: s.As, Sheets: s.Sheets, Cross: s.Cross}
	for j, c := range s.Columns {
		if j == i {
			c.Column = column
		}
		m.Columns = append(m.Columns, MapColumn{c.Heading, c.Column})
	}
	if err := m.check(); err != nil {
		return err
	}
	s.Columns[i].Column, s.Columns[i].Why = column, "as it was answered"
	return nil
}

// String is the proposal as a map file.
func (s *Suggested) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# How %s is read: one heading = column a line, - leaves it out.\n", words.Shown(s.file))
	for _, r := range s.Remarks {
		fmt.Fprintf(&b, "# %s\n", words.Shown(r))
	}
	if s.Sheet != "" {
		fmt.Fprintf(&b, "sheet = %s\n", s.Sheet)
	}
	if s.Sheets != "" {
		fmt.Fprintf(&b, "sheets = %s\n", s.Sheets)
	}
	fmt.Fprintf(&b, "as = %s\nheader-row = %d\n", s.As, s.HeaderRow)
	if s.Dates != "" {
		fmt.Fprintf(&b, "dates = %s\n", s.Dates)
	}
	if s.Cross {
		fmt.Fprintf(&b, "columns = part\n")
	}
	for _, c := range s.Columns {
		fmt.Fprintf(&b, "\n# %s\n%s = %s\n", words.Shown(c.Why), words.Shown(asHeading(c.Heading)), c.Column)
	}
	return b.String()
}

// asHeading is a heading as a line of a map file can begin with it.
func asHeading(s string) string {
	rule, _ := (&Mapping{}).rule(s + " = x")
	if rule || strings.HasPrefix(s, "#") || slices.Contains([]string{"sheet", "as", "header-row", "dates", "no-quantity", "sheets", "columns"}, strings.ToLower(s)) {
		return `"` + s + `"`
	}
	return s
}

// A list is the first rows of a list whose headings are to be found.
type list struct {
	name   string
	rows   []row
	commas bool
	size   int
}

// suggestRows is how many rows of a sheet are looked at, and suggestSize about how many
// bytes of them.
const (
	suggestRows = 500
	suggestSize = 16 << 20
)

// Suggest proposes how the list at path is read. Of o.Map the sheet, as and the row
// of the headings are taken as they are, where they are said. Errors are those of
// [Read].
func Suggest(path string, o Options) (*Suggested, error) {
	m := o.Map
	lists, err := lists(path, o)
	if err != nil {
		return nil, err
	}
	t, err := m.table()
	if err != nil {
		return nil, badInput("%v", err)
	}
	best, out := -1, &Suggested{}
	for _, l := range lists {
		for _, x := range candidates(t) {
			if s, score := l.suggest(x, m); score > best {
				best, out = score, s
			}
		}
	}
	if best <= 0 {
		return nil, helped(Unmapped, "", "%s: no row holds headings that are known", filepath.Base(path))
	}
	if out.file = filepath.Base(path); len(lists) > 1 {
		var others []string
		for _, l := range lists {
			if l.name != out.Sheet {
				others = append(others, l.name)
			}
		}
		if like := out.alike(lists); m.Sheet == "" && len(like) > 0 {
			out.Sheet, out.Sheets = "", "place"
			out.Remarks = append(out.Remarks, "Sheets with these headings, each read as a drawer of its name: "+strings.Join(like, ", "))
			others = slices.DeleteFunc(others, func(name string) bool { return slices.Contains(like, name) })
		}
		if len(others) > 0 {
			out.Remarks = append(out.Remarks, "Other sheets of the file: "+strings.Join(others, ", "))
		}
	} else if !isExt(path, ".xlsx", ".xlsm", ".ods") {
		out.Sheet = ""
	}
	return out, nil
}

// alike are the sheets that have the headings of the proposal, where it is one of bags
// without a place and there is more than one such sheet.
func (s *Suggested) alike(lists []list) (names []string) {
	if s.As != "bags" || s.Cross || slices.ContainsFunc(s.Columns, func(c SuggestedCol) bool { return c.Column == "place" }) {
		return nil
	}
	has := func(r row) bool {
		return !slices.ContainsFunc(s.Columns, func(c SuggestedCol) bool {
			return c.Column != leftOut && !slices.ContainsFunc(r.cells, func(x cell) bool { return headKey(x.text) == headKey(c.Heading) })
		})
	}
	for _, l := range lists {
		if slices.ContainsFunc(l.rows, has) {
			names = append(names, l.name)
		}
	}
	if len(names) < 2 {
		return nil
	}
	return names
}

// candidates are the sheets that a list may be of: that which was said, else those
// that people keep lists of.
func candidates(t table) []table {
	if t != nil {
		return []table{t}
	}
	var out []table
	for _, title := range []string{"Parts", "Bags", "Donors", "Models", "Places", "Seen"} {
		t, _ := tableNamed(title)
		out = append(out, t)
	}
	return out
}

// lists are the sheets of a file with their first rows.
func lists(path string, o Options) ([]list, error) {
	info, err := stat(path)
	if err != nil {
		return nil, err
	}
	book, err := isBook(path, info)
	if err != nil {
		return nil, err
	}
	if !book {
		text, err := openList(path, o.Encoding)
		if err != nil {
			return nil, err
		}
		defer text.Close()
		l := list{name: filepath.Base(path)}
		if l.commas, err = text.decimalCommas(); err != nil {
			return nil, err
		}
		r := &reader{Options: o}
		again, err := r.listLines(text, l.name)
		if err == nil {
			err = again(r, l.take)
		}
		return []list{l}, err
	}
	w, err := openBook(path, o.MaxSize)
	if err != nil {
		return nil, err
	}
	defer w.Close()
	var out []list
	for _, s := range w.sheets {
		if s.member == "" || o.Map.Sheet != "" && headKey(s.name) != headKey(o.Map.Sheet) {
			continue
		}
		l := list{name: s.name}
		if _, err := w.rows(s.member, func(b []byte) string { return string(b) }, l.take); err != nil {
			return nil, fmt.Errorf("sheet %s: %w", s.name, err)
		}
		out = append(out, l)
	}
	if len(out) == 0 {
		_, err := w.sheetNamed(o.Map.Sheet)
		return nil, err
	}
	return out, w.finish()
}

// take keeps the first rows, as far as they are of a size that a list has.
func (l *list) take(r row) {
	if len(l.rows) >= suggestRows || l.size > suggestSize {
		return
	}
	r.cells = slices.Clone(r.cells)
	for i, c := range r.cells {
		if len(c.text) > 1000 {
			r.cells[i].text = clip(c.text)
		}
		l.size += len(r.cells[i].text) + 50
	}
	l.rows = append(l.rows, r)
}

// aimAt finds the column of a heading by its name.
func aimAt(t table, heading string) (aim, bool) {
	aimed := aim{sheet: "Bags", col: knownHeadings()["Bags"]["cost"]}
	price := t.title() == "Bags" && cellWords().onlyPrice(heading)
	if price && strings.ContainsAny(heading, moneySigns) { // which the keys do not have
		return aimed, true
	}
	for _, key := range []string{bareKey(heading), keyWithout(heading, unitWords, besideWords)} {
		for _, title := range []string{t.title(), "Parts"} {
			if title != t.title() && t.title() != "Bags" || key == "" {
				continue
			}
			if i, ok := knownHeadings()[title][key]; ok {
				return aim{sheet: title, col: i}, true
			}
		}
	}
	if price {
		return aimed, true
	}
	return aim{}, false
}

// header finds the row of the headings and how many columns it names.
func (l *list) header(t table, at int) (k, named int) {
	k = -1
	for i := range l.rows[:min(50, len(l.rows))] {
		if at > 0 && l.rows[i].number != at {
			continue
		}
		aims := map[aim]bool{}
		for _, c := range l.headings(t, i).cells {
			if a, ok := aimAt(t, c.text); ok {
				aims[a] = true
			}
		}
		stock := t.title() != "Bags"
		for a := range aims {
			stock = stock || a.sheet == "Bags" && slices.Contains([]string{"Quantity", "Place"}, t.heads()[a.col].name)
		}
		if n := len(aims); n > named && stock {
			k, named = i, n
		}
	}
	return k, named
}

// headings is row i as that of the headings, with those of the row above where it has
// none.
func (l *list) headings(t table, i int) row {
	if i == 0 {
		return l.rows[0]
	}
	return joined(l.rows[i-1], l.rows[i], func(s string) bool { _, ok := aimAt(t, s); return ok })
}

// suggest proposes a mapping for rows of t; score is how many columns were named.
func (l *list) suggest(t table, m *Mapping) (*Suggested, int) {
	k, score := l.header(t, m.HeaderRow)
	if k < 0 {
		return nil, 0
	}
	s := &Suggested{Sheet: l.name, As: strings.ToLower(t.title()), HeaderRow: l.rows[k].number}
	g := &guesser{l: l, t: t, m: &mapped{commas: l.commas}, below: l.rows[k+1:], taken: map[string]string{}, out: s, units: map[int]string{}}
	if len(g.below) > 0 && isUnitRow(g.below[0]) {
		for _, c := range g.below[0].cells {
			g.units[c.col] = unitText(c.text)
		}
		g.below = g.below[1:]
	}
	heads := l.headings(t, k)
	for _, c := range heads.cells {
		g.propose(c)
	}
	if n := g.crosses(heads); n > 0 {
		s.Cross, score = true, score+n
	} else if t.title() == "Seen" && m.As == "" {
		return nil, 0
	}
	g.beside(heads)
	g.name(heads)
	g.letters()
	if s.Dates = m.Dates; s.Dates == "" {
		g.dates()
	}
	return s, score
}

// propose proposes the column of one heading. A heading that stands twice is one line
// of a map, which cannot tell the two apart.
func (g *guesser) propose(c cell) {
	heading := strings.Join(strings.Fields(c.text), " ")
	if heading == "" {
		return
	}
	if !utf8.ValidString(heading) {
		g.out.Remarks = append(g.out.Remarks, fmt.Sprintf("The heading in column %s has letters that cannot be read, and is left out", columnName(c.col)))
		return
	}
	if slices.ContainsFunc(g.out.Columns, func(x SuggestedCol) bool { return headKey(x.Heading) == headKey(heading) }) {
		g.twice = append(g.twice, heading)
		return
	}
	to, why := g.column(c)
	key := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(to, " in"), " mm"), " each")
	if was, twice := g.taken[key]; twice {
		to, why = leftOut, fmt.Sprintf("%s, but %s is %q already", to, to, was)
	}
	if to != leftOut {
		g.taken[key] = heading
	}
	g.out.Columns = append(g.out.Columns, SuggestedCol{heading, to, why, first(g.holds(c.col))})
}

// crosses takes the headings of a cross table for parts, and counts them: those that
// nobody knows and that have marks alone below them, where none says which part a row
// is of.
func (g *guesser) crosses(heads row) (n int) {
	of := map[string]string{"Seen": "donor", "Bags": "place"}[g.t.title()]
	for _, no := range []string{"part", "name", "quantity", "seen"} {
		if _, there := g.taken[no]; there {
			return 0
		}
	}
	if _, there := g.taken[of]; of == "" || !there {
		return 0
	}
	mark := func(s string) bool {
		return slices.Contains(crossYes, strings.ToLower(s)) || slices.Contains(crossNo, strings.ToLower(s))
	}
	var parts, perhaps []string
	for _, c := range heads.cells {
		heading := strings.Join(strings.Fields(c.text), " ")
		i := slices.IndexFunc(g.out.Columns, func(x SuggestedCol) bool { return x.Heading == heading })
		cells := g.holds(c.col)
		marks := countOfTexts(cells, mark)
		if i < 0 || !strings.HasPrefix(g.out.Columns[i].Why, notRecognised) || marks == 0 {
			continue
		}
		perhaps = append(perhaps, heading)
		if (marks+countOfTexts(cells, func(s string) bool { return allDigits(s) && !mark(s) }))*5 >= len(cells)*4 {
			parts = append(parts, heading)
		}
	}
	if len(parts) < 2 {
		return 0
	}
	parts = perhaps // beside two, a column of which a cell or two are unclear is one too
	g.out.Columns = slices.DeleteFunc(g.out.Columns, func(x SuggestedCol) bool { return slices.Contains(parts, x.Heading) })
	g.out.Remarks = append(g.out.Remarks, "Headings that are parts, of which each cell says whether it is there: "+several(parts, strings.Clone))
	return len(parts)
}

// beside remarks upon headings that stand twice: of tables side by side, or in one.
func (g *guesser) beside(heads row) {
	all := tablesIn(heads.cells, func(c cell) (string, bool) {
		heading := strings.Join(strings.Fields(c.text), " ")
		i := slices.IndexFunc(g.out.Columns, func(x SuggestedCol) bool { return headKey(x.Heading) == headKey(heading) })
		if i < 0 || g.out.Columns[i].Column == leftOut {
			return "", false
		}
		a, err := aimOf(g.t, g.out.Columns[i].Column)
		return headKey(heading), err == nil && a.tells()
	})
	var begin []string
	for _, span := range all {
		begin = append(begin, columnName(span[0]))
	}
	if len(begin) > 0 {
		g.out.Remarks = append(g.out.Remarks, fmt.Sprintf(areBeside, len(begin), strings.Join(begin, ", ")))
	}
	for _, heading := range g.twice {
		if len(begin) == 0 {
			g.out.Remarks = append(g.out.Remarks, fmt.Sprintf("The heading %q stands twice: name one of them otherwise in the list, if it is to be read", heading))
		}
	}
}

// letters remarks upon cells that cannot be read.
func (g *guesser) letters() {
	var cells []string
	for _, r := range g.l.rows {
		for _, c := range r.cells {
			if !utf8.ValidString(c.text) {
				cells = append(cells, cellName(c.col, r.number))
			}
		}
	}
	if len(cells) > 0 {
		g.out.Remarks = append(g.out.Remarks, "The letters of "+several(cells, strings.Clone)+" cannot be read: how is the file written? Its map does not say it, the command line does")
	}
}

// name proposes the first column of texts that is not recognised as the name of the
// part, where no heading says so.
func (g *guesser) name(heads row) {
	if _, named := g.taken["name"]; named || g.out.Cross || g.t.title() != "Bags" && g.t.title() != "Parts" {
		return
	}
	for _, c := range heads.cells {
		heading := strings.Join(strings.Fields(c.text), " ")
		i := slices.IndexFunc(g.out.Columns, func(x SuggestedCol) bool { return x.Heading == heading && strings.HasPrefix(x.Why, notRecognised) })
		cells := g.holds(c.col)
		if i >= 0 && len(cells) > 0 && countOfTexts(cells, isWords)*5 >= len(cells)*4 {
			g.out.Columns[i].Column, g.out.Columns[i].Why = "name", "by what it holds, as no heading is a name: "+few(cells)
			return
		}
	}
	if _, coded := g.taken["part"]; !coded && slices.ContainsFunc(g.out.Columns, func(x SuggestedCol) bool { return g.ofParts(x.Column) }) {
		g.out.Remarks = append(g.out.Remarks, "No heading is a name, and a part without a code is known by its name: map one to it, or add one to the list")
	}
}

// ofParts says that a column is one of parts.
func (g *guesser) ofParts(column string) bool {
	a, err := aimOf(g.t, column)
	return column != leftOut && err == nil && a.sheet == "Parts"
}

// notRecognised begins what is said of a column of which nothing is known.
const notRecognised = "not recognised"

// isWords says that a text has a word of several letters.
func isWords(s string) bool {
	return slices.ContainsFunc(words.Tokens(s), func(w string) bool { return len(w) > 2 && !words.HasDigit(w) })
}

// A guesser proposes columns of one list.
type guesser struct {
	l     *list
	t     table
	m     *mapped
	below []row
	taken map[string]string // columns that are proposed, by heading
	days  []string          // texts of columns of days
	out   *Suggested
	twice []string       // headings that stand in the row before
	units map[int]string // by column, where a row of units stands below the headings
}

// column proposes the column of a heading, and says by what.
func (g *guesser) column(c cell) (to, why string) {
	a, ok := aimAt(g.t, c.text)
	cells := g.holds(c.col)
	if !ok {
		return g.byContent(cells)
	}
	t, _ := tableNamed(a.sheet)
	h := t.heads()[a.col]
	name := strings.ToLower(h.name)
	if a.sheet != g.t.title() {
		if _, both := columnNamed(g.t, fold(h.name)); both {
			name = strings.ToLower(strings.TrimSuffix(a.sheet, "s")) + " " + name
		}
	}
	switch {
	case h.name == "Class":
		if n := countOfTexts(cells, isClass); n*2 < len(cells) {
			return leftOut, "by its name class, but it holds " + few(cells) + ", which are no classes"
		}
	case h.words != nil:
		if n := countOfTexts(cells, func(s string) bool { return containsFold(h.words, s) }); n*2 < len(cells) {
			return leftOut, fmt.Sprintf("by its name %s, but it holds %s, and %s is one of %s", name, few(cells), name, strings.Join(h.words, ", "))
		}
	case h.name == "Part" && g.t.title() == "Bags" && countOfTexts(cells, isNumbered)*2 < len(cells):
		return "name", "by its name and what it holds: " + few(cells) + " are no codes"
	case h.kind == asCode && h.need && countOfTexts(cells, isCode)*2 < len(cells):
		return leftOut, "by its name " + name + ", but it holds " + few(cells) + ", which are no codes"
	case h.kind == asCode && h.need && len(cells) > 0 && countOfTexts(cells, allDigits) == len(cells):
		return leftOut, fmt.Sprintf("by its name %s, but it holds bare numbers, %s, which may only count the rows: write %s if they stand on the thing itself", name, few(cells), name)
	case a.sheet == "Bags" && h.name == "Cost":
		switch cellWords().priceOf(c.text) {
		case "each":
			return "cost each", "by its name, the price of one piece; it holds " + few(cells)
		case "price":
			return name, "by its name; of one piece or of all? write cost each or cost all; it holds " + few(cells)
		}
	case h.kind == asDay:
		g.days = append(g.days, texts(cells)...)
	case h.inch != "":
		return g.measure(h, name, cmp.Or(unitOf(c.text), g.units[c.col]), cells)
	}
	return name, "by its name; it holds " + few(cells)
}

// measure proposes millimetres or inches.
func (g *guesser) measure(h head, name, unit string, cells []cell) (to, why string) {
	if unit == "in" {
		return strings.ToLower(h.inch), "by its name, in inches; it holds " + few(cells)
	}
	in, _ := dim.ByHeading(h.name)
	mm, inch := 0, 0
	for _, c := range cells {
		text, problem := c.text, ""
		if c.kind == cellText {
			text, problem = g.m.measureText(strings.TrimSpace(c.text))
		}
		if _, _, err := dim.Parse(in.Field, "", text); err == nil && problem == "" {
			mm++
		}
		if _, _, err := dim.ParseInch(in.Field, "", text); err == nil && problem == "" {
			inch++
		}
	}
	if unit == "" && inch > mm {
		return strings.ToLower(h.inch), "by its name; in inches, for in mm " + few(cells) + " would be out of range"
	}
	return name, "by its name; it holds " + few(cells)
}

// byContent proposes a column for a heading that is not known.
func (g *guesser) byContent(cells []cell) (to, why string) {
	const atLeast = 3
	most := func(n int) bool { return n >= atLeast && n*5 >= len(cells)*4 }
	bags := g.t.title() == "Bags"
	switch {
	case (bags || g.t.title() == "Parts") && most(countOfTexts(cells, isClass)):
		return "class", "by what it holds: " + few(cells)
	case bags && most(countOfTexts(cells, isDayText)):
		g.days = append(g.days, texts(cells)...)
		return "booked", "by what it holds, days: " + few(cells)
	case bags && most(countOfTexts(cells, isAmount)):
		return "cost", "by what it holds, amounts: " + few(cells)
	}
	return leftOut, notRecognised + "; it holds " + few(cells)
}

// dates proposes the order of days, where a day proves it and none speaks against it.
func (g *guesser) dates() {
	if len(g.days) == 0 {
		return
	}
	dmy, mdy, doubt, dots := 0, 0, "", ""
	for _, s := range g.days {
		a, pa := dayText(s, "dmy")
		b, pb := dayText(s, "mdy")
		switch {
		case pa == "" && pb != "":
			dmy++
		case pa != "" && pb == "":
			mdy++
		case pa == "" && a != b && strings.Count(s, ".") == 2:
			dots = cmp.Or(dots, s)
		case pa == "" && a != b:
			doubt = cmp.Or(doubt, s)
		}
	}
	switch {
	case dmy > 0 && mdy == 0:
		g.out.Dates = "dmy"
	case mdy > 0 && dmy == 0:
		g.out.Dates = "mdy"
	case doubt == "" && dots != "" && dmy+mdy == 0:
		g.out.Remarks = append(g.out.Remarks, fmt.Sprintf("%s is read day first, as points part it: if that is wrong, write dates = mdy", dots))
	case doubt != "":
		g.out.Remarks = append(g.out.Remarks, fmt.Sprintf("%s may be two days: write dates = dmy or dates = mdy", doubt))
	}
}

// holds lists the cells of a column below the headings, without lone ones and totals.
func (g *guesser) holds(col int) (out []cell) {
	for _, r := range g.below {
		if len(r.cells) < 2 || slices.ContainsFunc(r.cells, func(c cell) bool { return isTotalText(c.text) }) {
			continue
		}
		for _, c := range r.cells {
			if c.col == col {
				out = append(out, c)
			}
		}
	}
	return out
}

func countOfTexts(cells []cell, is func(string) bool) (n int) {
	for _, c := range cells {
		if is(strings.TrimSpace(c.text)) || c.shown != "" && c.kind != cellBad && is(c.shown) {
			n++
		}
	}
	return n
}

func isClass(s string) bool { _, ok := words.ClassOf(s); return ok }
func isCode(s string) bool  { _, err := code.Parse(s); return err == nil }

// isNumbered says that s is a code with a number in it, and no name of one word.
func isNumbered(s string) bool { return isCode(s) && strings.ContainsAny(s, "0123456789") }

func isDayText(s string) bool {
	for _, order := range dateOrders {
		if _, problem := dayText(s, order); problem == "" {
			return true
		}
	}
	return false
}

// isAmount says that s is an amount with its currency.
func isAmount(s string) bool {
	m := &mapped{}
	m.main, m.r = &area{}, &reader{}
	text, problem := m.moneyText(s)
	_, err := code.ParseCents(text)
	return problem == "" && err == nil && m.currency != ""
}

func containsFold(list []string, s string) bool {
	return slices.ContainsFunc(list, func(w string) bool { return strings.EqualFold(w, s) })
}

// texts are the cells that are texts: a day that the spreadsheet knows is certain.
func texts(cells []cell) (out []string) {
	for _, c := range cells {
		if c.kind == cellText {
			out = append(out, strings.TrimSpace(c.text))
		}
	}
	return out
}

// few shows the first things a column holds.
func few(cells []cell) string {
	out := first(cells)
	if len(out) == 0 {
		return "nothing"
	}
	return strings.Join(out, ", ")
}

// first are the first three things a column holds.
func first(cells []cell) (out []string) {
	for _, c := range cells {
		if s := clip(strings.Join(strings.Fields(c.text), " ")); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
		if len(out) == 3 {
			break
		}
	}
	return out
}
