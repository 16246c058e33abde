package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

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
// error wraps [fs.ErrExist] then, and [store.ErrBadInput] for another ending.
func WriteCount(path string, rows []CountRow, force bool) error {
	if !isExt(path, ".xlsx", ".csv") {
		return badInput("%s is neither a name in .xlsx nor in .csv", path)
	}
	if _, err := os.Lstat(path); err == nil && !force {
		return fmt.Errorf("%s stands there already: %w", path, fs.ErrExist)
	}
	if isExt(path, ".csv") {
		return countCSV(path, rows)
	}
	return countBook(path, rows)
}

func countCSV(path string, rows []CountRow) (err error) {
	f, err := create(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	w := csv.NewWriter(f)
	w.UseCRLF = true
	err = w.Write(countHeads)
	for i := range rows {
		err = errors.Join(err, w.Write(rows[i].cells()))
	}
	w.Flush()
	if err = errors.Join(err, w.Error(), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

func countBook(path string, rows []CountRow) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := f.SetSheetName("Sheet1", countSheet); err != nil {
		return err
	}
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	line := func(style int) []excelize.Border {
		return []excelize.Border{{Type: "bottom", Color: "000000", Style: style}}
	}
	box, err := f.NewStyle(&excelize.Style{Border: append(line(2), excelize.Border{Type: "left", Color: "000000", Style: 2}, excelize.Border{Type: "right", Color: "000000", Style: 2})})
	if err != nil {
		return err
	}
	sw, err := f.NewStreamWriter(countSheet)
	if err != nil {
		return err
	}
	if err := countLayout(f, sw); err != nil {
		return err
	}
	var titles []any
	for _, h := range countHeads {
		titles = append(titles, excelize.Cell{StyleID: bold, Value: h})
	}
	err = sw.SetRow("A1", titles)
	for i := range rows {
		values := make([]any, len(countHeads))
		for j, cell := range rows[i].cells() {
			values[j] = cell
			if countHeads[j] == "Counted" {
				values[j] = excelize.Cell{StyleID: box, Value: cell}
			}
		}
		err = errors.Join(err, sw.SetRow(fmt.Sprintf("A%d", i+2), values))
	}
	if err = errors.Join(err, sw.Flush()); err != nil {
		return err
	}
	return place(f, path, map[string]int{countSheet: len(rows) + 1})
}

// countLayout sets what a printed sheet looks like: the heading on every page,
// across the page, widths for a pen.
func countLayout(f *excelize.File, sw *excelize.StreamWriter) error {
	for i, w := range []float64{7, 8, 8, 34, 34, 9, 5, 11, 18, 8} {
		if err := sw.SetColWidth(i+1, i+1, w); err != nil {
			return err
		}
	}
	landscape, fit := "landscape", 1
	any := 0
	return errors.Join(
		sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}),
		f.SetPageLayout(countSheet, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &fit, FitToHeight: &any}),
		f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: countSheet + "!$1:$1", Scope: countSheet}),
	)
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
		return nil, badInput("%s has no column Counted: this is no sheet of tinful count sheet", name)
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
				return strings.TrimSpace(row[j])
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
