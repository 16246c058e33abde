package store

import (
	"errors"
	"fmt"
	"slices"

	"tinful/store/code"
)

// planCount holds the bags of a workbook against the book as a count of them. A
// reading that the open count of its place has already is the same.
func (p *Plan) planCount() error {
	t := p.tally("Bags")
	for i, b := range p.load.Bags.All() {
		q, given := p.load.Counted[b.Code]
		if !given {
			t.Same++
			continue
		}
		if p.load.OnHand {
			edited, err := p.edited(b.Code, &q)
			if err != nil {
				return err
			}
			if !edited {
				t.Same++
				continue
			}
		}
		before := t.Refused
		r, had, err := p.reading(i, b.Code, q)
		switch {
		case err != nil:
			return err
		case t.Refused > before:
		case had:
			t.Same++
		default:
			t.Changed++
			p.Readings = append(p.Readings, r)
		}
	}
	p.Made = nil // nothing is made by a count
	return nil
}

// edited says whether what an export shows as on hand was written anew: it differs
// from the book, and nothing moved since. q becomes what lies there, without what is
// lent.
func (p *Plan) edited(bag code.Code, q *code.Qty) (bool, error) {
	if p.view == nil || !p.view.has(bBag, bag) {
		return true, nil
	}
	st, err := p.view.State(bag)
	have, lent := st.OnHand(), st.Lent()
	if p.load.InDrawer {
		have, lent = st.InDrawer(), 0
	}
	if err != nil || have == q.N && st.About == q.About {
		return false, err
	}
	if p.load.Since > 0 {
		b, err := p.view.BookedSince(Ref{Kind: "bag", Code: bag}, p.load.Since, nil)
		if err != nil || b.Number > 0 {
			p.Said = append(p.Said, fmt.Sprintf("%s moved since the export, in booking %d: count it anew", bag, b.Number))
			return false, err
		}
	}
	q.N = max(q.N-lent, 0)
	return true, nil
}

// reading checks what was counted of one bag. had says that it was read like this
// already, in the count that is open.
func (p *Plan) reading(i int, bag code.Code, q code.Qty) (r Reads, had bool, err error) {
	err = ErrNotFound
	var b Bag
	if p.view != nil {
		b, err = p.view.Bag(bag)
	}
	if errors.Is(err, ErrNotFound) {
		heading := "Bag"
		if slices.ContainsFunc(p.Made, func(m Made) bool { return m.Code == bag }) {
			heading = "Quantity" // the row has no code to show
		}
		p.advised(NotCounted, "Bags", i, heading, "there is no such bag here: a count reads bags that are there")
		return r, false, nil
	}
	if err != nil {
		return r, false, err
	}
	st, err := p.view.State(b.Code)
	if err != nil {
		return r, false, err
	}
	switch {
	case !b.Ours():
		p.problem("Bags", i, "Bag", "%s belongs to %s: it is no stock and is not counted", b.Code, b.Owner)
	case st.Place == "":
		p.problem("Bags", i, "Bag", "%s lies in no place: move it to one first", b.Code)
	default:
		had, err = p.view.readLast(b.Code, st.Place, q)
	}
	return Reads{Bag: b.Code, Unit: b.Unit, Book: st.InDrawer(), Qty: q}, had, err
}

// readLast says whether the last reading of a bag in the open count of its place is
// this one.
func (v *View) readLast(bag, place code.Code, q code.Qty) (bool, error) {
	c, err := v.OpenCountAt(place)
	if err != nil || c.Number == 0 {
		return false, err
	}
	lines, err := v.CountLines(CountID{Number: c.Number})
	for _, l := range lines {
		if l.Bag.Code == bag {
			return l.Reading.Quantity == q.N && l.Reading.About == q.About, err
		}
	}
	return false, err
}

// readPlanned books what a workbook counted.
func (t *Tx) readPlanned(p *Plan) error {
	var list []Given
	for _, r := range p.Readings {
		list = append(list, Given{Bag: r.Bag, Qty: r.Qty})
	}
	_, err := t.ReadAll(list, 0)
	return err
}
