package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/ways"
)

// A LowStep is what to do now about a part that runs short.
type LowStep struct {
	What   store.ReasonKind `json:"what"` // drawer, donor or buy
	Pieces int64            `json:"pieces"`
	Bag    code.Code        `json:"bag,omitempty"`
	Place  code.Code        `json:"place,omitempty"`
	Donor  code.Code        `json:"donor,omitempty"`
	Dealer string           `json:"dealer,omitempty"` // who sold the last body that had it
	Chance *odds.Chance     `json:"chance,omitempty"` // that the parts camera has it
	For    []code.Code      `json:"for,omitempty"`    // models into which it goes
	Text   string           `json:"text"`
}

// readBodies reads the parts cameras that lines which are told whole may be met from.
func (l *lower) readBodies() {
	var models []code.Code
	met := set{}
	for i := range l.out.Low {
		line := &l.out.Low[i]
		if !l.whole(i) {
			break
		}
		if line.inDrawer() {
			continue
		}
		for _, g := range got(l.v, l.v.BelongingOf, line.Part) {
			if !met[g.Model] {
				models, met[g.Model] = append(models, g.Model), true
			}
		}
	}
	l.looks.readBodies(models...)
}

// lacking is how many pieces are to be had: up to what is to be kept, was asked for
// in vain, or what cameras in the house are likely to lack.
func (l *lower) lacking(line *LowLine) int64 {
	goal := line.Wants
	for _, n := range []*int64{line.Keep, line.BuyWhen} {
		if n != nil {
			goal = max(goal, *n)
			break
		}
	}
	if i := l.intake(line.Part); i != nil {
		for house := i.inHouse(); house.more(goal) >= likely; {
			goal++
		}
	}
	return max(1, goal-line.Free)
}

// step is what to do about one part: what was asked for in vain and lies here is
// taken out of its drawer; else it is in a parts camera that is opened already, or
// it is bought.
func (l *lower) step(p store.Part, line *LowLine) *LowStep {
	o, s := l.looks, &LowStep{What: ToBuy, Pieces: l.lacking(line)}
	for _, g := range o.belonging(p.Code) {
		if !slices.Contains(s.For, g.Model) {
			s.For = append(s.For, g.Model)
		}
	}
	if line.inDrawer() {
		l.fromDrawer(s, p, line)
		return s
	}
	list, _ := o.bodiesWith(p, "")
	rest := leaveWhole
	for _, h := range list {
		rest = min(rest, rank(h))
	}
	list = slices.DeleteFunc(list, func(h holder) bool { return rank(h) > rest }) // whose chances say nothing
	if len(list) == 0 {
		buy(o, s, nil)
		return s
	}
	best := list[0]
	for i := range list[1:] {
		if h := &list[1+i]; o.better(h, &best, p.Code) {
			best = *h
		}
	}
	if rest == leaveWhole {
		buy(o, s, &best)
		return s
	}
	o.reckon(&best, p.Code)
	s.fromDonor(best)
	return s
}

// better says that a holder more likely has a part, or as likely and costs less to open.
func (o *looking) better(h, than *holder, part code.Code) bool {
	likelier := 0
	if h.seen != than.seen || h.group != than.group {
		likelier = cmp.Compare(o.mid(h, part), o.mid(than, part))
	}
	return cmp.Or(likelier, cmp.Compare(openingCost(than.donor), openingCost(h.donor))) > 0
}

// Ranks of parts cameras: what was seen in an opened one, what may be in it, what
// would have to be opened.
const leaveWhole = 2

func rank(h holder) int {
	switch {
	case h.donor.State == "whole" || h.donor.State == "":
		return leaveWhole
	case h.seen == ways.NotLooked:
		return 1
	}
	return 0
}

// inDrawer says that what was asked for in vain lies here.
func (l *LowLine) inDrawer() bool { return l.Wants > 0 && l.Free > 0 }

func (l *lower) fromDrawer(s *LowStep, p store.Part, line *LowLine) {
	s.What, s.Pieces = InDrawer, min(line.Wants, line.Free)
	for _, c := range l.v.BagsOf(p.Code) {
		if st := l.v.state(c); st.Free() > 0 && (s.Bag == "" || st.Grade == "ready") {
			s.Bag, s.Place = c, st.Place
		}
	}
	s.Text = fmt.Sprintf("%d free in %s: meet what was asked for in vain from there", line.Free, inPlace(s.Bag, s.Place))
}

func (s *LowStep) fromDonor(h holder) {
	s.What, s.Donor, s.Place, s.Chance = InDonor, h.donor.Code, h.donor.Place, &h.chance
	s.Pieces = min(s.Pieces, h.left)
	switch at := inPlace(s.Donor, s.Place); {
	case h.seen != ways.NotLooked:
		s.Text = fmt.Sprintf("take %d out of %s: %s", s.Pieces, at, h.why)
	case h.chance.Basis.Observed():
		s.Text = "look into " + at + ": " + h.why
	default: // what rests on no observation says so first
		s.Text = h.why + "; look into " + at
	}
}

// buy says how many to buy, where bodies with the part came from, and which whole
// parts camera holds it too, nil for none.
func buy(o *looking, s *LowStep, whole *holder) {
	s.Text = fmt.Sprintf("buy %d", s.Pieces)
	last := &bodies{}
	for _, model := range s.For {
		if b := o.donorsWith(model); b.last != "" && b.bought >= last.bought {
			last = b
		}
	}
	if last.last != "" {
		if d := got(o.v, o.donor, last.last); d != nil {
			s.Dealer = d.From
			s.Text += fmt.Sprintf(" (the last body with it, %s, came from %s)", d.Code, d.From)
		}
	}
	if whole != nil {
		s.Text += fmt.Sprintf("; %s is whole and should hold it", whole.donor.Code)
		if text := whole.opening(); text != "" {
			s.Text += ": " + text
		}
	}
}

// inPlace is a thing and where it lies, if that is known.
func inPlace(c, place code.Code) string {
	if place == "" {
		return string(c)
	}
	return fmt.Sprintf("%s in %s", c, place)
}
