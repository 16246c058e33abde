package sheet

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// A row is one row of a sheet as its file holds it, whatever the file: what lies
// between a file and the table of columns is a function that takes rows.
type row struct {
	number int    // as the person counts, from 1
	cells  []cell // those that hold something, from left to right; only good until the next row
	hidden bool   // by hand or by a filter
	short  bool   // text that ends before the last heading
}

// A cell is one cell of a row.
type cell struct {
	col    int // from 0
	kind   cellKind
	style  int  // of the workbook
	struck bool // all of its text
	text   string
	shown  string // of a number: how its format shows it, where that says more: 00123
}

// A cellKind says what the text of a cell is.
type cellKind uint8

const (
	cellText    cellKind = iota
	cellNumber           // its digits, at most 15
	cellScience          // a number that is shown as 1.00E+05
	cellDay              // a number that is shown as a day: 2031-08-31
	cellTruth            // TRUE or FALSE
	cellBad              // what stands in the file, which cannot be taken in; shown says why
)

// What is wrong with cells that cannot be taken in.
const (
	errorCell    = "holds an error in place of a value: write the value"
	staleFormula = "holds a formula whose value was never worked out: write the value, or open and save the workbook once"
	bareFormula  = "holds a formula without its value: write the value, or open and save the workbook once"
	longNumber   = "is a number of more than 15 digits, of which a spreadsheet has lost some: write it as text"
	partStruck   = "is struck through in part: write what holds"
	noNumber     = "is said to be a number and is none: write it anew"
	noDay        = "is shown as a day and is none: write a day such as 2031-08-31"
	notADay      = "is a plain number: give the cell the format of a day, or write a day such as 2031-08-31 as text"
	madeADay     = "is a day to the spreadsheet, which may have made it of something else: write it as text"
	madeAPower   = "is a number such as 1E+05 to the spreadsheet, which may have made it of a code: write it as text"
	underMerged  = "lies under the merged cells %s and cannot be seen: unmerge them, or delete it"
	missingTexts = "text %s is not among the %d shared texts of the workbook: the file is damaged"
)

// most rows and columns of a sheet.
const (
	maxRows = excelize.TotalRows
	maxCols = excelize.MaxColumns
)

// A sheetReader goes through the text of one sheet and hands its rows on.
type sheetReader struct {
	w                  *workbook
	m                  *markup
	share              func([]byte) string
	take               func(row)
	row                row
	last               int // number of the last row
	full               int // rows that hold something
	cells              int // cells that hold something
	told               int // the last row by what the sheet says of itself, 0 where it says nothing
	data               bool
	hidden             []span // rows that hold something and are hidden
	columns            []span // columns that are hidden
	merged             []rect
	links              someCells
	comments, pictures someCells // of an OpenDocument workbook, which has them in its cells
	text               []byte
}

// A span is from one row or column to another, both counted from 1.
type span struct{ from, to int }

func (p span) String() string {
	if p.from == p.to {
		return strconv.Itoa(p.from)
	}
	return fmt.Sprintf("%d to %d", p.from, p.to)
}

// A rect is a rectangle of cells, counted from 1.
type rect struct{ left, top, right, bottom int }

func (a rect) String() string {
	from, _ := excelize.CoordinatesToCellName(a.left, a.top)
	to, _ := excelize.CoordinatesToCellName(a.right, a.bottom)
	return from + ":" + to
}

// hides says that a cell lies within and is not the first.
func (a rect) hides(row, col int) bool {
	return row >= a.top && row <= a.bottom && col >= a.left && col <= a.right && (row != a.top || col != a.left)
}

// rows reads the sheet in a member to the end of its text. take is given every row
// that holds something.
func (w *workbook) rows(member string, share func([]byte) string, take func(row)) (*sheetReader, error) {
	if w.ods {
		number, err := strconv.Atoi(strings.TrimPrefix(member, odsMember+"#"))
		if err != nil {
			return nil, badInput("%s has no sheet %s", w.name, member)
		}
		return w.odsRows(number, share, take)
	}
	s := &sheetReader{w: w, share: share, take: take}
	err := w.markup(member, "worksheet", s.see)
	if err == nil && !s.data {
		err = badInput("%s is damaged at %s: it holds no cells", w.name, member)
	}
	return s, err
}

// see takes the parts of a sheet as they come.
func (s *sheetReader) see(m *markup, t token) error {
	if s.m = m; t != tagOpens {
		return nil
	}
	switch string(m.local) {
	case "worksheet", "cols", "mergeCells", "hyperlinks":
	case "sheetData":
		if s.data {
			return malformed("its cells stand there twice")
		}
		s.data = true
		s.readRows()
	case "dimension":
		ref, _ := m.attr("ref")
		if _, to, ok := strings.Cut(ref, ":"); ok {
			_, s.told, _ = excelize.CellNameToCoordinates(to)
		}
	case "col":
		if m.yes("hidden") {
			from := m.number("min", 1)
			to := m.number("max", from)
			s.columns = append(s.columns, span{from, min(to, maxCols)})
			return bounded(len(s.columns), maxCols, "columns")
		}
	case "mergeCell":
		return s.merge()
	case "hyperlink":
		ref, _ := s.m.attr("ref")
		s.links.add(clip(ref))
	default:
		m.rest()
	}
	return nil
}

// merge notes merged cells.
func (s *sheetReader) merge() error {
	ref, _ := s.m.attr("ref")
	from, to, ok := strings.Cut(ref, ":")
	if !ok {
		return nil
	}
	left, top, err := excelize.CellNameToCoordinates(from)
	right, bottom, err2 := excelize.CellNameToCoordinates(to)
	if err != nil || err2 != nil || right < left || bottom < top {
		return malformed("merged cells %.40q are none", ref)
	}
	if len(s.merged) == 1000 {
		return malformed("more than 1000 merged cells: unmerge them")
	}
	s.merged = append(s.merged, rect{left, top, right, bottom})
	return nil
}

// readRows reads all rows. Their numbers rise.
func (s *sheetReader) readRows() {
	for m := s.m; ; {
		switch t := m.next(); {
		case t == tagCloses || t == theEnd:
			return
		case t == someText:
			m.blank()
		case string(m.local) != "row":
			s.stray("rows")
		default:
			if s.readRow(); m.err != nil {
				m.err = fmt.Errorf("%w (row %d)", m.err, max(s.row.number, s.last))
			}
		}
	}
}

func (s *sheetReader) stray(among string) { s.m.bad("<%.40s> stands among the %s", s.m.local, among) }

// blank refuses text that is more than blanks.
func (m *markup) blank() {
	if blanks(m.text) < len(m.text) {
		m.bad("%.40q stands between cells", m.text)
	}
}

// rowAttr and cellAttr say what a row and a cell may say of themselves: a name that
// is none of these is a damaged one.
func rowAttr(name []byte) bool {
	switch string(name) {
	case "r", "spans", "s", "customFormat", "ht", "hidden", "customHeight", "outlineLevel", "collapsed", "thickTop", "thickBot", "ph":
		return true
	}
	return false
}

func cellAttr(name []byte) bool {
	switch string(name) {
	case "r", "s", "t", "cm", "vm", "ph":
		return true
	}
	return false
}

// known refuses attributes that are none of those.
func (m *markup) known(is func(name []byte) bool) {
	for i := range m.attrs {
		if a := &m.attrs[i]; !a.prefixed && !is(a.name) {
			m.bad("%.40q is said of <%.40s>", a.name, m.local)
		}
	}
}

func (s *sheetReader) readRow() {
	m := s.m
	m.known(rowAttr)
	n := m.number("r", s.last+1)
	if n <= s.last || n > maxRows {
		m.bad("row %d follows row %d, and a sheet has %d rows", n, s.last, maxRows)
	}
	if m.err != nil {
		return
	}
	s.last = n
	s.row = row{number: n, cells: s.row.cells[:0], hidden: m.yes("hidden")}
	for last := 0; ; {
		switch t := m.next(); {
		case t == theEnd:
			return
		case t == tagCloses:
			s.hand()
			return
		case t == someText:
			m.blank()
		case string(m.local) == "extLst":
			m.rest()
		case string(m.local) != "c":
			s.stray("cells")
		default:
			last = s.readCell(last)
		}
	}
}

// hand hands the row on, if it holds something.
func (s *sheetReader) hand() {
	if len(s.row.cells) == 0 {
		return
	}
	s.full++
	s.cells += len(s.row.cells)
	if s.row.hidden {
		n := s.row.number
		if k := len(s.hidden) - 1; k >= 0 && s.hidden[k].to == n-1 {
			s.hidden[k].to = n
		} else {
			s.hidden = append(s.hidden, span{n, n})
		}
	}
	s.take(s.row)
}

// A rawCell is a cell as it is written.
type rawCell struct {
	col             int // from 1
	kind            string
	style           int
	formula, valued bool
}

// cellAt reads where the cell at hand lies: right of column last.
func (s *sheetReader) cellAt(last int) int {
	ref, ok := s.m.attr("r")
	if !ok {
		if last == maxCols {
			s.m.bad("a row has more than %d cells", maxCols)
		}
		return last + 1
	}
	col, digits := 0, 0
	for digits < len(ref) && ref[digits] >= 'A' && ref[digits] <= 'Z' && col <= maxCols {
		col = col*26 + int(ref[digits]-'A') + 1
		digits++
	}
	n, err := strconv.ParseUint(ref[digits:], 10, 31)
	switch {
	case err != nil, col == 0, col > maxCols, int(n) != s.row.number:
		s.m.bad("%.40q is no cell of row %d", ref, s.row.number)
	case col <= last:
		s.m.bad("cell %s stands right of its place or twice", ref)
	}
	return col
}

// readCell reads one cell and returns its column, from 1.
func (s *sheetReader) readCell(last int) int {
	m := s.m
	m.known(cellAttr)
	c := rawCell{col: s.cellAt(last), style: m.number("s", 0)}
	c.kind, _ = m.attr("t")
	if c.style > 0 && c.style >= len(s.w.styles) {
		m.bad("a cell has style %d of %d", c.style, len(s.w.styles))
	}
	s.text = s.text[:0]
	for {
		switch m.next() {
		case theEnd:
			return 0
		case tagCloses:
			m.keep(s.keep(c))
			return c.col
		case someText:
			m.blank()
		default:
			s.readValue(&c)
		}
	}
}

// readValue reads what stands in a cell: a formula, a value or a text.
func (s *sheetReader) readValue(c *rawCell) {
	switch name := string(s.m.local); {
	case name == "f":
		c.formula = true
		s.m.rest()
	case name == "extLst":
		s.m.rest()
	case c.valued:
		s.m.bad("a cell has two values")
	case name == "v" && c.kind != "inlineStr":
		c.valued = true
		s.text = s.m.textOf(s.text)
	case name == "is" && c.kind == "inlineStr":
		c.valued = true
		s.text = s.m.richText(s.text)
	default:
		s.stray("values of a cell")
	}
}

// keep turns a cell as written into one of the row, unless it holds nothing.
func (s *sheetReader) keep(c rawCell) error {
	out := cell{col: c.col - 1, style: c.style}
	switch {
	case c.kind == "e":
		out.bad(string(s.text), errorCell)
	case len(s.text) == 0 && c.formula && (c.kind != "str" || !c.valued):
		out.bad("", bareFormula)
	case len(s.text) == 0:
		return nil
	case c.formula && s.w.stale && string(s.text) == "0":
		// what programs write that cannot calculate
		out.bad("0", staleFormula)
	default:
		switch c.kind {
		case "", "n":
			s.keepNumber(&out, c.style)
		case "s":
			if err := s.keepShared(&out); err != nil {
				return err
			}
		case "str", "inlineStr":
			out.text = s.unescaped()
			if c.kind == "inlineStr" && s.m.struck > 0 {
				out.crossed(s.m.struck < len(s.text))
			}
		case "b":
			out.kind = cellTruth
			switch string(s.text) {
			case "1", "true":
				out.text = "TRUE"
			case "0", "false":
				out.text = "FALSE"
			default:
				out.bad(string(s.text), "is said to be true or false and is neither: write it anew")
			}
		case "d":
			s.keepDate(&out)
		default:
			return malformed("a cell is of the kind %.40q", c.kind)
		}
	}
	if out.kind == cellText && strings.TrimSpace(out.text) == "" {
		return nil
	}
	s.row.cells = append(s.row.cells, out)
	return nil
}

// unescaped is the text of a cell of its own.
func (s *sheetReader) unescaped() string {
	if bytes.Contains(s.text, []byte("_x")) {
		return unescape(s.text)
	}
	return s.share(s.text)
}

func (c *cell) bad(text, why string) { c.kind, c.text, c.shown = cellBad, text, why }

func (s *sheetReader) keepShared(c *cell) error {
	n, err := strconv.ParseUint(string(s.text), 10, 31)
	if err != nil || int(n) >= len(s.w.strings) {
		if !s.w.hasTexts {
			return badInput("%s is damaged: the texts that its cells share are missing in it", s.w.name)
		}
		c.bad(string(s.text), fmt.Sprintf(missingTexts, clip(string(s.text)), len(s.w.strings)))
		return nil
	}
	c.text = s.w.strings[n]
	if part, struck := s.w.struck[int(n)]; struck {
		c.crossed(part)
	}
	return nil
}

// crossed notes that the text of a cell is struck through, perhaps only in part: then
// nobody knows what holds of it.
func (c *cell) crossed(part bool) {
	if c.struck = !part; part {
		c.bad(c.text, partStruck)
	}
}

// keepNumber reads a number at 15 digits, which is what a spreadsheet keeps: 2.6
// may be written as 2.6000000000000001.
func (s *sheetReader) keepNumber(c *cell, style int) {
	var f numberFormat
	if style < len(s.w.styles) {
		f = s.w.styles[style]
	}
	if !f.date && whole(s.text) {
		c.kind, c.text = cellNumber, s.share(s.text)
	} else if !c.number(string(s.text)) {
		return
	}
	switch {
	case f.date:
		day, ok := dayOfSerial(c.text, s.w.date1904)
		if !ok {
			c.bad(c.text, noDay)
			return
		}
		c.kind, c.text = cellDay, day
	case f.science:
		c.kind = cellScience
	default:
		c.shown = f.show(c.text)
	}
}

// whole says that s is a whole number as it should be written, of up to 15 digits.
func whole(s []byte) bool {
	if len(s) > 15 || s[0] == '0' && len(s) > 1 {
		return false
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

// number reads a number that is not whole, negative or written in another way.
func (c *cell) number(s string) bool {
	n, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	switch {
	case err != nil, math.IsInf(n, 0), math.IsNaN(n), strings.ContainsAny(s, "xX_"):
		c.bad(s, noNumber)
		return false
	case math.Abs(n) >= 1e15:
		c.bad(s, longNumber)
		return false
	}
	if n, err = strconv.ParseFloat(strconv.FormatFloat(n, 'g', 15, 64), 64); err != nil || n == 0 {
		n = 0 // and not -0
	}
	c.kind, c.text = cellNumber, strconv.FormatFloat(n, 'f', -1, 64)
	return true
}

// keepDate reads a cell that holds a day as text, which is a kind of its own.
func (s *sheetReader) keepDate(c *cell) {
	text := string(s.text)
	day, clock, _ := strings.Cut(text, "T")
	if _, err := time.Parse(time.DateOnly, day); err != nil || strings.Trim(clock, "0123456789:.Z") != "" {
		c.bad(text, noDay)
		return
	}
	c.kind, c.text = cellDay, day
}

// dayOfSerial reads the number of days that a day is stored as, leaving out the
// time. Day 1 is 1900-01-01, and day 60 is 1900-02-29, which never was; or day 0 is
// 1904-01-01 (ECMA-376 part 1, 18.17.4.1).
func dayOfSerial(s string, since1904 bool) (string, bool) {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || f < 0 || f >= 2958466 {
		return "", false
	}
	n, zero := int(f), time.Date(1904, time.January, 1, 0, 0, 0, 0, time.UTC)
	if !since1904 {
		zero = time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
		switch {
		case n == 0 || n == 60:
			return "", false
		case n < 60:
			n++
		}
	}
	return zero.AddDate(0, 0, n).Format(time.DateOnly), true
}
