package commands

import (
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// showPart shows a part whole.
func showPart(l *lookup, own code.Code) {
	s := asked(l, ask.PartSheet, own)
	if l.Err == nil && l.JSON() {
		l.Err = l.PrintJSON(map[string]any{"part": s})
		return
	}
	p := got(l, l.Part, own)
	if l.Err != nil {
		return
	}
	l.Printf("%s  %s\n", p.Code, strings.Join(tell.Filled(p.Name, words.ClassName(p.Class), store.LeftHand(p)), ", "))
	if text := ask.MeasuresOf(p); text != "" {
		l.Println("  " + strings.Join(tell.Wrap(text, l.Columns()-2), "\n  "))
	}
	l.Facts(tell.PartFacts(s))
	l.Lines("measured", tell.Each(s.Measured, ask.Measured.Words), false)
	partGoes(l.call, s)
	partBags(l.call, s)
	partDonors(l.call, s)
	l.Lines("traps", store.Texts(s.Traps), true)
	tell.Care(l.Screen, s.Cautions)
	l.Lines("wanted", tell.Each(s.Wants, tell.SheetWanted), false)
}

// partGoes prints what is said of a part, grouped by degree, in the order the
// degrees are first met in the list of degrees.
func partGoes(c *call, s ask.Sheet) {
	for _, degree := range s.Degrees() {
		t := c.WideTable()
		for _, g := range s.Goes {
			if g.Degree == degree {
				t.Row("  "+string(g.Model), tell.StatedWords(g))
			}
		}
		c.Listed("goes into, "+strings.ReplaceAll(degree, ";", " and "), t)
	}
}

func partBags(c *call, s ask.Sheet) {
	t := c.WideTable("bag", ">free", ">on hand", "grade", "place", "origin", "note")
	for _, b := range s.Bags {
		note := tell.BagNote(b)
		t.Row(string(b.Bag), store.Amount(b.Free, b.Unit, b.About), store.Amount(b.OnHand, b.Unit, b.About), b.Grade, string(b.Place), b.Origin, note)
	}
	if t.Empty() {
		c.Println("\nno bag")
	}
	c.Listed("bags", t)
}

func partDonors(c *call, s ask.Sheet) {
	t := c.WideTable()
	for _, d := range s.Donors {
		t.Row("  "+string(d.Donor), string(d.Model), store.Amount(d.Left, tell.UnitIn(s.Bags), false)+" left", tell.StillIn(d))
	}
	c.Listed("should still be in", t)
}
