package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store/words"
)

// mostAbove is in how many rows the headings are looked for.
const mostAbove = 1000

// begin looks whether a row is that of the headings.
func (m *mapped) begin(r row) {
	own, at := r, m.m.HeaderRow
	if at == 0 && m.rows > mostAbove {
		return
	}
	r = joined(m.above, r, func(s string) bool { return m.said(s) || m.named(s) })
	if at > 0 && r.number != at || at == 0 && !m.isHeader(r) {
		if at == 0 || r.number < at {
			if m.titles == nil || len(m.missing(r)) < len(m.lack) {
				m.look(r)
			}
			if r = m.own(own); len(r.cells) > 0 {
				m.main.keepOut(r, isAbove)
			}
		}
		m.above = own
		m.above.cells = slices.Clone(own.cells)
		return
	}
	m.begun, m.below = true, true
	m.look(r)
	if m.span[1] == 0 && !m.m.Cross {
		if all := tablesIn(r.cells, m.stands); len(all) > 0 {
			m.span, m.others = all[0], all[1:]
		}
	}
	r = m.own(r)
	m.byName(r)
	m.headings(r)
	m.lacks = m.needed()
}

// joined is a row of headings with those of the row above where it has none itself:
// a heading may reach over two rows, beside groups of others.
func joined(above, r row, heading func(string) bool) row {
	if above.number == 0 || above.number != r.number-1 {
		return r
	}
	out := slices.Clone(r.cells)
	for _, c := range above.cells {
		if c.kind == cellText && heading(c.text) && !slices.ContainsFunc(r.cells, func(x cell) bool { return x.col == c.col }) {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b cell) int { return a.col - b.col })
	r.cells = out
	return r
}

// said says that the map names a heading, named that it is a column by its own name.
func (m *mapped) said(heading string) bool {
	k := headKey(heading)
	return slices.ContainsFunc(m.m.Columns, func(c MapColumn) bool { return headKey(c.Heading) == k })
}

func (m *mapped) named(heading string) bool {
	_, err := aimOf(m.main.t, heading)
	return err == nil
}

// isHeader says that a row has all headings of the map or, where that has none, one
// that is a column by its own name.
func (m *mapped) isHeader(r row) bool {
	if m.mappedColumns() == 0 {
		return slices.ContainsFunc(r.cells, func(c cell) bool { return m.named(c.text) })
	}
	return len(m.missing(r)) == 0
}

// byName adds to the map the headings that are columns by their own names and of
// which it says nothing.
func (m *mapped) byName(r row) {
	columns, names := slices.Clone(m.m.Columns), []string(nil)
	for _, c := range r.cells {
		to, err := aimOf(m.main.t, c.text)
		if err != nil || m.said(c.text) || slices.ContainsFunc(m.aims, func(a aim) bool { return a.sheet == to.sheet && a.col == to.col }) {
			continue
		}
		columns, m.aims = append(columns, MapColumn{c.text, c.text}), append(m.aims, to)
		names = append(names, strings.TrimSpace(c.text))
	}
	own := *m.m
	own.Columns = columns
	if m.m = &own; len(names) > 0 {
		m.r.said(fmt.Sprintf("%s: read by their own names, as the map says nothing of them: %s", m.main.name, strings.Join(names, ", ")))
	}
	// A part's code alone makes no part.
	if m.parts == nil && m.main.t.title() == "Bags" && (m.m.Cross || slices.ContainsFunc(append(slices.Collect(maps.Keys(m.fixed)), m.aims...), func(a aim) bool { return a.sheet == "Parts" && a.col > 0 })) {
		m.parts = m.area(partsTable(), m.main.name)
		m.main.mate = m.parts
	}
}

// needed refuses headings without a column that every row needs. Codes of parts and
// bags are made up where no column has them.
func (m *mapped) needed() error {
	t, has := m.main.t, map[string]bool{}
	for _, a := range append(slices.Collect(maps.Keys(m.fixed)), m.aims...) {
		if a.sheet == t.title() {
			has[t.heads()[a.col].name] = true
		}
	}
	if len(m.cross) > 0 {
		has["Part"], has["Seen"] = true, true
	}
	for _, h := range t.heads() {
		if h.need && !has[h.name] && !(codeless(t.title()) && h.name == t.heads()[0].name) {
			return badInput("%s: no heading stands for %s, which every row of %s needs", m.main.name, strings.ToLower(h.name), t.title())
		}
	}
	if t.title() == "Parts" && !has["Part"] && !has["Name"] {
		return badInput("%s: no heading stands for part or name: a part is known by one of them", m.main.name)
	}
	return nil
}

// look notes the headings of a row, for the sentence that says which are missing.
func (m *mapped) look(r row) {
	m.titles, m.lack = map[int]string{}, m.missing(r)
	for _, c := range r.cells {
		m.titles[c.col] = strings.Join(strings.Fields(c.text), " ")
	}
}

// missing lists the headings of the mapping that a row has not.
func (m *mapped) missing(r row) (out []string) {
	for _, c := range m.m.Columns {
		k := headKey(c.Heading)
		if c.Column != leftOut && !slices.ContainsFunc(r.cells, func(x cell) bool { return headKey(x.text) == k }) {
			out = append(out, c.Heading)
		}
	}
	return out
}

// headings reads the row of the headings.
func (m *mapped) headings(r row) {
	width := r.cells[len(r.cells)-1].col + 1
	m.heads = make([]string, width)
	names := make([]string, width)
	for _, a := range m.areas() {
		a.of, a.names, a.head = slices.Repeat([]int{-1}, width), names, r.number
	}
	for _, c := range r.cells {
		names[c.col], m.heads[c.col] = c.text, headKey(c.text)
		k := slices.IndexFunc(m.m.Columns, func(x MapColumn) bool { return headKey(x.Heading) == m.heads[c.col] })
		switch {
		case k < 0 && m.m.Cross && c.kind == cellText:
			m.crossing(c)
		case k < 0:
			m.r.report.Ignored = append(m.r.report.Ignored, fmt.Sprintf("%s: column %q", m.main.name, clip(strings.TrimSpace(c.text))))
		case m.m.Columns[k].Column != leftOut:
			m.put(r.number, c, m.aims[k])
		}
	}
}

// put lays a heading at the column it stands for.
func (m *mapped) put(row int, c cell, to aim) {
	a := m.main
	if to.sheet != a.t.title() {
		a = m.parts
	}
	if a == nil { // the code of a part of which nothing else is said
		return
	}
	h := a.heads[to.col]
	unit := unitOf(c.text)
	switch {
	case a.cols[to.col] >= 0:
		a.problem(row, c.col, c.text, fmt.Sprintf("stands in column %s already: name one of them otherwise", columnName(a.cols[to.col])))
		return
	case h.inch != "" && (unit == "in") != to.inch && unit != "":
		a.problem(row, c.col, c.text, fmt.Sprintf(whichUnit, unit, map[bool]string{true: h.inch, false: h.name}[to.inch]))
	}
	a.cols[to.col], a.inch[to.col], a.of[c.col] = c.col, to.inch, to.col
	m.priced(row, c, to)
}

func columnName(col int) string { return strings.TrimRight(cellName(col, 1), "1") }

// unitOf is the unit that a heading names: in, mm or none.
func unitOf(heading string) string {
	if strings.ContainsAny(heading, `"″”`) {
		return "in"
	}
	for _, w := range words.Tokens(heading) {
		switch w {
		case "in", "inch", "inches", "zoll":
			return "in"
		case "mm", "millimeter", "millimetre":
			return "mm"
		}
	}
	return ""
}
