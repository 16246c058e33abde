package sheet

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A csvFile is a file of a folder that is named after a sheet.
type csvFile struct {
	path        string
	t           table
	order, part int
}

// readFolder reads every .csv file of a folder that is named after a sheet.
// Files of other kinds are no part of it.
func (r *reader) readFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var files []csvFile
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || !isExt(name, ".csv") || strings.HasPrefix(name, ".") {
			continue
		}
		if strings.EqualFold(name, stampFile) {
			r.report.Stamp = readStamp(dir)
			continue
		}
		t, part := tableNamed(strings.TrimSuffix(name, filepath.Ext(name)))
		if t == nil {
			r.report.Ignored = append(r.report.Ignored, words.Shown(name))
			continue
		}
		files = append(files, csvFile{filepath.Join(dir, name), t, slices.Index(store.Sheets, t.title()), part})
	}
	if len(files) == 0 {
		return badInput("the folder %s holds no sheet: it needs files such as parts.csv and bags.csv", dir)
	}
	slices.SortFunc(files, func(a, b csvFile) int {
		if a.order != b.order {
			return a.order - b.order
		}
		return a.part - b.part
	})
	var paths []string
	for i, f := range files {
		if i > 0 && files[i-1].t == f.t && files[i-1].part == f.part {
			return badInput("%s and %s are the same sheet: keep one", words.Shown(files[i-1].path), words.Shown(f.path))
		}
		paths = append(paths, f.path)
	}
	if r.load.Hash, err = hashOf(paths...); err != nil {
		return err
	}
	return r.readTogether(files)
}

// readTogether reads the movements beside all other files: there are more of them
// than of all else.
func (r *reader) readTogether(files []csvFile) error {
	read := func(r *reader, moves bool) error {
		for _, f := range files {
			if (f.t.title() == "Moves") != moves {
				continue
			}
			if err := r.readCSV(f.path, f.t, f.part); err != nil {
				return err
			}
		}
		return nil
	}
	beside := &reader{Options: r.Options, load: &store.Load{}, sheets: map[string]*sheetRows{}}
	beside.load.KeepBeside(r.Beside)
	beside.Progress = func(int) {} // that of the others is shown
	done := make(chan error, 1)
	go func() { done <- read(beside, true) }()
	err := read(r, false)
	if err := cmp.Or(err, <-done); err != nil {
		return err
	}
	r.absorb(beside)
	return nil
}

// absorb takes over what was read beside.
func (r *reader) absorb(b *reader) {
	r.load.Moves = b.load.Moves
	for title, codes := range b.load.Flawed {
		if r.load.Flawed == nil {
			r.load.Flawed = map[string][]code.Code{}
		}
		r.load.Flawed[title] = codes
	}
	maps.Copy(r.sheets, b.sheets)
	r.found, r.more, r.moreKept = append(r.found, b.found...), r.more+b.more, r.moreKept+b.moreKept
	r.report.Ignored = append(r.report.Ignored, b.report.Ignored...)
	r.report.Notes = append(r.report.Notes, b.report.Notes...)
	r.remarks = append(r.remarks, b.remarks...)
	for _, ask := range b.report.Asks {
		r.asks(ask)
	}
	r.report.Rows, r.report.Cells = r.report.Rows+b.report.Rows, r.report.Cells+b.report.Cells
}

// readCSV reads one sheet. Rows are numbered by the lines of the file.
func (r *reader) readCSV(path string, t table, part int) error {
	text, err := openText(path, r.Encoding)
	if err != nil {
		return err
	}
	defer text.Close()
	r.said(text.note)
	a := r.area(t, part, filepath.Base(path))
	if a.commas, err = text.decimalCommas(); err != nil {
		return err
	}
	r.packs = t.packs()
	err = r.lines(text.in, text.comma, a.name, a.line)
	r.packs = false
	if err == nil && !a.begun {
		err = badInput("%s is empty: not even headings stand in it", a.name)
	}
	return err
}

// said notes what may surprise, if there is anything.
func (r *reader) said(note string) {
	if note != "" {
		r.report.Notes = append(r.report.Notes, note)
	}
}

// lines hands the rows of a CSV text to take.
func (r *reader) lines(in io.Reader, comma rune, name string, take func(row)) error {
	return r.rowsOf(csvReader(in, comma, false), name, take)
}

func csvReader(in io.Reader, comma rune, lazy bool) *csv.Reader {
	text := csv.NewReader(in)
	text.FieldsPerRecord, text.ReuseRecord, text.Comma, text.LazyQuotes = -1, true, comma, lazy
	return text
}

func (r *reader) rowsOf(text *csv.Reader, name string, take func(row)) error {
	var out row
	for width := 0; ; {
		cells, err := text.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return badText(name, err)
		}
		out.number, _ = text.FieldPos(0)
		out.short, out.cells = len(cells) < width, out.cells[:0]
		for col, s := range cells {
			if strings.TrimSpace(s) != "" {
				out.cells = append(out.cells, cell{col: col, text: r.shareText(s)})
			}
		}
		if len(out.cells) == 0 {
			continue
		}
		if width == 0 {
			width = out.cells[len(out.cells)-1].col + 1
		}
		r.report.Cells += len(out.cells)
		take(out)
	}
}

// badText says what is wrong with a CSV text that cannot be parted into cells.
func badText(name string, err error) error {
	bad, ok := errors.AsType[*csv.ParseError](err)
	if !ok || !errors.Is(err, csv.ErrBareQuote) && !errors.Is(err, csv.ErrQuote) {
		return badInput("%s: %v", name, err)
	}
	where := fmt.Sprintf("line %d", bad.Line)
	if bad.StartLine != bad.Line {
		where = fmt.Sprintf("lines %d to %d", bad.StartLine, bad.Line)
	}
	return badInput("%s, %s: a quote stands within a cell, or is not ended: put quotes around the whole cell and write each quote in it twice, or write in for inches", name, where)
}
