package sheet

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// A source gives the records of every sheet in order.
type source interface {
	EachModel(func(store.Model) error) error
	EachPlace(func(store.Place) error) error
	EachPart(func(store.Part) error) error
	EachGoes(func(store.Goes) error) error
	EachDonor(func(store.Donor) error) error
	EachSeen(func(store.Seen) error) error
	EachBag(func(store.Bag) error) error
	EachJob(func(store.Job) error) error
	EachMove(func(store.Entry) error) error
	EachWant(func(store.Want) error) error
}

// Export writes the ten sheets of v to path: a workbook where it ends in .xlsx,
// else a folder of .csv files. Nothing that exists is replaced without force.
// What is written is complete and read back before it takes its name. progress,
// unless nil, is called now and then with the rows written so far. It returns
// the number of records per sheet. The error wraps [fs.ErrExist] where
// something is in the way, and [store.ErrBadInput] where path names neither.
func Export(v *store.View, path string, force bool, progress func(rows int)) (counts map[string]int, err error) {
	return export(v, path, force, progress, excelize.TotalRows)
}

func export(src source, path string, force bool, progress func(int), maxRows int) (map[string]int, error) {
	e := &exporter{src: src, counts: map[string]int{}, progress: progress, maxRows: maxRows}
	info, err := os.Stat(path)
	switch {
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, err
	case err == nil && info.IsDir():
		return e.counts, e.folder(path, force)
	case isExt(path, ".xlsx"):
		if err == nil && !force {
			return nil, fmt.Errorf("%s stands there already: %w", path, fs.ErrExist)
		}
		return e.counts, e.book(path)
	case filepath.Ext(path) != "":
		return nil, badInput("%s is neither a name in .xlsx nor a folder", path)
	case err == nil:
		return nil, fmt.Errorf("%s is a file and no folder: %w", path, fs.ErrExist)
	}
	return e.counts, e.folder(path, force)
}

type exporter struct {
	src      source
	counts   map[string]int
	progress func(int)
	maxRows  int
	rows     int
}

func (e *exporter) wrote() {
	if e.rows++; e.rows%1024 == 0 && e.progress != nil {
		e.progress(e.rows)
	}
}

// folder writes all files under names of their own before any takes its place.
func (e *exporter) folder(dir string, force bool) (err error) {
	names := map[string]string{}
	for _, t := range tables() {
		names[t.title()] = filepath.Join(dir, strings.ToLower(t.title())+".csv")
		if _, err := os.Lstat(names[t.title()]); err == nil && !force {
			return fmt.Errorf("%s stands there already: %w", names[t.title()], fs.ErrExist)
		}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	temps := map[string]string{}
	defer func() {
		for _, tmp := range temps {
			_ = os.Remove(tmp)
		}
	}()
	for _, t := range tables() {
		tmp, err := e.csvFile(dir, t)
		if tmp != "" {
			temps[t.title()] = tmp
		}
		if err != nil {
			return err
		}
	}
	for _, t := range tables() {
		if err := os.Rename(temps[t.title()], names[t.title()]); err != nil {
			return err
		}
		delete(temps, t.title())
	}
	return nil
}

func (e *exporter) csvFile(dir string, t table) (tmp string, err error) {
	f, err := create(dir, t.title()+".csv")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	buf := bufio.NewWriterSize(f, 1<<16)
	w := csv.NewWriter(buf)
	w.UseCRLF = true
	if err := w.Write(headings(t)); err != nil {
		return f.Name(), err
	}
	err = t.each(e.src, func(cells []string) error {
		e.counts[t.title()]++
		e.wrote()
		return w.Write(cells)
	})
	w.Flush()
	return f.Name(), errors.Join(err, w.Error(), buf.Flush(), f.Sync())
}

// create makes a temporary file in dir that others may read once it has its name.
func create(dir, name string) (*os.File, error) {
	for i := range 10000 {
		f, err := os.OpenFile(filepath.Join(dir, fmt.Sprintf(".%s.%d.tmp", name, os.Getpid()+i)), os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, fmt.Errorf("no temporary name is left in %s", dir)
}

func headings(t table) []string {
	var names []string
	for _, h := range t.heads() {
		names = append(names, h.name)
	}
	return names
}

// book writes an .xlsx file beside path, counts its rows and renames it.
func (e *exporter) book(path string) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	want := map[string]int{}
	for i, t := range tables() {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", t.title()); err != nil {
				return err
			}
		}
		if err := e.sheets(f, t, bold, want); err != nil {
			return fmt.Errorf("sheet %s: %w", t.title(), err)
		}
	}
	return place(f, path, want)
}

// place writes f beside path and renames it to path once it reads back with as
// many rows per sheet as want says.
func place(f *excelize.File, path string, want map[string]int) (err error) {
	dir := filepath.Dir(path)
	tmp, err := create(dir, filepath.Base(path))
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(tmp.Name())
		}
	}()
	_, err = f.WriteTo(tmp)
	if err := errors.Join(err, tmp.Sync(), tmp.Close()); err != nil {
		return err
	}
	members, err := sheetParts(tmp.Name())
	if err != nil {
		return err
	}
	for name, rows := range want {
		in, err := inspect(tmp.Name(), members[name])
		if err != nil {
			return err
		}
		if in.full != rows {
			return fmt.Errorf("sheet %s reads back with %d rows in place of %d", name, in.full, rows)
		}
	}
	return os.Rename(tmp.Name(), path)
}

// sheets writes the records of t, in as many sheets as they take.
func (e *exporter) sheets(f *excelize.File, t table, bold int, want map[string]int) error {
	total := 0
	if err := t.each(e.src, func([]string) error { total++; return nil }); err != nil {
		return err
	}
	e.counts[t.title()] = total
	s := &sheetWriter{f: f, t: t, bold: bold, heads: t.heads(), left: total, maxRows: e.maxRows, want: want}
	if err := s.next(); err != nil {
		return err
	}
	err := t.each(e.src, func(cells []string) error {
		e.wrote()
		return s.write(cells)
	})
	if err != nil {
		return err
	}
	if s.left != 0 {
		return fmt.Errorf("%d records were counted and %d written", total, total-s.left)
	}
	return s.sw.Flush()
}

// A sheetWriter streams records into a sheet and its continuations.
type sheetWriter struct {
	f       *excelize.File
	sw      *excelize.StreamWriter
	t       table
	bold    int
	heads   []head
	left    int // records to come
	part    int
	row     int
	maxRows int
	want    map[string]int
	values  []any
}

// next begins the next sheet with its headings.
func (s *sheetWriter) next() error {
	if s.sw != nil {
		if err := s.sw.Flush(); err != nil {
			return err
		}
	}
	s.part++
	name := s.t.title()
	if s.part > 1 {
		name = fmt.Sprintf("%s (%d)", name, s.part)
	}
	if _, err := s.f.NewSheet(name); err != nil {
		return err
	}
	rows := min(s.left+1, s.maxRows)
	s.want[name] = rows
	end, err := excelize.CoordinatesToCellName(len(s.heads), rows)
	if err != nil {
		return err
	}
	if err := s.f.SetSheetDimension(name, "A1:"+end); err != nil {
		return err
	}
	if s.sw, err = s.f.NewStreamWriter(name); err != nil {
		return err
	}
	for i, h := range s.heads {
		if err := s.sw.SetColWidth(i+1, i+1, width(h)); err != nil {
			return err
		}
	}
	top := &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}
	if err := s.sw.SetPanes(top); err != nil {
		return err
	}
	var titles []any
	for _, h := range s.heads {
		titles = append(titles, excelize.Cell{StyleID: s.bold, Value: h.name})
	}
	s.row = 1
	return s.sw.SetRow("A1", titles)
}

func width(h head) float64 {
	switch h.name {
	case "Name", "Note", "Aliases", "Fault", "Told by", "Tools":
		return 32
	}
	return float64(max(10, utf8.RuneCountInString(h.name)+2))
}

func (s *sheetWriter) write(cells []string) error {
	if s.row >= s.maxRows {
		if err := s.next(); err != nil {
			return err
		}
	}
	s.row++
	s.left--
	s.values = s.values[:0]
	for i, c := range cells {
		s.values = append(s.values, value(c, s.heads[i].kind))
	}
	return s.sw.SetRow("A"+strconv.Itoa(s.row), s.values)
}

// value is a number where the cell is one and reads back as the same digits, else
// text. Codes and days are text.
func value(cell string, k kind) any {
	if cell == "" {
		return nil
	}
	if k == asNumber {
		n, err := strconv.ParseFloat(cell, 64)
		if err == nil && strconv.FormatFloat(n, 'f', -1, 64) == bare(cell) {
			return n
		}
	}
	return cell
}

// bare returns a decimal number without the noughts after its last digit.
func bare(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
