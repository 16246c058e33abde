package sheet

import (
	"cmp"
	"encoding/csv"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// A form is one sheet that is written to be printed, filled in by hand and taken back: a
// table with headings, columns told by their headings in any order.
type form struct {
	sheet   string
	heads   []string
	wide    map[string]float64  // width of a column, in letters
	lists   map[string][]string // words a column takes
	numbers []string            // columns of numbers
	boxes   []string            // columns that are written in with a pen
	aside   []string            // columns that stand behind the others, and on no paper
	top     []string            // lines over the headings of a workbook, on every page; the first is the title
}

// A formRow is a filled row: its number in the file and its cells by heading.
type formRow struct {
	row   int
	cells map[string]string
}

// mayWrite refuses a folder, a file that is there already, unless it is to be replaced, and a
// name that ends in neither .xlsx nor .csv ([store.ErrUsage]).
func mayWrite(file string, replace bool) error {
	if !isExt(file, ".xlsx", ".csv") {
		return store.Misread("%s: write a name that ends in .xlsx or .csv", file)
	}
	return mayStand(file, replace)
}

// MayWriteMap refuses a map file that is there: it may be another's.
func MayWriteMap(file string) error { return mayStand(file, false) }

// WriteFile writes a file whole or not at all. It refuses a folder, and a file that is there
// unless it is to be replaced.
func WriteFile(file string, data []byte, replace bool) error {
	if err := mayStand(file, replace); err != nil {
		return err
	}
	write := func(to io.Writer) error { _, err := to.Write(data); return err }
	return writeWhole(file, write, func(string) error { return nil })
}

func mayStand(file string, replace bool) error {
	info, err := os.Stat(file)
	switch {
	case err == nil && info.IsDir():
		return aFolder(file)
	case err == nil && !replace:
		return standsThere(file)
	}
	return nil
}

// write makes the file, whole or not at all: a workbook, or CSV where its name
// ends so.
func (f form) write(file string, rows [][]string, replace bool) error {
	if err := mayWrite(file, replace); err != nil {
		return err
	}
	if isExt(file, ".csv") {
		return writeCSV(file, f.heads, rows)
	}
	return f.workbook(file, rows)
}

// writeCSV writes a table with no cell that a spreadsheet takes for a formula. What
// stood there is replaced once it is complete.
func writeCSV(file string, heads []string, rows [][]string) error {
	write := func(to io.Writer) error {
		w := csv.NewWriter(to)
		w.UseCRLF = true
		err := w.Write(heads)
		for _, row := range rows {
			cells := make([]string, len(row))
			for i, c := range row {
				cells[i] = guard(c)
			}
			err = cmp.Or(err, w.Write(cells))
		}
		w.Flush()
		return cmp.Or(err, w.Error())
	}
	return writeWhole(file, write, func(string) error { return nil })
}

// An inked is a style of a form by what stands in the cell.
type inked struct{ title, line, heading, text, number, box int }

// ink makes the styles: rows are parted by fine lines, boxes have an edge on every side.
func (w *bookWriter) ink() inked {
	edge := func(of string, style int) excelize.Border {
		return excelize.Border{Type: of, Color: "000000", Style: style}
	}
	middle := &excelize.Alignment{Vertical: "center", WrapText: true}
	text := 49
	return inked{
		title:   w.style(excelize.Style{Font: &excelize.Font{Bold: true, Family: fontName, Size: 14}, Alignment: middle}),
		line:    w.style(excelize.Style{Font: &excelize.Font{Family: fontName, Size: fontSize}, Alignment: middle}),
		heading: w.style(excelize.Style{Font: &excelize.Font{Bold: true, Family: fontName, Size: fontSize}, Border: []excelize.Border{edge("bottom", 2)}, Alignment: &excelize.Alignment{Vertical: "bottom", WrapText: true}}),
		text:    w.style(excelize.Style{Border: []excelize.Border{edge("bottom", 4)}, Alignment: middle, NumFmt: text}),
		number:  w.style(excelize.Style{Border: []excelize.Border{edge("bottom", 4)}, Alignment: &excelize.Alignment{Vertical: "center", Horizontal: "right", Indent: 1}}),
		box:     w.style(excelize.Style{Border: []excelize.Border{edge("left", 2), edge("right", 2), edge("top", 2), edge("bottom", 2)}, Alignment: middle, NumFmt: text}),
	}
}

// penHeight is how high a row is that is written in, in points; lineHeight a line of
// text.
const penHeight, lineHeight = 22, 14.5

// workbook writes the form: what is printed first, the lines over it merged to its width.
func (f form) workbook(file string, rows [][]string) error {
	w := newBook(&exporter{})
	return w.written(file, Stamp{}, func() {
		s, k := &sheetWriter{bookWriter: w, name: f.sheet}, w.ink()
		w.sheet(f.sheet)
		order := f.order()
		widths, printed := f.widths(order)
		head := len(f.top) + 1
		w.want[f.sheet] = head + len(rows)
		s.begin(page{widths: widths, printed: printed, heading: head}, head+len(rows))
		f.dropDowns(s, order, len(rows))
		for _, text := range f.top {
			f.topLine(s, k, text, widths[:printed])
		}
		for i, row := range append([][]string{f.heads}, rows...) {
			cells, high := make([]any, len(order)), lineHeight
			for j, from := range order {
				text, look := row[from], f.look(k, f.heads[from])
				if i == 0 {
					look = k.heading
				}
				as := asText
				if i > 0 && look == k.number {
					as = asNumber
				}
				cells[j] = excelize.Cell{StyleID: look, Value: value(text, as)}
				if j < printed {
					high = max(high, lineHeight*float64(lines(text, widths[j])))
				}
			}
			if i > 0 && len(f.boxes) > 0 {
				high = max(high, penHeight)
			}
			s.row++
			s.setRow(cells, excelize.RowOpts{Height: high})
		}
		s.flush()
	})
}

// order is where the columns of a workbook stand in heads.
func (f form) order() (out []int) {
	for _, aside := range []bool{false, true} {
		for i, h := range f.heads {
			if slices.Contains(f.aside, h) == aside {
				out = append(out, i)
			}
		}
	}
	return out
}

// widths are those of the columns in their order, and how many paper has. Boxes are as
// wide as a pen wants them.
func (f form) widths(order []int) (widths []float64, printed int) {
	var gives []bool
	printed = len(order) - len(f.aside)
	for _, i := range order {
		h := f.heads[i]
		wish, _ := width(head{name: h})
		widths = append(widths, cmp.Or(f.wide[h], wish))
		gives = append(gives, !slices.Contains(f.boxes, h) && widths[len(widths)-1] > 10)
	}
	giveWay(widths[:printed], gives)
	if i := slices.Index(order, slices.Index(f.heads, "Note")); i >= 0 && i < printed { // takes what is left
		room := roomPixels(standingInches, standingPoint)
		if pixels(widths[:printed]) > room {
			room = roomPixels(lyingInches, 10)
		}
		widths[i] += math.Floor(max(0, room-pixels(widths[:printed])) / figurePixels)
	}
	return widths, printed
}

func (f form) look(k inked, heading string) int {
	switch {
	case slices.Contains(f.boxes, heading):
		return k.box
	case slices.Contains(f.numbers, heading):
		return k.number
	}
	return k.text
}

// topLine writes a line over the headings, as wide as the paper.
func (f form) topLine(s *sheetWriter, k inked, text string, widths []float64) {
	look, wide := k.line, -2.0
	for _, w := range widths {
		wide += w
	}
	s.row++
	high := 4 + lineHeight*float64(lines(text, wide))
	if s.row == 1 {
		look, high = k.title, 4+19*float64(lines(text, wide*11/14))
	}
	s.setRow([]any{excelize.Cell{StyleID: look, Value: text}}, excelize.RowOpts{Height: high})
	if len(widths) > 1 && s.err == nil {
		s.err = s.sw.MergeCell(cellName(0, s.row), cellName(len(widths)-1, s.row))
	}
}

// dropDowns are the words of columns.
func (f form) dropDowns(s *sheetWriter, order []int, rows int) {
	for j, i := range order {
		list := f.lists[f.heads[i]]
		if len(list) == 0 || rows == 0 {
			continue
		}
		dv := excelize.NewDataValidation(true)
		dv.Sqref = down(j, len(f.top)+2, len(f.top)+1+rows)
		s.keep(dv.SetDropList(list))
		s.keep(s.f.AddDataValidation(f.sheet, dv))
	}
}

// read reads the rows of a file that hold anything. It returns an error that
// wraps [store.ErrBadInput] for a file that is none or lacks a column that needs
// to be there.
func (f form) read(file string, needs ...string) ([]formRow, error) {
	_, rows, err := readGrid(file, f.sheet)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, badInput("%s is empty", file)
	}
	top := 0 // the first row that has one of the headings
	for i, row := range slices.Backward(rows) {
		if slices.ContainsFunc(needs, func(need string) bool { return headAt(row, need) >= 0 }) {
			top = i
		}
	}
	for _, need := range needs {
		if headAt(rows[top], need) < 0 {
			return nil, badInput("%s has no column %s beside its other headings", file, need)
		}
	}
	at := map[string]int{}
	for i, head := range rows[top] {
		for _, known := range f.heads {
			if sameHeading(head, known) {
				at[known] = i
			}
		}
	}
	var out []formRow
	for i, row := range rows[top+1:] {
		r := formRow{row: top + i + 2, cells: map[string]string{}}
		for head, col := range at {
			if col >= len(row) {
				continue
			}
			if text := unguard(strings.Join(strings.Fields(row[col]), " ")); text != "" {
				r.cells[head] = text
			}
		}
		if len(r.cells) > 0 {
			out = append(out, r)
		}
	}
	return out, nil
}

func sameHeading(a, b string) bool { return fold(a) == fold(b) }
