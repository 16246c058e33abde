package sheet

import (
	"bufio"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tinful/store"
)

// A Source gives the records of every sheet in order. A [store.View] does; nil has none.
type Source interface {
	EachModel(func(store.Model) error) error
	EachPlace(func(store.Place) error) error
	EachPart(func(store.Part) error) error
	EachGoes(func(store.Goes) error) error
	EachDonor(func(store.Donor) error) error
	EachLook(func(store.Seen) error) error
	EachBag(func(store.Bag) error) error
	EachJob(func(store.Job) error) error
	EachMove(func(store.Entry) error) error
	EachWant(func(store.Want) error) error
	EachNote(func(store.Remark) error) error
	EachStepRow(func(store.Step) error) error
	EachSign(func(store.SignRow) error) error
	EachOld(func(store.Old) error) error
	EachCountRow(func(store.Count) error) error
	EachMeasured(func(store.MeasuredRow) error) error
	EachMaking(func(store.MakingRow) error) error
	EachPaperRow(func(store.PaperRow) error) error
	EachPictureRow(func(store.PictureRow) error) error
}

// Output says how to write. The zero Output will do.
type Output struct {
	Replace  bool           // what stands there already
	Stamp    Stamp          // where it is from
	Guard    bool           // CSV: no cell that a spreadsheet takes for a formula
	Photos   string         // the store whose pictures go along; empty: none does
	Said     func(string)   // is called with what is to be known of them
	Progress func(rows int) // is called now and then with the rows written so far
}

// Export writes the sheets of src to path: a workbook where it ends in .xlsx,
// else a folder of .csv files. What is written is complete and read back before it
// takes its name. It returns the number of records per sheet. The error wraps
// [fs.ErrExist] where something is in the way and not to be replaced, a workbook
// that is as this program wrote it aside, and
// [store.ErrBadInput] where path names neither.
func Export(src Source, path string, o Output) (counts map[string]int, err error) {
	return export(src, path, o, maxRows)
}

func export(src Source, path string, o Output, rows int) (map[string]int, error) {
	e := &exporter{Output: o, src: src, counts: map[string]int{}, maxRows: rows}
	return e.counts, e.write(path)
}

type exporter struct {
	Output
	src     Source
	counts  map[string]int
	maxRows int
	rows    int
	samples map[string][][]string // rows for show, by sheet
	explain [][]string            // rows of the sheet that explains the others
}

func (e *exporter) write(path string) error {
	if path == "" {
		return fmt.Errorf("the name is empty: write one in .xlsx, or that of a folder: %w", store.ErrUsage)
	}
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to // what it leads to is written, and the link stays
	}
	info, err := os.Stat(path)
	switch {
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return err
	case isExt(path, ".xlsx"):
		if err == nil && info.IsDir() {
			return aFolder(path)
		}
		if err == nil && !e.Replace && (e.explain != nil || !untouched(path)) {
			return standsThere(path)
		}
		back, keep, perr := e.besideBook(path, e.Replace || err == nil)
		if perr != nil {
			return perr
		}
		if err := e.book(path); err != nil {
			back()
			return err
		}
		keep()
		return nil
	case err == nil && info.IsDir():
		return e.folder(path)
	case filepath.Ext(path) != "":
		return badInput("%s is neither a name in .xlsx nor a folder", path)
	case err == nil:
		return inTheWay{path + " is a file: write a name in .xlsx, or that of a folder"}
	}
	return e.folder(path)
}

// An inTheWay says what is in the way of a file. It is an [fs.ErrExist].
type inTheWay struct{ text string }

func (e inTheWay) Error() string { return e.text }
func (e inTheWay) Unwrap() error { return fs.ErrExist }

func aFolder(path string) error {
	return inTheWay{path + " is a folder: write the name of a file"}
}

func standsThere(path string) error {
	return helped(Standing, "", "%s stands there already", path)
}

func (e *exporter) wrote() {
	if e.rows++; e.rows%1024 == 0 && e.Progress != nil {
		e.Progress(e.rows)
	}
}

// folder writes all files in a folder of their own before any takes its place.
func (e *exporter) folder(dir string) (err error) {
	var names []string
	for _, t := range tables() {
		names = append(names, strings.ToLower(t.title())+".csv")
	}
	if e.Stamp != (Stamp{}) {
		names = append(names, stampFile)
	}
	for _, name := range names {
		switch info, err := os.Lstat(filepath.Join(dir, name)); {
		case err == nil && info.IsDir():
			return inTheWay{filepath.Join(dir, name) + " is a folder, and a file is to stand there"}
		case err == nil && !e.Replace:
			return standsThere(filepath.Join(dir, name))
		}
	}
	if err := mayTakePlace(filepath.Join(dir, picturesFolder), e.Replace); err != nil {
		return err
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	tmp, err := createFolder(full)
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	for i, t := range tables() {
		if err := e.csvFile(filepath.Join(tmp, names[i]), t); err != nil {
			return noRoom(dir, err)
		}
	}
	if e.Stamp != (Stamp{}) {
		if err := writeStamp(filepath.Join(tmp, stampFile), e.Stamp); err != nil {
			return noRoom(dir, err)
		}
	}
	if n, err := e.pictureFiles(filepath.Join(tmp, picturesFolder)); err != nil {
		return noRoom(dir, err)
	} else if n > 0 {
		names = append(names, picturesFolder)
	}
	return placeFolder(tmp, full, names)
}

func (e *exporter) csvFile(name string, t table) (err error) {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	defer func() { err = closed(f, err) }()
	buf := bufio.NewWriterSize(f, 1<<16)
	if e.Guard {
		_, _ = buf.WriteString(byteOrderMark) // the last flush has its error
	}
	w := csv.NewWriter(buf)
	w.UseCRLF = true
	write := w.Write
	names := headings(t)
	if e.Guard {
		names = append(names, guardHeading)
		write = guarded(w, t.heads())
	}
	err = w.Write(names)
	for _, cells := range e.samples[t.title()] {
		err = cmp.Or(err, write(cells))
	}
	err = cmp.Or(err, t.each(e.src, func(cells []string) error {
		e.counts[t.title()]++
		e.wrote()
		return write(cells)
	}))
	w.Flush()
	return cmp.Or(err, w.Error(), buf.Flush())
}

// guarded writes rows with no cell that a spreadsheet takes for a formula. A negative
// number where numbers stand is none.
func guarded(w *csv.Writer, heads []head) func([]string) error {
	var out []string
	return func(cells []string) error {
		out = out[:0]
		for i, c := range cells {
			if heads[i].kind == asNumber {
				c = guard(c)
			} else {
				c = guardText(c)
			}
			out = append(out, c)
		}
		return w.Write(append(out, ""))
	}
}

func headings(t table) []string {
	var names []string
	for _, h := range t.heads() {
		names = append(names, h.name)
	}
	return names
}
