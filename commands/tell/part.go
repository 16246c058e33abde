package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/words"
)

// PartFacts are what is known of a part, in the order it is told.
func PartFacts(s ask.Sheet) Facts {
	var p Facts
	about, counted := ask.CountedOf(s.Bags)
	amount := func(n int64, about bool) string { return store.Amount(n, UnitIn(s.Bags), about) }
	figures := Free(s.Free, counted, about, s.Bags) + ", " + amount(s.OnHand, about) + " on hand"
	for _, f := range []struct {
		what string
		n    int64
	}{{"held", s.Held}, {"lent", s.Lent}} {
		if f.n != 0 {
			figures += ", " + amount(f.n, false) + " " + f.what
		}
	}
	if s.Keep != nil {
		figures += ", keep " + amount(*s.Keep, false)
	}
	p.Add("stock", figures)
	p.Add("the book", bookWords(s))
	if s.Covering != nil {
		for _, f := range s.Covering.Facts() {
			p.Add(f[0], f[1])
		}
	}
	p.Add("sits", s.Seat)
	p.Add("also", strings.Join(s.Aliases, "; "))
	p.Add("maker no", strings.Join(s.MakerNos, "; "))
	p.Add("twin", string(s.Twin))
	p.Add("contains", Commas(s.Holds))
	p.Add("is in", Commas(s.HeldIn))
	p.Add("one is worth", Money(s.Value))
	if s.Weeks != 0 {
		p.Add("to find", fmt.Sprintf("%d weeks", s.Weeks))
	}
	if n := s.Counted; n != nil {
		p.Add("counted", strings.Join(Filled(fmt.Sprintf("%s %s on %s", n.Bag, amount(n.Quantity, n.About), n.Day), n.By), " by "))
	}
	if n := s.Taken; n != nil {
		p.Add("taken", strings.Join(Filled(fmt.Sprintf("%s %s %s on %s", n.Bag, amount(n.Quantity, false), n.What, n.Day), n.By), " by "))
	}
	if n := s.LastSeen; n != nil && n.Day != "" {
		p.Add("seen", fmt.Sprintf("%s on %s on %s", n.Seen, cmp.Or(n.Donor, "job "+n.Job), n.Day))
	}
	if s.First {
		p.Add("to count", "first: set by hand")
	}
	p.Add("hazard", s.Hazard)
	p.Add("note", s.Note)
	return p
}

// bookWords are the figures of the book that are not nought.
func bookWords(s ask.Sheet) string {
	var out []string
	for _, f := range []struct {
		n    int64
		what string
	}{{s.BookedIn, "booked in"}, {s.Fitted, "fitted"}, {s.Returned, "returned"}, {s.Scrapped, "scrapped"}, {s.Sold, "sold"}, {s.Cut, "cut up"}, {s.Lost, "lost"}, {s.Found, "found"}} {
		if f.n != 0 {
			out = append(out, store.Amount(f.n, UnitIn(s.Bags), false)+" "+f.what)
		}
	}
	if s.Corrected != 0 {
		sign := ""
		if s.Corrected > 0 {
			sign = "+"
		}
		out = append(out, sign+store.Amount(s.Corrected, UnitIn(s.Bags), false)+" corrected")
	}
	return strings.Join(out, ", ")
}

// StatedWords are a statement of a part and a model behind the model.
func StatedWords(g ask.SheetGoes) string {
	text := (store.Goes{PerBody: g.PerBody, Where: g.Where, From: g.From, To: g.To, Evidence: g.Evidence, By: g.By, Note: g.Note}).Words()
	if g.Operation != "" {
		text = g.Operation + text
	}
	if len(g.Reaches) > 0 {
		text += "; in " + strings.Join(g.Reaches, ", ")
	}
	return strings.TrimLeft(text, ",; ")
}

// BagNote is what is to be known of a bag beside its figures.
func BagNote(b ask.BagLine) string {
	note := strings.Join(Filled(words.And(store.Texts(append(b.Incomplete, b.Outside...))), b.Note), "; ")
	if b.Owner != store.Own {
		note = strings.Join(Filled("belongs to "+b.Owner, note), "; ")
	}
	return note
}

// StillIn says why a part should still be in a parts camera.
func StillIn(d ask.SheetDonor) string {
	return strings.Join(Filled(d.Why, d.History, d.State, string(d.Place)), ", ")
}

// SheetWanted is a want of a part in words.
func SheetWanted(w ask.SheetWant) string {
	return strings.Join(Filled(w.Date, WantFor(store.Want{Model: w.Model, Job: w.Job}), w.Note), "  ")
}
