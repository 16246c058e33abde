package sheet

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// A form is one sheet that is written to be filled in by hand and taken back: a
// table with a heading, columns told by their headings in any order.
type form struct {
	sheet string
	heads []string
	wide  map[string]float64  // width of a column, in letters
	lists map[string][]string // words a column takes
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

func (f form) workbook(file string, rows [][]string) (err error) {
	w := &bookWriter{exporter: &exporter{}, f: excelize.NewFile()}
	defer func() { err = errors.Join(err, w.f.Close()) }()
	s := &sheetWriter{bookWriter: w, name: f.sheet}
	if err := cmp.Or(w.f.SetSheetName("Sheet1", f.sheet), w.dress()); err != nil {
		return err
	}
	if err := cmp.Or(s.begin(len(f.heads), len(rows)+1), f.dress(s, len(rows))); err != nil {
		return err
	}
	for i, row := range append([][]string{f.heads}, rows...) {
		cells := make([]any, len(row))
		for j, text := range row {
			cells[j] = excelize.Cell{StyleID: w.looks.text, Value: text}
			switch number := value(text, asNumber); {
			case i == 0:
				cells[j] = excelize.Cell{StyleID: w.looks.heading, Value: text}
			case text == "":
				cells[j] = nil
			case (f.heads[j] == "Per body" || f.heads[j] == "Sum") && number != text:
				cells[j] = excelize.Cell{StyleID: w.looks.number, Value: number}
			}
		}
		if err := s.sw.SetRow("A"+strconv.Itoa(i+1), cells); err != nil {
			return err
		}
	}
	if err := s.sw.Flush(); err != nil {
		return err
	}
	return place(w.f, file, Stamp{}, map[string]int{f.sheet: len(rows) + 1})
}

// dress sets widths and the words of columns.
func (f form) dress(s *sheetWriter, rows int) error {
	var widths []float64
	for i, name := range f.heads {
		widths = append(widths, cmp.Or(f.wide[name], width(head{name: name})))
		list := f.lists[name]
		if len(list) == 0 || rows == 0 {
			continue
		}
		col, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		dv := excelize.NewDataValidation(true)
		dv.Sqref = fmt.Sprintf("%s2:%s%d", col, col, rows+1)
		if err := cmp.Or(dv.SetDropList(list), s.f.AddDataValidation(f.sheet, dv)); err != nil {
			return err
		}
	}
	return layColumns(s.sw, widths, nil)
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
	at := map[string]int{}
	for i, head := range rows[0] {
		for _, known := range f.heads {
			if sameHeading(head, known) {
				at[known] = i
			}
		}
	}
	for _, head := range needs {
		if _, ok := at[head]; !ok {
			return nil, badInput("%s has no column %s: its first row holds the headings", file, head)
		}
	}
	var out []formRow
	for i, row := range rows[1:] {
		r := formRow{row: i + 2, cells: map[string]string{}}
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
