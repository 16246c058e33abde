package sheet

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"sync"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// Sheets of a workbook that hold no records: the lists that cells drop down, and
// what the columns of a template hold. Import passes over them.
const (
	listsSheet   = "Lists"
	columnsSheet = "Columns"
)

// namedIn says which sheet holds the codes of a column.
var namedIn = sync.OnceValue(func() map[string]string {
	return map[string]string{"Part": "Parts", "Twin": "Parts", "Holds": "Parts", "Model": "Models", "Carries": "Models", "Shutter": "Models", "Lens": "Models",
		"Donor": "Donors", "Origin": "Donors", "Place": "Places", "Tray": "Places", "Job": "Jobs", "Bag": "Bags"}
})

// spare is how many rows below the last are ready to be filled in.
const spare = 500

// A bookWriter writes one workbook.
type bookWriter struct {
	*exporter
	f      *excelize.File
	looks  looks
	counts map[string]int // records of every sheet
	lists  []head         // columns of the sheet of lists
	want   map[string]int // rows that each sheet should have, headings too
	known  *known
}

// The letters of a workbook: what a cell without a style has, too.
const (
	fontName = "Calibri"
	fontSize = 11
)

// looks are the styles of cells.
type looks struct{ heading, derived, name, text, behind, day, money, number, sample, short int }

// book writes an .xlsx file beside path, counts its rows and renames it.
func (e *exporter) book(path string) (err error) {
	w := &bookWriter{exporter: e, f: excelize.NewFile(), counts: e.counts, want: map[string]int{}}
	defer func() { err = errors.Join(err, w.f.Close()) }()
	if err := w.dress(); err != nil {
		return err
	}
	if err := w.begun(); err != nil {
		return err
	}
	if err := w.explained(); err != nil {
		return err
	}
	for _, t := range tables() {
		if w.leftOut(t) {
			continue
		}
		if err := w.sheets(t); err != nil {
			return fmt.Errorf("sheet %s: %w", t.title(), err)
		}
	}
	return place(w.f, path, w.Stamp, w.want)
}

// begun counts the records and makes all sheets in their order, empty but for the
// lists: hiding a sheet reads all others, so that must be done before they are full.
func (w *bookWriter) begun() error {
	var names []string
	if w.explain != nil {
		names = append(names, columnsSheet)
	}
	for _, t := range tables() {
		n, err := records(t, w.src)
		if err != nil {
			return err
		}
		w.counts[t.title()] = n
		if w.leftOut(t) {
			continue
		}
		for part := 1; part == 1 || n > (part-1)*(w.maxRows-1); part++ {
			names = append(names, partName(t, part))
		}
	}
	err := w.f.SetSheetName("Sheet1", names[0])
	for _, name := range names[1:] {
		_, more := w.f.NewSheet(name)
		err = errors.Join(err, more)
	}
	return errors.Join(err, w.listed())
}

// leftOut says that a sheet is not written: it holds nothing, and few workshops have
// anything for it. A template has all.
func (w *bookWriter) leftOut(t table) bool {
	return w.explain == nil && w.counts[t.title()] == 0 && slices.Contains(besides, t.title())
}

// records counts what a table has of src. A store knows that without reading all.
func records(t table, src Source) (int, error) {
	if v, ok := src.(*store.View); ok {
		return v.Rows(t.title())
	}
	return t.count(src)
}

// partName is the name of a sheet and of those it goes on in.
func partName(t table, part int) string {
	if part == 1 {
		return t.title()
	}
	return fmt.Sprintf("%s (%d)", t.title(), part)
}

// dress makes the styles.
func (w *bookWriter) dress() error {
	var errs error
	style := func(s excelize.Style) int {
		id, err := w.f.NewStyle(&s)
		errs = errors.Join(errs, err)
		return id
	}
	grey := &excelize.Font{Italic: true, Color: "666666", Family: fontName, Size: fontSize}
	bold := &excelize.Font{Bold: true, Color: "000000", Family: fontName, Size: fontSize}
	iso, text := "yyyy-mm-dd", 49
	line := []excelize.Border{{Type: "bottom", Style: 1, Color: "808080"}}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	right := &excelize.Alignment{Horizontal: "right", Vertical: "top", Indent: 1} // a text stands beside it
	w.looks = looks{
		heading: style(excelize.Style{Font: bold, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"DDE3EA"}}, Border: line, Alignment: top}),
		derived: style(excelize.Style{Font: grey, NumFmt: 1, Alignment: right}),
		name:    style(excelize.Style{Font: grey, NumFmt: text, Alignment: top}),
		text:    style(excelize.Style{NumFmt: text, Alignment: top}),
		behind:  style(excelize.Style{NumFmt: text, Alignment: &excelize.Alignment{Vertical: "top"}}),
		day:     style(excelize.Style{CustomNumFmt: &iso, Alignment: &excelize.Alignment{Horizontal: "left", Vertical: "top"}}),
		money:   style(excelize.Style{NumFmt: 2, Alignment: right}),
		number:  style(excelize.Style{NumFmt: 0, Alignment: right}),
		sample:  style(excelize.Style{Font: grey, NumFmt: text, Alignment: top}),
	}
	var err error
	w.looks.short, err = w.f.NewConditionalStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Color: "9C0006"}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFC7CE"}}})
	return errors.Join(errs, err)
}

// of is the style of a column.
func (l looks) of(h shown) int {
	switch {
	case h.text:
		return l.name
	case h.read >= 0:
		return l.derived
	case h.kind == asDay:
		return l.day
	case h.money:
		return l.money
	case h.kind == asNumber:
		return l.number
	case h.aside:
		return l.behind // a long text is cut off by its neighbour and makes no row higher
	}
	return l.text
}

// signed says of which store a workbook is, and no program or person as its maker.
func signed(f *excelize.File, from Stamp) error {
	f.Pkg.Store("docProps/core.xml", core(from))
	f.Pkg.Store("docProps/app.xml", []byte(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"/>`))
	return nil
}

// untouched says that a workbook is as this program wrote it: nobody has saved it
// since, and nothing is lost when it is written anew. What saves a workbook says there
// who and when.
func untouched(path string) bool {
	w, err := openBook(path, math.MaxInt64)
	if err != nil {
		return false
	}
	defer w.Close()
	in, err := w.open(coreMember)
	if err != nil {
		return false
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, 1<<16))
	return err == nil && bytes.Equal(text, core(w.stamp()))
}

// A sheetWriter streams rows into a sheet and its continuations.
type sheetWriter struct {
	*bookWriter
	sw      *excelize.StreamWriter
	t       table
	cols    []shown
	printed int // how many of them paper has, from the left
	widths  []float64
	name    string
	left    int // records to come
	part    int
	row     int
}

// sheets writes the records of t, in as many sheets as they take.
func (w *bookWriter) sheets(t table) error {
	s := &sheetWriter{bookWriter: w, t: t, left: w.counts[t.title()]}
	known, _ := w.src.(figures)
	s.cols, s.printed = shownOf(t, known != nil)
	s.widths = widthsOf(s.cols, s.printed)
	if err := s.next(); err != nil {
		return err
	}
	for _, cells := range w.samples[t.title()] {
		if err := s.sample(cells); err != nil {
			return err
		}
	}
	total := s.left
	if w.known == nil {
		w.known = knownOf(known)
	}
	m := newRowMaker(s, w.known)
	err := t.each(w.src, func(cells []string) error {
		w.wrote()
		return m.add(cells)
	})
	if err := cmp.Or(m.stop(), err); err != nil {
		return err
	}
	if s.left != 0 {
		return fmt.Errorf("%d records were counted and %d written", total, total-s.left)
	}
	return s.flush()
}

// next begins the next sheet with its headings.
func (s *sheetWriter) next() error {
	if s.sw != nil {
		if err := s.flush(); err != nil {
			return err
		}
	}
	s.part++
	s.name = partName(s.t, s.part)
	samples := len(s.samples[s.t.title()])
	rows := min(s.left+1+samples, s.maxRows)
	s.want[s.name] = rows
	if err := s.begin(page{widths: s.widths[:s.printed], all: len(s.widths)}, rows); err != nil {
		return err
	}
	if err := s.columns(); err != nil {
		return err
	}
	if err := s.dropDown(min(rows+spare, maxRows)); err != nil {
		return err
	}
	var titles []any
	most := 1
	for i, h := range s.cols {
		titles = append(titles, excelize.Cell{StyleID: s.looks.heading, Value: h.name})
		most = max(most, lines(h.name, s.widths[i]))
	}
	s.row = 1
	return s.sw.SetRow("A1", titles, tall(most)...)
}

// tall is the height of a row of several lines. A row of one has none of its own, so
// that a spreadsheet may make it higher.
func tall(lines int) []excelize.RowOpts {
	if lines < 2 {
		return nil
	}
	return []excelize.RowOpts{{Height: lineHeight * float64(min(lines, 28))}} // a row is 409 points high at most
}

// begin makes the sheet with what stands before its cells: how far they reach, what
// stays in sight, and how they are printed.
func (s *sheetWriter) begin(p page, rows int) error {
	end, err := excelize.CoordinatesToCellName(p.all, rows)
	if err != nil {
		return err
	}
	if err := errors.Join(s.f.SetSheetDimension(s.name, "A1:"+end), printed(s.f, s.name, p)); err != nil {
		return err
	}
	if s.sw, err = s.f.NewStreamWriter(s.name); err != nil {
		return err
	}
	panes := &excelize.Panes{Freeze: true, XSplit: 1, YSplit: max(1, p.heading), ActivePane: "bottomRight"}
	if len(p.widths) < p.all {
		panes.XSplit = 2 // the way to the last column is long: the name goes along
	}
	if panes.TopLeftCell, err = excelize.CoordinatesToCellName(panes.XSplit+1, panes.YSplit+1); err != nil {
		return err
	}
	return s.sw.SetPanes(panes)
}

// columns sets widths, and the formats that new rows take.
func (s *sheetWriter) columns() error {
	var styles []int
	for _, h := range s.cols {
		styles = append(styles, s.looks.of(h))
	}
	return layColumns(s.sw, s.widths, styles)
}

// layColumns sets the widths of columns and, where there are styles, the formats that
// new cells take. excelize puts a column before those it has, and they should stand
// in order: the last is set first.
func layColumns(sw *excelize.StreamWriter, widths []float64, styles []int) error {
	for i, wide := range slices.Backward(widths) {
		if err := sw.SetColWidth(i+1, i+1, wide); err != nil {
			return err
		}
		if styles == nil {
			continue
		}
		if err := sw.SetColStyle(i+1, i+1, styles[i]); err != nil {
			return err
		}
	}
	return nil
}

// dropDown lets cells down to row last be chosen from a list: words from the sheet
// of lists, codes from the sheet that holds them. A word that no list has is asked
// about, a code is not: it may be new.
func (s *sheetWriter) dropDown(last int) error {
	for i, h := range s.cols {
		from := ""
		if h.read >= 0 {
			continue
		}
		if len(h.words) > 0 {
			from = s.list(h.head)
		} else if in := namedIn()[h.name]; in != "" && (i > 0 || in != s.t.title()) {
			from = fmt.Sprintf("%s!$A$2:$A$%d", in, min(s.counts[in]+1+len(s.samples[in])+spare, s.maxRows))
		}
		if from == "" {
			continue
		}
		col, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		v := excelize.NewDataValidation(true)
		v.SetSqref(fmt.Sprintf("%s2:%s%d", col, col, last))
		v.SetSqrefDropList(from)
		if len(h.words) > 0 && h.name != "Degree" { // which takes two
			v.SetError(excelize.DataValidationErrorStyleWarning, h.name, "This word is none of the list.")
		}
		if err := s.f.AddDataValidation(s.name, v); err != nil {
			return err
		}
	}
	return s.markShort(last)
}

// markShort colours what is short. The word says so, too.
func (s *sheetWriter) markShort(last int) error {
	i := slices.IndexFunc(s.cols, func(h shown) bool { return h.read >= 0 && h.name == "Short by" })
	if i < 0 {
		return nil
	}
	col, err := excelize.ColumnNumberToName(i + 1)
	if err != nil {
		return err
	}
	return s.f.SetConditionalFormat(s.name, fmt.Sprintf("%s2:%s%d", col, col, last),
		[]excelize.ConditionalFormatOptions{{Type: "cell", Criteria: ">", Value: "0", Format: &s.looks.short}})
}

// list is where the words of a column stand in the sheet of lists.
func (w *bookWriter) list(h head) string {
	i := slices.IndexFunc(w.lists, h.hasWords)
	col, _ := excelize.ColumnNumberToName(i + 1)
	return fmt.Sprintf("%s!$%s$2:$%s$%d", listsSheet, col, col, len(h.words)+1)
}

// hasWords says that the words of both are the same.
func (h head) hasWords(other head) bool { return slices.Equal(h.words, other.words) }

// write writes the next row.
func (s *sheetWriter) write(values []any, lines int) error {
	if s.row >= s.maxRows {
		if err := s.next(); err != nil {
			return err
		}
	}
	s.row++
	s.left--
	return s.sw.SetRow("A"+strconv.Itoa(s.row), values, tall(lines)...)
}

// sample writes a row for show.
func (s *sheetWriter) sample(cells []string) error {
	s.row++
	values, most := make([]any, len(s.cols)), 1
	for i, h := range s.cols {
		if h.from >= 0 && cells[h.from] != "" {
			values[i] = excelize.Cell{StyleID: s.looks.sample, Value: cells[h.from]}
			if i < s.printed {
				most = max(most, lines(cells[h.from], s.widths[i]))
			}
		}
	}
	return s.sw.SetRow("A"+strconv.Itoa(s.row), values, tall(most)...)
}

// flush ends a sheet. Its rows are a table, which a spreadsheet can sort and filter.
func (s *sheetWriter) flush() error {
	end, err := excelize.CoordinatesToCellName(len(s.cols), max(s.row, 2))
	if err != nil {
		return err
	}
	name := s.t.title()
	if s.part > 1 {
		name += "_" + strconv.Itoa(s.part)
	}
	err = s.sw.AddTable(&excelize.Table{Range: "A1:" + end, Name: "tab" + name, StyleName: "TableStyleLight1"})
	return errors.Join(err, s.sw.Flush())
}

// listed writes the sheet of lists, out of sight: each list once, under the heading
// that takes it first.
func (w *bookWriter) listed() error {
	if _, err := w.f.NewSheet(listsSheet); err != nil {
		return err
	}
	most := 0
	for _, t := range tables() {
		if w.leftOut(t) {
			continue
		}
		for _, h := range t.heads() {
			if len(h.words) == 0 || slices.ContainsFunc(w.lists, h.hasWords) {
				continue
			}
			w.lists, most = append(w.lists, h), max(most, len(h.words))
			col, err := excelize.ColumnNumberToName(len(w.lists))
			if err != nil {
				return err
			}
			cells := append([]string{h.name}, h.words...)
			if err := w.f.SetSheetCol(listsSheet, col+"1", &cells); err != nil {
				return err
			}
		}
	}
	end, err := excelize.CoordinatesToCellName(len(w.lists), most+1)
	return errors.Join(err, w.f.SetSheetDimension(listsSheet, "A1:"+end), w.f.SetSheetVisible(listsSheet, false))
}

// explained writes the sheet that says what the columns of the others hold.
func (w *bookWriter) explained() error {
	if w.explain == nil {
		return nil
	}
	s := &sheetWriter{bookWriter: w, name: columnsSheet}
	widths := []float64{10, 20, 10, 78, 40}
	if err := s.begin(page{widths: widths, all: len(widths)}, len(w.explain)); err != nil {
		return err
	}
	wrap, err := w.f.NewStyle(&excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	if err != nil {
		return err
	}
	if err := layColumns(s.sw, widths, nil); err != nil {
		return err
	}
	for n, cells := range w.explain {
		style, lines, row := wrap, 1, make([]any, len(cells))
		if n == 0 {
			style = w.looks.heading
		}
		for i, c := range cells {
			row[i] = excelize.Cell{StyleID: style, Value: c}
			lines = max(lines, 1+utf8.RuneCountInString(c)*10/int(11*widths[i])) // most letters are narrower than 0
		}
		if err := s.sw.SetRow("A"+strconv.Itoa(n+1), row, excelize.RowOpts{Height: float64(15 * lines)}); err != nil {
			return err
		}
	}
	w.want[columnsSheet] = len(w.explain)
	return s.sw.Flush()
}
