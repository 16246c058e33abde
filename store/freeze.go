package store

import (
	"cmp"
	"tinful/store/code"
)

// A Share is what one bag costs of the price of the parts camera it came from.
type Share struct {
	Bag  code.Code
	Cost code.Cents // for all that is in the bag
}

// Costed refuses a parts camera whose cost cannot be shared: it is not the
// workshop's, or neither price nor post is noted.
func (d Donor) Costed() error {
	switch {
	case d.Owner == OwnerHeld:
		return refuse("%s is an uncollected repair whose notice runs: what it cost is not the workshop's to share", d.Code)
	case d.Owner != Own:
		return refuse("%s belongs to %s: what it cost is not the workshop's to share", d.Code, or(d.Owner, "nobody known"))
	case d.Price == nil && d.Post == nil:
		return refuseAs(NoPrice, "no price of %s is noted", d.Code).of(d.Code)
	}
	return nil
}

// Freeze writes the shares of a parts camera's price into its bags and notes
// the day and what stayed in the body: the split stays as it is, whatever
// becomes of a piece. It refuses what [Donor.Costed] refuses, a camera that is
// frozen already or gave nothing, a bag that came from elsewhere, and shares
// that do not add up to what was paid.
func (t *Tx) Freeze(donor code.Code, shares []Share, carcass code.Cents) error {
	d, err := t.Donor(donor)
	if err := cmp.Or(err, d.Costed()); err != nil {
		return err
	}
	switch {
	case d.Frozen != 0:
		return refuse("the price of %s was shared for good on %s: the split stays, unless that booking is undone", d.Code, d.Frozen)
	case len(shares) == 0:
		return refuse("nothing was booked in from %s yet: put its parts away first", d.Code)
	}
	sum := carcass
	for _, s := range shares {
		b, err := t.Bag(s.Bag)
		if err != nil {
			return err
		}
		if b.Origin != string(d.Code) {
			return refuse("%s came from %s, not from %s", b.Code, or(b.Origin, "nobody knows where"), d.Code)
		}
		sum += s.Cost
		b.Cost = &s.Cost
		if err := t.Put(b); err != nil {
			return err
		}
	}
	if sum != d.Paid() {
		return refuse("the shares come to %s, %s was paid for %s", sum, d.Paid(), d.Code)
	}
	d.Frozen, d.Carcass = t.head.Day, &carcass
	return t.Put(d)
}
