package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// A CountRow is one row of a sheet that is counted with: what is printed, and
// the box that is written in.
type CountRow struct {
	Place, Bag, Part, Name string
	Tells                  string // what tells it from its neighbour
	From, Unit             string
	Counted                string // the box
	Note                   string
	Cut                    uint64 // the last entry of the book when it was printed, 0 where it is not told

	Cell string // of the box, such as Count!H2, where it was read
}

// countSheet is the name of the sheet.
const countSheet = "Count"

// countHeads are the headings, in order. Counted is the one that must be there.
var countHeads = []string{"Place", "Bag", "Part", "Name", "Told by", "From", "Unit", "Counted", "Note", "Book to"}

func (r *CountRow) cells() []string {
	cut := ""
	if r.Cut != 0 {
		cut = strconv.FormatUint(r.Cut, 10)
	}
	return []string{r.Place, r.Bag, r.Part, r.Name, r.Tells, r.From, r.Unit, r.Counted, r.Note, cut}
}

// WriteCount writes a sheet to count with: a workbook where path ends in .xlsx,
// text where it ends in .csv. Nothing that exists is replaced without force; the
// error wraps [fs.ErrExist] then, and [store.ErrUsage] for another ending.
func WriteCount(path string, rows []CountRow, force bool) error {
	if err := mayWrite(path, force); err != nil {
		return err
	}
	if isExt(path, ".csv") {
		return countCSV(path, rows)
	}
	return countBook(path, rows)
}

func countCSV(path string, rows []CountRow) error {
	var cells [][]string
	for i := range rows {
		cells = append(cells, rows[i].cells())
	}
	return writeCSV(path, countHeads, cells)
}

func countBook(path string, rows []CountRow) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	end, err := excelize.CoordinatesToCellName(len(countHeads), len(rows)+1)
	err = errors.Join(err, f.SetSheetName("Sheet1", countSheet), f.SetSheetDimension(countSheet, "A1:"+end), printed(f, countSheet, len(countHeads)))
	if err != nil {
		return err
	}
	looks, err := countLooks(f)
	if err != nil {
		return err
	}
	sw, err := f.NewStreamWriter(countSheet) // what was set before it stands before the rows
	if err != nil {
		return err
	}
	if err := countLayout(sw); err != nil {
		return err
	}
	var titles []any
	for _, h := range countHeads {
		titles = append(titles, excelize.Cell{StyleID: looks[""], Value: h})
	}
	err = sw.SetRow("A1", titles)
	for i := range rows {
		values := make([]any, len(countHeads))
		for j, cell := range rows[i].cells() {
			look, known := looks[countHeads[j]]
			if !known {
				look = looks["Place"]
			}
			values[j] = excelize.Cell{StyleID: look, Value: cell}
		}
		err = errors.Join(err, sw.SetRow(fmt.Sprintf("A%d", i+2), values, excelize.RowOpts{Height: rows[i].height()}))
	}
	if err = errors.Join(err, sw.Flush()); err != nil {
		return err
	}
	return place(f, path, Stamp{}, map[string]int{countSheet: len(rows) + 1})
}

// countWidths are as wide as a pen wants them, in characters.
var countWidths = []float64{7, 8, 8, 34, 34, 9, 5, 11, 18, 8}

// height is that of a printed row, in points: room for a pen, and for every line of
// what tells the bag.
func (r *CountRow) height() float64 {
	lines := 1
	for _, text := range []string{r.Name, r.Tells} {
		lines = max(lines, 1+utf8.RuneCountInString(text)/30)
	}
	return float64(max(20, 14*lines))
}

// countLooks are the formats of the columns: "" for headings, Place for all that
// have none of their own.
func countLooks(f *excelize.File) (map[string]int, error) {
	edge := func(of string, style int) excelize.Border {
		return excelize.Border{Type: of, Color: "000000", Style: style}
	}
	middle := &excelize.Alignment{Vertical: "center"}
	wrapped := &excelize.Style{Border: []excelize.Border{edge("bottom", 4)}, Alignment: &excelize.Alignment{Vertical: "center", WrapText: true}}
	looks := map[string]int{}
	for name, style := range map[string]*excelize.Style{
		"":        {Font: &excelize.Font{Bold: true, Family: fontName, Size: fontSize}},
		"Place":   {Border: []excelize.Border{edge("bottom", 4)}, Alignment: middle},
		"Name":    wrapped,
		"Told by": wrapped,
		"Counted": {Border: []excelize.Border{edge("left", 2), edge("right", 2), edge("top", 2), edge("bottom", 2)}, Alignment: middle},
	} {
		id, err := f.NewStyle(style)
		if err != nil {
			return nil, err
		}
		looks[name] = id
	}
	return looks, nil
}

// countLayout sets the widths, and keeps the headings in sight.
func countLayout(sw *excelize.StreamWriter) error {
	if err := layColumns(sw, countWidths, nil); err != nil {
		return err
	}
	return sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
}

// ReadCount reads a filled sheet. Rows whose box is empty are left out. Headings
// may stand in any order; what is unknown is kept out. The error wraps
// [store.ErrBadInput] and names the cell.
func ReadCount(path string) ([]CountRow, error) {
	name, rows, err := readGrid(path, countSheet)
	if err != nil {
		return nil, err
	}
	return countRows(name, rows)
}

// countRows reads the rows below the heading.
func countRows(name string, all [][]string) ([]CountRow, error) {
	top := slices.IndexFunc(all, func(row []string) bool { return headAt(row, "Counted") >= 0 })
	if top < 0 {
		return nil, helped(NoCount, "", "%s has no column Counted: this is no sheet to count with", name)
	}
	at := map[string]int{}
	for _, h := range countHeads {
		at[h] = headAt(all[top], h)
	}
	if at["Bag"] < 0 && at["Part"] < 0 {
		return nil, badInput("%s has no column Bag", name)
	}
	var out []CountRow
	for i, row := range all[top+1:] {
		cell := func(h string) string {
			if j := at[h]; j >= 0 && j < len(row) {
				return unguard(strings.TrimSpace(row[j]))
			}
			return ""
		}
		if cell("Counted") == "" {
			continue
		}
		r := CountRow{Place: cell("Place"), Bag: cell("Bag"), Part: cell("Part"), Name: cell("Name"), Tells: cell("Told by"), From: cell("From"),
			Unit: cell("Unit"), Counted: cell("Counted"), Note: cell("Note")}
		ref, err := excelize.CoordinatesToCellName(at["Counted"]+1, top+i+2)
		if err != nil {
			return nil, err
		}
		r.Cell = name + "!" + ref
		if cut := cell("Book to"); cut != "" {
			if r.Cut, err = strconv.ParseUint(cut, 10, 64); err != nil {
				return nil, badInput("%s, row of it: Book to %q is no number of an entry: leave it as it was printed", r.Cell, cut)
			}
		}
		out = append(out, r)
	}
	return out, nil
}

// headAt is the column of a heading in a row, -1 for none. Case and blanks do
// not matter.
func headAt(row []string, heading string) int {
	fold := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }
	return slices.IndexFunc(row, func(s string) bool { return fold(s) == fold(heading) })
}
