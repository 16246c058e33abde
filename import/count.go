package sheet

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
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
	switch {
	case isExt(path, ".csv"):
		return readCountCSV(path)
	case isExt(path, ".xlsx", ".xlsm"):
		return readCountBook(path)
	}
	return nil, badInput("%s is neither a workbook (.xlsx) nor text (.csv)", path)
}

func readCountCSV(path string) ([]CountRow, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, badInput("%s is no text: save it as CSV UTF-8", path)
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	r := csv.NewReader(bufio.NewReader(bytes.NewReader(text)))
	r.FieldsPerRecord, r.Comma = -1, comma(text)
	var all [][]string
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return countRows(filepath.Base(path), all)
		}
		if err != nil {
			return nil, badInput("%s: %v", filepath.Base(path), err)
		}
		for line, _ := r.FieldPos(0); len(all) < line-1; {
			all = append(all, nil) // rows are numbered by the lines of the file
		}
		all = append(all, cells)
	}
}

// comma is what parts the fields of a text: some programs write semicolons.
func comma(text []byte) rune {
	head, _, _ := bytes.Cut(text, []byte("\n"))
	best := ','
	for _, c := range []rune{';', '\t'} {
		if bytes.Count(head, []byte(string(c))) > bytes.Count(head, []byte(string(best))) {
			best = c
		}
	}
	return best
}

func readCountBook(path string) (out []CountRow, err error) {
	f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		return nil, badInput("%s is no workbook or is damaged: %v", path, err)
	}
	defer f.Close()
	name := countSheet
	if i, err := f.GetSheetIndex(name); err != nil || i < 0 {
		name = f.GetSheetName(0)
	}
	members, err := sheetParts(path)
	if err != nil {
		return nil, badInput("%s is damaged: %v", path, err)
	}
	in, err := inspect(path, members[name])
	if err != nil {
		return nil, badInput("%s, sheet %s is damaged: %v", filepath.Base(path), name, err)
	}
	for _, c := range in.bad {
		return nil, badInput("%s!%s %s", name, c.ref, c.problem)
	}
	raw, err := f.GetRows(name, excelize.Options{RawCellValue: true})
	if err != nil {
		return nil, badInput("%s, sheet %s is damaged: %v", filepath.Base(path), name, err)
	}
	shown, err := f.GetRows(name, excelize.Options{RawCellValue: false})
	if err != nil {
		return nil, badInput("%s, sheet %s is damaged: %v", filepath.Base(path), name, err)
	}
	for i := range min(len(raw), len(shown)) {
		raw[i] = prefer(raw[i], shown[i])
	}
	return countRows(name, raw)
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
