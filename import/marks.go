package sheet

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// A look is what a style says of a cell that may mean something: crossed out, coloured.
type look struct {
	struck     bool
	fill, font string // colours, empty where there is none of its own
}

// marks are what a sheet has besides the texts of its cells.
type marks struct {
	comments, pictures, links, struck someCells
	coloured                          map[string]*someCells // by colour
	rows                              int                   // of data
}

// someCells are the first of many cells that are named together, how many there are and
// in how many rows.
type someCells struct {
	first        []string
	n, rows, row int
}

func (s *someCells) add(name string) {
	if s.n++; len(s.first) < fewCells {
		s.first = append(s.first, name)
	}
}

// addIn adds a cell of a row; rows come in order.
func (s *someCells) addIn(row int, name string) {
	if s.add(name); s.row != row {
		s.row, s.rows = row, s.rows+1
	}
}

func (s *someCells) String() string { return severalOf(s.first, s.n) }

// mark notes how the cells of a row look. It reports whether all of them are crossed
// out.
func (a *area) mark(r row) (struck bool) {
	w := a.r.w
	if w == nil || w.looks == nil && w.struck == nil {
		return false
	}
	a.marks.rows++
	if !slices.ContainsFunc(r.cells, func(c cell) bool { return c.struck || c.style < len(w.marked) && w.marked[c.style] }) {
		return false // nearly every row
	}
	all := slices.IndexFunc(r.cells, func(c cell) bool { return !w.lookOf(c).struck }) < 0
	if all {
		return true
	}
	for _, c := range r.cells {
		l := w.lookOf(c)
		if l == (look{}) || !a.uses(c.col) {
			continue
		}
		at := cellName(c.col, r.number)
		if l.struck {
			a.marks.struck.add(at)
		}
		for _, colour := range []string{l.fill, l.font} {
			if colour == "" {
				continue
			}
			if a.marks.coloured == nil {
				a.marks.coloured = map[string]*someCells{}
			}
			if a.marks.coloured[colour] == nil {
				a.marks.coloured[colour] = &someCells{}
			}
			a.marks.coloured[colour].addIn(r.number, at)
		}
	}
	return false
}

// lookOf is how a cell looks; texts of several looks are struck where all of them are.
func (w *workbook) lookOf(c cell) look {
	if c.style < len(w.looks) {
		l := w.looks[c.style]
		l.struck = l.struck || c.struck
		return l
	}
	return look{struck: c.struck}
}

// saysMarks names what a sheet has that is not read.
func (a *area) saysMarks() {
	for _, m := range []struct {
		what  string
		cells *someCells
	}{{"cells that are struck through are read like the others", &a.marks.struck}, {"comments are not read", &a.marks.comments},
		{"where links lead is not read", &a.marks.links}, {"pictures and drawings are not read", &a.marks.pictures}} {
		if m.cells.n > 0 {
			a.r.said(fmt.Sprintf("%s: %s: %s", a.name, m.what, m.cells))
		}
	}
	var colours []string
	for colour, cells := range a.marks.coloured {
		if cells.rows*5 < a.marks.rows*2 { // else it is how the list is dressed
			colours = append(colours, fmt.Sprintf("%s in %s", colour, cells))
		}
	}
	slices.Sort(colours)
	for _, c := range colours {
		a.r.said(fmt.Sprintf("%s: a colour may mean something and is not read: %s", a.name, c))
	}
}

// beside reads the members that a sheet has beside its cells.
func (a *area) beside(w *workbook, member string, in *sheetReader) error {
	a.marks.links, a.marks.comments, a.marks.pictures = in.links, in.comments, in.pictures
	dir, base := path.Split(member)
	var list []relation
	if rels := dir + "_rels/" + base + ".rels"; w.has(rels) {
		var err error
		if list, err = w.relations(rels, dir); err != nil {
			return err
		}
	}
	for _, r := range list {
		var err error
		switch r.kind {
		case "comments":
			err = w.comments(r.member, &a.marks)
		case "drawing":
			err = w.drawings(r.member, &a.marks)
		}
		if err != nil {
			return err
		}
	}
	a.saysMarks()
	return nil
}

// comments reads which cells have one, and what it says.
func (w *workbook) comments(member string, to *marks) error {
	at := ""
	return w.markup(member, "comments", func(m *markup, t token) error {
		switch {
		case t != tagOpens:
		case string(m.local) == "comment":
			at, _ = m.attr("ref")
		case string(m.local) == "text":
			if text := m.richText(nil); m.err == nil {
				to.comments.add(fmt.Sprintf("%s %q", at, clip(strings.Join(strings.Fields(string(text)), " "))))
			}
		}
		return nil
	})
}

// drawings reads at which cells pictures and drawings stand.
func (w *workbook) drawings(member string, to *marks) error {
	var col, row int
	from := false
	return w.markup(member, "wsDr", func(m *markup, t token) error {
		switch name := string(m.local); {
		case name == "from":
			from = t == tagOpens
		case t != tagOpens:
		case from && name == "col":
			_, _ = fmt.Sscan(string(m.textOf(nil)), &col)
		case from && name == "row":
			_, _ = fmt.Sscan(string(m.textOf(nil)), &row)
		case name == "pic" || name == "sp" || name == "graphicFrame" || name == "grpSp":
			to.pictures.add(cellName(max(col, 0), max(row, 0)+1))
			m.rest()
		}
		return nil
	})
}

// fontLook reads what of a font may mean something, up to the end of its tag.
func (m *markup) fontLook() (l look) {
	for depth := 1; depth > 0 && m.err == nil; {
		switch t := m.next(); t {
		case tagCloses:
			depth--
		case tagOpens:
			depth++
			switch string(m.local) {
			case "strike":
				v, said := m.attr("val")
				l.struck = !said || v != "0" && v != "false"
			case "color":
				l.font = m.colour("letters")
			}
		}
	}
	return l
}

// colour is the colour that the tag at hand names, empty for the usual one, black and
// white.
func (m *markup) colour(what string) string {
	if rgb, ok := m.attr("rgb"); ok {
		rgb = strings.ToUpper(rgb)
		if len(rgb) == 8 {
			rgb = rgb[2:]
		}
		if rgb == "000000" || rgb == "FFFFFF" {
			return ""
		}
		return what + " " + rgb
	}
	if theme, ok := m.attr("theme"); ok && theme != "0" && theme != "1" {
		return what + " of theme colour " + theme
	}
	if i, ok := m.attr("indexed"); ok && !slices.Contains([]string{"0", "1", "8", "9", "64", "65"}, i) {
		return what + " of colour " + i
	}
	return ""
}
