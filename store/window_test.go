package store

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

// sizes puts parts of some classes with some of their indexed measures.
func sizes(t *testing.T, s *Store) {
	t.Helper()
	random := rand.New(rand.NewPCG(1, 2))
	mustBook(t, s, func(tx *Tx) error {
		for i := range 700 {
			p := Part{Code: code.Code(fmt.Sprintf("W%03d", i)), Name: "piece", Class: []string{"", "SPR-TOR", "SPR-SPI", "WSH"}[random.IntN(4)], Dims: map[dim.Field]int64{}}
			for _, f := range indexed() {
				if random.IntN(4) > 0 {
					p.Dims[f] = 900 + random.Int64N(60)
				}
			}
			if err := tx.Put(p); err != nil {
				return err
			}
		}
		return nil
	})
}

// measuredIn lists what MeasuredIn comes to: parts, classes and measures, in order. Where all
// measures must be there, parts that lack one are left out, which it may tell.
func measuredIn(t *testing.T, v *View, in []Window, whole bool) (out []string) {
	t.Helper()
	springs := func(class string) bool { return strings.HasPrefix(class, "SPR") }
	err := v.MeasuredIn(in, whole, springs, func(m Measured) error {
		text := fmt.Sprint(m.Part(), m.Class())
		for _, w := range in {
			n, ok := m.Dim(w.Field)
			if whole && !ok {
				return nil
			}
			text += fmt.Sprint(" ", n, ok)
		}
		out = append(out, text)
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	slices.Sort(out)
	return out
}

// What lies in windows is the same whether windows were read before or not: one in the
// other, beside each other or far apart, with more in one than a memo keeps, and once
// somebody has booked.
func TestMeasuredInWhatWasRead(t *testing.T) {
	defer func(n int) { mostSized = n }(mostSized)
	mostSized = 250
	s := newStore(t)
	sizes(t, s)
	s.Remember(nil)
	random := rand.New(rand.NewPCG(3, 4))
	some, spans := 0, 0
	for i := range 400 {
		if i == 200 {
			mustBook(t, s, func(tx *Tx) error {
				return tx.Put(Part{Code: "X1", Name: "piece", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.OD: 920, dim.Wire: 920, dim.FreeLength: 920}})
			})
			s.Remember(s)
		}
		var in []Window
		for _, i := range random.Perm(len(indexed()))[:1+random.IntN(3)] {
			lo := 890 + random.Int64N(70)
			in = append(in, Window{indexed()[i], lo, lo + random.Int64N(30)})
		}
		whole := random.IntN(2) > 0
		var want, got []string
		kept := s.memo
		s.memo = nil
		err := s.View(func(v *View) error { want = measuredIn(t, v, in, whole); return nil })
		s.memo = kept
		err = cmp.Or(err, s.View(func(v *View) error { got = measuredIn(t, v, in, whole); return nil }))
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%v: %q, want %q, %v", in, got, want, err)
		}
		some, spans = some+len(want), spans+len(kept.spans)
	}
	if some == 0 || spans == 0 || len(s.memo.wide) == 0 {
		t.Errorf("%d parts, %d lists of them kept, and windows with too many of %d measures", some, spans, len(s.memo.wide))
	}
}

// Of two windows the one that holds fewer parts is read, and of several that were read
// before the one with the fewest.
func TestNarrowestWindow(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(tx *Tx) error {
		for i := range int64(300) {
			p := Part{Code: code.Code(fmt.Sprintf("W%03d", i)), Name: "spring", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.OD: 6000, dim.Wire: 300 + i, dim.FreeLength: 5000}}
			if err := tx.Put(p); err != nil {
				return err
			}
		}
		return nil
	})
	in := []Window{{dim.OD, 5900, 6100}, {dim.FreeLength, 4000, 6000}, {dim.Wire, 430, 470}}
	narrowest := func() (by int) {
		if err := s.View(func(v *View) error { by = v.narrowest(in); return nil }); err != nil {
			t.Error(err)
		}
		return by
	}
	if by := narrowest(); by != 2 {
		t.Errorf("window %d is read", by)
	}
	s.Remember(nil)
	err := s.View(func(v *View) error {
		return v.MeasuredIn(in[1:2], false, func(string) bool { return true }, func(Measured) error { return nil })
	})
	if by := narrowest(); err != nil || by != 1 {
		t.Errorf("window %d is read, and that of the free length was, %v", by, err)
	}
}

// Every measure that has an index has its place.
func TestIndexedAt(t *testing.T) {
	for _, f := range indexed() {
		if _, ok := indexedAt(f); !ok {
			t.Errorf("%s has no place", dim.Of(f).Key)
		}
	}
}
