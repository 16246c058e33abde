package sheet

import (
	"slices"
	"strings"

	"tinful/store/code"
)

// A cross table has a camera or a drawer in each row and a part in each column: x, y,
// 2 and - in its cells say that it is there, how many, or that it is not. Common
// practice, no source.
var (
	crossYes = []string{"x", "y", "yes", "ja", "j", "oui", "si", "sí", "ok", "+", "✓", "✔", "○", "◯", "有"}
	crossNo  = []string{"-", "–", "—", "n", "no", "nein", "non", "nee", "0", "×", "無"}
)

// value is the column that the cells of a cross table are of.
func (m *mapped) value() int {
	return slices.IndexFunc(m.main.heads, func(h head) bool { return h.name == "Quantity" || h.name == "Seen" })
}

// crossing notes a heading that is a part.
func (m *mapped) crossing(c cell) {
	m.cross = append(m.cross, c)
	m.main.of[c.col] = m.value()
}

func (m *mapped) isCross(col int) bool {
	return slices.ContainsFunc(m.cross, func(c cell) bool { return c.col == col })
}

// crossed makes a record of every cell of a row that stands under a part.
func (m *mapped) crossed(r row) {
	a, value, bags := m.main, m.value(), m.main.t.title() == "Bags"
	part, note := a.at("Part"), a.at("Note")
	for _, c := range r.cells {
		at := slices.IndexFunc(m.cross, func(x cell) bool { return x.col == c.col })
		if at < 0 {
			continue
		}
		m.fill(a, r)
		a.cols[value] = c.col
		a.text[value], a.bad[value] = m.cell(a, value, c)
		name, text := strings.Join(strings.Fields(m.cross[at].text), " "), strings.ToLower(strings.TrimSpace(c.text))
		yes, no := slices.Contains(crossYes, text), slices.Contains(crossNo, text)
		switch {
		case bags && no:
			continue // none of it is there
		case bags && yes:
			a.text[value], a.bad[value] = "1", ""
		case yes:
			a.text[value], a.bad[value] = "present", ""
		case no:
			a.text[value], a.bad[value] = "missing", ""
		case !bags && allDigits(text):
			a.text[value], a.bad[value] = "present", ""
			a.text[note] = strings.TrimSpace(a.text[note] + " " + text + " pc")
		}
		if bags && !isNumbered(name) {
			m.record(r, name)
			continue
		}
		if _, err := code.Parse(name); err != nil || !isNumbered(name) {
			name = m.nameOf("part", name)
		}
		a.text[part] = name
		m.record(r, "")
	}
	a.cols[value] = -1
}

// crosses says that a heading of our own sheet Seen is a parts camera: where none is
// Donor, each row is a part, and a cell says what was seen of it on the camera above.
func (a *area) crosses(heads row, c cell) bool {
	among := func(name string) bool {
		return slices.ContainsFunc(heads.cells, func(x cell) bool { return fold(x.text) == fold(name) })
	}
	_, err := code.Parse(strings.TrimSpace(c.text))
	return a.t.title() == "Seen" && among("Part") && !among("Donor") && err == nil
}

// crossed makes a record of every cell of the row at hand that stands under a camera.
func (a *area) crossed(r row) {
	donor, seen := a.at("Donor"), a.at("Seen")
	for _, c := range r.cells {
		at := slices.IndexFunc(a.cross, func(x cell) bool { return x.col == c.col })
		if at < 0 || strings.TrimSpace(c.text) == "" {
			continue
		}
		a.text[donor], a.cols[donor] = strings.TrimSpace(a.cross[at].text), c.col
		a.text[seen], a.bad[seen] = a.tidy(c, asText)
		a.cols[seen] = c.col
		switch text := strings.ToLower(a.text[seen]); {
		case slices.Contains(crossYes, text):
			a.text[seen] = "present"
		case slices.Contains(crossNo, text):
			a.text[seen] = "missing"
		}
		a.record(r)
	}
}
