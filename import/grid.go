package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/xuri/excelize/v2"
)

// readGrid reads a small table that is no sheet of the workshop, as texts: a
// sheet of a workbook, the one that is named or else the first, or a CSV file
// parted by commas, semicolons or tabs. It returns the name of what was read,
// and the rows as the file numbers them, empty ones too. The error wraps
// [store.ErrNotFound] where nothing is at file and [store.ErrBadInput] for a file
// that is damaged or a cell that cannot be taken in.
func readGrid(file, named string) (name string, rows [][]string, err error) {
	info, err := stat(file)
	if err != nil {
		return "", nil, err
	}
	book, err := isBook(file, info)
	if err != nil {
		return "", nil, err
	}
	if book {
		return bookGrid(file, named)
	}
	rows, err = textGrid(file)
	return filepath.Base(file), rows, err
}

func bookGrid(file, named string) (string, [][]string, error) {
	w, err := openBook(file, 0)
	if err != nil {
		return "", nil, err
	}
	defer w.Close()
	var from sheetPart
	for _, s := range w.sheets {
		if s.member != "" && (from.member == "" || strings.EqualFold(s.name, named)) {
			from = s
		}
	}
	if from.member == "" {
		return "", nil, badInput("%s has no sheet with cells", file)
	}
	var rows [][]string
	var bad error
	_, err = w.rows(from.member, func(b []byte) string { return string(b) }, func(r row) {
		for len(rows) < r.number {
			rows = append(rows, nil)
		}
		for _, c := range r.cells {
			if c.kind == cellBad && bad == nil {
				bad = badInput("%s!%s holds %q, which %s", from.name, cellName(c.col, r.number), c.text, c.shown)
			}
			rows[r.number-1] = put(rows[r.number-1], c)
		}
	})
	return from.name, rows, errors.Join(err, bad)
}

// cellName is a place as people write it: C17, and row 17 of a column that is not in
// the list. Columns count from 0, rows from 1.
func cellName(col, row int) string {
	if col < 0 {
		return fmt.Sprintf("row %d", row)
	}
	name, _ := excelize.CoordinatesToCellName(col+1, row) // both are above 0
	return name
}

// put sets a cell in a row of texts: a number as its format shows it.
func put(texts []string, c cell) []string {
	for len(texts) <= c.col {
		texts = append(texts, "")
	}
	texts[c.col] = c.text
	if c.shown != "" {
		texts[c.col] = c.shown
	}
	return texts
}

func textGrid(file string) ([][]string, error) {
	text, err := openText(file, "")
	if err != nil {
		return nil, err
	}
	defer text.Close()
	r := csv.NewReader(text.in)
	r.FieldsPerRecord, r.Comma = -1, text.comma
	var rows [][]string
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, badText(filepath.Base(file), err)
		}
		for line, _ := r.FieldPos(0); len(rows) < line-1; {
			rows = append(rows, nil) // rows are numbered by the lines of the file
		}
		rows = append(rows, cells)
	}
}

// comma is what parts the fields of a text, by its first line that holds something:
// some programs write semicolons.
func comma(text []byte) rune {
	signs := []rune{',', ';', '\t'}
	lines := countSigns(text, signs)
	if len(lines) == 0 {
		return ','
	}
	best := 0
	for k := range signs {
		if lines[0][k] > lines[0][best] {
			best = k
		}
	}
	return signs[best]
}
