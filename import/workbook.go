package sheet

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"tinful/store/words"
)

// A workbook is an .xlsx file: its sheets, and what their cells share.
type workbook struct {
	*archive
	sheets   []sheetPart
	strings  []string // shared texts
	styles   []numberFormat
	ods      bool           // an OpenDocument workbook
	odsLooks map[string]int // its styles, by name, in looks
	looks    []look         // per style, where any of them may mean something
	marked   []bool         // per style: it may
	struck   map[int]bool   // shared texts that are struck through, true where only in part
	hasTexts bool
	date1904 bool // days count from 1904
	stale    bool // the values of formulas have still to be worked out
}

// A sheetPart is a sheet of a workbook.
type sheetPart struct {
	name   string
	member string // of the archive; empty where it is no table of cells
	hidden bool
}

// openBook opens a workbook and reads all but its cells.
func openBook(file string, limit int64) (*workbook, error) {
	a, err := openArchive(file, limit)
	if err != nil {
		return nil, err
	}
	w := &workbook{archive: a}
	if err := w.load(); err != nil {
		_ = a.Close()
		return nil, err
	}
	return w, nil
}

// A relation leads from one part of a workbook to another.
type relation struct{ id, kind, member string }

func (w *workbook) load() error {
	if w.has("mimetype") && w.has(odsMember) && !w.has("_rels/.rels") {
		return w.loadODS()
	}
	main, err := w.mainPart()
	if err != nil {
		return err
	}
	dir, base := path.Split(main)
	rels, err := w.relations(dir+"_rels/"+base+".rels", dir)
	if err != nil {
		return err
	}
	if err := w.contents(main, rels); err != nil {
		return err
	}
	for _, r := range rels {
		switch r.kind {
		case "styles":
			err = w.readStyles(r.member)
		case "sharedStrings":
			err = w.readStrings(r.member)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// mainPart finds the member that lists the sheets, or says what else the archive
// is.
func (w *workbook) mainPart() (string, error) {
	switch {
	case w.has("xl/workbook.bin"):
		return "", badInput("%s is a binary workbook (.xlsb): save it as .xlsx first", w.name)
	case w.has("word/document.xml") || w.has("ppt/presentation.xml"):
		return "", badInput("%s is a text or a presentation, and no workbook", w.name)
	case !w.has("_rels/.rels") || !w.has("[Content_Types].xml"):
		return "", badInput("%s is a zip archive and no workbook, or the workbook in it is damaged", w.name)
	}
	rels, err := w.relations("_rels/.rels", "")
	if err != nil {
		return "", err
	}
	for _, r := range rels {
		if r.kind == "officeDocument" {
			return r.member, nil
		}
	}
	return "", badInput("%s holds no workbook, or is damaged: no member of it is named as one", w.name)
}

// relations reads where a part leads to. A member that is named and missing is
// found out by whoever opens it.
func (w *workbook) relations(member, dir string) ([]relation, error) {
	var rels []relation
	err := w.markup(member, "Relationships", func(m *markup, t token) error {
		if t != tagOpens || string(m.local) != "Relationship" {
			return nil
		}
		id, _ := m.attr("Id")
		kind, _ := m.attr("Type")
		to, _ := m.attr("Target")
		if mode, _ := m.attr("TargetMode"); mode != "External" {
			rels = append(rels, relation{id, path.Base(kind), target(dir, to)})
		}
		return bounded(len(rels), most, "parts")
	})
	return rels, err
}

// contents reads the list of sheets.
func (w *workbook) contents(main string, rels []relation) error {
	names := map[string]bool{}
	err := w.markup(main, "workbook", func(m *markup, t token) error {
		switch {
		case t != tagOpens:
		case string(m.local) == "workbookPr":
			w.date1904 = m.yes("date1904")
		case string(m.local) == "calcPr":
			w.stale = m.yes("fullCalcOnLoad")
		case string(m.local) == "sheet":
			s := sheetPart{}
			s.name, _ = m.attr("name")
			s.name = words.Shown(s.name)
			state, _ := m.attr("state")
			s.hidden = state != "" && state != "visible"
			var err error
			if s.member, err = w.memberOf(m, rels); err != nil {
				return badInput("%s is damaged: sheet %q %v", w.name, s.name, err)
			}
			if names[s.name] {
				return badInput("%s is damaged: it has two sheets named %q", w.name, s.name)
			}
			names[s.name] = true
			w.sheets = append(w.sheets, s)
			return bounded(len(w.sheets), mostSheets, "sheets")
		}
		return nil
	})
	if err == nil && len(w.sheets) == 0 {
		return badInput("%s has no sheets", w.name)
	}
	return err
}

// memberOf is the member that the sheet at hand lies in.
func (w *workbook) memberOf(m *markup, rels []relation) (string, error) {
	for _, a := range m.attrs {
		if !a.prefixed || string(a.name) != "id" {
			continue
		}
		for _, r := range rels {
			switch {
			case r.id != string(a.value):
			case r.kind == "chartsheet" || r.kind == "dialogsheet" || strings.Contains(strings.ToLower(r.kind), "macrosheet"):
				return "", nil
			case r.kind == "worksheet":
				return r.member, nil
			}
		}
	}
	return "", fmt.Errorf("leads nowhere")
}

// readStrings reads the texts that cells share.
func (w *workbook) readStrings(member string) error {
	w.hasTexts = true
	declared := -1
	var text []byte
	err := w.markup(member, "sst", func(m *markup, t token) error {
		switch {
		case t == tagOpens && string(m.local) == "sst":
			if n, ok := m.attr("uniqueCount"); ok {
				declared, _ = strconv.Atoi(n)
			}
		case t == tagOpens && string(m.local) == "si":
			text = m.richText(text[:0])
			if m.struck > 0 {
				if w.struck == nil {
					w.struck = map[int]bool{}
				}
				w.struck[len(w.strings)] = m.struck < len(text)
			}
			w.strings = append(w.strings, unescape(text))
			return bounded(len(w.strings), mostTexts, "shared texts")
		case t == tagOpens && string(m.local) != "extLst":
			return malformed("<%.40s> stands among the texts", m.local)
		case t == tagOpens:
			m.rest()
		}
		return nil
	})
	if err == nil && declared > len(w.strings) {
		return badInput("%s is damaged at %s: it should hold %d texts and holds %d", w.name, member, declared, len(w.strings))
	}
	return err
}

// richText reads a text, perhaps in runs of several looks, up to the end of the
// tag at hand. How it is pronounced is no part of it.
func (m *markup) richText(text []byte) []byte {
	m.struck = 0
	for struck := false; ; {
		t := m.next()
		name := string(m.local)
		switch {
		case t == theEnd:
			return text
		case t == tagCloses && name == "r":
			struck = false
		case t == tagCloses:
			return text
		case t == someText:
		case name == "t":
			before := len(text)
			if text = m.textOf(text); struck {
				m.struck += len(text) - before
			}
		case name == "rPr":
			struck = m.fontLook().struck
		case name == "rPh" || name == "phoneticPr" || name == "extLst":
			m.rest()
		case name != "r":
			m.bad("<%.40s> stands in a text", name)
		}
	}
}

// textOf reads the text of the tag at hand, which holds no other tags.
func (m *markup) textOf(text []byte) []byte {
	for {
		switch t := m.next(); {
		case t == tagCloses || t == theEnd:
			return text
		case t == tagOpens:
			m.bad("<%.40s> stands in a value", m.local)
		case len(text) > longestText:
			m.bad("a text is longer than any that a cell can hold")
		default:
			text = append(text, m.text...)
		}
	}
}

// number reads an attribute that is a whole number from 0 up.
func (m *markup) number(name string, otherwise int) int {
	n, err := m.numberIn(name, otherwise)
	m.keep(err)
	return n
}

// unescape resolves _x000D_ and the like, which stand for characters that XML does
// not allow (ECMA-376 part 1, 22.9.2.19).
func unescape(text []byte) string {
	s := string(text)
	if !strings.Contains(s, "_x") {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); {
		n, ok := escapeAt(s[i:])
		if !ok {
			out.WriteByte(s[i])
			i++
			continue
		}
		i += 7
		r := rune(n)
		if utf16.IsSurrogate(r) {
			if low, ok := escapeAt(s[i:]); ok && utf16.DecodeRune(r, rune(low)) != '\ufffd' {
				r = utf16.DecodeRune(r, rune(low))
				i += 7
			}
		}
		out.WriteRune(r)
	}
	return out.String()
}

func escapeAt(s string) (uint64, bool) {
	if len(s) < 7 || s[0] != '_' || s[1] != 'x' || s[6] != '_' {
		return 0, false
	}
	n, err := strconv.ParseUint(s[2:6], 16, 32)
	return n, err == nil
}

// readStyles reads which formats the styles of cells have, and how they look.
func (w *workbook) readStyles(member string) error {
	own := map[int]numberFormat{}
	inCells := false
	var fonts, fills []look
	err := w.markup(member, "styleSheet", func(m *markup, t token) error {
		name := string(m.local)
		switch {
		case name == "cellXfs" && t != someText:
			inCells = t == tagOpens
		case t != tagOpens:
		case name == "dxfs":
			m.rest()
		case name == "font":
			fonts = append(fonts, m.fontLook())
			return bounded(len(fonts), mostStyles, "fonts")
		case name == "fill":
			fills = append(fills, look{})
			return bounded(len(fills), mostStyles, "fills")
		case name == "patternFill":
			if kind, _ := m.attr("patternType"); kind == "none" || kind == "gray125" {
				m.rest()
			}
		case name == "fgColor" && len(fills) > 0:
			fills[len(fills)-1].fill = m.colour("ground")
		case name == "numFmt":
			id := m.number("numFmtId", 0)
			code, _ := m.attr("formatCode")
			own[id] = parseFormat(code)
			return bounded(len(own), mostStyles, "formats")
		case name == "xf" && inCells:
			id := m.number("numFmtId", 0)
			f, ok := own[id]
			if !ok {
				f = builtIn(id)
			}
			w.styles = append(w.styles, f)
			var l look
			if id, err := m.numberIn("fontId", 0); err == nil && id < len(fonts) {
				l = fonts[id]
			}
			if id, err := m.numberIn("fillId", 0); err == nil && id < len(fills) {
				l.fill = fills[id].fill
			}
			w.looks = append(w.looks, l)
			return bounded(len(w.looks), mostStyles, "styles")
		}
		return nil
	})
	for _, l := range w.looks {
		w.marked = append(w.marked, l != look{})
	}
	if !slices.Contains(w.marked, true) {
		w.looks = nil
	}
	return err
}

// numberIn is number for what may be wrong.
func (m *markup) numberIn(name string, otherwise int) (int, error) {
	s, ok := m.attr(name)
	if !ok {
		return otherwise, nil
	}
	n, err := strconv.ParseUint(s, 10, 31)
	if err != nil {
		return 0, malformed("%s=%.40q is no number", name, s)
	}
	return int(n), nil
}
