package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/words"
)

// A Mapping says how a list with headings of its own is read: which sheet of the
// workshop its rows are, and which column each heading stands for.
type Mapping struct {
	Sheet     string      // of a workbook; empty where it has but one
	As        string      // a sheet of the workshop, Bags
	HeaderRow int         // as the person counts; 0: the first row that has all headings
	Dates     string      // dmy, mdy or ymd; empty: only days that can be nothing else are read
	Unsaid    string      // of bags without a quantity, one of [Unsaid]
	Columns   []MapColumn // in order
	Fixed     []MapColumn // what an empty cell of a column holds; Heading is the value
	Values    []MapValue  // what words of a column mean
	Sheets    string      // the column that the names of sheets stand for, where each is read
	Cross     bool        // headings that are not mapped are parts
	Fill      []string    // columns in which an empty cell, or a ditto mark, is the one above
}

// A MapValue is a word of a column and what it means: class, Federring, lock washer.
type MapValue struct{ Column, Word, Value string }

// A MapColumn is one heading of a list and the column it stands for, "wire mm" or
// "part note"; leftOut where it stands for none.
type MapColumn struct {
	Heading, Column string
}

// leftOut is the column of a heading that is not taken in.
const leftOut = "-"

// dateOrders are the orders that days may be written in.
var dateOrders = []string{"dmy", "mdy", "ymd"}

// ParseMap reads a map file, one "Heading = column" a line, and the lines "sheet =",
// "as =", "header-row =", "dates =", "no-quantity =", "sheets =" and "columns =". "place := K2" is what empty
// cells of a column hold, "class: Federring = lock washer" what a word of one means,
// and "fill place" fills it from above. Lines that begin with # are remarks; a
// heading in quotes is one, whatever it is. Errors wrap [store.ErrBadInput] and name
// the line.
func ParseMap(name, text string) (*Mapping, error) {
	m, n := &Mapping{}, 0
	for line := range strings.Lines(strings.TrimPrefix(text, "\ufeff")) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if err := m.line(line); err != nil {
			return nil, badInput("%s, line %d: %v", name, n, err)
		}
	}
	return m, nil
}

func (m *Mapping) line(line string) error {
	if done, err := m.rule(line); done || err != nil {
		return cmp.Or(err, m.check())
	}
	heading, column, err := cutPair(line)
	if err != nil {
		return err
	}
	switch strings.ToLower(heading) {
	case "sheet":
		m.Sheet = unquoted(column)
	case "as":
		m.As = unquoted(column)
	case "dates":
		m.Dates = strings.ToLower(column)
	case "no-quantity":
		m.Unsaid = strings.ToLower(column)
	case "sheets":
		m.Sheets = unquoted(column)
	case "columns":
		if m.Cross = strings.EqualFold(column, "part") || strings.EqualFold(column, "parts"); !m.Cross {
			return fmt.Errorf("columns %q: the headings that are not mapped can be parts", column)
		}
	case "header-row":
		n, err := strconv.Atoi(column)
		if err != nil || n < 1 || n > maxRows {
			return fmt.Errorf("header-row %q is no number of a row", column)
		}
		m.HeaderRow = n
	default:
		m.Columns = append(m.Columns, MapColumn{unquoted(heading), column})
	}
	return m.check()
}

// rule takes a line that is none of a heading: fill, a constant, what a word means.
func (m *Mapping) rule(line string) (bool, error) {
	if strings.HasPrefix(line, `"`) {
		return false, nil
	}
	if column, ok := strings.CutPrefix(line, "fill "); ok && !strings.Contains(column, "=") {
		m.Fill = append(m.Fill, strings.TrimSpace(column))
		return true, nil
	}
	if column, value, ok := strings.Cut(line, ":="); ok {
		column, value = strings.TrimSpace(column), strings.TrimSpace(value)
		if column == "" || value == "" {
			return false, fmt.Errorf("%q has nothing on one side of the :=: write column := value, such as place := K2", line)
		}
		m.Fixed = append(slices.DeleteFunc(m.Fixed, func(c MapColumn) bool { return fold(c.Column) == fold(column) }), MapColumn{unquoted(value), column})
		return true, nil
	}
	column, rest, ok := strings.Cut(line, ":")
	if word, value, pair := strings.Cut(rest, "="); ok && pair && isColumn(column) {
		m.Values = append(m.Values, MapValue{strings.TrimSpace(column), unquoted(strings.TrimSpace(word)), unquoted(strings.TrimSpace(value))})
		return true, nil
	}
	return false, nil
}

// isColumn says that a text is the name of a column of any list.
func isColumn(name string) bool {
	return slices.ContainsFunc(tables(), func(t table) bool { _, err := aimOf(t, name); return err == nil })
}

// AddPair adds one "Heading=column" or another line of a map, or replaces what was
// said of the heading.
func (m *Mapping) AddPair(pair string) error {
	if done, err := m.rule(strings.TrimSpace(pair)); done || err != nil {
		return err
	}
	heading, column, err := cutPair(pair)
	if err != nil {
		return err
	}
	if h := strings.ToLower(heading); h == "sheets" || h == "columns" {
		return m.line(pair)
	}
	heading = unquoted(heading)
	m.Columns = slices.DeleteFunc(m.Columns, func(c MapColumn) bool { return headKey(c.Heading) == headKey(heading) })
	m.Columns = append(m.Columns, MapColumn{heading, column})
	return nil
}

// cutPair parts a heading from its column at the last sign of equality.
func cutPair(s string) (heading, column string, err error) {
	i := strings.LastIndex(s, "=")
	if i < 0 {
		return "", "", fmt.Errorf("%q has no =: write Heading = column, such as Lade = place", s)
	}
	heading, column = strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+1:])
	if heading == "" || column == "" {
		return "", "", fmt.Errorf("%q has nothing on one side of the =: write Heading = column, or Heading = - to leave it out", s)
	}
	return heading, column, nil
}

// unquoted is a heading as it stands in the list, of which a map shows what is not seen
// by its number: \u200b.
func unquoted(s string) string {
	if len(s) > 1 && s[0] == '"' && s[len(s)-1] == '"' {
		s = s[1 : len(s)-1]
	}
	return words.Hidden(s)
}

// headKey is how headings of lists are compared: without case, blanks, signs and
// accents. A letter alone keeps its case: d is the wire, D the spring.
func headKey(s string) string {
	if s = strings.TrimSpace(s); utf8.RuneCountInString(s) == 1 {
		return s
	}
	if k := strings.ReplaceAll(words.Fold(s), " ", ""); k != "" {
		return k
	}
	return fold(norm.NFC.String(s))
}

// check refuses what can be known to be wrong without the file, for the last column
// that was added too.
func (m *Mapping) check() error {
	t, err := m.table()
	if err != nil {
		return err
	}
	if m.Dates != "" && !slices.Contains(dateOrders, m.Dates) {
		return words.NotOneOf("dates", dateOrders, m.Dates)
	}
	if m.Unsaid != "" && !slices.Contains(Unsaid, m.Unsaid) {
		return words.NotOneOf("no-quantity", Unsaid, m.Unsaid)
	}
	heads, at := map[string]bool{}, map[aim]string{}
	for _, c := range m.Columns {
		k := headKey(c.Heading)
		if heads[k] {
			return fmt.Errorf("the heading %q is said twice", c.Heading)
		}
		heads[k] = true
		if c.Column == leftOut || t == nil {
			continue
		}
		to, err := aimOf(t, c.Column)
		if err != nil {
			return fmt.Errorf("%s = %s: %w", c.Heading, c.Column, err)
		}
		to.inch, to.each, to.all = false, false, false
		if was, twice := at[to]; twice {
			return fmt.Errorf("%q and %q both stand for %s: leave one out with = -", was, c.Heading, c.Column)
		}
		at[to] = c.Heading
	}
	return m.checkRules(t)
}

// checkRules refuses rules of columns that a list cannot have.
func (m *Mapping) checkRules(t table) error {
	if t == nil {
		return nil
	}
	var all []string
	for _, c := range m.Fixed {
		all = append(all, c.Column)
	}
	for _, v := range m.Values {
		all = append(all, v.Column)
	}
	if m.Sheets != "" {
		all = append(all, m.Sheets)
	}
	if title := t.title(); m.Cross && title != "Seen" && title != "Bags" {
		return fmt.Errorf("columns that are parts are those of seen and bags, and this is read as %s", strings.ToLower(title))
	}
	for _, name := range append(all, m.Fill...) {
		if _, err := aimOf(t, name); err != nil {
			return err
		}
	}
	return nil
}

// Check refuses a mapping that no file can be read by.
func (m *Mapping) Check() error {
	err := m.check()
	switch {
	case err != nil:
	case m.As == "":
		err = &Error{Kind: NoSheet, text: "nothing says which sheet of the workshop the rows are: " + strings.Join(store.Sheets, ", ")}
	}
	return err
}

// codeless says of which sheets the rows may have no code.
func codeless(title string) bool {
	return title == "Parts" || title == "Bags" || title == "Donors" || title == "Jobs"
}

func (m *Mapping) table() (table, error) {
	if m.As == "" {
		return nil, nil
	}
	t, part := tableNamed(m.As)
	if t == nil || part != 1 {
		return nil, words.NotOneOf("as", store.Sheets, m.As)
	}
	return t, nil
}

// An aim is a column of a sheet that a heading stands for.
type aim struct {
	sheet string
	col   int
	inch  bool
	each  bool // a price of one piece
	all   bool // a price of which it is said that it is that of all pieces
}

// aimOf finds the column that is meant in a list of t. Rows of bags may have columns
// of parts as well; "part note" is the note of the part.
func aimOf(t table, name string) (aim, error) {
	among := []table{t}
	if t.title() == "Bags" {
		among = append(among, partsTable())
	}
	key := fold(name)
	if end := strings.TrimPrefix(key, "cost"); t.title() == "Bags" && (end == "each" || end == "all") {
		a, _ := columnNamed(t, "cost")
		a.each, a.all = end == "each", end == "all"
		return a, nil
	}
	for _, x := range among {
		// In a list the size of a row is its part's; of the bag alone it is called bag length.
		if a, ok := columnNamed(x, key); ok && !(len(among) > 1 && x.title() == "Bags" && ofThePart(x.heads()[a.col].name)) {
			return a, nil
		}
	}
	var all []string
	for _, x := range among {
		rest, ok := strings.CutPrefix(key, fold(strings.TrimSuffix(x.title(), "s")))
		if a, there := columnNamed(x, rest); ok && there {
			return a, nil
		}
		for _, h := range x.heads() {
			all = append(all, strings.ToLower(h.name))
		}
	}
	return aim{}, fmt.Errorf("no column is called %q; there are %s", name, strings.Join(slices.Compact(all), ", "))
}

// ofThePart tells whether bags and parts both have a column, and it is a measure.
func ofThePart(heading string) bool {
	_, ok := dim.ByHeading(heading)
	return ok || heading == "Runs"
}

func columnNamed(t table, key string) (aim, bool) {
	for i, h := range t.heads() {
		if key == fold(h.name) || h.inch != "" && key == fold(h.inch) {
			return aim{sheet: t.title(), col: i, inch: key != fold(h.name)}, true
		}
	}
	return aim{}, false
}

func partsTable() table {
	t, _ := tableNamed("Parts")
	return t
}
