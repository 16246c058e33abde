package sheet

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"tinful/store"
)

// A bookSheet is a sheet of a workbook that is to be read.
type bookSheet struct {
	sheetPart
	t           table
	order, part int
}

// readBook reads the sheets of an .xlsx file.
func (r *reader) readBook(file string) error {
	w, err := openBook(file, r.MaxSize)
	if err != nil {
		return err
	}
	defer w.Close()
	r.book, r.w, r.report.Stamp = true, w, w.stamp()
	sheets := r.bookSheets(w)
	if len(sheets) == 0 {
		return helped(Unmapped, "", "%s has none of the sheets %s", file, strings.Join(store.Sheets, ", "))
	}
	for i, s := range sheets {
		if i > 0 && sheets[i-1].t == s.t && sheets[i-1].part == s.part {
			return badInput("%s: %q and %q are the same sheet: keep one", filepath.Base(file), sheets[i-1].name, s.name)
		}
		if s.member == "" {
			return badInput("%s: sheet %s is a chart or a dialog and no table", filepath.Base(file), s.name)
		}
		if err := r.readSheet(w, s); err != nil {
			return fmt.Errorf("sheet %s: %w", s.name, err)
		}
	}
	return w.finish()
}

func (r *reader) bookSheets(w *workbook) []bookSheet {
	var sheets []bookSheet
	for _, s := range w.sheets {
		t, part := tableNamed(s.name)
		switch {
		case t != nil:
			sheets = append(sheets, bookSheet{s, t, slices.Index(store.Sheets, t.title()), part})
		case s.name != listsSheet && s.name != columnsSheet:
			r.report.Ignored = append(r.report.Ignored, fmt.Sprintf("sheet %q", s.name))
		}
	}
	slices.SortStableFunc(sheets, func(a, b bookSheet) int {
		if a.order != b.order {
			return a.order - b.order
		}
		return a.part - b.part
	})
	return sheets
}

// readSheet reads one sheet, and compares what it holds with what was taken.
func (r *reader) readSheet(w *workbook, s bookSheet) error {
	a := r.area(s.t, s.part, s.name)
	before := r.report.Rows
	in, err := w.rows(s.member, r.share, a.line)
	if err != nil {
		return err
	}
	taken := r.report.Rows - before + a.samples
	if a.begun {
		taken++
	}
	if taken != in.full || a.cells != in.cells {
		return fmt.Errorf("it has %d cells in %d rows, of which %d in %d were read", in.cells, in.full, a.cells, taken)
	}
	r.report.Cells += in.cells
	if !a.begun {
		r.said(a.name + ": the sheet is empty: not even headings stand in it")
	}
	if err := a.underMerged(w, s.member, in.merged); err != nil {
		return err
	}
	a.notes(s, in)
	return a.beside(w, s.member, in)
}

// underMerged reports cells that merged ones hide. The text is gone through a
// second time, as it names merged cells at its end.
func (a *area) underMerged(w *workbook, member string, merged []rect) error {
	if len(merged) == 0 {
		return nil
	}
	_, err := w.rows(member, a.r.share, func(r row) {
		for _, c := range r.cells {
			for _, m := range merged {
				if m.hides(r.number, c.col+1) && r.number > a.head && a.uses(c.col) {
					a.problem(r.number, c.col, c.text, fmt.Sprintf(underMerged, m))
				}
			}
		}
	})
	return err
}

// uses reports whether column col of the sheet is taken in.
func (a *area) uses(col int) bool {
	return a.under(col) >= 0 || a.mate != nil && a.mate.uses(col)
}

// notes says what is read and may surprise.
func (a *area) notes(s bookSheet, in *sheetReader) {
	say := func(format string, args ...any) {
		a.r.report.Notes = append(a.r.report.Notes, a.name+": "+fmt.Sprintf(format, args...))
	}
	if s.hidden && in.full > 1 {
		say("the sheet is hidden, and is read like the others")
	}
	if len(in.hidden) > 0 {
		say("hidden rows are read like the others: %s", several(in.hidden, func(p span) string { return p.String() }))
	}
	var columns []string
	for _, p := range in.columns {
		for col := p.from; col <= p.to; col++ {
			if a.uses(col - 1) {
				columns = append(columns, strings.TrimSpace(a.names[col-1]))
			}
		}
	}
	if len(columns) > 0 {
		say("hidden columns are read like the others: %s", several(columns, strings.Clone))
	}
	if merged := slices.DeleteFunc(in.merged, func(m rect) bool { return m.top > in.last }); len(merged) > 0 {
		say("of merged cells the first alone counts: %s", several(merged, rect.String))
	}
	if in.told > in.last {
		say("the sheet says that it goes down to row %d, and its last row is %d: is it whole?", in.told, in.last)
	}
}

// several names the first few of a list, and how many more there are.
func several[T any](list []T, name func(T) string) string {
	var out []string
	for _, x := range list[:min(fewCells, len(list))] {
		out = append(out, name(x))
	}
	return severalOf(out, len(list))
}

// fewCells is how many of many cells are named.
const fewCells = 5

// severalOf names the first of n things.
func severalOf(first []string, n int) string {
	said := strings.Join(first, ", ")
	if more := n - len(first); more > 0 {
		said += fmt.Sprintf(" and %d more", more)
	}
	return said
}
