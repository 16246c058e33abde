package commands

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
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
	c.Show(partFacts(c, s))
	c.Lines("measured", ask.MeasuredWords(p.Readings, func(f dim.Field, n int64) bool { have, ok := p.Dims[f]; return ok && have == n }), false)
	partGoes(c, s)
	partBags(c, s)
	partDonors(c, s)
	c.Lines("traps", store.Texts(s.Traps), true)
	tell.Care(c.Screen, s.Cautions)
	wanted := tell.Each(s.Wants, func(w ask.SheetWant) string {
		return strings.Join(tell.Filled(w.Date, tell.WantFor(store.Want{Model: w.Model, Job: w.Job}), w.Note), "  ")
	})
	c.Lines("wanted", wanted, false)
	return nil
}

func partFacts(c *call, s ask.Sheet) *tell.Table {
	p := c.WideTable()
	about, counted := ask.CountedOf(s.Bags)
	figures := tell.Free(s.Free, counted, about) + ", " + store.Amount(s.OnHand, "", about) + " on hand"
	for _, f := range []struct {
		what string
		n    int64
	}{{"held", s.Held}, {"lent", s.Lent}} {
		if f.n != 0 {
			figures += fmt.Sprintf(", %d %s", f.n, f.what)
		}
	}
	if s.Keep != nil {
		figures += fmt.Sprintf(", keep %d", *s.Keep)
	}
	p.Fact("stock", figures)
	p.Fact("the book", bookWords(s))
	coveringFacts(p, s.Covering)
	p.Fact("sits", s.Seat)
	p.Fact("also", strings.Join(s.Aliases, "; "))
	p.Fact("maker no", strings.Join(s.MakerNos, "; "))
	p.Fact("twin", string(s.Twin))
	p.Fact("contains", tell.Commas(s.Holds))
	p.Fact("is in", tell.Commas(s.HeldIn))
	p.Fact("one is worth", tell.Money(s.Value))
	if s.Weeks != 0 {
		p.Fact("to find", fmt.Sprintf("%d weeks", s.Weeks))
	}
	if n := s.Counted; n != nil {
		p.Fact("counted", strings.Join(tell.Filled(fmt.Sprintf("%s %s on %s", n.Bag, store.Amount(n.Quantity, "", n.About), n.Day), n.By), " by "))
	}
	if n := s.Taken; n != nil {
		p.Fact("taken", strings.Join(tell.Filled(fmt.Sprintf("%s %d %s on %s", n.Bag, n.Quantity, n.What, n.Day), n.By), " by "))
	}
	if n := s.LastSeen; n != nil && n.Day != "" {
		p.Fact("seen", fmt.Sprintf("%s on %s on %s", n.Seen, cmp.Or(n.Donor, "job "+n.Job), n.Day))
	}
	if s.First {
		p.Fact("to count", "first: set by hand")
	}
	p.Fact("hazard", s.Hazard)
	p.Fact("note", s.Note)
	return p
}

// coveringFacts are the facts of a covering, if it is one.
func coveringFacts(p *tell.Table, of *ask.Covering) {
	if of == nil {
		return
	}
	for _, f := range of.Facts() {
		p.Fact(f[0], f[1])
	}
}

// bookWords are the figures of the book that are not nought.
func bookWords(s ask.Sheet) string {
	var out []string
	for _, f := range []struct {
		n    int64
		what string
	}{{s.BookedIn, "booked in"}, {s.Fitted, "fitted"}, {s.Returned, "returned"}, {s.Scrapped, "scrapped"}, {s.Sold, "sold"}, {s.Lost, "lost"}, {s.Found, "found"}} {
		if f.n != 0 {
			out = append(out, fmt.Sprintf("%d %s", f.n, f.what))
		}
	}
	if s.Corrected != 0 {
		out = append(out, fmt.Sprintf("%+d corrected", s.Corrected))
	}
	return strings.Join(out, ", ")
}

// partGoes prints what is said of a part, grouped by degree, in the order the
// degrees are first met in the list of degrees.
func partGoes(c *call, s ask.Sheet) {
	for _, degree := range s.Degrees() {
		t := c.WideTable()
		for _, g := range s.Goes {
			if g.Degree != degree {
				continue
			}
			text := (store.Goes{PerBody: g.PerBody, Where: g.Where, From: g.From, To: g.To, Evidence: g.Evidence, By: g.By, Note: g.Note}).Words()
			if g.Operation != "" {
				text = g.Operation + text
			}
			if len(g.Reaches) > 0 {
				text += "; in " + strings.Join(g.Reaches, ", ")
			}
			t.Row("  "+string(g.Model), strings.TrimLeft(text, ",; "))
		}
		c.Listed("goes into, "+strings.ReplaceAll(degree, ";", " and "), t)
	}
}

func partBags(c *call, s ask.Sheet) {
	t := c.WideTable("bag", ">free", ">on hand", "grade", "place", "origin", "note")
	for _, b := range s.Bags {
		note := strings.Join(tell.Filled(words.And(store.Texts(append(b.Incomplete, b.Outside...))), b.Note), "; ")
		if b.Owner != store.Own {
			note = strings.Join(tell.Filled("belongs to "+b.Owner, note), "; ")
		}
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
		t.Row("  "+string(d.Donor), string(d.Model), fmt.Sprintf("%d left", d.Left), strings.Join(tell.Filled(d.Why, d.History, d.State, string(d.Place)), ", "))
	}
	c.Listed("should still be in", t)
}
