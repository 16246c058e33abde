package ask

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/cover"
	"tinful/store/odds"
	"tinful/store/ways"
)

// An Offer is a body that could be bought.
type Offer struct {
	Code    code.Code
	Price   code.Cents // with its post
	Model   code.Code
	History string // "" for unknown
}

// A Wanted is a part and how many pieces of it are wanted.
type Wanted struct {
	Part code.Code
	Need int64
}

// A Cover is the answer of [Donate]: which parts cameras to open or buy.
type Cover struct {
	Donors []code.Code `json:"donors"`
	Cost   code.Cents  `json:"cost_cents"`
	Bound  code.Cents  `json:"bound_cents"` // nothing is cheaper than this
	// Proven says that no cheaper set has these chances, and that they rest on what
	// was seen on cameras of the models: a guess proves nothing.
	Proven     bool          `json:"proven"`
	Basis      odds.Basis    `json:"basis"` // the weakest of the parts
	Target     float64       `json:"target"`
	PerPart    []CoveredPart `json:"per_part"` // those that can be had
	Impossible []code.Code   `json:"impossible"`
	Ties       [][]code.Code `json:"ties"` // other sets of the same cost
	// AllTies is false where there may be more sets of the same cost, and where
	// the next best is only the next best found.
	AllTies  bool        `json:"all_ties"`
	Next     []code.Code `json:"next_best,omitempty"`
	NextCost *code.Cents `json:"next_cost_cents,omitempty"`
	Buy      []code.Code `json:"buy"`  // those of Donors that are offers
	Gaps     []string    `json:"gaps"` // why a part is impossible
	Notes    []string    `json:"notes"`
	// Guessed are the models and histories that nobody looked at, on which the advice
	// rests; Look is the chosen body whose look would tell most.
	Guessed []string  `json:"guessed,omitempty"`
	Look    code.Code `json:"look_into,omitempty"`
}

// A CoveredPart is a wanted part, how likely the chosen bodies give it, and
// which bodies may hold it.
type CoveredPart struct {
	Part   code.Code   `json:"part"`
	Name   string      `json:"name"`
	Left   string      `json:"left_hand,omitempty"`
	Need   int64       `json:"need"`
	Chance float64     `json:"chance"`
	Low    float64     `json:"low"`
	High   float64     `json:"high"`
	Basis  odds.Basis  `json:"basis"`
	HeldBy []CoveredBy `json:"held_by"` // of the chosen
}

// A CoveredBy is what one chosen body should hold of a part.
type CoveredBy struct {
	Donor  code.Code   `json:"donor"`
	Pieces int64       `json:"pieces"`
	Chance odds.Chance `json:"chance"`
	Why    string      `json:"why"`
}

// Donate finds the cheapest own parts cameras and offers that together give
// each wanted part with at least the target's chance, which is above 0 and at
// most 1. Of own ones those not yet stripped count, at what they are worth, else
// at price and post; a customer's is never among them.
func Donate(v *store.View, wants []Wanted, target float64, offers []Offer) (Cover, error) {
	d := &donation{v: read(v), target: target, bodies: map[code.Code]*body{}}
	d.looks = newLooking(d.v)
	for _, w := range wants {
		d.want(w, offers)
	}
	if d.v.err != nil {
		return Cover{}, d.v.err
	}
	out := d.solve()
	return out, d.v.err
}

// A donation gathers bodies and wants, then solves.
type donation struct {
	v      *reader
	target float64
	bodies map[code.Code]*body
	wants  []*wanting
	looks  *looking
}

// A wanting is a part that is wanted, and the groups of bodies that may hold it.
type wanting struct {
	part   store.Part
	need   int64
	groups []group
	plans  []odds.Plan
}

// set reckons with the bodies that may hold it.
func (w *wanting) set(need int64) cover.Reckoner { return odds.NewSet(need, w.plans) }

// groupOf is the number of the group of a body for cover, below 0 where the part was
// seen in it.
func (w *wanting) groupOf(h holder) int {
	if h.seen != ways.NotLooked {
		return -1
	}
	return slices.Index(w.groups, h.group)
}

// A body is one parts camera or offer with what it should hold, by want.
type body struct {
	donor *store.Donor
	offer bool
	price code.Cents
	holds map[int]holder
}

func (d *donation) want(w Wanted, offers []Offer) {
	p := d.v.part(w.Part)
	want := &wanting{part: p, need: w.Need}
	d.wants = append(d.wants, want)
	list, _ := d.looks.holders(p, "")
	for _, h := range list {
		d.add(want, h, false, openingCost(h.donor))
	}
	for _, o := range offers {
		if h := d.looks.offered(p, o); h.left > 0 {
			d.add(want, h, true, o.Price)
		}
	}
}

func (d *donation) add(want *wanting, h holder, offer bool, price code.Cents) {
	b := d.bodies[h.donor.Code]
	if b == nil {
		b = &body{donor: h.donor, offer: offer, price: price, holds: map[int]holder{}}
		d.bodies[h.donor.Code] = b
	}
	b.holds[len(d.wants)-1] = h
	if h.seen == ways.NotLooked && !slices.Contains(want.groups, h.group) {
		want.groups = append(want.groups, h.group)
		want.plans = append(want.plans, odds.Planned(d.looks.counts(want.part.Code, h.group)))
	}
}

// offered is what an offer should hold of a part: nobody looked at it.
func (o *looking) offered(p store.Part, offer Offer) holder {
	d := store.Donor{Code: offer.Code, Model: offer.Model, History: offer.History, Owner: store.Own, State: "whole"}
	for _, g := range o.belonging(p.Code) {
		if o.holds(d.Camera(), g.Model) {
			h := source{&d, g.PerBody, true}.holder("", 0)
			o.reckon(&h, p.Code)
			return h
		}
	}
	return holder{}
}

// solve turns the bodies into numbers and the answer back into codes.
func (d *donation) solve() Cover {
	codes := slices.Sorted(maps.Keys(d.bodies))
	var p cover.Problem
	for _, w := range d.wants {
		p.Wants = append(p.Wants, cover.Want{Need: w.need, Target: d.target, Reckon: w.set})
	}
	for _, c := range codes {
		b := cover.Body{Price: int64(d.bodies[c].price)}
		for _, i := range slices.Sorted(maps.Keys(d.bodies[c].holds)) {
			h := d.bodies[c].holds[i]
			b.Gives = append(b.Gives, cover.Gift{Want: i, Pieces: h.left, Group: d.wants[i].groupOf(h)})
		}
		p.Bodies = append(p.Bodies, b)
	}
	a := cover.Solve(p)
	named := func(set []int) []code.Code {
		out := []code.Code{}
		for _, i := range set {
			out = append(out, codes[i])
		}
		return out
	}
	out := Cover{Donors: named(a.Chosen), Cost: code.Cents(a.Cost), Bound: code.Cents(a.Bound), Target: d.target, AllTies: a.AllKnown,
		PerPart: []CoveredPart{}, Impossible: []code.Code{}, Ties: [][]code.Code{}, Buy: []code.Code{}, Gaps: []string{}, Notes: []string{}}
	for _, t := range a.Ties {
		out.Ties = append(out.Ties, named(t))
	}
	if a.NextBest != nil {
		cost := code.Cents(a.NextCost)
		out.Next, out.NextCost = named(a.NextBest), &cost
	}
	d.perPart(&out, a.Impossible)
	out.Proven = a.Proven && out.Basis.Observed()
	d.gaps(&out, a.Impossible)
	d.guessed(&out)
	d.notes(&out)
	return out
}

// chance is how likely some bodies give a want together.
func (d *donation) chance(i int, bodies []code.Code) odds.Chance {
	w := d.wants[i]
	set := odds.NewSet(w.need, w.plans)
	for _, c := range bodies {
		if h, ok := d.bodies[c].holds[i]; ok {
			set.Add(w.groupOf(h), h.left)
		}
	}
	return set.Chance(d.target)
}

func (d *donation) perPart(out *Cover, impossible []int) {
	for i, w := range d.wants {
		if slices.Contains(impossible, i) {
			out.Impossible = append(out.Impossible, w.part.Code)
			continue
		}
		c := d.chance(i, out.Donors)
		line := CoveredPart{Part: w.part.Code, Name: w.part.Name, Left: store.LeftHand(w.part), Need: w.need, Chance: c.Mid, Low: c.Low, High: c.High, Basis: c.Basis, HeldBy: []CoveredBy{}}
		for _, b := range out.Donors {
			if h, ok := d.bodies[b].holds[i]; ok {
				line.HeldBy = append(line.HeldBy, CoveredBy{b, h.left, h.chance, h.why})
			}
		}
		out.Basis = max(out.Basis, c.Basis)
		out.PerPart = append(out.PerPart, line)
	}
}

// gaps says why a part cannot be had: no body holds it, too few pieces, or not
// likely enough.
func (d *donation) gaps(out *Cover, impossible []int) {
	all := slices.Sorted(maps.Keys(d.bodies))
	for _, i := range impossible {
		w, pieces := d.wants[i], int64(0)
		name := fmt.Sprintf("%s %s", w.part.Code, w.part.Called())
		for _, b := range d.bodies {
			if h, ok := b.holds[i]; ok {
				pieces += h.left
			}
		}
		switch {
		case pieces == 0:
			out.Gaps = append(out.Gaps, fmt.Sprintf("No body here holds the %s", name))
		case pieces < w.need:
			out.Gaps = append(out.Gaps, fmt.Sprintf("All bodies together hold %d of the %d wanted of %s", pieces, w.need, name))
		default:
			out.Gaps = append(out.Gaps, d.unlikely(d.chance(i, all), name))
		}
	}
}

// unlikely says that all bodies together give a part less likely than is wanted.
func (d *donation) unlikely(c odds.Chance, name string) string {
	text := odds.Percent(c.Mid)
	if math.Round(100*c.Mid) >= 100*d.target {
		text = fmt.Sprintf("%.1f %%", math.Floor(1000*c.Mid)/10)
	}
	text = fmt.Sprintf("ll bodies together give %s with a chance of %s, less than the %.4g %% wanted", name, text, 100*d.target)
	if !c.Basis.Observed() {
		rests := c.Basis.Rests()
		return strings.ToUpper(rests[:1]) + rests[1:] + "; a" + text
	}
	return "A" + text
}

// guessed names the groups that nobody looked at on which the advice rests, and the
// dearest of their bodies: a look into it tells most.
func (d *donation) guessed(out *Cover) {
	var price code.Cents
	for _, line := range out.PerPart {
		if line.Basis.Observed() {
			continue
		}
		i := slices.IndexFunc(d.wants, func(w *wanting) bool { return w.part.Code == line.Part })
		for _, c := range out.Donors {
			b := d.bodies[c]
			h, ok := b.holds[i]
			if !ok || h.chance.Basis.Observed() {
				continue
			}
			if text := odds.Body(h.group.history) + " " + string(h.group.model); !slices.Contains(out.Guessed, text) {
				out.Guessed = append(out.Guessed, text)
			}
			if out.Look == "" || b.price > price {
				out.Look, price = c, b.price
			}
		}
	}
}

// notes says what opening costs beside money, and what was taken on trust.
func (d *donation) notes(out *Cover) {
	for _, c := range out.Donors {
		b := d.bodies[c]
		if b.offer {
			out.Buy = append(out.Buy, c)
			continue
		}
		if text := b.lost(); text != "" {
			out.Notes = append(out.Notes, text)
		}
		for _, i := range slices.Sorted(maps.Keys(b.holds)) {
			if h := b.holds[i]; h.seen == ways.Hurt {
				out.Notes = append(out.Notes, fmt.Sprintf("%s of %s was %s", d.wants[i].part.Code, c, h.why))
			}
		}
	}
	for _, w := range d.wants {
		out.Notes = append(out.Notes, d.hadOne(w.part.Code)...)
		if free := d.v.figure(w.part.Code).Free(); free > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("%s lies here already, %d free", w.part.Code, free))
		}
	}
}

// hadOne says of each stripped parts camera that a part was seen on where it lies now.
func (d *donation) hadOne(part code.Code) (out []string) {
	for _, s := range d.v.SeenOf(part) {
		if s.Seen != "present" && s.Seen != "damaged" {
			continue
		}
		donor := d.v.donor(s.Donor)
		text := fmt.Sprintf("%s was seen %s on %s", part, s.Seen, filled(string(donor.Code), string(donor.Model), donor.History, donor.State))
		_, bags, err := d.v.Drawn(part, donor.Code)
		d.v.keep(err)
		bags = slices.DeleteFunc(bags, func(b code.Code) bool { return d.v.state(b).OnHand() == 0 })
		for _, b := range bags {
			text += "; it came off: " + BagWords(d.v.View, b)
		}
		if len(bags) > 0 && !unstripped(donor) { // what is not stripped is among the bodies
			out = append(out, text)
		}
	}
	return out
}

// lost says what is given up when an own parts camera is opened.
func (b *body) lost() string {
	d := b.donor
	switch {
	case d.Worth != nil && d.History == "unopened":
		return fmt.Sprintf("%s is unopened and worth %s whole: opening it gives that up", d.Code, *d.Worth)
	case d.Worth != nil && d.State == "whole":
		return fmt.Sprintf("%s is whole and worth %s: opening it gives that up", d.Code, *d.Worth)
	case d.Worth == nil && d.Price == nil:
		return fmt.Sprintf("neither worth nor price of %s is noted: it counts as 0.00", d.Code)
	}
	return ""
}
