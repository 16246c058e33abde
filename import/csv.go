package sheet

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tinful/store"
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
	for _, f := range files {
		if err := r.readCSV(f.path, f.t, f.part); err != nil {
			return err
		}
	}
	return nil
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
	rows := csv.NewReader(in)
	rows.FieldsPerRecord, rows.ReuseRecord = -1, true
	for {
		cells, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return badInput("%s: %v", filepath.Base(path), err)
		}
		if !a.begun && len(cells) == 1 && strings.ContainsAny(cells[0], ";\t") {
			return badInput("%s is not parted by commas: save it as CSV with commas", filepath.Base(path))
		}
		line, _ := rows.FieldPos(0)
		short := a.begun && len(cells) < len(a.names) && !empty(cells)
		a.line(line, cells, nil)
		if short {
			a.problem(line, 0, cells[0], "the row ends before the last heading: is a quote or a comma missing?")
		}
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

func empty(cells []string) bool {
	return !slices.ContainsFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" })
}
