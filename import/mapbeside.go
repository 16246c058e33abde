package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// tables reads a list and, where its headings begin anew further right in their row,
// the tables that stand beside it, each as a list of its own.
func (m *mapped) tables(again rowsAgain) ([]*mapped, error) {
	all := []*mapped{m}
	for i := 0; i < len(all); i++ {
		t := all[i]
		if i > 0 {
			t.goOn(all[i-1])
		}
		if err := t.prove(again); err != nil {
			return nil, err
		}
		if err := again(t.r, t.line); err != nil {
			return nil, err
		}
		if err := t.done(); err != nil {
			return nil, err
		}
		for _, span := range t.others {
			next, err := m.r.mapped(m.main.name)
			if err != nil {
				return nil, err
			}
			own := *next.m
			own.HeaderRow = m.main.head
			next.m, next.span, next.commas, next.main.part = &own, span, m.commas, len(next.main.all.areas)
			all = append(all, next)
		}
	}
	if len(all) > 1 {
		m.r.said(fmt.Sprintf("%s: %s", m.main.name, sideBySide(all)))
	}
	return all, nil
}

// goOn takes over what was known when the table or sheet before was read.
func (m *mapped) goOn(before *mapped) {
	m.nameless, m.seen, m.places, m.names, m.currency = before.nameless, before.seen, before.places, before.names, before.currency
}

// own is a row with the cells of the table alone.
func (m *mapped) own(r row) row {
	if m.span[1] == 0 {
		return r
	}
	at := func(col int) int {
		i, _ := slices.BinarySearchFunc(r.cells, col, func(c cell, col int) int { return c.col - col })
		return i
	}
	r.cells = r.cells[at(m.span[0]):at(m.span[1])]
	return r
}

// stands is the column that a heading stands for, nothing where it is not read, and
// whether it tells what a row is of.
func (m *mapped) stands(c cell) (column string, tells bool) {
	to, err := aimOf(m.main.t, c.text)
	if k := slices.IndexFunc(m.m.Columns, func(x MapColumn) bool { return headKey(x.Heading) == headKey(c.text) }); k >= 0 {
		if m.m.Columns[k].Column == leftOut {
			return "", false
		}
		to, err = aimOf(m.main.t, m.m.Columns[k].Column)
	}
	if err != nil {
		return "", false
	}
	return headKey(c.text), to.tells()
}

// tells says that a column tells what a row is of: its code, or the name of its part.
func (a aim) tells() bool {
	t, _ := tableNamed(a.sheet)
	return t != nil && (a.col == 0 || t.heads()[a.col].name == "Name" || t.heads()[a.col].name == "Part")
}

// tablesIn are the columns of tables that stand side by side: each begins where a heading
// stands a second time, and has one that tells what its rows are of and one more.
// There is none where a row of headings is that of one table.
func tablesIn(heads []cell, stands func(cell) (column string, tells bool)) (all [][2]int) {
	const noEnd = maxCols + 1
	names, tell := map[string]bool{}, false
	begin := 0
	for _, c := range heads {
		name, tells := stands(c)
		switch {
		case name == "":
			continue
		case names[name] && (!tell || len(names) < 2):
			return nil
		case names[name]:
			all = append(all, [2]int{begin, c.col})
			names, tell, begin = map[string]bool{}, false, c.col
		}
		names[name], tell = true, tell || tells
	}
	if len(all) == 0 || !tell || len(names) < 2 {
		return nil
	}
	return append(all, [2]int{begin, noEnd})
}

// sideBySide says which tables stand side by side.
func sideBySide(all []*mapped) string {
	var names []string
	for _, t := range all {
		names = append(names, columnName(t.span[0]))
	}
	return fmt.Sprintf(areBeside, len(names), strings.Join(names, ", "))
}

// areBeside is said of tables side by side.
const areBeside = "%d tables stand side by side, beginning in columns %s, and all are read"
