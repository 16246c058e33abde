// Package sheet reads workbooks into records and writes records to workbooks.
//
// A workbook is an .xlsx or .ods file of sheets or a folder of .csv files, one a sheet;
// the columns are one table for both directions. Everything is read before
// anything is taken in, and every bad cell is reported at once. A row with a
// bad cell gives no record.
//
// # What is trusted
//
// The text of a workbook is gone through once, by this package alone: archive.go
// reads every member of the file to its end, so that checksums are compared;
// markup.go refuses text that is malformed anywhere; rows.go, and ods.go of
// OpenDocument, reads the cells and refuses what a sheet cannot hold. excelize writes workbooks, and reads none. What
// a file could lose without a word is one of three things:
//
//	refused     the file is damaged or no workbook; nothing of it is looked at
//	a problem   of one cell, with its sheet and place; nothing is taken in
//	said        the cell is taken as it is, and a note says what may surprise
//
//	what is found                                           so
//	password, .xls, .xlsb, CSV or a web page as             refused, a sentence each
//	.xlsx, empty file, zip without a workbook
//	more than 256 MiB unpacked, and 20 times the file       refused; --max-size
//	checksum of any member, member cut off or missing,      refused
//	two of one name
//	malformed text, bad entity, document type, not UTF-8    refused
//	a tag or attribute among the cells that is none         refused
//	row numbers that do not rise, cells out of order, twice refused
//	or in another row, beyond row 1 048 576 or column XFD
//	a part, a style or the shared texts missing             refused
//	shared text that is out of range                        a problem
//	error such as #REF!, formula without its value, or with a problem
//	a nought in a workbook whose values are to be worked out
//	number of more than 15 digits                           a problem
//	number in a column of days, without the format of a day a problem
//	day or power (1E+05) in a column of codes or numbers    a problem
//	text of more than 32 767 letters, control characters    a problem
//	cell that merged cells hide                             a problem
//	formula with its value                                  the value
//	day by its format, from 1900 or from 1904               the day
//	whole number within a format such as 00000              as shown, in columns of text
//	merged cells                                            the first alone has the value; said
//	hidden row, column or sheet                             read; said
//	row that is struck through                              kept out; said; read with Struck
//	text that is struck through in part                     a problem
//	comment, link, picture, colour of few cells             not read; said
//	sheet that ends before the row it names as its last     read; said
//	column or sheet nothing is known of                     kept out; said
//	row whose first cell begins with # and a blank          kept out; said
//	row of a picture whose file is not beside the list      kept out; said
//	file of a picture that is none, or too large            a problem
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
	"tinful/store/words"
)

// A Report says what a workbook held besides its records.
type Report struct {
	Ignored []string // sheets and columns nothing is known of, by name
	Notes   []string // what is read and may surprise: hidden rows, merged cells
	Rows    int      // rows that are not empty, without headings
	Cells   int      // cells that are not empty, with headings
	KeptOut []KeptOut
	More    int            // problems that are not listed, beyond [mostListed]
	Refused map[string]int // rows with cells that cannot be taken in, by sheet of the workshop
	Stamp   Stamp          // of an export
	read    *reader
	Asks    []string // what was not said and would help, of [AskDates] and the like
}

// What would help to read a list.
const (
	AskDates    = "dates"    // which of day and month comes first
	AskFill     = "fill"     // whether blank cells go on from above
	AskStruck   = "struck"   // whether rows that are struck through hold
	AskEncoding = "encoding" // how the letters are written
	AskMap      = "map"      // which column a heading stands for
)

// asks notes that something was not said.
func (r *reader) asks(what string) {
	if !slices.Contains(r.report.Asks, what) {
		r.report.Asks = append(r.report.Asks, what)
	}
}

// A remark is what may surprise in how cells of a sheet are read.
type remark struct {
	sheet, why string
	cells      someCells
}

// remark notes how a cell of the row at hand is read.
func (m *mapped) remark(a *area, col int, why, text string) {
	m.r.remark(a.name, why, cellName(col, m.row)+" "+clip(text))
}

func (r *reader) remark(sheet, why, cell string) {
	i := slices.IndexFunc(r.remarks, func(x *remark) bool { return x.sheet == sheet && x.why == why })
	if i < 0 {
		i, r.remarks = len(r.remarks), append(r.remarks, &remark{sheet: sheet, why: why})
	}
	r.remarks[i].cells.add(cell)
}

// sayRemarks says how cells were read, those of one kind together.
func (r *reader) sayRemarks() {
	for _, x := range r.remarks {
		r.said(fmt.Sprintf("%s: %s: %s", x.sheet, x.why, &x.cells))
	}
	if r.moreKept > 0 {
		r.said(fmt.Sprintf("%d rows more are kept out, and are not listed", r.moreKept))
	}
}

// longest is how many letters a cell of a workbook can hold.
const longest = excelize.TotalCellChars

// Options say how to read. The zero Options will do.
type Options struct {
	MaxSize  int64          // of a workbook, unpacked, in bytes; 0 stands for [MaxSize]
	Progress func(rows int) // is called now and then with the rows read so far
	AsCount  bool           // quantities of bags are what was counted: see [store.Load]
	Map      *Mapping       // of a list with headings of its own; nil for the sheets of the workshop
	Dates    string         // of the sheets of the workshop, like that of a [Mapping]
	Currency string         // of the workshop; empty: that of the first amount
	Encoding string         // of text, one of [Encodings]; empty: what is certain
	Make     []string       // what a list may make that it names, of [store.Makes]
	Struck   bool           // rows that are struck through are read like the others
	// Look makes of a file what is kept of it as a picture; nil goes by its form alone.
	Look   func(path string, asItIs bool) (store.Photo, error)
	Beside string // a store: what does not fit into memory goes to the disk there
	Unsaid string // of new bags without a quantity, one of [Unsaid]; empty: they are refused
}

// Unsaid are the words for new bags of which a list does not say how many they hold:
// one each, or about one.
var Unsaid = []string{"each", "about"}

// Read reads the workbook at path: an .xlsx or .xlsm file, a folder of .csv
// files named after the sheets, or one such file. Every cell that cannot be
// taken in is a Problem, in the order of sheets, rows and columns; its row is
// not in the Load. The error wraps [store.ErrBadInput], or [store.ErrNotFound] where
// nothing is at path.
func Read(path string, o Options) (*store.Load, []store.Problem, Report, error) {
	if o.Progress == nil {
		o.Progress = func(int) {}
	}
	r := &reader{Options: o, load: newLoad(path), sheets: map[string]*sheetRows{}}
	r.load.KeepBeside(o.Beside)
	if o.Unsaid != "" {
		r.load.Unsaid = code.Qty{N: 1, About: o.Unsaid == "about"}
	}
	if o.AsCount {
		r.load.Counted = map[code.Code]code.Qty{}
	}
	if err := r.read(path); err != nil {
		r.load.Close()
		return nil, nil, Report{}, err
	}
	if o.AsCount && r.load.Moves.Len() > 0 && !r.load.OnHand {
		return nil, nil, Report{}, badInput("%s has movements, so the quantities of its bags are those booked in and no count: write what was counted into a list of its own", path)
	}
	r.load.Cell = r.cell
	r.findFiles(path)
	if o.AsCount {
		if err := r.countAlone(path); err != nil {
			return nil, nil, Report{}, err
		}
	}
	r.saySamples()
	r.sayRemarks()
	for _, all := range r.sheets {
		if all.derived == nil {
			all.codes = code.Numbers{} // nobody asks for them any more
		}
	}
	slices.SortStableFunc(r.found, func(a, b found) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.part, b.part), cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col))
	})
	problems := r.problems()
	r.report.read = r
	return r.load, problems, r.report, nil
}

func newLoad(path string) *store.Load { return &store.Load{File: filepath.Base(path)} }

// problems are what was found, and the rows that it refuses are counted.
func (r *reader) problems() (all []store.Problem) {
	r.report.Refused, r.report.More = map[string]int{}, r.more
	rows := map[[3]int]bool{}
	for _, f := range r.found {
		all = append(all, f.Problem)
		if row := [3]int{f.order, f.part, f.row}; !rows[row] {
			rows[row] = true
			r.report.Refused[store.Sheets[f.order]]++
		}
	}
	return all
}

// countAlone refuses a count without quantities, and names the sheets that a count does
// not look at.
func (r *reader) countAlone(path string) error {
	if len(r.load.Counted) == 0 && len(r.found) == 0 {
		return badInput("%s has no quantities of bags, and a count is of those: Bag and Quantity", path)
	}
	for _, title := range store.Sheets {
		if all := r.sheets[title]; all != nil && title != "Bags" && r.Map == nil && all.rows.n > 0 {
			r.said(fmt.Sprintf("%s: kept out, as a count is of bags alone", all.areas[0].name))
		}
	}
	return nil
}

// saySamples says where rows stand that are for show, or no data.
func (r *reader) saySamples() {
	var in []string
	for _, title := range store.Sheets {
		if all := r.sheets[title]; all != nil {
			for _, a := range all.areas {
				if r.Map == nil {
					a.sayKeptOut()
				}
				if a.samples > 0 {
					in = append(in, fmt.Sprintf("%d in %s", a.samples, a.name))
				}
			}
		}
	}
	if len(in) > 0 {
		r.report.Notes = append(r.report.Notes, "rows whose first cell begins with # are kept out: "+strings.Join(in, ", "))
	}
}

func (r *reader) read(path string) error {
	info, err := stat(path)
	if err != nil {
		return err
	}
	if info.IsDir() && r.Map != nil {
		return badInput("%s is a folder: with headings of its own, one list is read at a time, so name the file", path)
	}
	if info.IsDir() {
		return r.readFolder(path)
	}
	book, err := isBook(path, info)
	if err != nil {
		return err
	}
	if r.load.Hash, err = hashOf(path); err != nil {
		return err
	}
	if r.Map != nil {
		return r.readMapped(path, book)
	}
	if book {
		return r.readBook(path)
	}
	t, part := tableNamed(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	if t == nil {
		return helped(Unmapped, "", "%s is named after no sheet: name it parts.csv, bags.csv or after another of %s", path, strings.Join(store.Sheets, ", "))
	}
	return r.readCSV(path, t, part)
}

// stat looks at what was named to be read. Where nothing is there the error wraps
// [store.ErrNotFound].
func stat(path string) (fs.FileInfo, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, store.Absent("there is no file %s", path)
	}
	return info, err
}

func badInput(format string, args ...any) error {
	return fmt.Errorf("%w: %s", store.ErrBadInput, fmt.Sprintf(format, args...))
}

func isExt(path string, exts ...string) bool {
	return slices.Contains(exts, strings.ToLower(filepath.Ext(path)))
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

// mostListed is how many problems, and rows that are kept out, are listed one by one: a
// list that has more is another than is thought.
const mostListed = 100_000

// A found is a problem with its place in the order of a person's reading.
type found struct {
	store.Problem
	order, part, row, col int
}

// A reader gathers what is read from one workbook.
type reader struct {
	Options
	load     *store.Load
	report   Report
	found    []found
	book     bool // a workbook, not CSV
	sheets   map[string]*sheetRows
	texts    map[string]string // short cells lately read
	packs    bool              // records lie packed: a text may hold its row in memory
	loose    *mapped           // reads cells that are written as in a list
	remarks  []*remark
	more     int       // problems that are not listed
	moreKept int       // rows that are kept out and are not listed
	w        *workbook // that is read, nil of CSV
}

// A sheetRows remembers where the records of a sheet stood.
type sheetRows struct {
	rows    rowNumbers
	codes   code.Numbers // the rows of codes
	areas   []*area
	derived map[string][]int32  // what columns of numbers say that are only there to be read, per record
	said    map[saying]sayingAt // what such columns of words say, and where first
}

// rowNumbers are the rows in which the records of a sheet stood. Most go on by one: only
// the first of those is kept.
type rowNumbers struct {
	n           int     // records
	from, first []int32 // the records from which they go on by one, and their rows
}

func (x *rowNumbers) add(row int) {
	if k := len(x.from) - 1; k < 0 || row != int(x.first[k])+x.n-int(x.from[k]) {
		x.from, x.first = append(x.from, int32(x.n)), append(x.first, int32(row))
	}
	x.n++
}

// at is the row of record i.
func (x *rowNumbers) at(i int) int {
	k, found := slices.BinarySearch(x.from, int32(i))
	if !found {
		k--
	}
	return int(x.first[k]) + i - int(x.from[k])
}

// cut takes the last record away.
func (x *rowNumbers) cut() {
	x.n--
	if k := len(x.from) - 1; int(x.from[k]) == x.n {
		x.from, x.first = x.from[:k], x.first[:k]
	}
}

// recordIn is the record that stood in a row, of rows that rise.
func (x *rowNumbers) recordIn(row int) (i int, there bool) {
	k, found := slices.BinarySearch(x.first, int32(row))
	if !found {
		k--
	}
	if k < 0 {
		return 0, false
	}
	i = int(x.from[k]) + row - int(x.first[k])
	return i, i < x.n && (k+1 == len(x.from) || i < int(x.from[k+1]))
}

// An area is one sheet or file as it is read: it stands between its rows and the
// table of columns.
type area struct {
	r        *reader
	t        table
	heads    []head
	all      *sheetRows
	name     string // as the person calls it
	order    int
	part     int
	first    int      // number of its first record in the sheet
	cols     []int    // per column of the table: the column here, or -1
	inch     []bool   // per column of the table: read as inches
	names    []string // headings here, "" where there is none
	of       []int    // per column here: the column of the table, or -1
	text     []string // of the row at hand, per column of the table
	bad      []string // what is wrong with it
	bare     map[int]bool
	told     map[[2]int]bool // rows and columns with a problem
	stuck    bool            // without a heading that every row needs
	begun    bool            // the headings are read
	guarded  bool            // cells that look like formulas are guarded
	commas   bool            // numbers have decimal commas: semicolons or tabs part the cells
	samples  int             // rows that begin with #
	read     []derived       // columns that are only there to be read
	more     []int           // where the columns are that are only there to be read, -1 for not at all
	former   bool            // an export of before, whose On hand had what is lent as well
	moreText []string        // and what the row at hand has there
	cross    []cell          // headings of a sheet Seen that are parts cameras: a row is a part
	marks    marks
	quantity int // the column of that name, -1 without
	row      int // the number of the row at hand
	// of a list with headings of its own:
	repeats bool  // a code may stand in several rows
	head    int   // the row of its headings
	mate    *area // of the sheet that the same rows make records of
	cells   int   // cells that it was given and placed
}

func (r *reader) area(t table, part int, name string) *area {
	all := r.sheets[t.title()]
	if all == nil {
		all = &sheetRows{}
		r.sheets[t.title()] = all
	}
	heads := t.heads()
	a := &area{r: r, t: t, heads: heads, all: all, name: name, order: slices.Index(store.Sheets, t.title()), part: part, first: all.rows.n,
		quantity: headed(heads, "Quantity"),
		text:     make([]string, len(heads)), bad: make([]string, len(heads)), bare: map[int]bool{}, told: map[[2]int]bool{}}
	a.read = toRead(t.title())
	a.more = slices.Repeat([]int{-1}, len(a.read))
	a.moreText = make([]string, len(a.more))
	all.areas = append(all.areas, a)
	return a
}

// problem notes what is wrong with a cell, unless something was wrong with it
// before. Rows count from 1 and columns from 0.
func (a *area) problem(row, col int, value, problem string) {
	if a.told[[2]int{row, col}] {
		return
	}
	if len(a.r.found) >= mostListed {
		a.r.more++
		return
	}
	a.told[[2]int{row, col}] = true
	ref := cellName(col, row)
	a.r.found = append(a.r.found, found{store.Problem{Sheet: a.name, Cell: ref, Value: clip(value), Problem: problem}, a.order, a.part, row, col})
}

// clip keeps a value short enough to be shown.
func clip(s string) string {
	if s = strings.ToValidUTF8(s, "\ufffd"); utf8.RuneCountInString(s) > 200 {
		return string([]rune(s)[:200]) + "..."
	}
	return s
}

// line takes in one row that holds something.
func (a *area) line(r row) {
	if !a.begun {
		a.begun = true
		a.headings(r)
		return
	}
	if first := r.cells[0]; first.kind == cellText && strings.HasPrefix(first.text, sample) {
		a.samples++
		a.cells += len(r.cells)
		return
	}
	a.r.report.Rows++
	if a.r.report.Rows%1024 == 0 {
		a.r.Progress(a.r.report.Rows)
	}
	why := a.noData(r)
	if why == "" && a.mark(r) && !a.r.Struck {
		why = isStruck
	}
	if why != "" && !a.stuck {
		a.keepOut(r, why)
		a.cells += len(r.cells)
		return
	}
	a.place(r)
	switch {
	case a.stuck:
	case len(a.cross) > 0:
		a.crossed(r)
	default:
		a.record(r)
	}
}

// record takes in the record of the row that is placed.
func (a *area) record(r row) {
	cell := func(i int) (string, bool, string) { return a.text[i], a.inch[i], a.bad[i] }
	own, flaws := a.t.take(a.r.load, cell)
	if len(flaws) > 0 && a.r.Map == nil && a.loosely(flaws, r.number) {
		own, flaws = a.t.take(a.r.load, cell)
	}
	for _, f := range flaws {
		if !utf8.ValidString(a.text[f.col]) {
			a.r.asks(AskEncoding)
		}
		a.problem(r.number, a.cols[f.col], a.text[f.col], f.problem)
	}
	if r.short {
		a.problem(r.number, 0, r.cells[0].text, "the row ends before the last heading: is a quote or a comma missing?")
	}
	if len(flaws) > 0 {
		a.flawed()
		return
	}
	if first, _ := a.all.codes.Get(own); first > 0 && own != "" && !a.repeats {
		a.problem(r.number, a.cols[0], a.text[0], fmt.Sprintf("%s stands in row %d already", own, first))
		a.flawed()
		a.r.load.SaysAgain(a.t.title(), a.all.rows.n)
	}
	a.all.rows.add(r.number)
	a.derive()
	if own != "" {
		a.all.codes.Set(own, r.number)
	}
	if a.t.title() == "Bags" {
		a.counted()
	}
}

// counted notes the quantity of the bag taken in last, as what was counted where the
// workbook is a count. Nought is a quantity, and no cell is none.
func (a *area) counted() {
	at := a.r.load.Bags.Len() - 1
	b := a.r.load.Bags.At(at)
	if a.r.AsCount && a.there("In the drawer") >= 0 {
		a.onHand(b.Code)
		return
	}
	switch i := a.quantity; {
	case a.text[i] == "":
	case a.r.AsCount:
		a.r.load.Counted[kept(b.Code)] = code.Qty{N: b.Quantity, About: b.About}
	case b.Quantity == 0:
		if a.r.load.Empty == nil {
			a.r.load.Empty = map[int]bool{}
		}
		a.r.load.Empty[at] = true
	}
}

// kept is a code that holds nothing else in memory.
func kept(c code.Code) code.Code { return code.Code(strings.Clone(string(c))) }

// onHand takes what an export says is on hand as what was counted: where it differs
// from the book somebody wrote it.
func (a *area) onHand(bag code.Code) {
	k := a.readNamed("In the drawer")
	text := strings.TrimSpace(a.moreText[k])
	if text == "" {
		return
	}
	q, err := code.ParseSheetQty(text)
	if err != nil {
		a.problem(a.row, a.more[k], text, err.Error())
		return
	}
	q.About = q.About || strings.EqualFold(strings.TrimSpace(a.moreText[a.readNamed("About there")]), "yes")
	a.r.load.Counted[kept(bag)], a.r.load.OnHand, a.r.load.InDrawer = q, true, !a.former
}

// at is the column of the table that is called so, -1 for none.
func (a *area) at(name string) int { return headed(a.heads, name) }

// under is the column of the table that a column of the sheet is read as, -1 for none.
func (a *area) under(col int) int {
	if col < len(a.of) {
		return a.of[col]
	}
	return -1
}

// place lays the cells of a row under the columns of the table.
func (a *area) place(r row) {
	clear(a.text)
	clear(a.bad)
	clear(a.moreText)
	a.row = r.number
	for _, c := range r.cells {
		a.cells++
		if k := slices.Index(a.more, c.col); k >= 0 {
			a.moreText[k] = c.text
		}
		switch {
		case c.col >= len(a.names) || a.names[c.col] == "":
			a.stray(r.number, c)
		case a.of[c.col] >= 0:
			i := a.of[c.col]
			a.text[i], a.bad[i] = a.tidy(c, a.heads[i].kind)
			if a.commas && a.heads[i].kind == asNumber && a.bad[i] == "" && c.kind == cellText && thousands(strings.TrimSpace(c.text)) {
				a.bad[i] = twoNumbers
			}
		}
	}
}

// flawed notes the code of a row that cannot be read, of a movement its bag.
func (a *area) flawed() {
	heading := strings.TrimSuffix(a.t.title(), "s") // Parts are told by Part
	if a.t.title() == "Moves" {
		heading = "Bag"
	}
	i := a.at(heading)
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

// stray reports what stands under no heading, once a column.
func (a *area) stray(row int, c cell) {
	if a.bare[c.col] || strings.TrimSpace(c.text) == "" {
		return
	}
	a.bare[c.col] = true
	if a.r.book {
		ref, _ := excelize.ColumnNumberToName(c.col + 1)
		a.r.report.Ignored = append(a.r.report.Ignored, fmt.Sprintf("%s: column %s, which has no heading", a.name, ref))
		return
	}
	a.problem(row, c.col, c.text, "stands under no heading: a comma within a cell needs quotes around the cell")
}

// derives says that a heading, folded, is that of a column which is only there to be
// read, and notes where it is.
func (a *area) derives(name string, col int) bool {
	k := slices.IndexFunc(a.read, func(d derived) bool { return fold(d.heading) == name || d.heading == formerly[name] })
	if a.former = a.former || name == "onhand"; k >= 0 {
		a.more[k] = col
	}
	return k >= 0
}

// readNamed is the number of a derived column.
func (a *area) readNamed(heading string) int {
	return slices.IndexFunc(a.read, func(d derived) bool { return d.heading == heading })
}

// there is where a derived column stands, -1 for nowhere.
func (a *area) there(heading string) int {
	if k := a.readNamed(heading); k >= 0 {
		return a.more[k]
	}
	return -1
}

// headings reads the first row.
func (a *area) headings(r row) {
	width := r.cells[len(r.cells)-1].col + 1
	a.cols, a.inch = slices.Repeat([]int{-1}, len(a.heads)), make([]bool, len(a.heads))
	a.names, a.of = make([]string, width), slices.Repeat([]int{-1}, width)
	for _, c := range r.cells {
		a.cells++
		name := fold(c.text)
		if name == "" {
			continue
		}
		a.names[c.col] = c.text
		if c.kind == cellBad {
			a.problem(r.number, c.col, c.text, c.shown)
			continue
		}
		i := slices.IndexFunc(a.heads, func(h head) bool { return fold(h.name) == name || h.inch != "" && fold(h.inch) == name })
		switch {
		case i < 0 && name == fold(guardHeading):
			a.guarded = true
		case i < 0 && a.derives(name, c.col):
		case i < 0 && a.crosses(r, c):
			a.cross = append(a.cross, c)
		case i < 0:
			a.r.report.Ignored = append(a.r.report.Ignored, fmt.Sprintf("%s: column %q", a.name, clip(strings.TrimSpace(c.text))))
		case a.cols[i] >= 0:
			ref, _ := excelize.ColumnNumberToName(a.cols[i] + 1)
			a.problem(r.number, c.col, c.text, fmt.Sprintf("%s stands in column %s already", a.heads[i].name, ref))
		default:
			a.cols[i], a.inch[i], a.of[c.col] = c.col, fold(a.heads[i].name) != name, i
		}
	}
	for i, h := range a.heads {
		if h.need && a.cols[i] < 0 && (len(a.cross) == 0 || h.name != "Donor") {
			a.stuck = true
			a.problem(r.number, 0, r.cells[0].text, fmt.Sprintf("the heading %q is missing: every row needs it", h.name))
			a.r.asks(AskMap)
			break
		}
	}
}

// tidy returns the text of a cell for a column of a kind, without blanks around
// it and as composed letters, or what is wrong with it.
func (a *area) tidy(c cell, k kind) (text, problem string) {
	s := strings.TrimSpace(c.text)
	switch {
	case a.r.Encoding != "" && strings.ContainsRune(s, utf8.RuneError):
		return s, "holds bytes that are no letters of " + a.r.Encoding
	case c.kind == cellText && a.guarded:
		s = unguard(s)
	case c.kind == cellText && a.commas && k == asNumber:
		s = pointed(s)
	case c.kind == cellText || c.kind == cellTruth:
	case c.kind == cellBad:
		return s, c.shown
	case k == asDay && c.kind != cellDay:
		return s, notADay
	case (k == asNumber || k == asCode) && c.kind == cellDay:
		return s, madeADay
	case k == asCode && c.kind == cellScience:
		return s, madeAPower
	case k != asNumber && c.shown != "":
		s = c.shown
	}
	if k == asText && strings.ContainsAny(s, "\r\n") {
		s = oneLine(s)
		a.r.remark(a.name, "texts of several lines are read as one, their lines parted by strokes", cellName(c.col, a.row))
	}
	if !ascii(s) && utf8.ValidString(s) {
		s = norm.NFC.String(s)
	}
	return s, ""
}

// oneLine is a text of several lines in one.
func oneLine(s string) string {
	var lines []string
	for _, line := range strings.FieldsFunc(s, func(r rune) bool { return r == '\n' || r == '\r' }) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, " / ")
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

// share returns s as a text, one and the same where it comes again.
func (r *reader) share(s []byte) string {
	if len(s) > 64 {
		return string(s)
	}
	c, ok := r.texts[string(s)]
	if !ok {
		if r.texts == nil || len(r.texts) >= 1<<16 {
			r.texts = map[string]string{}
		}
		c = string(s)
		r.texts[c] = c
	}
	return c
}

// shareText is share for a text, which may hold a whole row in memory.
func (r *reader) shareText(s string) string {
	if r.packs {
		return s
	}
	if c, ok := r.texts[s]; ok && len(s) <= 64 {
		return c
	}
	return r.share([]byte(s))
}

// plain refuses text that no cell should hold.
func plain(s string) error {
	if !utf8.ValidString(s) {
		return errors.New("is not UTF-8 text: save the file as UTF-8")
	}
	units := 0
	for _, c := range s {
		switch {
		case c == '\n' || c == '\r':
			return errors.New("is of several lines: write it in one")
		case unicode.IsControl(c):
			return fmt.Errorf("holds a control character (%U): take it out", c)
		}
		if store.IsNoLetter(c) {
			return fmt.Errorf("holds %U, which stands for no letter: take it out", c)
		}
		if words.Turns(c) {
			return fmt.Errorf("holds %U, which turns the order of letters round: take it out", c)
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
	if all == nil || i < 0 || i >= all.rows.n {
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
		col = a.cols[h]
	}
	return a.name, cellName(col, all.rows.at(i)), a.t.show(r.load, i, h)
}
