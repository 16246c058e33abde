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
	class, name := a.at("Class"), a.at("Name")
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

// whichLength says of the length of an extension spring that nothing tells whether it is
// its free length or that between its hooks. That of a compression spring is its free
// length wherever it is said.
func (m *mapped) whichLength() {
	a := m.parts
	length := a.at("Length mm")
	class, _ := words.ClassOf(a.text[a.at("Class")])
	if a.text[length] == "" || len(class) != 1 || class[0] != "SPR-EXT" || a.text[a.at("Free length mm")] != "" || a.text[a.at("Inside hooks mm")] != "" {
		return
	}
	m.remark(a, max(a.cols[length], 0), "lengths of extension springs are kept as length, since they may be free length or inside hooks", strconv.Quote(a.text[length]))
}
