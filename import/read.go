// Package sheet reads workbooks into records and writes records to workbooks.
//
// A workbook is an .xlsx file with ten sheets or a folder with ten .csv files;
// the columns are one table for both directions. Everything is read before
// anything is taken in, and every bad cell is reported at once. A row with a
// bad cell gives no record.
package sheet

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/unicode/norm"

	"tinful/store"
	"tinful/store/code"
)

// A Report says what a workbook held besides its records.
type Report struct {
	Ignored []string // sheets and columns nothing is known of, by name
	Rows    int      // rows that are not empty, without headings
}

// longest is how many letters a cell of a workbook can hold.
const longest = excelize.TotalCellChars

// Read reads the workbook at path: an .xlsx or .xlsm file, a folder of .csv
// files named after the sheets, or one such file. Every cell that cannot be
// taken in is a Problem, in the order of sheets, rows and columns; its row is
// not in the Load. progress, unless nil, is called now and then with the rows
// read so far. The error wraps [store.ErrBadInput], or [fs.ErrNotExist] where
// nothing is at path.
func Read(path string, progress func(rows int)) (*store.Load, []store.Problem, Report, error) {
	if progress == nil {
		progress = func(int) {}
	}
	r := &reader{load: &store.Load{File: filepath.Base(path)}, progress: progress, sheets: map[string]*sheetRows{}}
	if err := r.read(path); err != nil {
		return nil, nil, Report{}, err
	}
	r.load.Cell = r.cell
	slices.SortStableFunc(r.found, func(a, b found) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.part, b.part), cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col))
	})
	var problems []store.Problem
	for _, f := range r.found {
		problems = append(problems, f.Problem)
	}
	r.load.Moves.Done()
	return r.load, problems, r.report, nil
}

func (r *reader) read(path string) error {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("nothing is at %s: %w", path, fs.ErrNotExist)
	}
	if err != nil {
		return err
	}
	if info.IsDir() {
		return r.readFolder(path)
	}
	if err := allowed(path, info); err != nil {
		return err
	}
	if r.load.Hash, err = hashOf(path); err != nil {
		return err
	}
	if isExt(path, ".csv") {
		t, part := tableNamed(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		if t == nil {
			return badInput("%s is named after no sheet: name it parts.csv, bags.csv or after another of %s", path, strings.Join(store.Sheets, ", "))
		}
		return r.readCSV(path, t, part)
	}
	return r.readBook(path)
}

func badInput(format string, args ...any) error {
	return fmt.Errorf("%w: %s", store.ErrBadInput, fmt.Sprintf(format, args...))
}

func isExt(path string, exts ...string) bool {
	return slices.Contains(exts, strings.ToLower(filepath.Ext(path)))
}

// allowed tells by name, length and first bytes what is no workbook.
func allowed(path string, info fs.FileInfo) error {
	switch ext := strings.ToLower(filepath.Ext(path)); {
	case !info.Mode().IsRegular():
		return badInput("%s is neither a file nor a folder", path)
	case ext == ".xls":
		return badInput("%s is a workbook of the old kind: save it as .xlsx first", path)
	case ext == ".ods":
		return badInput("%s is an OpenDocument workbook: save it as .xlsx first", path)
	case !isExt(path, ".xlsx", ".xlsm", ".csv"):
		return badInput("%s is no workbook by its name: .xlsx, .csv or a folder of .csv files can be read", path)
	case info.Size() == 0:
		return badInput("%s is empty", path)
	case ext == ".csv":
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	start := make([]byte, 8)
	n, err := io.ReadFull(f, start)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	switch start := string(start[:n]); {
	case strings.HasPrefix(start, "\xd0\xcf\x11\xe0"):
		return badInput("%s has a password or is a workbook of the old kind: save it as .xlsx without a password", path)
	case !strings.HasPrefix(start, "PK"):
		return badInput("%s is named .xlsx and is no workbook: save it as .xlsx, or name it .csv if it is text", path)
	}
	return nil
}

func hashOf(paths ...string) (string, error) {
	h := sha256.New()
	for _, p := range paths {
		f, err := os.Open(p)
		if err != nil {
			return "", err
		}
		if len(paths) > 1 {
			fmt.Fprintf(h, "%s\n", strings.ToLower(filepath.Base(p)))
		}
		_, err = io.Copy(h, f)
		if err := errors.Join(err, f.Close()); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// fold is how sheets and headings are compared: without case and blanks.
func fold(s string) string {
	s = strings.TrimPrefix(s, "\ufeff")
	return strings.ToLower(strings.Join(strings.Fields(s), ""))
}

// tableNamed returns the table of a sheet's name and which part of it this is:
// 1, and 2 for "Moves (2)".
func tableNamed(name string) (table, int) {
	base, n := fold(name), 1
	if head, rest, ok := strings.Cut(base, "("); ok {
		if k, err := fmt.Sscanf(rest, "%d)", &n); err != nil || k != 1 || rest != fmt.Sprintf("%d)", n) || n < 2 {
			return nil, 0
		}
		base = head
	}
	for _, t := range tables() {
		if fold(t.title()) == base {
			return t, n
		}
	}
	return nil, 0
}

// A found is a problem with its place in the order of a person's reading.
type found struct {
	store.Problem
	order, part, row, col int
}

// A reader gathers what is read from one workbook.
type reader struct {
	load     *store.Load
	report   Report
	found    []found
	progress func(int)
	book     bool // a workbook, not CSV
	date1904 bool
	sheets   map[string]*sheetRows
	texts    map[string]string // short cells lately read
}

// A sheetRows remembers where the records of a sheet stood.
type sheetRows struct {
	rows  []int32
	codes map[code.Code]int32
	areas []*area
}

// An area is one sheet or file as it is read.
type area struct {
	r     *reader
	t     table
	heads []head
	all   *sheetRows
	name  string // as the person calls it
	order int
	part  int
	first int      // number of its first record in the sheet
	cols  []int    // per column of the table: the column here, or -1
	inch  []bool   // per column of the table: read as inches
	names []string // headings here, "" where a column is kept out
	text  []string // of the row at hand, per column of the table
	bare  map[int]bool
	stuck bool // without a heading that every row needs
	begun bool // the headings are read
}

func (r *reader) area(t table, part int, name string) *area {
	all := r.sheets[t.title()]
	if all == nil {
		all = &sheetRows{codes: map[code.Code]int32{}}
		r.sheets[t.title()] = all
	}
	heads := t.heads()
	a := &area{r: r, t: t, heads: heads, all: all, name: name, order: slices.Index(store.Sheets, t.title()), part: part,
		first: len(all.rows), text: make([]string, len(heads)), bare: map[int]bool{}}
	all.areas = append(all.areas, a)
	return a
}

func (a *area) problem(row, col int, value, problem string) {
	ref, _ := excelize.CoordinatesToCellName(col+1, row)
	if slices.ContainsFunc(a.r.found, func(f found) bool { return f.Sheet == a.name && f.Cell == ref }) {
		return
	}
	a.r.found = append(a.r.found, found{store.Problem{Sheet: a.name, Cell: ref, Value: clip(value), Problem: problem}, a.order, a.part, row, col})
}

// clip keeps a value short enough to be shown.
func clip(s string) string {
	if s = strings.ToValidUTF8(s, "\ufffd"); utf8.RuneCountInString(s) > 200 {
		return string([]rune(s)[:200]) + "..."
	}
	return s
}

// line takes in one row: its cells as stored and, where a workbook shows them
// otherwise, as shown.
func (a *area) line(row int, raw, shown []string) {
	if !slices.ContainsFunc(raw, func(s string) bool { return strings.TrimSpace(s) != "" }) {
		return
	}
	if !a.begun {
		a.begun = true
		a.headings(row, raw)
		return
	}
	a.r.report.Rows++
	if a.r.report.Rows%1024 == 0 {
		a.r.progress(a.r.report.Rows)
	}
	a.strays(row, raw)
	if a.stuck {
		return
	}
	for i, col := range a.cols {
		a.text[i] = ""
		if col >= 0 && col < len(raw) {
			s := raw[col]
			if a.heads[i].kind == asText && col < len(shown) {
				s = shown[col]
			}
			a.text[i] = a.tidy(s, a.heads[i].kind)
		}
	}
	cell := func(i int) (string, bool) { return a.text[i], a.inch[i] }
	known := func(c code.Code) int { return int(a.all.codes[c]) }
	own, flaws := a.t.take(a.r.load, cell, known)
	for _, f := range flaws {
		a.problem(row, max(a.cols[f.col], 0), a.text[f.col], f.problem)
	}
	if len(flaws) > 0 {
		a.flawed()
		return
	}
	a.all.rows = append(a.all.rows, int32(row))
	if own != "" {
		a.all.codes[own] = int32(row)
	}
}

// flawed notes the code of a row that cannot be read, of a movement its bag.
func (a *area) flawed() {
	heading := strings.TrimSuffix(a.t.title(), "s") // Parts are told by Part
	if a.t.title() == "Moves" {
		heading = "Bag"
	}
	i := slices.IndexFunc(a.heads, func(h head) bool { return h.name == heading })
	if i < 0 {
		return
	}
	if c, err := code.Parse(a.text[i]); err == nil {
		if a.r.load.Flawed == nil {
			a.r.load.Flawed = map[string][]code.Code{}
		}
		a.r.load.Flawed[a.t.title()] = append(a.r.load.Flawed[a.t.title()], c)
	}
}

// strays reports what stands under no heading, once a column.
func (a *area) strays(row int, raw []string) {
	for col, s := range raw {
		if (col >= len(a.names) || a.names[col] == "") && !a.bare[col] && strings.TrimSpace(s) != "" {
			a.bare[col] = true
			if a.r.book {
				ref, _ := excelize.ColumnNumberToName(col + 1)
				a.r.report.Ignored = append(a.r.report.Ignored, fmt.Sprintf("%s: column %s, which has no heading", a.name, ref))
				continue
			}
			a.problem(row, col, s, "stands under no heading: a comma within a cell needs quotes around the cell")
		}
	}
}

// headings reads the first row.
func (a *area) headings(row int, cells []string) {
	a.cols, a.inch = slices.Repeat([]int{-1}, len(a.heads)), make([]bool, len(a.heads))
	a.names = make([]string, len(cells))
	for col, cell := range cells {
		name := fold(cell)
		if name == "" {
			continue
		}
		a.names[col] = cell
		i := slices.IndexFunc(a.heads, func(h head) bool { return fold(h.name) == name || h.inch != "" && fold(h.inch) == name })
		switch {
		case i < 0:
			a.r.report.Ignored = append(a.r.report.Ignored, fmt.Sprintf("%s: column %q", a.name, clip(strings.TrimSpace(cell))))
		case a.cols[i] >= 0:
			ref, _ := excelize.ColumnNumberToName(a.cols[i] + 1)
			a.problem(row, col, cell, fmt.Sprintf("%s stands in column %s already", a.heads[i].name, ref))
		default:
			a.cols[i], a.inch[i] = col, fold(a.heads[i].name) != name
		}
	}
	for i, h := range a.heads {
		if h.need && a.cols[i] < 0 {
			a.stuck = true
			a.problem(row, 0, cells[0], fmt.Sprintf("the heading %q is missing: every row needs it", h.name))
			break
		}
	}
}

// tidy returns a cell without blanks around it, as composed letters, and apart
// from the row it came in.
func (a *area) tidy(s string, k kind) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if a.r.book {
		s = a.r.number(s, k)
	}
	if !ascii(s) && utf8.ValidString(s) {
		s = norm.NFC.String(s)
	}
	return a.r.share(s)
}

// ascii says that nothing in s can be composed.
func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// share returns a copy of s, one and the same for the texts that come again. s
// itself may hold a whole row in memory.
func (r *reader) share(s string) string {
	if len(s) > 64 {
		return strings.Clone(s)
	}
	c, ok := r.texts[s]
	if !ok {
		if r.texts == nil || len(r.texts) >= 1<<16 {
			r.texts = map[string]string{}
		}
		c = strings.Clone(s)
		r.texts[c] = c
	}
	return c
}

// plain refuses text that no cell should hold.
func plain(s string) error {
	if !utf8.ValidString(s) {
		return errors.New("is not UTF-8 text: save the file as UTF-8")
	}
	units := 0
	for _, c := range s {
		if unicode.IsControl(c) {
			return fmt.Errorf("holds a control character (%U): take it out", c)
		}
		units++
		if c > 0xffff {
			units++
		}
	}
	if units > longest {
		return fmt.Errorf("holds %d letters, and a cell can hold %d", units, longest)
	}
	return nil
}

// cell is the Cell of a Load.
func (r *reader) cell(sheet string, i int, heading string) (name, ref, value string) {
	all := r.sheets[sheet]
	if all == nil || i < 0 || i >= len(all.rows) {
		return sheet, "", ""
	}
	a := all.areas[0]
	for _, b := range all.areas {
		if b.first <= i {
			a = b
		}
	}
	h := slices.IndexFunc(a.heads, func(h head) bool { return fold(h.name) == fold(heading) })
	col := 0
	if h >= 0 {
		col = max(a.cols[h], 0)
	}
	ref, _ = excelize.CoordinatesToCellName(col+1, int(all.rows[i]))
	return a.name, ref, a.t.show(r.load, i, h)
}
