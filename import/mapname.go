package sheet

import (
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// namesA is the kind of thing that a column of codes names and that a list may name
// by words, empty for other columns.
func namesA(a *area, i int) string {
	h := a.heads[i]
	own := strings.TrimSuffix(a.t.title(), "s") == h.name
	switch in := namedIn()[h.name]; {
	case h.kind != asCode || h.name == "Carries" || own && a.t.title() != "Places" && a.t.title() != "Models":
		return ""
	case own:
		return strings.ToLower(h.name)
	case in == "Places", in == "Donors", in == "Jobs":
		return strings.ToLower(strings.TrimSuffix(in, "s"))
	case in == "Models":
		return strings.ToLower(h.name) // model, shutter or lens
	}
	return ""
}

// nameOf is the code that a cell names, or one that stands for its words until the
// store tells which it is.
func (m *mapped) nameOf(kind, text string) string {
	if text == "?" {
		return ""
	}
	_, err := code.Parse(text)
	if err == nil && kind != "part" || kind == "donor" && slices.ContainsFunc(store.Origins, func(w string) bool { return strings.EqualFold(w, text) }) || plain(text) != nil {
		return text
	}
	n := store.Named{Kind: kind, Text: strings.Join(strings.Fields(text), " ")}
	c, there := m.names[n]
	if !there {
		m.nameless++
		c = store.Nameless(m.nameless)
		m.names[n], m.r.load.Named[c] = c, n
	}
	return string(c)
}

// title takes words in the column of a camera's own code for its note: it gets a code.
func (m *mapped) title() {
	a := m.main
	if t := a.t.title(); t != "Donors" && t != "Jobs" {
		return
	}
	if _, err := code.Parse(a.text[0]); err == nil || a.text[0] == "" {
		return
	}
	if note := a.at("Note"); a.text[note] == "" {
		a.text[note], a.text[0] = a.text[0], ""
	}
}
