package sheet

import (
	"slices"
	"strconv"
	"strings"

	"tinful/store/words"
)

// class is what a cell says of the class of a part: a code or trade word as it stands.
// Of a word that is none, or may be several, the part comes in without.
func (m *mapped) class(a *area, col int, text string) string {
	all, _ := words.ClassOf(text)
	switch {
	case words.Known(strings.ToUpper(text)) || len(all) == 1:
		return text
	case len(all) > 1:
		m.remark(a, col, "classes that may be several, whose parts come in without", strconv.Quote(text)+" may be "+words.Or(all))
	default:
		m.remark(a, col, "classes that are not known, whose parts come in without", strconv.Quote(text))
	}
	return ""
}

// hardware are the classes whose names say what a thing is: a counter dial is no
// counter.
var hardware = []string{"SPR", "SCR", "NUT", "WSH", "SHM", "SPC", "CLP", "GER", "PIN", "BSH", "BAL"}

// guessClass tells the class of the part at hand by its name, where no cell says it
// and its name has the trade word of one class alone.
func (m *mapped) guessClass() bool {
	a := m.parts
	class := slices.IndexFunc(a.heads, func(h head) bool { return h.name == "Class" })
	name := slices.IndexFunc(a.heads, func(h head) bool { return h.name == "Name" })
	if a.text[class] != "" || a.bad[class] != "" || a.text[name] == "" {
		return false
	}
	var found []string
	for _, t := range words.Query([]string{a.text[name]}) {
		for _, c := range t.Class {
			if !slices.Contains(found, c) {
				found = append(found, c)
			}
		}
	}
	if len(found) != 1 || !slices.ContainsFunc(hardware, func(c string) bool { return words.Under(found[0], c) }) {
		return false
	}
	a.text[class] = found[0]
	m.remark(a, max(a.cols[name], 0), "classes told by the name", strconv.Quote(a.text[name])+" as "+words.ClassName(found[0]))
	return true
}
