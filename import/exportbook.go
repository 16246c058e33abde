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

// A bookWriter writes one workbook. It keeps the first error, and no row is written
// after that.
type bookWriter struct {
	*exporter
	err    error
	f      *excelize.File
	to     *memberWriter
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

// newBook begins an empty workbook.
func newBook(e *exporter) *bookWriter {
	return &bookWriter{exporter: e, f: excelize.NewFile(), counts: e.counts, want: map[string]int{}}
}

// keep keeps an error unless there is one.
func (w *bookWriter) keep(err error) { w.err = cmp.Or(w.err, err) }

// written writes an .xlsx file of what fill fills in beside path, counts its rows and
// renames it.
func (w *bookWriter) written(path string, from Stamp, fill func()) (err error) {
	defer func() { err = errors.Join(err, w.f.Close()) }()
	return writeWhole(path, func(to io.Writer) error {
		w.to = newMemberWriter(to)
		w.f.SetZipWriter(func(io.Writer) excelize.ZipWriter { return w.to })
		if fill(); w.err == nil {
			w.keep(signed(w.f, from))
			w.keep(w.f.Write(io.Discard))
			w.keep(w.to.end())
		}
		return w.err
	}, func(tmp string) error { return readsBack(tmp, w.want) })
}

// pack writes the sheet that is full and lets go of it: excelize keeps up to 32 MiB of
// every sheet until its file is closed, and goes on with a file that was.
func (w *bookWriter) pack() {
	w.to.one = true
	w.keep(w.f.Write(io.Discard))
	w.to.one = false
	w.keep(w.f.Close())
}

// sheet makes a sheet behind those that are there. A new workbook has one without a
// name of its own.
func (w *bookWriter) sheet(name string) {
	if i, _ := w.f.GetSheetIndex("Sheet1"); i >= 0 {
		w.keep(w.f.SetSheetName("Sheet1", name))
		return
	}
	_, err := w.f.NewSheet(name)
	w.keep(err)
}

// style makes a style.
func (w *bookWriter) style(s excelize.Style) int {
	id, err := w.f.NewStyle(&s)
	w.keep(err)
	return id
}

// down is a column from one row to another.
func down(col, from, to int) string { return cellName(col, from) + ":" + cellName(col, to) }

// book writes a workbook of all records.
func (e *exporter) book(path string) error {
	w := newBook(e)
	return w.written(path, e.Stamp, func() {
		w.dress()
		w.begun()
		w.explained()
		for _, t := range tables() {
			w.sheets(t)
		}
	})
}

// begun counts the records and makes all sheets in their order, empty but for the
// lists: hiding a sheet reads all others, so that must be done before they are full.
func (w *bookWriter) begun() {
	if w.explain != nil {
		w.sheet(columnsSheet)
	}
	for _, t := range tables() {
		n, err := records(t, w.src)
		w.keep(err)
		w.counts[t.title()] = n
		if w.leftOut(t) {
			continue
		}
		for part := 1; part == 1 || n > (part-1)*(w.maxRows-1); part++ {
			w.sheet(partName(t, part))
		}
	}
	w.listed()
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

// dress makes the styles of records.
func (w *bookWriter) dress() {
	grey := &excelize.Font{Italic: true, Color: "666666", Family: fontName, Size: fontSize}
	bold := &excelize.Font{Bold: true, Color: "000000", Family: fontName, Size: fontSize}
	iso, text := "yyyy-mm-dd", 49
	line := []excelize.Border{{Type: "bottom", Style: 1, Color: "808080"}}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	right := &excelize.Alignment{Horizontal: "right", Vertical: "top", Indent: 1} // a text stands beside it
	w.looks = looks{
		heading: w.style(excelize.Style{Font: bold, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"DDE3EA"}}, Border: line, Alignment: top}),
		derived: w.style(excelize.Style{Font: grey, NumFmt: 1, Alignment: right}),
		name:    w.style(excelize.Style{Font: grey, NumFmt: text, Alignment: top}),
		text:    w.style(excelize.Style{NumFmt: text, Alignment: top}),
		behind:  w.style(excelize.Style{NumFmt: text, Alignment: &excelize.Alignment{Vertical: "top"}}),
		day:     w.style(excelize.Style{CustomNumFmt: &iso, Alignment: &excelize.Alignment{Horizontal: "left", Vertical: "top"}}),
		money:   w.style(excelize.Style{NumFmt: 2, Alignment: right}),
		number:  w.style(excelize.Style{NumFmt: 0, Alignment: right}),
		sample:  w.style(excelize.Style{Font: grey, NumFmt: text, Alignment: top}),
	}
	var err error
	w.looks.short, err = w.f.NewConditionalStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Color: "9C0006"}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFC7CE"}}})
	w.keep(err)
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

// A sheetWriter streams rows into a sheet, all by excelize: of records see recordWriter.
type sheetWriter struct {
	*bookWriter
	sw   *excelize.StreamWriter
	name string
	row  int
}

// setRow writes the row that the writer is at.
func (s *sheetWriter) setRow(values []any, opts ...excelize.RowOpts) {
	if s.err == nil {
		s.err = s.sw.SetRow("A"+strconv.Itoa(s.row), values, opts...)
	}
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
// stays in sight, how they are printed, how wide columns are and, where there are
// styles, which formats new cells take.
func (s *sheetWriter) begin(p page, rows int) {
	s.keep(s.f.SetSheetDimension(s.name, "A1:"+cellName(len(p.widths)-1, rows)))
	s.keep(printed(s.f, s.name, p))
	sw, err := s.f.NewStreamWriter(s.name)
	if s.keep(err); s.err != nil {
		return
	}
	s.sw = sw
	panes := &excelize.Panes{Freeze: true, XSplit: 1, YSplit: max(1, p.heading), ActivePane: "bottomRight"}
	if p.printed < len(p.widths) {
		panes.XSplit = 2 // the way to the last column is long: the name goes along
	}
	panes.TopLeftCell = cellName(panes.XSplit, panes.YSplit+1)
	s.keep(sw.SetPanes(panes))
	for i, wide := range slices.Backward(p.widths) { // excelize puts a column before those it has
		s.keep(sw.SetColWidth(i+1, i+1, wide))
		if p.styles != nil {
			s.keep(sw.SetColStyle(i+1, i+1, p.styles[i]))
		}
	}
}

// list is where the words of a column stand in the sheet of lists.
func (w *bookWriter) list(h head) string {
	col := columnName(slices.IndexFunc(w.lists, h.hasWords))
	return fmt.Sprintf("%s!$%s$2:$%s$%d", listsSheet, col, col, len(h.words)+1)
}

// hasWords says that the words of both are the same.
func (h head) hasWords(other head) bool { return slices.Equal(h.words, other.words) }

// flush ends a sheet.
func (s *sheetWriter) flush() {
	if s.sw == nil || s.err != nil {
		return
	}
	if s.keep(s.sw.Flush()); s.err == nil {
		s.pack()
	}
}

// listed writes the sheet of lists, out of sight: each list once, under the heading
// that takes it first.
func (w *bookWriter) listed() {
	w.sheet(listsSheet)
	most := 0
	for _, t := range tables() {
		if w.leftOut(t) {
			continue
		}
		for _, h := range t.heads() {
			if len(h.words) == 0 || slices.ContainsFunc(w.lists, h.hasWords) {
				continue
			}
			cells := append([]string{h.name}, h.words...)
			w.keep(w.f.SetSheetCol(listsSheet, cellName(len(w.lists), 1), &cells))
			w.lists, most = append(w.lists, h), max(most, len(h.words))
		}
	}
	w.keep(w.f.SetSheetDimension(listsSheet, "A1:"+cellName(len(w.lists)-1, most+1)))
	w.keep(w.f.SetSheetVisible(listsSheet, false))
}

// explained writes the sheet that says what the columns of the others hold.
func (w *bookWriter) explained() {
	if w.explain == nil {
		return
	}
	s := &sheetWriter{bookWriter: w, name: columnsSheet}
	widths := []float64{10, 20, 10, 78, 40}
	s.begin(page{widths: widths, printed: len(widths)}, len(w.explain))
	wrap := w.style(excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	for n, cells := range w.explain {
		style, lines, row := wrap, 1, make([]any, len(cells))
		if n == 0 {
			style = w.looks.heading
		}
		for i, c := range cells {
			row[i] = excelize.Cell{StyleID: style, Value: c}
			lines = max(lines, 1+utf8.RuneCountInString(c)*10/int(11*widths[i])) // most letters are narrower than 0
		}
		s.row++
		s.setRow(row, excelize.RowOpts{Height: float64(15 * lines)})
	}
	w.want[columnsSheet] = len(w.explain)
	s.flush()
}
