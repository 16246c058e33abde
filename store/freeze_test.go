package store

import (
	"cmp"
	"testing"

	"tinful/store/code"
)

// The split of a parts camera is written whole or not at all, and undo takes it
// back: the rules are those of Freeze.
func TestFreeze(t *testing.T) {
	s := newStore(t)
	cents := func(n code.Cents) *code.Cents { return &n }
	mustBook(t, s, func(t *Tx) error {
		return cmp.Or(
			putAll(t, Donor{Code: "PC-1", Model: "A-1", Owner: Own, Price: cents(1000), Post: cents(250)},
				Donor{Code: "PC-2", Model: "A-1", Owner: "customer 5", Price: cents(1000)}, Donor{Code: "PC-3", Model: "A-1", Owner: Own}),
			func() error {
				_, err := t.PutIn(Bag{Code: "B11", Part: "P1", Origin: "PC-1", Quantity: 1, Grade: "ready", Place: "K1"})
				return err
			}(),
			func() error {
				_, err := t.PutIn(Bag{Code: "B12", Part: "P4", Origin: "PC-1", Quantity: 1, Grade: "ready", Place: "K1"})
				return err
			}())
	})
	good := []Share{{"B11", 700}, {"B12", 300}}
	for name, no := range map[string]struct {
		donor   code.Code
		shares  []Share
		carcass code.Cents
	}{
		"a customer's":          {"PC-2", good, 0},
		"without a price":       {"PC-3", good, 0},
		"nothing came out":      {"PC-1", nil, 1250},
		"a bag from elsewhere":  {"PC-1", []Share{{"B11", 700}, {"B1", 300}}, 250},
		"does not add up":       {"PC-1", good, 249},
		"adds up to price only": {"PC-1", good, 0},
	} {
		t.Run(name, func(*testing.T) {
			refused(t, s, func(t *Tx) error { return t.Freeze(no.donor, no.shares, no.carcass) })
		})
	}
	frozen := func(day code.Day, first, second, carcass *code.Cents) {
		t.Helper()
		var d Donor
		var a, b Bag
		err := s.View(func(v *View) (err error) {
			if d, err = v.Donor("PC-1"); err != nil {
				return err
			}
			if a, err = v.Bag("B11"); err != nil {
				return err
			}
			b, err = v.Bag("B12")
			return err
		})
		same := func(x, y *code.Cents) bool { return x == y || x != nil && y != nil && *x == *y }
		if err != nil || d.Frozen != day || !same(a.Cost, first) || !same(b.Cost, second) || !same(d.Carcass, carcass) {
			t.Errorf("frozen %v, %v %v and %v in the body (%v), want %v, %v %v and %v", d.Frozen, a.Cost, b.Cost, d.Carcass, err, day, first, second, carcass)
		}
	}
	frozen(0, nil, nil, nil)
	res := mustBook(t, s, func(t *Tx) error { return t.Freeze("PC-1", good, 250) })
	frozen(day0, cents(700), cents(300), cents(250))
	refused(t, s, func(t *Tx) error { return t.Freeze("PC-1", good, 250) })
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	frozen(0, nil, nil, nil)
}
