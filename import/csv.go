package sheet

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
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
		t, part := tableNamed(strings.TrimSuffix(name, filepath.Ext(name)))
		if t == nil {
			r.report.Ignored = append(r.report.Ignored, name)
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
			return badInput("%s and %s are the same sheet: keep one", files[i-1].path, f.path)
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
	r.found = append(r.found, b.found...)
	r.report.Ignored = append(r.report.Ignored, b.report.Ignored...)
	r.report.Notes = append(r.report.Notes, b.report.Notes...)
	r.report.Rows, r.report.Cells = r.report.Rows+b.report.Rows, r.report.Cells+b.report.Cells
}

// readCSV reads one sheet. Rows are numbered by the lines of the file.
func (r *reader) readCSV(path string, t table, part int) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	in := bufio.NewReaderSize(f, 1<<16)
	switch start, _ := in.Peek(4096); {
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return badInput("%s is UTF-16 text: save it as CSV UTF-8", path)
	case bytes.IndexByte(start, 0) >= 0:
		return badInput("%s is no text: save it as CSV UTF-8", path)
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		_, _ = in.Discard(3)
	}
	t.expect(r.load, aboutRows(f, in))
	a := r.area(t, part, filepath.Base(path))
	return r.lines(in, a)
}

// lines hands the rows of a CSV text to a.
func (r *reader) lines(in io.Reader, a *area) error {
	text := csv.NewReader(in)
	text.FieldsPerRecord, text.ReuseRecord = -1, true
	var out row
	for width := 0; ; {
		cells, err := text.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return badInput("%s: %v", a.name, err)
		}
		if width == 0 && len(cells) == 1 && strings.ContainsAny(cells[0], ";\t") {
			return badInput("%s is not parted by commas: save it as CSV with commas", a.name)
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
		a.line(out)
	}
}

// aboutRows is how many lines a file has by its size and its first lines: a
// list that grows step by step would be there twice.
func aboutRows(f *os.File, in *bufio.Reader) int {
	info, err := f.Stat()
	start, _ := in.Peek(1 << 16)
	if err != nil || len(start) == 0 {
		return 0
	}
	return int(info.Size()*int64(bytes.Count(start, []byte("\n"))+1)/int64(len(start))) * 33 / 32
}
