package store

import (
	"cmp"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

func bookAll(t *testing.T, s *Store, fn func(*Tx) error) Result {
	t.Helper()
	res, err := s.Book(Head{Day: 100, Today: 100, By: "R"}, fn)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// The rule, as agreed: same makes two names one part.
func TestSame(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	hand := func(h string) map[dim.Field]string { return map[dim.Field]string{dim.Hand: h} }
	bookAll(t, s, func(x *Tx) error {
		return cmp.Or(
			x.Put(Model{Code: "M1", Kind: "camera"}), x.Put(Model{Code: "M2", Kind: "camera"}), x.Put(Donor{Code: "PC-01", Model: "M1"}),
			x.Put(Part{Code: "P001", Name: "click spring", Class: "SPR-TOR", Marks: hand("right")}),
			x.Put(Part{Code: "P002", Name: "counter pawl spring", Class: "SPR-TOR", Marks: hand("right")}),
			x.Put(Part{Code: "P003", Name: "click spring", Class: "SPR-TOR", Marks: hand("left"), Twin: "P001"}),
			x.Put(Part{Code: "P004", Name: "click", Class: "LEV"}),
			x.Put(Part{Code: "P005", Name: "counter", Class: "ASM", Holds: []code.Code{"P001"}}),
			x.Put(Goes{Part: "P001", Model: "M1", Degrees: []string{"no"}}), x.Put(Goes{Part: "P002", Model: "M1", Degrees: []string{"direct"}}),
			x.Put(Goes{Part: "P001", Model: "M2", Degrees: []string{"direct"}}),
			x.Put(Seen{Donor: "PC-01", Part: "P001", Seen: "missing"}), x.Put(Want{Date: 90, Part: "P001"}),
			func() error { _, err := x.PutIn(Bag{Part: "P001", Quantity: 3, Grade: "usable"}); return err }())
	})
	for _, no := range [][2]code.Code{{"P004", "P002"}, {"P003", "P002"}, {"P003", "P001"}, {"P001", "P001"}, {"P001", "P005"}} {
		_, err := s.Book(Head{Day: 100}, func(x *Tx) error { return x.Same(no[0], no[1], "") })
		if !errors.Is(err, ErrRefused) {
			t.Errorf("Same(%s, %s): %v, want it refused", no[0], no[1], err)
		}
	}
	res := bookAll(t, s, func(x *Tx) error { return x.Same("P001", "P002", "") })
	joined(t, s, true)
	if _, err := s.Undo(Head{Day: 100, By: "R"}, res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	joined(t, s, false)
}

// joined holds what follows from P001 being a second name of P002, or not.
func joined(t *testing.T, s *Store, is bool) {
	t.Helper()
	have, other, bags := code.Code("P001"), code.Code("P001"), int64(0)
	if is {
		other, bags = "P002", 3
	}
	err := s.View(func(v *View) error {
		p, err := v.Part(have)
		if err != nil || p.Code != other {
			t.Errorf("P001 is %s, %v, want %s", p.Code, err, other)
		}
		f, err := v.Figure("P002")
		if err != nil || f.OnHand() != bags {
			t.Errorf("P002 has %d on hand, %v, want %d", f.OnHand(), err, bags)
		}
		if f, _ := v.Figure("P001"); f.OnHand() != 3-bags {
			t.Errorf("P001 has %d on hand, want %d", f.OnHand(), 3-bags)
		}
		if g, _ := v.GoesOn("P002", "M1"); len(g) != 1 || g[0].Degrees[0] != "direct" {
			t.Errorf("of P002 and M1 is said %v", g)
		}
		if g, _ := v.GoesOn(other, "M2"); len(g) != 1 {
			t.Errorf("of %s and M2 is said %v", other, g)
		}
		if n := v.OpenWants(other); n != 1 {
			t.Errorf("%s has %d open wants, want 1", other, n)
		}
		if l := v.SeenOf(other); len(l) != 1 {
			t.Errorf("%s was seen on %v", other, l)
		}
		if u := v.UnitsWith(other); len(u) != 1 {
			t.Errorf("%s is in %v", other, u)
		}
		if tw := v.TwinsOf(other); len(tw) != 1 || tw[0] != "P003" {
			t.Errorf("twins of %s: %v", other, tw)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Names that fit a cell of a workbook each, 32767 characters, and not together.
func TestSameNamesFitACell(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error {
		return putAll(t, Part{Code: "P8", Name: "x", Aliases: []string{strings.Repeat("a", 20000)}}, Part{Code: "P9", Name: "y", Aliases: []string{strings.Repeat("b", 20000)}})
	})
	refused(t, s, func(t *Tx) error { return t.Same("P8", "P9", "") })
}
