package sheet

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A KeptOut is a row of a list that is no data, and what it was taken for.
type KeptOut struct {
	Sheet string `json:"sheet"`
	Row   int    `json:"row"`
	Text  string `json:"text"` // its first cell
	Why   string `json:"why"`
}

// What a row is that is no data.
const (
	isAlone   = "stands alone in its row, as group headings and notes do"
	isTotal   = "is a total"
	isHeading = "repeats the headings"
	isNote    = "has nothing under the headings that are mapped"
	isAbove   = "stands above the headings"
	isUnits   = "holds units"
	isStruck  = "is struck through"
)

// totalWords begin rows of totals, folded, in the languages of [cellWords]. Common
// practice, no source; all but English and German from memory.
var totalWords = []string{"summe", "total", "gesamt", "gesamtsumme", "zwischensumme", "insgesamt", "ubertrag", "endsumme", "gesamtbestand", "gesamtmenge", "gesamtwert", "gesamtzahl", "sum", "subtotal", "totals",
	"totaux", "somme", "suma", "totale", "totali", "somma", "totaal", "subtotaal", "som", "合計", "小計", "総計"}

// A mapped stands between the rows of a list with headings of its own and the sheets
// that its rows make records of.
type mapped struct {
	r        *reader
	m        *Mapping
	main     *area
	parts    *area // nil where rows make no parts beside their bags
	aims     []aim // per column of the mapping; sheet empty where it is left out
	begun    bool
	heads    []string // of the list, as headKey
	commas   bool     // numbers have decimal commas
	currency string
	nameless int
	rows     int
	cells    int
	seen     map[string]int // parts by what tells them: their place in the Load
	titles   map[int]string // headings of the row that was looked at last, by column
	lack     []string       // headings of the mapping that it has not
	above    row            // the row before that of the headings
	below    bool           // the row at hand is the first below the headings
	lacks    error          // a heading that every row needs is missing
	places   map[code.Code]int
	names    map[store.Named]code.Code // that stand for words
	cross    []cell                    // headings that are parts
	rules
	orders map[int]dayProof // what proves the order of days, by column of the list
	probe  *probe           // the rows are only looked at
	row    int              // the number of the row at hand
	span   [2]int           // columns of the table where several stand side by side, the second not its own; else none
	others [][2]int         // those of the tables beside it
}

func (r *reader) mapped(name string) (*mapped, error) {
	t, err := r.Map.table()
	if err != nil {
		return nil, err
	}
	m := &mapped{r: r, m: r.Map, seen: map[string]int{}, places: map[code.Code]int{}, names: map[store.Named]code.Code{}, rules: r.Map.rules(t)}
	m.currency, _ = currencyOf(r.Currency)
	for _, c := range r.Map.Columns {
		var a aim
		if c.Column != leftOut {
			if a, err = aimOf(t, c.Column); err != nil {
				return nil, err
			}
		}
		m.aims = append(m.aims, a)
	}
	m.main = m.area(t, name)
	if t.title() == "Parts" {
		m.parts = m.main
	}
	if r.load.Nameless, r.load.Make = true, r.Make; r.load.Named == nil {
		r.load.Named = map[code.Code]store.Named{}
	}
	return m, nil
}

func (m *mapped) area(t table, name string) *area {
	a := m.r.area(t, 1, name)
	a.repeats = t.title() == "Parts" || t.title() == "Places"
	a.cols, a.inch = slices.Repeat([]int{-1}, len(a.heads)), make([]bool, len(a.heads))
	return a
}

// readMapped reads a list with headings of its own.
func (r *reader) readMapped(path string, book bool) error {
	if !book {
		text, err := openList(path, r.Encoding)
		if err != nil {
			return err
		}
		defer text.Close()
		r.said(text.note)
		m, err := r.mapped(filepath.Base(path))
		if err != nil {
			return err
		}
		if m.commas, err = text.decimalCommas(); err != nil {
			return err
		}
		again, err := r.listLines(text, m.main.name)
		if err != nil {
			return err
		}
		_, err = m.tables(again)
		return err
	}
	r.book = true
	w, err := openBook(path, r.MaxSize)
	if err != nil {
		return err
	}
	defer w.Close()
	r.w = w
	if r.Map.Sheets != "" {
		return r.readDrawers(w)
	}
	s, err := w.sheetNamed(r.Map.Sheet)
	if err != nil {
		return err
	}
	m, err := r.mapped(s.name)
	if err == nil {
		_, err = m.sheet(w, s)
	}
	return cmp.Or(err, w.finish())
}

// sheet reads the list that a sheet of a workbook is, and returns the last of its tables.
func (m *mapped) sheet(w *workbook, s sheetPart) (last *mapped, err error) {
	var in *sheetReader
	all, err := m.tables(func(r *reader, take func(row)) (err error) {
		if in, err = w.rows(s.member, r.share, take); err != nil {
			return fmt.Errorf("sheet %s: %w", s.name, err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, t := range all {
		if t.rows != in.full || t.cells != in.cells {
			return nil, fmt.Errorf("sheet %s has %d cells in %d rows, of which %d in %d were read", s.name, in.cells, in.full, t.cells, t.rows)
		}
		if err := t.main.underMerged(w, s.member, in.merged); err != nil {
			return nil, err
		}
		t.goesOver(in.merged)
	}
	m.r.report.Cells += in.cells
	m.main.notes(bookSheet{sheetPart: s}, in)
	return all[len(all)-1], m.main.beside(w, s.member, in)
}

// readDrawers reads every sheet that has the headings, each with its name in a column.
func (r *reader) readDrawers(w *workbook) error {
	var first *mapped
	var none error
	for _, s := range w.sheets {
		if s.member == "" {
			continue
		}
		m, err := r.mapped(s.name)
		if err != nil {
			return err
		}
		to, _ := aimOf(m.main.t, r.Map.Sheets) // which was checked
		m.fixed[aim{sheet: to.sheet, col: to.col}] = s.name
		if m.main.part = len(m.main.all.areas); first != nil {
			m.goOn(first)
		}
		own := *m.m
		own.HeaderRow = 0 // each sheet has its headings where it has them
		m.m = &own
		switch last, err := m.sheet(w, s); {
		case err != nil && !m.begun:
			none = cmp.Or(none, err)
			r.report.Ignored = append(r.report.Ignored, fmt.Sprintf("sheet %q, which has not these headings", s.name))
			continue
		case err != nil:
			return err
		default:
			first = last
		}
	}
	if first == nil {
		return cmp.Or(none, badInput("%s has no sheet with cells", w.name))
	}
	return w.finish()
}

// A rowsAgain hands the rows of a list to take, as often as it is called.
type rowsAgain func(r *reader, take func(row)) error

// listLines reads a list that is CSV text, each time anew from its file: it may be far
// larger than what is kept of it. A sign of inches that stands in a cell without quotes
// around it is taken as it is, where no cell can have swallowed a line by it.
func (r *reader) listLines(text *textFile, name string) (rowsAgain, error) {
	limit := r.MaxSize
	if limit <= 0 {
		limit = MaxSize
	}
	if info, err := text.file.Stat(); err == nil && info.Size() > limit {
		return nil, helped(TooLarge, showSize(uint64(info.Size())*4), "%s is larger than %s", name, showSize(uint64(limit)))
	}
	through := func(lazy bool, read func(*csv.Reader) error) error {
		again, err := openList(text.path, r.Encoding)
		if err != nil {
			return err
		}
		defer again.Close()
		return read(csvReader(again.in, text.comma, lazy))
	}
	lazy, err := inchSigns(through, name)
	if err != nil {
		return nil, err
	}
	return func(r *reader, take func(row)) error {
		return through(lazy, func(in *csv.Reader) error { return r.rowsOf(in, name, take) })
	}, nil
}

// inchSigns says whether quotes stand within cells and part nothing.
func inchSigns(through func(lazy bool, read func(*csv.Reader) error) error, name string) (lazy bool, err error) {
	var bare error
	err = through(false, func(in *csv.Reader) (err error) {
		for err == nil {
			_, err = in.Read()
		}
		if errors.Is(err, csv.ErrBareQuote) {
			bare = err
		}
		return nil
	})
	if err != nil || bare == nil {
		return false, err
	}
	err = through(true, func(in *csv.Reader) error {
		for {
			cells, err := in.Read()
			if err != nil {
				return nil
			}
			if slices.ContainsFunc(cells, func(s string) bool { return strings.Contains(s, "\n") }) {
				return badText(name, bare)
			}
		}
	})
	return err == nil, err
}

// sheetNamed is the sheet of a name or, without one, the only one with cells.
func (w *workbook) sheetNamed(name string) (sheetPart, error) {
	var all []sheetPart
	var names []string
	for _, s := range w.sheets {
		if s.member == "" {
			continue
		}
		names = append(names, s.name)
		if name == "" || headKey(s.name) == headKey(name) {
			all = append(all, s)
		}
	}
	switch {
	case len(all) == 1:
		return all[0], nil
	case len(all) > 1:
		return sheetPart{}, helped(SheetOpen, "", "%s has several sheets: %s", w.name, strings.Join(names, ", "))
	}
	return sheetPart{}, badInput("%s has no sheet %q; it has %s", w.name, name, strings.Join(names, ", "))
}

// line takes one row of the list.
func (m *mapped) line(r row) {
	m.rows++
	m.cells += len(r.cells)
	m.row = r.number
	if !m.begun {
		m.begin(r)
		return
	}
	if m.span[0] == 0 {
		m.r.report.Rows++
		if m.r.report.Rows%1024 == 0 {
			m.r.Progress(m.r.report.Rows)
		}
	}
	if r = m.own(r); len(r.cells) == 0 {
		return
	}
	if first := r.cells[0]; first.kind == cellText && strings.HasPrefix(first.text, sample) {
		m.main.samples++
		return
	}
	why := m.noData(r)
	if why == "" && m.main.mark(r) && !m.r.Struck {
		why = isStruck
	}
	switch m.below = false; {
	case m.lacks != nil:
	case why != "":
		m.main.keepOut(r, why)
	case m.probe != nil:
		m.probe.see(m, r)
	default:
		m.data(r)
	}
}

func (a *area) keepOut(r row, why string) {
	if len(a.r.report.KeptOut) >= mostListed {
		a.r.moreKept++
		return
	}
	text := clip(strings.Join(strings.Fields(r.cells[0].text), " "))
	a.r.report.KeptOut = append(a.r.report.KeptOut, KeptOut{a.name, r.number, text, why})
}

// uses says whether a column of the list is taken in.
func (m *mapped) uses(col int) bool { return m.main.uses(col) }

// noData says what a row is that is no data.
func (m *mapped) noData(r row) string {
	var used, texts, sums, labels int
	again, total, alone := true, false, true
	for _, c := range r.cells {
		text := strings.TrimSpace(c.text)
		again = again && c.col < len(m.heads) && m.heads[c.col] == headKey(text)
		total = total || c.kind == cellText && isTotalText(text)
		alone = alone && text == strings.TrimSpace(r.cells[0].text)
		if m.uses(c.col) {
			used++
			switch {
			case m.isSum(c):
				sums++
			case c.kind == cellText && saysTotal(text):
				labels++
			}
		}
		if c.kind == cellText {
			texts++
		}
	}
	switch key := m.main.cols[0]; {
	case again && len(r.cells) > 1:
		return isHeading
	case m.below && used > 0 && isUnitRow(r):
		m.units(r)
		return isUnits
	case total, used > 0 && sums == used, labels == 1 && sums == used-1 && m.mappedColumns() > 1:
		return isTotal
	case used == 0:
		return isNote
	case alone && len(r.cells) == 1 && texts == 1 && m.mappedColumns() > 1 && (codeless(m.main.t.title()) || r.cells[0].col != key):
		return isAlone
	}
	return ""
}

func (m *mapped) mappedColumns() (n int) {
	for _, a := range m.aims {
		if a.sheet != "" {
			n++
		}
	}
	return n
}

// isSum says that a cell is a number in a column of numbers, as those of a total are:
// nobody adds up measures.
// areas are those that the rows go into.
func (m *mapped) areas() []*area {
	if m.parts == nil {
		return []*area{m.main}
	}
	return []*area{m.main, m.parts}
}

func (m *mapped) isSum(c cell) bool {
	return m.main.isSum(c) || m.parts != nil && m.parts.isSum(c)
}

func (a *area) isSum(c cell) bool {
	i := a.under(c.col)
	return i >= 0 && a.heads[i].kind == asNumber && !a.measures(i) && (c.kind == cellNumber || c.kind == cellBad || strings.ContainsAny(c.text, "0123456789"))
}

// noData says what a row of a sheet of the workshop is that is no data: a total, or a
// word alone where a bag or a donor stands. Rows that export writes say more: they
// have an owner, and a part has a name.
func (a *area) noData(r row) string {
	title, first := a.t.title(), r.cells[0]
	if title != "Parts" && title != "Bags" && title != "Donors" {
		return ""
	}
	if len(r.cells) == 1 {
		if title != "Parts" && len(a.names) > 2 && first.col == a.cols[0] && first.kind == cellText && !strings.ContainsAny(first.text, "0123456789") {
			return isAlone
		}
		return ""
	}
	labels := 0
	for _, c := range r.cells { // the first of nearly every row is a code, and ends it
		switch {
		case a.isSum(c):
		case c.kind == cellText && a.labelsTotal(c) && labels == 0:
			labels++
		default:
			return ""
		}
	}
	if labels == 0 {
		return ""
	}
	return isTotal
}

// labelsTotal says that a cell is the label of a total, and in the column of codes no
// code but the bare word.
func (a *area) labelsTotal(c cell) bool {
	if c.col == a.cols[0] && strings.ContainsAny(c.text, "0123456789") && !strings.Contains(c.text, " ") {
		return false // a code: no need to look closer
	}
	if _, err := code.Parse(c.text); c.col == a.cols[0] && err == nil {
		return isTotalText(c.text)
	}
	return saysTotal(c.text)
}

// isTotalText says that a text is Summe, Total: or Summe 123, and no name of a part.
func isTotalText(s string) bool {
	named := false
	for _, w := range words.Tokens(s) {
		switch {
		case slices.Contains(totalWords, w):
			named = true
		case strings.Trim(w, "0123456789.,") != "":
			return false
		}
	}
	return named
}

// saysTotal says that a text begins or ends as the label of a total does: Summe
// Federn, Schrauben gesamt. Where nothing but sums stands beside it, it is one.
func saysTotal(s string) bool {
	w := words.Tokens(s)
	return len(w) > 0 && (slices.Contains(totalWords, w[0]) || slices.Contains(totalWords, w[len(w)-1]))
}

// data makes the records of a row.
func (m *mapped) data(r row) {
	if len(m.cross) == 0 {
		m.fill(m.main, r)
		m.record(r, "")
		return
	}
	m.crossed(r)
}

// record makes the records of the row whose cells are laid out; part is the name of its
// part where that stands in the headings.
func (m *mapped) record(r row, part string) {
	m.title()
	m.priceOfAll()
	switch m.parts {
	case nil:
		m.code(m.main)
		m.main.record(r)
		m.placeOnce(r)
		return
	case m.main:
		m.code(m.main)
		m.part(r)
		return
	}
	m.fill(m.parts, r)
	if part != "" {
		m.parts.text[m.parts.at("Name")] = part
	}
	if slices.ContainsFunc(m.parts.text[1:], func(s string) bool { return s != "" }) {
		at := m.main.at("Part")
		m.parts.text[0], m.parts.bad[0], m.parts.cols[0] = m.main.text[at], m.main.bad[at], m.main.cols[at]
		m.code(m.parts)
		m.main.text[at], m.main.bad[at] = m.part(r), ""
	}
	m.code(m.main)
	m.main.record(r)
}

// fill lays the cells of a row under the columns of a sheet.
func (m *mapped) fill(a *area, r row) {
	clear(a.text)
	clear(a.bad)
	a.row = r.number
	for _, c := range r.cells {
		if m.isCross(c.col) {
			continue
		}
		if i := a.under(c.col); i >= 0 {
			a.text[i], a.bad[i] = m.cell(a, i, c)
		} else if c.col >= len(a.of) || a.names[c.col] == "" {
			m.bare(a, c)
		}
	}
	m.complete(a)
}

// bare says once that a column without a heading holds something.
func (m *mapped) bare(a *area, c cell) {
	if a != m.main || a.bare[c.col] {
		return
	}
	a.bare[c.col] = true
	m.r.report.Ignored = append(m.r.report.Ignored, fmt.Sprintf("%s: column %s, which has no heading", a.name, columnName(c.col)))
}

// code gives a row without a code one that stands for none yet.
func (m *mapped) code(a *area) {
	if a.text[0] == "" && a.bad[0] == "" && codeless(a.t.title()) {
		m.nameless++
		a.text[0] = string(store.Nameless(m.nameless))
	}
}

// part takes in the part of a row, unless a row before has the same, and returns its
// code.
func (m *mapped) part(r row) string {
	a, load := m.parts, m.r.load
	own := a.text[0]
	before := load.Parts.Len()
	name := a.at("Name")
	if store.IsNameless(code.Code(own)) && a.text[name] == "" && a.bad[name] == "" {
		a.bad[name] = "is empty: a part without a code is known by its name, class and measures"
	}
	guessed := m.guessClass()
	m.whichLength()
	a.record(r)
	if load.Parts.Len() == before {
		return own
	}
	p := load.Parts.At(before)
	tells := tellsPart(&p)
	if !store.IsNameless(p.Code) {
		tells = string(p.Code)
	}
	at, again := m.seen[tells]
	if !again {
		m.seen[tells] = before
		if guessed {
			load.Guessed = append(load.Guessed, before)
		}
		return string(p.Code)
	}
	first := load.Parts.At(at)
	load.Parts.Cut()
	row := a.all.rows.at(at)
	a.all.rows.cut()
	p.Code = first.Code
	if !reflect.DeepEqual(p, first) {
		m.contradicts(r, row, &first, &p)
	}
	return string(first.Code)
}

// placeOnce takes a place in but once: a list names it in every row of what lies there.
func (m *mapped) placeOnce(r row) {
	list := m.r.load.Places
	k := len(list) - 1
	if m.main.t.title() != "Places" || m.main.all.rows.n != len(list) || k < 0 || m.main.all.rows.at(k) != r.number {
		return
	}
	at, again := m.places[list[k].Code]
	if !again {
		m.places[list[k].Code] = k
		return
	}
	if row := m.main.all.rows.at(at); list[at] != list[k] {
		m.main.problem(r.number, max(m.main.cols[0], 0), string(list[k].Code), fmt.Sprintf("stands in row %d already, and otherwise: write the same in both", row))
	}
	m.r.load.Places = list[:k]
	m.main.all.rows.cut()
}

// contradicts reports where a row says otherwise of a part than one before.
func (m *mapped) contradicts(r row, row int, first, p *store.Part) {
	for _, c := range m.parts.t.differ(*first, *p) {
		i := m.parts.at(c.Field)
		m.parts.problem(r.number, m.parts.cols[i], c.New, fmt.Sprintf("is %q of the same part in row %d: write the same in both, or leave one out", c.Old, row))
	}
}

// tellsPart is what tells a part without a code from others of a list.
func tellsPart(p *store.Part) string {
	return fmt.Sprintf("%s\n%s\n%v\n%v", words.Fold(p.Name), p.Class, p.Dims, p.Marks) // maps print in order of keys
}

// done ends a list: it says what was kept out, or that the headings were not found.
func (m *mapped) done() error {
	switch {
	case !m.begun, len(m.lack) > 0:
		return m.noHeadings()
	case m.lacks != nil:
		return m.lacks
	}
	m.main.sayKeptOut()
	return nil
}

func (m *mapped) noHeadings() error {
	var names []string
	for _, col := range slices.Sorted(maps.Keys(m.titles)) {
		names = append(names, quoted(clip(m.titles[col])))
	}
	lacks := several(m.lack, quoted)
	switch row := m.m.HeaderRow; {
	case row > 0 && !m.begun:
		return badInput("%s: row %d is empty, and should hold the headings", m.main.name, row)
	case row > 0:
		return badInput("%s: row %d lacks headings of the map: %s; it has %s", m.main.name, row, lacks, strings.Join(names, ", "))
	case len(names) == 0:
		return badInput("%s is empty", m.main.name)
	case m.mappedColumns() == 0:
		return helped(Unmapped, "", "%s: no heading is mapped, and none is a column of %s by its own name", m.main.name, m.main.t.title())
	}
	return badInput("%s: no row has all headings of the map; the nearest lacks %s and has %s", m.main.name, lacks, strings.Join(names, ", "))
}

func quoted(s string) string { return fmt.Sprintf("%q", s) }

// sayKeptOut names the rows that are no data, by what they are.
func (a *area) sayKeptOut() {
	for _, why := range []string{isAbove, isHeading, isUnits, isAlone, isTotal, isNote, isStruck} {
		var rows []KeptOut
		for _, k := range a.r.report.KeptOut {
			if k.Why == why && k.Sheet == a.name {
				rows = append(rows, k)
			}
		}
		if len(rows) > 0 && why == isStruck {
			a.r.asks(AskStruck)
		}
		if len(rows) > 0 {
			a.r.said(fmt.Sprintf("%s: kept out, each %s: %s", a.name, why,
				several(rows, func(k KeptOut) string { return fmt.Sprintf("row %d %q", k.Row, k.Text) })))
		}
	}
}
