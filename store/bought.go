package store

import (
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

// Buy writes a parts camera that came today. A code that is empty is made up;
// the record is returned as it was written.
func (t *Tx) Buy(d Donor) (Donor, error) {
	if d.Code == "" {
		c, err := t.NextCode("donor")
		if err != nil {
			return d, err
		}
		d.Code = c
	} else if _, err := t.Donor(d.Code); err == nil {
		return d, refuseAs(DonorThere, "donor %s is there already", d.Code).of(d.Code)
	}
	if Begin(&d, t.head.Day); d.Bought == 0 {
		d.Bought = t.head.Day
	}
	return d, first(t.Put(d), t.Used("donor", d.Code), t.Sound())
}

// Look writes what was seen of parts on a camera: kind is donor or job. It
// returns the observations that say something new, and what they were before,
// beside them. A customer's camera counts as observed; its pieces never do.
func (t *Tx) Look(kind string, camera code.Code, seen []Seen, anyway bool) (now, before []Seen, err error) {
	had := map[code.Code]Seen{}
	read := t.SeenOn
	if kind == "job" {
		read = t.SeenOnJob
		j, err := t.Job(camera)
		if err != nil {
			return nil, nil, err
		}
		if err := j.TakesPieces(); err != nil && !anyway {
			return nil, nil, err
		}
	} else if _, err := t.Donor(camera); err != nil {
		return nil, nil, err
	}
	all, err := read(camera)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range all {
		had[s.Part] = s
	}
	for _, s := range seen {
		was, is, changed := lookedAgain(had[s.Part], s, kind, camera, t.head.Day)
		if !changed {
			continue
		}
		had[s.Part] = is
		now, before = append(now, is), append(before, was)
		if err := t.Put(is); err != nil {
			return nil, nil, err
		}
	}
	return now, before, nil
}
