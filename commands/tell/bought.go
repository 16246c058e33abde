package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// Bought prints what was bought for price and post, and what each camera may be.
func Bought(s *Screen, res store.Result, price, post code.Cents, cameras []ask.Came) {
	var lines []string
	for _, x := range cameras {
		d := x.Donor
		line := fmt.Sprintf("%s %s  %s", d.Code, strings.TrimSpace(string(d.Model)+" "+d.BodyNo), Money(d.Price))
		if *d.Post != 0 {
			line += " and " + Money(d.Post) + " post"
		}
		in := ""
		if d.Place != "" {
			in = "in " + string(d.Place)
		}
		lines = append(lines, line+"   "+strings.Join(Filled(d.History, in), ", "))
	}
	s.Println(strings.Join(WithUndo(lines, res), "\n"))
	if len(cameras) > 1 {
		s.Notef("lot %s: %s and %s post, split to the cent; equal shares are a start and no valuation", cameras[0].Donor.Lot, price, post)
	}
	for _, x := range cameras {
		doubts(s, x)
	}
}

// doubts prints what speaks for and against the model of a camera that came, and
// which other would do as well.
func doubts(s *Screen, x ask.Came) {
	d := x.Donor
	Hypothesis(s, string(d.Code)+" as ", x.Model)
	for _, h := range x.Others {
		s.Printf("it may as well be\n")
		Hypothesis(s, "", h)
	}
	if x.Twin != "" {
		s.Warnf("%s is a %s with the body number %s already: was it booked twice?", x.Twin, d.Model, d.BodyNo)
	}
	if x.Late != "" {
		s.Warnf("%s: the shutter was changed, %s; its parts are no evidence for %s, note them as replaced", d.Code, x.Late, d.Model)
	}
	for _, text := range d.Signs {
		if sign, ok := ask.SignOf(text); ok {
			s.Notef("%s: points to %s (%s)", text, sign.PointsTo, sign.Strength)
		}
	}
	if p := ask.Pointed(d.Signs); p != "" && p != d.History {
		s.Warnf("%s is booked as %s, and its signs point to %s: tinful edit %s --history %s", d.Code, d.History, p, d.Code, p)
	}
}

// Hypothesis prints a model that a camera may be, and why.
func Hypothesis(s *Screen, before string, h ask.Hypothesis) {
	s.Printf("%s%s\n", before, strings.Join(Filled(string(h.Model), h.Name), "  "))
	t := s.WideTable()
	for _, part := range []struct {
		word string
		list []string
	}{{"  for", h.For}, {"  against", h.Against}, {"  silent", h.Silent}, {"  look for", Filled(h.LookFor)}} {
		for _, text := range part.list {
			t.Keep(part.word, text)
		}
	}
	s.Show(t)
}
