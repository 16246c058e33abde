package commands

import (
	"fmt"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// showPart shows a part whole.
func showPart(c *call, v *store.View, own code.Code) error {
	s, err := ask.PartSheet(v, own)
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(map[string]any{"part": s})
	}
	p, err := v.Part(own)
	if err != nil {
		return err
	}
	c.Printf("%s  %s\n", p.Code, strings.Join(tell.Filled(p.Name, words.ClassName(p.Class), store.LeftHand(p)), ", "))
	if text := ask.MeasuresOf(p); text != "" {
		c.Println("  " + strings.Join(tell.Wrap(text, c.Columns()-2), "\n  "))
	}
	c.Facts(tell.PartFacts(s))
	c.Lines("measured", tell.Each(s.Measured, ask.Measured.Words), false)
	partGoes(c, s)
	partBags(c, s)
	partDonors(c, s)
	c.Lines("traps", store.Texts(s.Traps), true)
	tell.Care(c.Screen, s.Cautions)
	c.Lines("wanted", tell.Each(s.Wants, tell.SheetWanted), false)
	return nil
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
		t.Row("  "+string(d.Donor), string(d.Model), fmt.Sprintf("%d left", d.Left), tell.StillIn(d))
	}
	c.Listed("should still be in", t)
}
