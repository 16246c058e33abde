package sheet

import (
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

// countForm is the sheet as it is printed: what the book knows on the left, the box in
// the middle.
var countForm = form{sheet: countSheet, heads: countHeads, aside: []string{"Book to"}, boxes: []string{"Counted"},
	wide: map[string]float64{"Place": 7, "Bag": 8, "Part": 8, "Name": 30, "Told by": 34, "From": 9, "Unit": 5, "Counted": 12, "Note": 22}}

// WriteCount writes a sheet to count with, top over it: a workbook where path ends in
// .xlsx, text where it ends in .csv. Nothing that exists is replaced without force; the
// error wraps [fs.ErrExist] then, and [store.ErrUsage] for another ending.
func WriteCount(path string, top []string, rows []CountRow, force bool) error {
	f := countForm
	f.top = top
	var cells [][]string
	for i := range rows {
		cells = append(cells, rows[i].cells())
	}
	return f.write(path, cells, force)
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
