package store

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"tinful/store/code"
)

// Shares splits an amount: who is given something has that, the others have
// equal shares of the rest, by the largest remainder: what does not divide goes a
// cent each to the first of them. The shares add up to the amount. It returns an
// [ErrRefused] where what is given is more than there is, or is given to all and
// adds up to less. An amount below zero is refused too.
func Shares(total code.Cents, given []*code.Cents) ([]code.Cents, error) {
	out := make([]code.Cents, len(given))
	rest, open := total, int64(0)
	for i, g := range given {
		if g == nil {
			open++
			continue
		}
		if *g < 0 {
			return nil, refuse("%s is no share: it is below zero", *g)
		}
		out[i] = *g
		rest -= *g
	}
	switch {
	case total < 0:
		return nil, refuse("%s is no price: it is below zero", total)
	case rest < 0:
		return nil, refuse("the shares come to %s, and %s was paid", total-rest, total)
	case open == 0 && rest > 0:
		return nil, refuse("the shares come to %s, and %s was paid: %s are left over", total-rest, total, rest)
	}
	for i, g := range given {
		if g != nil {
			continue
		}
		out[i] = rest / code.Cents(open)
		if rest%code.Cents(open) != 0 {
			out[i]++
		}
		rest, open = rest-out[i], open-1
	}
	return out, nil
}

// A Purchase is what was bought at once, for one price.
type Purchase struct {
	Lot         bool   // several cameras
	Name        string // of the lot; the next where it has none
	Price, Post code.Cents
	Cameras     []Purchased
}

// A Purchased is one camera of a purchase.
type Purchased struct {
	Donor       Donor       // what is known of it; without a code it gets the next, without a place that of most others
	Price, Post *code.Cents // its own, nil for an equal share of the rest
}

// A PurchaseError says which camera of a purchase, from 0, an error speaks of. It
// unwraps to the error.
type PurchaseError struct {
	Nth int
	Err error
}

// Error is the text of what is wrong with the camera.
func (e *PurchaseError) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong with the camera.
func (e *PurchaseError) Unwrap() error { return e.Err }

// Purchase books parts cameras in, and splits what was paid, to the cent. It returns a
// [PurchaseError] where one of the cameras cannot be booked.
func (t *Tx) Purchase(p Purchase) ([]Donor, error) {
	var price, post []*code.Cents
	for _, a := range p.Cameras {
		price, post = append(price, a.Price), append(post, a.Post)
	}
	prices, err := Shares(p.Price, price)
	if err != nil {
		return nil, fmt.Errorf("the price: %w", err)
	}
	posts, err := Shares(p.Post, post)
	if err != nil {
		return nil, fmt.Errorf("the post: %w", err)
	}
	if p.Lot && p.Name == "" {
		if p.Name, err = t.NextLot(); err != nil {
			return nil, err
		}
	}
	var out []Donor
	for i, a := range p.Cameras {
		d := a.Donor
		d.Lot, d.Price, d.Post = p.Name, &prices[i], &posts[i]
		if d.Place == "" {
			if d.Place, err = t.PlaceOfDonors(); err != nil {
				return out, err
			}
		}
		if d, err = t.buy(d); err != nil {
			return out, &PurchaseError{i, err}
		}
		out = append(out, d)
	}
	return out, nil
}

// NextLot is a name for a new lot: L and the number after the highest.
func (v *View) NextLot() (string, error) {
	best := 0
	err := v.EachDonor(func(d Donor) error {
		if n, err := strconv.Atoi(strings.TrimPrefix(d.Lot, "L")); err == nil && strings.HasPrefix(d.Lot, "L") {
			best = max(best, n)
		}
		return nil
	})
	return fmt.Sprintf("L%d", best+1), err
}

// InLot lists the donors that were bought in one lot, in order of codes.
func (v *View) InLot(lot string) ([]Donor, error) {
	var out []Donor
	for _, c := range v.codes(bDonorByLot, prefix(lot)) {
		d, err := v.Donor(c)
		if err != nil {
			return out, err
		}
		out = append(out, d)
	}
	return out, nil
}

// PlaceOfDonors is where most of the own parts cameras stand that are not
// stripped, empty where none stands anywhere.
func (v *View) PlaceOfDonors() (code.Code, error) {
	count := map[code.Code]int{}
	var best code.Code
	err := v.EachDonor(func(d Donor) error {
		if d.Owner != Own || d.Place == "" || d.State == "stripped" || d.State == "shell" {
			return nil
		}
		count[d.Place]++
		if best == "" || count[d.Place] > count[best] {
			best = d.Place
		}
		return nil
	})
	return best, err
}

// buy writes a parts camera that came today. A code that is empty is made up;
// the record is returned as it was written.
func (t *Tx) buy(d Donor) (Donor, error) {
	if d.Code == "" {
		c, err := t.NextCode("donor")
		if err != nil {
			return d, err
		}
		d.Code = c
	} else if _, err := t.Donor(d.Code); err == nil {
		return d, refuseAs(ThereAlready, "donor %s is there already", d.Code).of("donor", d.Code)
	}
	if Begin(&d, t.head.Day); d.Bought == 0 {
		d.Bought = t.head.Day
	}
	return d, cmp.Or(t.Put(d), t.Used("donor", d.Code), t.Sound())
}
