package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
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

// ErrThere is returned when a file that is to be written is there already. It is a
// [store.ErrRefused].
var ErrThere error = thereError{}

type thereError struct{}

func (thereError) Error() string { return "it is there already: --replace writes over it" }
func (thereError) Unwrap() error { return store.ErrRefused }

// An endingError is a name that ends in neither .xlsx nor .csv.
type endingError string

func (e endingError) Error() string { return string(e) + ": write a name that ends in .xlsx or .csv" }
func (endingError) Unwrap() error   { return store.ErrUsage }

// mayWrite refuses a file that is there already, unless it is to be replaced, and a
// name that ends in neither .xlsx nor .csv ([store.ErrUsage]).
func mayWrite(file string, replace bool) error {
	if !isExt(file, ".xlsx", ".csv") {
		return endingError(file)
	}
	if _, err := os.Lstat(file); err == nil && !replace {
		return fmt.Errorf("%s: %w", file, ErrThere)
	}
	return nil
}

// write makes the file: a workbook, or CSV where its name ends so.
func (f form) write(file string, rows [][]string, replace bool) error {
	if err := mayWrite(file, replace); err != nil {
		return err
	}
	make := f.workbook
	if isExt(file, ".csv") {
		make = f.text
	}
	b, err := make(rows)
	if err != nil {
		return err
	}
	return writeWhole(file, b)
}

// writeWhole makes a small file at path: it is there whole or not at all.
func writeWhole(path string, text []byte) (err error) {
	f, err := create(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

func (f form) text(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	if err := errors.Join(w.Write(f.heads), w.WriteAll(rows)); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (f form) workbook(rows [][]string) ([]byte, error) {
	x := excelize.NewFile()
	defer x.Close()
	if err := x.SetSheetName("Sheet1", f.sheet); err != nil {
		return nil, err
	}
	for i, row := range append([][]string{f.heads}, rows...) {
		cells := make([]any, len(row))
		for j, text := range row {
			cells[j] = text
			if n, err := strconv.ParseInt(text, 10, 64); err == nil && strconv.FormatInt(n, 10) == text {
				cells[j] = n
			}
		}
		if err := x.SetSheetRow(f.sheet, fmt.Sprintf("A%d", i+1), &cells); err != nil {
			return nil, err
		}
	}
	if err := f.dress(x, len(rows)); err != nil {
		return nil, err
	}
	b, err := x.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// dress sets widths, the words of columns and the heading that stays in sight.
func (f form) dress(x *excelize.File, rows int) error {
	for i, head := range f.heads {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if w := f.wide[head]; w > 0 {
			if err := x.SetColWidth(f.sheet, name, name, w); err != nil {
				return err
			}
		}
		if list := f.lists[head]; len(list) > 0 && rows > 0 {
			dv := excelize.NewDataValidation(true)
			dv.Sqref = fmt.Sprintf("%s2:%s%d", name, name, rows+1)
			if err := dv.SetDropList(list); err != nil {
				return err
			}
			if err := x.AddDataValidation(f.sheet, dv); err != nil {
				return err
			}
		}
	}
	return x.SetPanes(f.sheet, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
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
			if text := strings.Join(strings.Fields(row[col]), " "); text != "" {
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
