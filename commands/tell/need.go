package tell

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// Need prints every way to get a part into a camera, numbered, and what to beware of.
// Nothing says that none is found and why, and what follows, in lines; it is empty
// where one is.
func Need(s *Screen, n ask.Needed, nothing string) {
	head := strings.Join(Filled(string(n.Part)+" "+n.Name, n.Tells), ", ")
	if n.Model != "" {
		head += " into " + string(n.Model)
	}
	if n.Goes != "" {
		head += ": " + n.Goes
	}
	s.Println(Hang(head, s.Columns(), 2))
	printWays(s, n)
	traps := n.Traps
	if nothing != "" {
		for text := range strings.SplitSeq(nothing, "\n") {
			s.Println(Hang(text, s.Columns(), 2))
		}
		traps = slices.DeleteFunc(slices.Clone(traps), func(r store.Reason) bool { return r.Kind == ask.NoSource }) // said already
	} else {
		s.Lines("not to be taken", store.Texts(n.WhyNot), false)
	}
	s.Lines("traps", store.Texts(traps), true)
	Care(s, n.Cautions)
}

// Shown are the ways that are printed, :1 the first: where a bag is free, of all ways to
// make one the first.
func Shown(n ask.Needed) []ask.Way {
	if !inDrawer(n) {
		return n.Ways
	}
	first := slices.IndexFunc(n.Ways, isMake)
	var out []ask.Way
	for i, w := range n.Ways {
		if i == first || !isMake(w) {
			out = append(out, w)
		}
	}
	return out
}

func isMake(w ask.Way) bool { return w.Way == "make" }

func inDrawer(n ask.Needed) bool {
	return slices.ContainsFunc(n.Ways, func(w ask.Way) bool { return w.Way == "bag" && w.Free > 0 })
}

// printWays prints the ways, best first; where a bag is free how to make one is a line.
func printWays(s *Screen, n ask.Needed) {
	folded := inDrawer(n)
	for i, w := range Shown(n) {
		why := strings.Join(store.Texts(w.Why), "; ")
		if isMake(w) && folded {
			s.Println(Hang(fmt.Sprintf(":%d make one: %s", i+1, strings.Join(store.Texts(w.Why[:min(len(w.Why), 1)]), "")), s.Columns(), 5))
			continue
		}
		s.Println(Hang(fmt.Sprintf(":%d %s", i+1, WayWords(w, n.Part)), s.Columns(), 5))
		if why != "" {
			s.Println("     " + strings.Join(Wrap(why, s.Columns()-5), "\n     "))
		}
	}
}

// NothingFor says that nothing is found, and why; empty where something is.
func NothingFor(n ask.Needed) string {
	if n.Found() {
		return ""
	}
	why := store.Texts(n.WhyNot)
	for _, r := range n.Traps {
		if r.Kind == ask.NoSource {
			why = append(why, r.Text)
		}
	}
	if len(why) == 0 {
		return "nothing is found"
	}
	return "nothing is found: " + strings.Join(why, "; ")
}

// WayWords is a way on one line, without its reasons.
func WayWords(w ask.Way, asked code.Code) string {
	bits := []string{}
	switch {
	case w.Donor != "":
		bits = append(bits, "donor "+string(w.Donor))
	case w.Bag != "":
		bits = append(bits, string(w.Bag))
	case w.Way == "make":
		bits = append(bits, "make one")
	default:
		bits = append(bits, w.Way)
	}
	if w.Part != asked && w.Part != "" {
		bits = append(bits, fmt.Sprintf("(%s)", strings.Join(Filled(w.Way, string(w.Part), w.Tells), ", ")))
	}
	bits = append(bits, Filled(w.Grade)...)
	if w.Place != "" {
		bits = append(bits, "in "+string(w.Place))
	}
	text := strings.Join(bits, " ")
	if w.Free != 0 {
		text += ", " + store.Amount(w.Free, w.Unit, false) + map[bool]string{true: " left", false: " free"}[w.Donor != ""]
	}
	if w.Degree != "" && w.Way != "make" {
		text += "  " + strings.ReplaceAll(w.Degree, ";", ", ")
		if w.Look {
			text += ", look first"
		}
	}
	if w.Work != "" && w.Way == "near" {
		text += ": " + w.Work
	}
	if w.Part == asked && w.Left != "" {
		text += "  " + w.Left
	}
	return text
}
