package ask

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/cover"
	"tinful/store/odds"
	"tinful/store/ways"
)

// aYear is how many days may pass before a parts camera that gave nothing is named.
const aYear = 365

// A Shelf is what [Donors] answers: the workshop's own parts cameras that may
// still give something, and those that are stripped.
type Shelf struct {
	List     []Shelved   `json:"list"`
	Stripped []code.Code `json:"stripped"`
	Remarks  []string    `json:"remarks"` // about the stripped
}

// A Shelved is one parts camera that is not stripped.
type Shelved struct {
	Donor   code.Code   `json:"donor"`
	Model   code.Code   `json:"model,omitempty"`
	History string      `json:"history,omitempty"`
	State   string      `json:"state,omitempty"`
	Place   code.Code   `json:"place,omitempty"`
	Cost    code.Cents  `json:"cost_cents"` // price and post
	Worth   *code.Cents `json:"worth_cents,omitempty"`
	Bought  string      `json:"bought,omitempty"`
	Days    *int64      `json:"days,omitempty"` // since it was bought
	Holds   []code.Code `json:"holds"`          // parts that should still be in it
	Seen    []code.Code `json:"seen"`           // those of them that were seen; the others were not looked at
	Remarks []string    `json:"remarks"`
}

// Donors lists the own parts cameras not yet stripped, oldest first, with what
// should still be in them and what speaks against leaving them where they are.
func Donors(v *store.View, today code.Day) (Shelf, error) {
	s := Shelf{List: []Shelved{}, Stripped: []code.Code{}, Remarks: []string{}}
	var all []store.Donor
	err := v.EachDonor(func(d store.Donor) error {
		if d.Owner == store.Own {
			all = append(all, d)
		}
		return nil
	})
	if err != nil {
		return s, err
	}
	holds, err := holdings(v, all)
	if err != nil {
		return s, err
	}
	slices.SortStableFunc(all, func(a, b store.Donor) int { return cmp.Compare(a.Bought, b.Bought) })
	for _, d := range all {
		if !unstripped(d) {
			s.Stripped = append(s.Stripped, d.Code)
			if last, err := lastGiven(v, d); err != nil {
				return s, err
			} else if last == 0 {
				s.Remarks = append(s.Remarks, fmt.Sprintf("%s is %s and nothing was ever booked in from it", d.Code, d.State))
			}
			continue
		}
		line, err := shelved(v, d, holds[d.Code], today)
		if err != nil {
			return s, err
		}
		s.List = append(s.List, line)
	}
	return s, nil
}

func shelved(v *store.View, d store.Donor, holds []holder, today code.Day) (Shelved, error) {
	out := Shelved{Donor: d.Code, Model: d.Model, History: d.History, State: d.State, Place: d.Place, Cost: d.Paid(), Worth: d.Worth,
		Bought: d.Bought.String(), Holds: []code.Code{}, Seen: []code.Code{}, Remarks: []string{}}
	if d.Bought != 0 {
		days := int64(max(0, today-d.Bought))
		out.Days = &days
	}
	for _, h := range holds {
		out.Holds = append(out.Holds, h.part)
		if h.seen != ways.NotLooked {
			out.Seen = append(out.Seen, h.part)
		}
	}
	for _, remark := range []func(*store.View, store.Donor, code.Day) (string, error){bookedLate, gaveNothing, mendIt} {
		text, err := remark(v, d, today)
		if err != nil {
			return out, err
		}
		if text != "" {
			out.Remarks = append(out.Remarks, text)
		}
	}
	return out, nil
}

// holdings lists what each of some parts cameras should still hold, in order of
// the parts.
func holdings(v *store.View, donors []store.Donor) (map[code.Code][]holder, error) {
	parts := map[code.Code]bool{}
	for _, d := range donors {
		if !unstripped(d) {
			continue
		}
		if err := partsOf(v, d, parts); err != nil {
			return nil, err
		}
	}
	o, out := newLooking(v), map[code.Code][]holder{}
	for _, c := range slices.Sorted(maps.Keys(parts)) {
		p, err := v.Part(c)
		if err != nil || p.Code != c {
			continue // a second name: its statements are those of the part
		}
		list, _, err := o.holders(p, "")
		if err != nil {
			return nil, err
		}
		for _, h := range list {
			h.part, h.value = c, p.Value
			out[h.donor.Code] = append(out[h.donor.Code], h)
		}
	}
	return out, nil
}

// partsOf notes the parts of which something is said about a parts camera, or
// seen in it.
func partsOf(v *store.View, d store.Donor, into map[code.Code]bool) error {
	models, err := within(v, d.Camera())
	if err != nil {
		return err
	}
	for _, m := range models {
		err := v.GoesInto(m, func(part code.Code, _ []string) error { into[part] = true; return nil })
		if err != nil {
			return err
		}
	}
	seen, err := v.SeenOn(d.Code)
	for _, s := range seen {
		into[s.Part] = true
	}
	return err
}

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// andList joins names as one says them: A, B and C.
func andList(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// months is how many whole months lie between two days.
func months(from, to code.Day) int {
	a, b := from.Time(), to.Time()
	n := (b.Year()-a.Year())*12 + int(b.Month()-a.Month())
	last := time.Date(b.Year(), b.Month()+1, 0, 0, 0, 0, 0, time.UTC).Day()
	if b.Day() < a.Day() && b.Day() < last {
		n--
	}
	return n
}

// gaveNothing says that nothing came out of a parts camera for a year.
func gaveNothing(v *store.View, d store.Donor, today code.Day) (string, error) {
	last, err := lastGiven(v, d)
	switch {
	case err != nil:
		return "", err
	case last != 0 && today-last >= aYear:
		return fmt.Sprintf("gave nothing since %s, %d days", last, today-last), nil
	case last == 0 && d.Bought != 0 && today-d.Bought >= aYear:
		return fmt.Sprintf("gave nothing in the %d days since it was bought", today-d.Bought), nil
	}
	return "", nil
}

// lastGiven is the last day on which something was booked in from a parts
// camera, 0 for never.
func lastGiven(v *store.View, d store.Donor) (last code.Day, err error) {
	for _, c := range v.BagsFrom(string(d.Code)) {
		st, err := v.State(c)
		if err != nil {
			return 0, err
		}
		if st.BookedIn == 0 {
			continue
		}
		entries, err := v.EntriesOf(c)
		if err != nil {
			return 0, err
		}
		for _, e := range entries {
			if e.What == store.In {
				last = max(last, e.Day)
			}
		}
	}
	return last, nil
}

// mendIt says that a parts camera is worth more as it stands than it cost.
func mendIt(_ *store.View, d store.Donor, _ code.Day) (string, error) {
	if d.Worth == nil || d.Price == nil || *d.Worth <= d.Paid() || d.State != "whole" {
		return "", nil
	}
	return fmt.Sprintf("worth more whole (%s) than it cost (%s): mend it or sell it rather than strip it", *d.Worth, d.Paid()), nil
}

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
	Need   int64       `json:"need"`
	Chance float64     `json:"chance"`
	Low    float64     `json:"low"`
	High   float64     `json:"high"`
	Basis  odds.Basis  `json:"basis"`
	HeldBy []CoveredBy `json:"held_by"` // of the chosen
}

// A CoveredBy is what one chosen body should hold of a part.
type CoveredBy struct {
	Donor  code.Code `json:"donor"`
	Pieces int64     `json:"pieces"`
	Chance Chance    `json:"chance"`
	Why    string    `json:"why"`
}

// Donate finds the cheapest own parts cameras and offers that together give
// each wanted part with at least the target's chance, which is above 0 and at
// most 1. Of own ones those not yet stripped count, at what they are worth, else
// at price and post; a customer's is never among them.
func Donate(v *store.View, wants []Wanted, target float64, offers []Offer) (Cover, error) {
	d := &donation{v: v, target: target, bodies: map[code.Code]*body{}, looks: newLooking(v)}
	for _, w := range wants {
		if err := d.want(w, offers); err != nil {
			return Cover{}, err
		}
	}
	return d.solve()
}

// A donation gathers bodies and wants, then solves.
type donation struct {
	v      *store.View
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
	donor store.Donor
	offer bool
	price code.Cents
	holds map[int]holder
}

func (d *donation) want(w Wanted, offers []Offer) error {
	p, err := d.v.Part(w.Part)
	if err != nil {
		return err
	}
	want := &wanting{part: p, need: w.Need}
	d.wants = append(d.wants, want)
	list, _, err := d.looks.holders(p, "")
	if err != nil {
		return err
	}
	for _, h := range list {
		if err := d.add(want, h, false, openingCost(h.donor)); err != nil {
			return err
		}
	}
	for _, o := range offers {
		h, err := d.looks.offered(p, o)
		if err != nil {
			return err
		}
		if h.left <= 0 {
			continue
		}
		if err := d.add(want, h, true, o.Price); err != nil {
			return err
		}
	}
	return nil
}

func (d *donation) add(want *wanting, h holder, offer bool, price code.Cents) error {
	b := d.bodies[h.donor.Code]
	if b == nil {
		b = &body{donor: h.donor, offer: offer, price: price, holds: map[int]holder{}}
		d.bodies[h.donor.Code] = b
	}
	b.holds[len(d.wants)-1] = h
	if h.seen != ways.NotLooked || slices.Contains(want.groups, h.group) {
		return nil
	}
	plan, err := d.looks.plan(want.part.Code, h.group)
	want.groups, want.plans = append(want.groups, h.group), append(want.plans, plan)
	return err
}

// offered is what an offer should hold of a part: nobody looked at it.
func (o *looking) offered(p store.Part, offer Offer) (holder, error) {
	d := store.Donor{Code: offer.Code, Model: offer.Model, History: offer.History, Owner: store.Own, State: "whole"}
	said, err := o.v.GoesOf(p.Code)
	if err != nil {
		return holder{}, err
	}
	for _, g := range said {
		in := g.Model == d.Model
		if !in {
			if in, err = holds(o.v, d.Camera(), g.Model); err != nil {
				return holder{}, err
			}
		}
		if in && belongs(g) {
			return source{d, g, true}.holder(o, p, "", 0)
		}
	}
	return holder{}, nil
}

// solve turns the bodies into numbers and the answer back into codes.
func (d *donation) solve() (Cover, error) {
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
	return out, d.notes(&out)
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
		line := CoveredPart{Part: w.part.Code, Name: w.part.Name, Need: w.need, Chance: c.Mid, Low: c.Low, High: c.High, Basis: c.Basis, HeldBy: []CoveredBy{}}
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
		name := fmt.Sprintf("%s %s", w.part.Code, w.part.Name)
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
			c := d.chance(i, all)
			text := fmt.Sprintf("All bodies together give %s with a chance of %.0f %%, less than the %.4g %% wanted", name, math.Floor(100*c.Mid), 100*d.target)
			if rests := c.Basis.Rests(); rests != "" {
				text += " (" + rests + ")"
			}
			out.Gaps = append(out.Gaps, text)
		}
	}
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
func (d *donation) notes(out *Cover) error {
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
		p := w.part
		f, err := d.v.Figure(p.Code)
		if err != nil {
			return err
		}
		if f.Free() > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("%s lies here already, %d free", p.Code, f.Free()))
		}
	}
	return nil
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
