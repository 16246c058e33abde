package ask

import (
	"cmp"
	"errors"
	"maps"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/cost"
)

// A MonthValue is what the stock of one class cost and would fetch. The lower of the two
// is taken bag by bag: International Accounting Standard 2, paragraphs 9 and 29. What
// has no cost counts as nothing; what has no value counts at its cost.
type MonthValue struct {
	Class   string     `json:"class"` // donor for parts cameras, empty for what is not sorted
	Unit    string     `json:"unit,omitempty"`
	Pieces  int64      `json:"pieces"`
	Cost    code.Cents `json:"cost_cents"`
	Fetch   code.Cents `json:"fetch_cents"`
	Lower   code.Cents `json:"lower_cents"`
	NoCost  int64      `json:"no_cost"`  // pieces of which nobody knows it
	NoValue int64      `json:"no_value"` // pieces of which nobody said what they would fetch
}

// A MonthDown is a bag or parts camera that would fetch less than it cost.
type MonthDown struct {
	Thing  code.Code   `json:"thing"`
	Part   code.Code   `json:"part,omitempty"`
	Name   string      `json:"name"`
	Left   string      `json:"left_hand,omitempty"`
	Pieces int64       `json:"pieces"`
	Grade  string      `json:"grade,omitempty"`
	Chance int64       `json:"chance_percent"` // that a piece of the grade works
	Value  *code.Cents `json:"value_cents,omitempty"`
	Cost   code.Cents  `json:"cost_cents"`
	Fetch  code.Cents  `json:"fetch_cents"`
}

// donorClass is the class of parts cameras.
const donorClass = "donor"

// share is part of a sum for n of all pieces, halves away from zero; nil where there is
// no sum.
func share(sum *code.Cents, n, all int64) *code.Cents {
	if sum == nil || all <= 0 {
		return nil
	}
	x, half := int64(*sum)*n*2, all
	if x < 0 {
		half = -all
	}
	c := code.Cents((x + half) / (2 * all))
	return &c
}

// paid is what some pieces of a bag cost, of what was noted for all that came into it.
func paid(b store.Bag, n, booked int64) *code.Cents { return share(b.Cost, n, booked) }

// costs are the shares of each parts camera's price, reckoned once.
type costs map[code.Code]Costing

// of is how the price of a parts camera is shared; empty where it is not known.
func (s costs) of(v *reader, donor code.Code) Costing {
	c, met := s[donor]
	if !met {
		var err error
		if c, err = Cost(v.View, donor); err != nil && !errors.Is(err, store.ErrRefused) {
			v.keep(err)
		}
		s[donor] = c
	}
	return c
}

// cost is what pieces of a bag cost: of what was noted for the bag, else of its share of
// the parts camera that it came from. What was split off costs what the rest does; what
// is not the workshop's costs nothing that is known.
func (m *monthly) cost(bag code.Code, n int64) *code.Cents { return m.costs.pieces(m.v, bag, n) }

func (s costs) pieces(v *reader, bag code.Code, n int64) *code.Cents {
	b := v.bag(bag)
	for range 100 { // a circle of splits ends
		if b.Split == "" || v.state(b.Code).BookedIn != 0 {
			break
		}
		b = v.bag(b.Split)
	}
	if b.Owner != store.Own {
		return nil
	}
	if b.Cost != nil {
		return paid(b, n, v.state(b.Code).BookedIn)
	}
	if _, err := v.Donor(code.Code(b.Origin)); err != nil || b.Cut != "" {
		return nil
	}
	for _, s := range s.of(v, code.Code(b.Origin)).Shares {
		if s.Bag == b.Code {
			return share(&s.Share, n, s.Quantity)
		}
	}
	return nil
}

// fetch is what pieces of a part should fetch when they work, nil where nobody said.
func (m *monthly) fetch(part code.Code, n int64) *code.Cents {
	if part == "" {
		return nil
	}
	value := m.v.part(part).Value
	if value == nil {
		return nil
	}
	c := *value * code.Cents(n)
	return &c
}

// stock adds what is in a bag at the end of the month.
func (m *monthly) stock(b store.Bag, st store.State) {
	var p store.Part
	if b.Part != "" {
		p = m.v.part(b.Part)
	}
	unit := b.Unit
	if unit == "pc" {
		unit = ""
	}
	d := MonthDown{Thing: b.Code, Part: b.Part, Name: p.Name, Left: store.LeftHand(p), Pieces: st.OnHand(), Grade: st.Grade, Chance: worksBy(st.Grade), Value: p.Value}
	worth := m.fetch(b.Part, d.Pieces)
	if worth != nil {
		// Halves up, as the cost of a parts camera has it.
		net := (cost.Line{Value: int64(*worth), Chance: d.Chance}.Net() + cost.Sure/2) / cost.Sure
		c := code.Cents(net)
		worth = &c
	}
	m.add(p.Class, unit, d, m.cost(b.Code, d.Pieces), worth)
}

// add adds a thing to the stock of its class, at the lower of cost and what it would
// fetch.
func (m *monthly) add(class, unit string, d MonthDown, cost, fetch *code.Cents) {
	key := [2]string{class, unit}
	x := m.value[key]
	if x == nil {
		x = &MonthValue{Class: class, Unit: unit}
		m.value[key] = x
	}
	x.Pieces += d.Pieces
	if fetch != nil {
		x.Fetch += *fetch
	} else {
		x.NoValue += d.Pieces
	}
	if cost == nil {
		x.NoCost += d.Pieces
		return
	}
	x.Cost += *cost
	if fetch == nil || *cost <= *fetch {
		x.Lower += *cost
		return
	}
	x.Lower += *fetch
	d.Cost, d.Fetch = *cost, *fetch
	m.out.WrittenDown = append(m.out.WrittenDown, d)
}

// carcass adds what was in a parts camera at the end of the month: what was paid less the
// shares of what had come out of it by then.
func (m *monthly) carcass(d store.Donor) {
	c := m.costs.of(m.v, d.Code)
	down := MonthDown{Thing: d.Code, Name: string(d.Model), Pieces: 1, Chance: cost.Sure}
	if c.Donor == "" { // no price
		if unstripped(d) {
			m.add(donorClass, "", down, nil, d.Worth)
		}
		return
	}
	left, fetch, out := c.Paid, c.Remains, 0
	for _, s := range c.Shares {
		if m.in[s.Bag] <= m.last {
			left -= s.Share
			out++
			continue
		}
		fetch += code.Cents((float64(s.Value) * s.Chance) + 0.5)
	}
	if out == 0 && d.Worth != nil {
		fetch = *d.Worth
	}
	if left != 0 || unstripped(d) {
		m.add(donorClass, "", down, &left, &fetch)
	}
}

// values lists the stock by class.
func (m *monthly) values() {
	for _, key := range slices.SortedFunc(maps.Keys(m.value), func(a, b [2]string) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	}) {
		m.out.Value = append(m.out.Value, *m.value[key])
	}
	slices.SortFunc(m.out.WrittenDown, func(a, b MonthDown) int { return cmp.Compare(a.Thing, b.Thing) })
}
