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
	"strings"
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

// toRead are the columns of a workbook that are only there to be read, by sheet,
// after all others. They follow from the book: import passes over them.
var toRead = map[string][]string{"Parts": {"To take", "Short by"}, "Bags": {"In the drawer", "About there"}}

// formerly are headings, folded, that such columns had in exports of before. On hand had
// what is lent as well.
var formerly = map[string]string{"free": "To take", "short": "Short by", "onhand": "In the drawer"}

// namedIn says which sheet holds the codes of a column.
var namedIn = map[string]string{"Part": "Parts", "Twin": "Parts", "Holds": "Parts", "Model": "Models", "Carries": "Models", "Shutter": "Models", "Lens": "Models",
	"Donor": "Donors", "Origin": "Donors", "Place": "Places", "Tray": "Places", "Job": "Jobs", "Bag": "Bags"}

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
}

// The letters of a workbook: what a cell without a style has, too.
const (
	fontName = "Calibri"
	fontSize = 11
)

// looks are the styles of cells.
type looks struct{ heading, derived, text, day, money, number, sample, short int }

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
	right := &excelize.Alignment{Horizontal: "right", Indent: 1} // a text stands beside it
	w.looks = looks{
		heading: style(excelize.Style{Font: bold, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"DDE3EA"}}, Border: line, Alignment: top}),
		derived: style(excelize.Style{Font: grey, NumFmt: 1, Alignment: right}),
		text:    style(excelize.Style{NumFmt: text}),
		day:     style(excelize.Style{CustomNumFmt: &iso, Alignment: &excelize.Alignment{Horizontal: "left"}}),
		money:   style(excelize.Style{NumFmt: 2, Alignment: right}),
		number:  style(excelize.Style{NumFmt: 0, Alignment: right}),
		sample:  style(excelize.Style{Font: grey, NumFmt: text}),
	}
	var err error
	w.looks.short, err = w.f.NewConditionalStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Color: "9C0006"}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFC7CE"}}})
	return errors.Join(errs, err)
}

// of is the style of a column.
func (l looks) of(h head) int {
	switch {
	case h.kind == asDay:
		return l.day
	case h.money:
		return l.money
	case h.kind == asNumber:
		return l.number
	}
	return l.text
}

// program is what a workbook says it was written by: an office program that saves
// it says something else.
const program = "tinful"

// signed says who wrote a workbook.
func signed(f *excelize.File, from Stamp) error {
	f.Pkg.Store("docProps/core.xml", core(from))
	return f.SetAppProps(&excelize.AppProperties{Application: program})
}

// untouched says that a workbook is as this program wrote it: nobody has saved it
// since, and nothing is lost when it is written anew.
func untouched(path string) bool {
	w, err := openBook(path, math.MaxInt64)
	if err != nil {
		return false
	}
	defer w.Close()
	in, err := w.open("docProps/app.xml")
	if err != nil {
		return false
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, 1<<16))
	return err == nil && bytes.Contains(text, []byte("<Application>"+program+"</Application>"))
}

// A sheetWriter streams rows into a sheet and its continuations.
type sheetWriter struct {
	*bookWriter
	sw    *excelize.StreamWriter
	t     table
	heads []head
	more  []string // headings that are only there to be read
	name  string
	left  int // records to come
	part  int
	row   int
}

// sheets writes the records of t, in as many sheets as they take.
func (w *bookWriter) sheets(t table) error {
	s := &sheetWriter{bookWriter: w, t: t, heads: t.heads(), left: w.counts[t.title()]}
	known, _ := w.src.(figures)
	if known != nil {
		s.more = toRead[t.title()]
	}
	if err := s.next(); err != nil {
		return err
	}
	for _, cells := range w.samples[t.title()] {
		if err := s.sample(cells); err != nil {
			return err
		}
	}
	total := s.left
	m := newRowMaker(s, known)
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
	if err := s.begin(s.width(), rows); err != nil {
		return err
	}
	if err := s.columns(); err != nil {
		return err
	}
	if err := s.dropDown(min(rows+spare, maxRows)); err != nil {
		return err
	}
	var titles []any
	for _, h := range s.heads {
		titles = append(titles, excelize.Cell{StyleID: s.looks.heading, Value: h.name})
	}
	for _, name := range s.more {
		titles = append(titles, excelize.Cell{StyleID: s.looks.heading, Value: name})
	}
	s.row = 1
	return s.sw.SetRow("A1", titles)
}

// begin makes the sheet with what stands before its cells: how far they reach, what
// stays in sight, and how they are printed.
func (s *sheetWriter) begin(cols, rows int) error {
	end, err := excelize.CoordinatesToCellName(cols, rows)
	if err != nil {
		return err
	}
	if err := errors.Join(s.f.SetSheetDimension(s.name, "A1:"+end), printed(s.f, s.name, cols)); err != nil {
		return err
	}
	if s.sw, err = s.f.NewStreamWriter(s.name); err != nil {
		return err
	}
	return s.sw.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"})
}

// printed sets how a sheet is printed: as wide as the paper, headings on every page.
// One of many columns goes on beside itself, with the first two columns again.
func printed(f *excelize.File, name string, cols int) error {
	yes, wide, tall, a4, lying := true, 1, 0, 9, "landscape"
	side, high, foot := 0.4, 0.6, 0.3 // inches; the footer lies within the lower margin
	quoted := "'" + strings.ReplaceAll(name, "'", "''") + "'"
	titles := quoted + "!$1:$1"
	if cols > 24 {
		wide, titles = 4, quoted+"!$A:$B,"+titles
	}
	return errors.Join(
		f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &yes}),
		f.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &a4, Orientation: &lying, FitToWidth: &wide, FitToHeight: &tall}),
		f.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &high, Bottom: &high, Header: &foot, Footer: &foot}),
		f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&F, &A&RPage &P of &N"}),
		f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: titles, Scope: name}))
}

// columns sets widths, and the formats that new rows take.
func (s *sheetWriter) columns() error {
	var widths []float64
	var styles []int
	for _, h := range s.heads {
		widths, styles = append(widths, width(h)), append(styles, s.looks.of(h))
	}
	for range s.more {
		widths, styles = append(widths, 11), append(styles, s.looks.derived)
	}
	return layColumns(s.sw, widths, styles)
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

func width(h head) float64 {
	switch h.name {
	case "Note":
		return 48
	case "Name", "Aliases", "Fault":
		return 40
	case "Told by", "Tools":
		return 32
	case "Where", "From", "Operation", "For", "Why", "Carries", "Holds", "Leg ends", "Lens":
		return 22
	}
	least := 11
	if h.kind == asDay || h.name == "Hazard" || h.name == "Thread" {
		least = 14
	}
	return float64(max(least, utf8.RuneCountInString(h.name)+3))
}

// dropDown lets cells down to row last be chosen from a list: words from the sheet
// of lists, codes from the sheet that holds them. A word that no list has is asked
// about, a code is not: it may be new.
func (s *sheetWriter) dropDown(last int) error {
	for i, h := range s.heads {
		from := ""
		if len(h.words) > 0 {
			from = s.list(h)
		} else if in := namedIn[h.name]; in != "" && (i > 0 || in != s.t.title()) {
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
	i := slices.Index(s.more, "Short by")
	if i < 0 {
		return nil
	}
	col, err := excelize.ColumnNumberToName(len(s.heads) + i + 1)
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

// width is how many columns the sheet has.
func (s *sheetWriter) width() int { return len(s.heads) + len(s.more) }

// write writes the next row.
func (s *sheetWriter) write(values []any) error {
	if s.row >= s.maxRows {
		if err := s.next(); err != nil {
			return err
		}
	}
	s.row++
	s.left--
	return s.sw.SetRow("A"+strconv.Itoa(s.row), values)
}

// sample writes a row for show.
func (s *sheetWriter) sample(cells []string) error {
	s.row++
	values := make([]any, len(cells))
	for i, c := range cells {
		if c != "" {
			values[i] = excelize.Cell{StyleID: s.looks.sample, Value: c}
		}
	}
	return s.sw.SetRow("A"+strconv.Itoa(s.row), values)
}

// flush ends a sheet. Its rows are a table, which a spreadsheet can sort and filter.
func (s *sheetWriter) flush() error {
	end, err := excelize.CoordinatesToCellName(s.width(), max(s.row, 2))
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
	if err := s.begin(5, len(w.explain)); err != nil {
		return err
	}
	wrap, err := w.f.NewStyle(&excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	if err != nil {
		return err
	}
	widths := []float64{10, 20, 10, 78, 40}
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
