package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/cost"
	"tinful/store/words"
)

// smallValue is what a piece of a by-product should fetch at most: screws,
// washers, clips, balls and the smallest springs. Ours, common practice, no
// source.
const smallValue = code.Cents(100)

// worksBy is the chance in hundredths that a piece of a grade works, and stands
// for what it takes to make it saleable. Ours, common practice, no source.
func worksBy(grade string) int64 {
	switch grade {
	case "ready", "new", "made":
		return 100
	case "usable":
		return 90
	case "rework", "unknown", "":
		return 50
	}
	return 0 // pattern, scrap: nobody buys it
}

// A Costing is what a parts camera cost, shared among what came out of it and
// what stays in it. The shares and the carcass add up to what was paid.
type Costing struct {
	Donor    code.Code   `json:"donor"`
	Paid     code.Cents  `json:"paid_cents"` // price and post
	Shares   []CostShare `json:"shares"`
	Carcass  code.Cents  `json:"carcass_cents"`       // the share of what stays in the body
	Remains  code.Cents  `json:"carcass_value_cents"` // what that should fetch
	Small    code.Cents  `json:"by_product_cents"`    // what came off the price first
	Fetch    code.Cents  `json:"fetch_cents"`         // what all of it should fetch
	Loss     bool        `json:"loss"`                // more was paid than that
	ByPieces bool        `json:"by_pieces"`           // nothing has a value: shared by pieces
	Frozen   string      `json:"frozen,omitempty"`    // the day the split was made for good
	Outside  []code.Code `json:"outside"`             // bags found after that day
	Notes    []string    `json:"notes"`
}

// Freeze writes the shares into the bags for good.
func (c Costing) Freeze(t *store.Tx) error {
	var shares []store.Share
	for _, s := range c.Shares {
		shares = append(shares, store.Share{Bag: s.Bag, Cost: s.Share})
	}
	return t.Freeze(c.Donor, shares, c.Carcass)
}

// A CostShare is the share of one bag.
type CostShare struct {
	Bag       code.Code  `json:"bag"`
	Part      code.Code  `json:"part,omitempty"`
	Name      string     `json:"name,omitempty"`
	Left      string     `json:"left_hand,omitempty"`
	Quantity  int64      `json:"quantity"` // as booked in
	Unit      string     `json:"unit,omitempty"`
	Grade     string     `json:"grade,omitempty"`
	Value     code.Cents `json:"value_cents"` // all pieces, if they work
	Chance    float64    `json:"chance"`      // that they do
	Share     code.Cents `json:"share_cents"`
	ByProduct bool       `json:"by_product"`
}

// Cost shares what a parts camera cost: by what a part should fetch, times the
// quantity booked in, times the chance of its grade. Small things come off the
// price first. What stays in the body is a line too: while nothing was taken out
// at what the whole is worth, else at what should still be in it. A split that
// was frozen is told as it was frozen. It refuses a camera that is not the
// workshop's and one without a price.
func Cost(v *store.View, donor code.Code) (Costing, error) {
	c := &costing{v: read(v), gave: map[code.Code]code.Code{}}
	var err error
	if c.d, err = v.Donor(donor); err != nil {
		return Costing{}, err
	}
	if err := c.d.Costed(); err != nil {
		return Costing{}, err
	}
	c.out = Costing{Donor: donor, Paid: c.d.Paid(), Shares: []CostShare{}, Frozen: c.d.Frozen.String(), Outside: []code.Code{}, Notes: []string{}}
	for _, step := range []func(){c.bags, c.carcass, c.share, c.frozen, c.lot, c.units} {
		step()
	}
	return c.out, c.v.err
}

type costing struct {
	v     *reader
	d     store.Donor
	lines []cost.Line // beside out.Shares, the carcass last
	costs []*code.Cents
	parts []store.Part
	mute  []string                // bags of parts without a value
	gave  map[code.Code]code.Code // the bag of each part that was booked in
	out   Costing
}

func (c *costing) note(format string, args ...any) {
	c.out.Notes = append(c.out.Notes, fmt.Sprintf(format, args...))
}

// bags makes a line of every bag that was booked in from the camera.
func (c *costing) bags() {
	for _, at := range c.v.BagsFrom(string(c.d.Code)) {
		b, st := c.v.bag(at), c.v.state(at)
		if st.BookedIn <= 0 || b.Cut != "" {
			continue // made by a split, or cut: it is in the share of the other bag
		}
		var p store.Part
		if b.Part != "" {
			p = c.v.part(b.Part)
			c.gave[p.Code] = at
		}
		if p.Value == nil {
			c.mute = append(c.mute, string(at))
		}
		c.line(b, st, p)
	}
}

func (c *costing) line(b store.Bag, st store.State, p store.Part) {
	var piece code.Cents
	if p.Value != nil {
		piece = *p.Value
	}
	chance := worksBy(st.Grade)
	l := cost.Line{Value: int64(piece) * st.BookedIn, Chance: chance, Count: st.BookedIn, ByProduct: piece > 0 && piece <= smallValue}
	c.lines, c.costs, c.parts = append(c.lines, l), append(c.costs, b.Cost), append(c.parts, p)
	c.out.Shares = append(c.out.Shares, CostShare{Bag: b.Code, Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Quantity: st.BookedIn, Unit: b.Unit, Grade: st.Grade,
		Value: code.Cents(l.Value), Chance: float64(chance) / cost.Sure, ByProduct: l.ByProduct})
}

// carcass makes a line of what stays in the body.
func (c *costing) carcass() {
	l := cost.Line{Chance: cost.Sure}
	switch {
	case !unstripped(c.d):
	case len(c.lines) == 0 && c.d.Worth != nil:
		l.Value = int64(*c.d.Worth)
	default:
		l.Value = c.stillIn(c.holdings())
	}
	if len(c.lines) == 0 {
		l.Count = 1
	}
	c.lines, c.out.Remains = append(c.lines, l), code.Cents(l.Value)
}

// holdings are what should still be in the camera.
func (c *costing) holdings() (list []holder) {
	o := newLooking(c.v)
	newInsides(o).of(&c.d, func(part code.Code, s source, seen string, taken int64) {
		if h := s.holder(seen, taken); h.left > 0 {
			h.part = part
			o.reckon(&h, part)
			list = append(list, h)
		}
	})
	return list
}

// stillIn is what the parts in a body should fetch, each times the chance that
// it is there and works. A part of a unit that is in it counts with the unit.
func (c *costing) stillIn(holds []holder) int64 {
	inUnit := map[code.Code]bool{}
	value := make([]*code.Cents, len(holds))
	for i, h := range holds {
		p := c.v.part(h.part)
		value[i] = p.Value
		for _, held := range p.Holds {
			inUnit[held] = true
		}
	}
	sum, guessed := 0.0, 0
	for i, h := range holds {
		if value[i] == nil || inUnit[h.part] {
			continue
		}
		if !h.chance.Basis.Observed() {
			guessed++
		}
		sum += float64(*value[i]) * float64(h.left) * h.chance.Mid * float64(worksBy(cmp.Or(h.grade(), "usable"))) / cost.Sure
	}
	if guessed > 0 {
		c.note("what stays in the body is a guess for %d of its parts: nobody looked for them in a camera of this model and history", guessed)
	}
	return int64(sum + 0.5)
}

// share shares what was paid over the lines.
func (c *costing) share() {
	s := cost.Share(int64(c.d.Paid()), c.lines)
	for i := range c.out.Shares {
		c.out.Shares[i].Share = code.Cents(s.Shares[i])
	}
	c.out.Carcass = code.Cents(s.Shares[len(c.out.Shares)])
	c.out.Small, c.out.Fetch, c.out.Loss, c.out.ByPieces = code.Cents(s.ByProduct), code.Cents(s.Net), s.Loss > 0, s.ByCount
	if len(c.mute) > 0 && !s.ByCount {
		c.note("no value is noted for what is in %s: it has no share", words.And(c.mute))
	}
	for i, own := range c.costs {
		if own != nil && c.d.Frozen == 0 {
			c.note("%s has a cost of its own noted, %s: freezing writes its share over it", c.out.Shares[i].Bag, *own)
		}
	}
	if text := mendIt(c.d); text != "" {
		c.note("%s is %s", c.d.Code, text)
	}
}

// frozen puts the frozen split in the place of today's. A bag without a cost
// was found after that day.
func (c *costing) frozen() {
	if c.d.Frozen == 0 {
		return
	}
	inside := []CostShare{}
	var sum code.Cents
	for i, s := range c.out.Shares {
		if c.costs[i] == nil {
			c.out.Outside = append(c.out.Outside, s.Bag)
			c.note("%s (%s) was found after the price was shared: it is outside and costs nothing", s.Bag, s.Part)
			continue
		}
		s.Share = *c.costs[i]
		sum += s.Share
		inside = append(inside, s)
	}
	c.out.Shares, c.out.Carcass = inside, 0
	if c.d.Carcass != nil {
		c.out.Carcass = *c.d.Carcass
	}
	if sum += c.out.Carcass; sum != c.d.Paid() {
		c.note("the frozen shares come to %s: price or cost was edited after %s", sum, c.d.Frozen)
	}
}

// lot says what a share of a lot is worth.
func (c *costing) lot() {
	if c.d.Lot == "" {
		return
	}
	n, equal := 0, true
	var price, post code.Cents
	for d := range each(c.v, c.v.EachDonor) {
		if d.Lot != c.d.Lot {
			continue
		}
		n++
		equal = equal && d.Paid() == c.d.Paid()
		if d.Price != nil {
			price += *d.Price
		}
		if d.Post != nil {
			post += *d.Post
		}
	}
	if n > 1 {
		how := "the price of each is what somebody noted"
		if equal {
			how = "equal shares are a start, not a valuation"
		}
		c.note("lot %s was %d bodies for %s and %s post: %s", c.d.Lot, n, price, post, how)
	}
}

// units says that a unit cannot be complete whose parts were booked in beside
// it: its value counts a whole one.
func (c *costing) units() {
	for _, p := range c.parts {
		var beside []string
		for _, held := range p.Holds {
			if bag, ok := c.gave[held]; ok {
				beside = append(beside, fmt.Sprintf("%s (%s)", held, bag))
			}
		}
		if len(beside) > 0 {
			slices.Sort(beside)
			c.note("%s cannot be complete: %s gave %s as well, and its value counts a whole one", p.Code, c.d.Code, words.And(beside))
		}
	}
}
