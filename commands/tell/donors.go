package tell

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/words"
)

// Shelf tells the parts cameras that are not stripped.
func Shelf(s *Screen, shelf ask.Shelf) {
	if len(shelf.List) == 0 {
		s.Println("no parts camera of yours is unstripped")
	}
	t := shelfTeller{Screen: s}
	for i, d := range shelf.List {
		t.shelved(i+1, d)
	}
	if len(shelf.Stripped) > 0 {
		s.Println(Hang("stripped: "+Commas(shelf.Stripped), s.Wide, 2))
	}
	for _, r := range shelf.Remarks {
		s.Println(s.Warning(r))
	}
}

// A shelfTeller tells one parts camera after another, which may hold a thousand parts each.
type shelfTeller struct {
	*Screen
	rest []code.Code
	text []byte
}

// codes tells a list of codes as a fact behind its title.
func (s *shelfTeller) codes(title string, codes []code.Code) {
	switch {
	case len(codes) == 0:
		return
	case s.Wide > 0:
		s.Println(Indented(title+Commas(codes), s.Wide, 5, 2))
		return
	}
	s.text = append(append(s.text[:0], "     "...), title...)
	for i, c := range codes {
		if i > 0 {
			s.text = append(s.text, ", "...)
		}
		s.text = append(s.text, c...)
	}
	s.text = append(s.text, '\n')
	_, _ = s.Out.Write(s.text) // what cannot be written is remembered by who made Out
}

func (s *shelfTeller) shelved(n int, d ask.Shelved) {
	head := strings.Join(Filled(string(d.Model), d.History, d.State), ", ")
	cost := "cost " + d.Cost.String()
	if d.Worth != nil {
		cost += ", worth " + d.Worth.String()
	}
	age := ""
	if d.Days != nil {
		age = fmt.Sprintf("bought %s, %s ago", d.Bought, Many(*d.Days, "day"))
	}
	place := ""
	if d.Place != "" {
		place = "in " + string(d.Place)
	}
	s.Println(Hang(fmt.Sprintf(":%d %s %s  %s", n, d.Donor, head, strings.Join(Filled(place, cost, age), "; ")), s.Wide, 5))
	s.rest = s.rest[:0]
	seen := d.Seen // in the order of what it holds
	for _, p := range d.Holds {
		if len(seen) > 0 && seen[0] == p {
			seen = seen[1:]
		} else {
			s.rest = append(s.rest, p)
		}
	}
	s.codes("seen in it: ", d.Seen)
	s.codes("belongs in it, not looked at: ", s.rest)
	for _, r := range d.Remarks {
		s.Println(s.Warning(Indented(r, s.Wide, 5, 2)))
	}
}

// Cover tells which parts cameras to open or buy; that it rests on a guess comes
// first.
func Cover(s *Screen, f ask.Cover) {
	say := func(text string) { s.Println(Hang(text, s.Wide, 2)) }
	for _, g := range f.Gaps {
		rest := "."
		if len(f.PerPart) > 0 {
			rest = fmt.Sprintf("; the rest costs %s.", f.Cost)
		}
		s.Println(s.Warning(Hang(g+rest, s.Wide, 2)))
	}
	if len(f.PerPart) == 0 {
		s.Lines("to know", f.Notes, false)
		return
	}
	if text := guessWords(f); text != "" {
		s.Println(s.Warning(Hang(text, s.Wide, 2)))
	}
	say(chosenWords(f))
	for _, t := range f.Ties {
		say("The same cost: " + Commas(t) + ".")
	}
	if f.Next != nil {
		say(fmt.Sprintf("The next best: %s for %s.", words.And(f.Next), f.NextCost))
	}
	if f.Bound == f.Cost && !f.AllTies {
		say("There may be more of the same cost, and the next best is the next best found.")
	}
	coverTable(s, f)
}

func coverTable(s *Screen, f ask.Cover) {
	t := s.WideTable("part", "", ">need", "chance")
	var from []string
	for _, p := range f.PerPart {
		chance := odds.Chance{Mid: p.Chance, Low: p.Low, High: p.High, Basis: p.Basis}
		t.Row(string(p.Part), p.Called(), fmt.Sprint(p.Need), chanceWords(chance))
		from = append(from, heldBy(p)...)
	}
	s.Listed("wanted", t)
	s.Lines("where from", from, false)
	s.Lines("to know", f.Notes, false)
}

// heldBy says which chosen bodies hold a part, those of which the same is known in one
// line.
func heldBy(p ask.CoveredPart) (lines []string) {
	for i, h := range p.HeldBy {
		like := func(x ask.CoveredBy) bool { return x.Pieces == h.Pieces && x.Why == h.Why }
		if slices.IndexFunc(p.HeldBy, like) < i {
			continue
		}
		var from []code.Code
		for _, x := range p.HeldBy[i:] {
			if like(x) {
				from = append(from, x.Donor)
			}
		}
		each := ""
		if len(from) > 1 {
			each = " each"
		}
		lines = append(lines, fmt.Sprintf("%s from %s, %s%s: %s", p.Part, words.And(from), Many(h.Pieces, "piece"), each, h.Why))
	}
	return lines
}

// chanceWords is a chance with its range: what rests on no observation says so first.
func chanceWords(c odds.Chance) string {
	rests := c.Basis.Rests()
	switch {
	case rests == "":
		return c.Says()
	case c.Basis.Observed():
		return c.Says() + " (" + rests + ")"
	}
	return rests + ", " + c.Says()
}

// guessWords says what nobody looked at, empty where the advice rests on something.
func guessWords(f ask.Cover) string {
	if len(f.Guessed) == 0 {
		return ""
	}
	by := "a guess"
	if f.Basis == odds.OtherModels {
		by = "it rests on bodies of other models"
	}
	return fmt.Sprintf("Nobody looked at %s: %s. Look into %s before you open it.", words.Or(f.Guessed), by, f.Look)
}

// chosenWords is the answer in one line.
func chosenWords(f ask.Cover) string {
	text := fmt.Sprintf("%s (%s): each wanted part at least %.4g %% likely", openAndBuy(f), f.Cost, 100*f.Target)
	if !f.Basis.Observed() {
		text += ", if that holds"
	}
	text += "."
	if f.Bound < f.Cost {
		return fmt.Sprintf("%s Best found %s; could at most be %s cheaper (search stopped).", text, f.Cost, f.Cost-f.Bound)
	}
	if f.Next != nil {
		text += fmt.Sprintf(" Next best %s.", f.NextCost)
	}
	if f.Proven {
		text += " No cheaper set is, by what was looked at here."
	}
	return text
}

func openAndBuy(f ask.Cover) string {
	var open, buy []code.Code
	for _, d := range f.Donors {
		if slices.Contains(f.Buy, d) {
			buy = append(buy, d)
		} else {
			open = append(open, d)
		}
	}
	var out []string
	if len(open) > 0 {
		out = append(out, "open "+words.And(open))
	}
	if len(buy) > 0 {
		out = append(out, "buy "+words.And(buy))
	}
	text := strings.Join(out, ", ")
	return strings.ToUpper(text[:1]) + text[1:]
}
