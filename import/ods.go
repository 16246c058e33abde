package sheet

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
)

// An OpenDocument workbook (OASIS OpenDocument 1.2, part 1, chapter 9) has all of its
// sheets in one member. A sheet of it is called by that member and its number.
const odsMember = "content.xml"

// odsAttr returns the value of an attribute that has a prefix.
func (m *markup) odsAttr(name string) string {
	for _, a := range m.attrs {
		if a.prefixed && string(a.name) == name {
			return string(a.value)
		}
	}
	return ""
}

// repeated is how often the cell, column or row at hand stands there.
func (m *markup) repeated(name string, most int) int {
	text := m.odsAttr(name)
	if text == "" {
		return 1
	}
	n, err := strconv.ParseUint(text, 10, 31)
	if err != nil || n == 0 || int(n) > most {
		m.bad("%s=%.40q is no number of times", name, text)
		return 0
	}
	return int(n)
}

// loadODS reads the sheets' names and how cells look.
func (w *workbook) loadODS() error {
	w.ods = true
	if w.has("META-INF/manifest.xml") {
		sealed := false
		err := w.markup("META-INF/manifest.xml", "manifest", func(m *markup, t token) error {
			sealed = sealed || t == tagOpens && string(m.local) == "encryption-data"
			return nil
		})
		if err != nil {
			return err
		}
		if sealed {
			return badInput("%s has a password: save it without one", w.name)
		}
	}
	names := map[string]bool{}
	err := w.markup(odsMember, "document-content", func(m *markup, t token) error {
		switch {
		case t != tagOpens:
		case string(m.local) == "automatic-styles":
			w.odsStyles(m)
		case string(m.local) == "tracked-changes":
			m.rest()
		case string(m.local) == "table":
			s := sheetPart{name: m.odsAttr("name"), member: fmt.Sprintf("%s#%d", odsMember, len(w.sheets))}
			if names[s.name] {
				return badInput("%s is damaged: it has two sheets named %q", w.name, s.name)
			}
			names[s.name] = true
			w.sheets = append(w.sheets, s)
			m.keep(bounded(len(w.sheets), mostSheets, "sheets"))
			m.rest()
		}
		return nil
	})
	if err == nil && len(w.sheets) == 0 {
		return badInput("%s has no sheets", w.name)
	}
	return err
}

// odsStyles reads how styles look: 0 is that of cells without one.
func (w *workbook) odsStyles(m *markup) {
	w.looks, w.marked, w.odsLooks = []look{{}}, []bool{false}, map[string]int{}
	name := ""
	for depth := 1; depth > 0 && m.err == nil; {
		switch m.next() {
		case tagCloses:
			depth--
		case tagOpens:
			depth++
			switch string(m.local) {
			case "style":
				name = m.odsAttr("name")
				m.keep(bounded(len(w.odsLooks), mostStyles, "styles"))
			case "text-properties", "table-cell-properties":
				w.odsLook(m, name)
			}
		}
	}
}

// odsLook adds what the properties at hand say of a style.
func (w *workbook) odsLook(m *markup, name string) {
	l := look{}
	at, known := w.odsLooks[name]
	if known {
		l = w.looks[at]
	}
	// LibreOffice says of a text that is struck in part its type alone.
	if s := cmp.Or(m.odsAttr("text-line-through-style"), m.odsAttr("text-line-through-type")); s != "" && s != "none" {
		l.struck = true
	}
	colour := func(what, attr string) string {
		switch c := strings.ToUpper(strings.TrimPrefix(m.odsAttr(attr), "#")); c {
		case "", "000000", "FFFFFF", "TRANSPARENT":
			return ""
		default:
			return what + " " + c
		}
	}
	if c := colour("ground", "background-color"); c != "" {
		l.fill = c
	}
	if string(m.local) == "text-properties" {
		if c := colour("letters", "color"); c != "" {
			l.font = c
		}
	}
	if !known {
		w.odsLooks[name] = len(w.looks)
		w.looks, w.marked = append(w.looks, look{}), append(w.marked, false)
		at = len(w.looks) - 1
	}
	w.looks[at], w.marked[at] = l, l != look{}
}

// odsRows reads the sheet of a number to its end, as rows does.
func (w *workbook) odsRows(number int, share func([]byte) string, take func(row)) (*sheetReader, error) {
	s := &sheetReader{w: w, share: share, take: take, data: true}
	nth := 0
	err := w.markup(odsMember, "document-content", func(m *markup, t token) error {
		switch {
		case t != tagOpens:
		case string(m.local) == "tracked-changes":
			m.rest()
		case string(m.local) == "table":
			if nth++; nth != number+1 {
				m.rest()
				return nil
			}
			s.m = m
			s.odsTable()
		}
		return nil
	})
	return s, err
}

// odsTable reads the columns and rows of a sheet.
func (s *sheetReader) odsTable() {
	m, column := s.m, 0
	for depth := 1; depth > 0 && m.err == nil; {
		t := m.next()
		switch name := string(m.local); {
		case t == tagCloses:
			depth--
		case t != tagOpens:
		case name == "table-row":
			if s.odsRow(); m.err != nil {
				m.err = fmt.Errorf("%w (row %d)", m.err, s.last+1)
			}
		case name == "table-column":
			n := m.repeated("number-columns-repeated", maxCols)
			if v := m.odsAttr("visibility"); v == "collapse" || v == "filter" {
				s.columns = append(s.columns, span{column + 1, min(column+n, maxCols)})
			}
			if column += n; column > 2*maxCols {
				m.bad("it has more than %d columns", maxCols)
			}
			m.rest()
		case strings.HasPrefix(name, "table-header-") || strings.HasPrefix(name, "table-row") || strings.HasPrefix(name, "table-column"):
			depth++ // groups of rows and columns
		case name == "shapes":
			s.pictures.add("the sheet itself")
			m.rest()
		default:
			m.rest()
		}
	}
}

// mostRepeated bounds how often a cell or row that holds something may be repeated: a
// spreadsheet fills what is empty with a million, and nobody wrote the same so often.
const mostRepeated = 1000

// odsRow reads a row, which may stand there several times.
func (s *sheetReader) odsRow() {
	m := s.m
	times := m.repeated("number-rows-repeated", maxRows)
	v := m.odsAttr("visibility")
	s.row = row{number: s.last + 1, cells: s.row.cells[:0], hidden: v == "collapse" || v == "filter"}
	for col := 0; ; {
		t := m.next()
		switch name := string(m.local); {
		case t == theEnd:
			return
		case t == tagCloses:
			m.keep(s.odsHand(times))
			return
		case t != tagOpens:
		case name == "table-cell" || name == "covered-table-cell":
			col = s.odsCell(col)
		default:
			m.rest()
		}
	}
}

// odsHand hands a row on as often as it stands there.
func (s *sheetReader) odsHand(times int) error {
	if len(s.row.cells) > 0 {
		if times > mostRepeated || s.last+times > maxRows {
			return malformed("a row that holds something stands there %d times", times)
		}
		cells := s.row.cells
		for range times {
			s.row.number, s.row.cells = s.last+1, cells
			s.last++
			s.hand()
		}
		return nil
	}
	s.last += times
	return nil
}

// odsCell reads a cell that begins right of column col, and returns the column it ends
// in.
func (s *sheetReader) odsCell(col int) int {
	m := s.m
	times := m.repeated("number-columns-repeated", maxCols)
	wide, high := m.repeated("number-columns-spanned", maxCols), m.repeated("number-rows-spanned", maxRows)
	if wide > 1 || high > 1 {
		if len(s.merged) == 1000 {
			m.bad("more than 1000 merged cells: unmerge them")
		}
		s.merged = append(s.merged, rect{col + 1, s.row.number, col + wide, s.row.number + high - 1})
	}
	c := cell{col: col, style: s.w.odsLooks[m.odsAttr("style-name")]}
	kind, failed, formula := m.odsAttr("value-type"), false, m.odsAttr("formula") != ""
	for _, a := range m.attrs {
		failed = failed || string(a.name) == "value-type" && string(a.value) == "error"
	}
	value, day, truth, said := m.odsAttr("value"), m.odsAttr("date-value"), m.odsAttr("boolean-value"), m.odsAttr("string-value")
	at := cellName(col, s.row.number)
	text, struck := s.odsText(at)
	switch {
	case failed || strings.HasPrefix(text, "Err:"):
		c.bad(text, errorCell)
	case kind == "float" || kind == "percentage" || kind == "currency":
		c.odsNumber(value, text)
	case kind == "date":
		s.text = append(s.text[:0], day...)
		s.keepDate(&c)
	case kind == "boolean":
		c.kind, c.text = cellTruth, strings.ToUpper(truth)
	case formula && kind == "":
		c.bad("", bareFormula)
	default:
		if c.text = text; text == "" {
			c.text = said
		}
		if struck > 0 {
			c.crossed(struck < len(text))
		}
	}
	if c.kind == cellText && strings.TrimSpace(c.text) == "" {
		return col + times
	}
	if times > mostRepeated || col+times > maxCols {
		m.bad("a cell that holds something stands there %d times", times)
		return 0
	}
	for range times {
		s.row.cells = append(s.row.cells, c)
		c.col++
	}
	return col + times
}

// odsNumber is a number by its value; what is shown counts where it has noughts before
// it, or is a power.
func (c *cell) odsNumber(value, text string) {
	if !c.number(value) {
		return
	}
	switch {
	case len(text) > 1 && text[0] == '0' && allDigits(text):
		c.shown = text
	case strings.Contains(text, "E+"):
		c.kind = cellScience
	}
}

// odsText reads what stands in a cell: paragraphs, which are lines, and beside them
// remarks and pictures. struck is how many of its letters are struck through.
func (s *sheetReader) odsText(at string) (text string, struck int) {
	var b strings.Builder
	m, paragraphs, crossed := s.m, 0, 0 // crossed: how deep the tag is that strikes
	for depth := 1; depth > 0 && m.err == nil; {
		t := m.next()
		switch name := string(m.local); {
		case t == theEnd:
		case t == tagCloses:
			if depth--; depth < crossed {
				crossed = 0
			}
		case b.Len() > longestText:
			m.bad("a text is longer than any that a cell can hold")
		case t == someText:
			if depth > 1 { // blanks between tags are none of it
				if b.Write(m.text); crossed > 0 {
					struck += len(m.text)
				}
			}
		case name == "annotation":
			if note, _ := s.odsText(""); at != "" {
				s.comments.add(fmt.Sprintf("%s %q", at, clip(strings.Join(strings.Fields(note), " "))))
			}
		case name == "date" || strings.HasPrefix(name, "creator"): // of a remark
			m.rest()
		case name == "frame" || name == "custom-shape" || name == "image" || name == "g":
			s.pictures.add(at)
			m.rest()
		default:
			depth++
			switch name {
			case "p":
				if paragraphs++; paragraphs > 1 {
					b.WriteByte('\n')
				}
			case "s":
				b.WriteString(strings.Repeat(" ", m.repeated("c", mostRepeated)))
			case "tab":
				b.WriteByte(' ')
			case "line-break":
				b.WriteByte('\n')
			case "a":
				s.links.add(at)
			case "span":
				if look := s.w.odsLooks[m.odsAttr("style-name")]; look > 0 && s.w.looks[look].struck && crossed == 0 {
					crossed = depth
				}
			}
		}
	}
	return b.String(), struck
}
