package tell

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// Found prints the parts that were found, numbered from 1, at most so many unless most
// is 0, then what bears the number that was typed, numbered on, and what to beware of.
// A part says whether it goes into a model where one was asked for.
func Found(s *Screen, model code.Code, found ask.Found, most int) {
	title := ""
	for i, p := range found.Parts {
		if i == most && most > 0 {
			s.Printf("and %d more: --all prints them\n", len(found.Parts)-i)
			break
		}
		if now := FoundTitle(p); now != title {
			title = now
			s.Println(s.Bold(Hang(title, s.Columns(), 2)))
		}
		if model != "" && p.Goes != "" {
			p.Goes = "into " + string(model) + ": " + p.Goes
		}
		foundPart(s, i+1, p)
	}
	if slices.ContainsFunc(found.Parts, func(p ask.FoundPart) bool { return p.Hand != "" }) {
		s.Println(handDrawing)
	}
	for i, n := range found.Numbers {
		s.Println(Hang(fmt.Sprintf(":%d %s", len(found.Parts)+i+1, n.Text), s.Columns(), 6))
	}
	foundSheets(s, found.Sheets)
	for _, trap := range found.Traps {
		s.Println(s.Warning(Hang("trap: "+trap.Text, s.Columns(), 6)))
	}
}

// foundSheets prints what a panel can be cut from, another grain apart.
func foundSheets(s *Screen, list []ask.FoundSheet) {
	title := ""
	for _, f := range list {
		now := "can be cut from, with 4 mm around it"
		if f.Another {
			now = "another grain or colour"
		}
		if now != title {
			title = now
			s.Println(s.Bold(now))
		}
		why := strings.Join(store.Texts(f.Why), "; ")
		s.Println("  " + Hang(strings.Join(Filled(string(f.Bag)+" in "+string(f.Place), f.Name, why), "  "), s.Columns()-2, 5))
	}
}

// FoundTitle is the line above parts that were found by measure, how they match and
// what tells them from others that measure the same, and above those whose class is
// not said.
func FoundTitle(p ask.FoundPart) string {
	kind := map[string]string{"same": "the same within a bench's tolerances", "near": "near"}[p.Match]
	apart := p.Form
	if p.Hand != "" {
		apart = p.Hand + "-hand"
	}
	if kind == "" {
		apart = ""
	}
	said := ""
	if p.Unsaid {
		said = "class not said"
	}
	return strings.Join(Filled(said, kind, apart), ", ")
}

// handDrawing tells the hands of a spring apart.
const handDrawing = `
       left-hand       right-hand
        \ \ \ \          / / / /      stand it on end: the wire in front rises
        \ \ \ \          / / / /      to the left, or to the right
        \ \ \ \          / / / /
  Or look along it: wire that goes away from you clockwise is right-hand wound.`

// foundPart prints a part with its bags.
func foundPart(s *Screen, n int, p ask.FoundPart) {
	kind := words.ClassName(p.Class)
	if p.Class == "SCR-LH" {
		kind = "" // said in capitals
	}
	name := strings.Join(Filled(p.Name, kind, p.LeftHand), ", ")
	head := fmt.Sprintf(":%d %s %s  %s", n, p.Part, name, Free(p.Free, p.Counted, p.About, p.Bags))
	if p.OnHand != p.Free {
		head += fmt.Sprintf(", %s on hand", store.Amount(p.OnHand, UnitIn(p.Bags), p.About))
	}
	s.Println(Hang(head, s.Columns(), 6))
	say := func(text string, warn bool) {
		text = strings.Join(Wrap(text, s.Columns()-8), "\n        ")
		if warn {
			text = s.Warning(text)
		}
		s.Println("     " + text)
	}
	if p.Goes != "" {
		say(p.Goes, false)
	}
	if len(p.Difference) > 0 {
		say(p.Match+": "+strings.Join(store.Texts(p.Difference), ", "), false)
	}
	for _, b := range p.Bags {
		say(foundBag(b), false)
	}
	for _, trap := range p.Traps {
		say("trap: "+trap.Text, true)
	}
}

// foundBag is a bag on one line: B239 usable in K1 from PC-03, 1 free.
func foundBag(b ask.BagLine) string {
	text := string(b.Bag)
	if b.Grade != "" {
		text += " " + b.Grade
	}
	if b.Place != "" {
		text += " in " + string(b.Place)
	}
	if b.Origin != "" {
		text += " from " + b.Origin
	}
	text += ", " + store.Amount(b.Free, b.Unit, b.About) + " free"
	if b.OnHand != b.Free {
		text += " of " + store.Amount(b.OnHand, b.Unit, b.About)
	}
	return strings.Join(append([]string{text}, store.Texts(append(b.Incomplete, b.Outside...))...), ", ")
}
