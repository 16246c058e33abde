package ask

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
)

// source: the measures of the demo workshop's parts; what lacks is by hand
func TestSpringOf(t *testing.T) {
	tor := store.Part{Code: "P003", Class: "SPR-TOR", Dims: coiled(150, 1600, 4500), Marks: marks(dim.Material, "steel")}
	s, missing, err := SpringOf(tor)
	if err != nil || len(missing) > 0 || s.Wire != 150 || s.OD != 1600 || s.Coils != 4500 || s.Material.Key != "A228" || s.Spread.Wire != 5 || s.Spread.Across != 30 {
		t.Errorf("%+v, %v, %v", s, missing, err)
	}
	inside := store.Part{Code: "P900", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.Wire: 150, dim.ID: 1300, dim.Coils: 4500}}
	if s, _, _ := SpringOf(inside); s.OD != 1600 {
		t.Errorf("an inside of 1.3 and wire of 0.15 is an outside of %d, want 1600", s.OD)
	}
	for _, r := range []struct {
		p    store.Part
		want string
	}{
		{store.Part{Class: "SPR-CMP", Dims: coiled(180, 1400, 7000)}, "ends or active coils"},
		{store.Part{Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.Wire: 180}}, "outside or mean diameter, coils"},
		{store.Part{Class: "SPR-FLAT", Dims: map[dim.Field]int64{dim.Thick: 180}}, "width, length"},
		{store.Part{Class: "SPR-TOR", Dims: coiled(180, 1400, 7000), Marks: marks(dim.Material, "tombac")}, "a material whose modulus is known"},
		{store.Part{Class: "SPR-SPI", Dims: map[dim.Field]int64{dim.Thick: 120, dim.Height: 2000, dim.OD: 11_000}}, "length of the strip, or coils with inside and outside"},
		{store.Part{Class: "SPR-HAIR", Dims: map[dim.Field]int64{dim.Thick: 30, dim.Width: 200, dim.Length: 90_000}}, ""},
	} {
		if _, missing, err := SpringOf(r.p); err != nil || strings.Join(missing, ", ") != r.want {
			t.Errorf("%+v lacks %v, %v, want %s", r.p, missing, err, r.want)
		}
	}
	for _, class := range []string{"SPR-WIRE", "SCR-CSK", ""} {
		if _, _, err := SpringOf(store.Part{Class: class}); !errors.Is(err, store.ErrRefused) {
			t.Errorf("%s: %v", class, err)
		}
	}
}

// shop is the workshop with more springs like P001, and wire. P001 gets a post.
func shop(t *testing.T) *store.Store {
	s := workshop(t)
	add := func(tx *store.Tx, c, hand string, dims map[dim.Field]int64) error {
		p := store.Part{Code: code.Code(c), Name: "spring " + c, Class: "SPR-TOR", Dims: dims}
		if hand != "" {
			p.Marks = marks(dim.Hand, hand)
		}
		return tx.Put(p)
	}
	_, err := s.Book(store.Head{Day: 22001, Today: 22001, By: "H", Command: "test"}, func(tx *store.Tx) error {
		with := coiled(250, 2600, 3250, 6000, 4500)
		with[dim.Post] = 1800
		stiff := coiled(300, 2600, 3250)
		for _, err := range []error{
			tx.Put(store.Place{Code: "K9"}),
			tx.Put(store.Part{Code: "P001", Name: "release lever return spring", Class: "SPR-TOR", Twin: "P002", Dims: with, Marks: marks(dim.Hand, "right")}),
			add(tx, "P090", "right", coiled(250, 2700, 3000, 6500)), // 2.35*3.25 / (2.45*3) = 1.0391
			add(tx, "P091", "left", coiled(250, 2700, 3000)),
			add(tx, "P092", "right", coiled(220, 2220, 2250)), // 0.88^4 * 2.35*3.25 / (2*2.25) = 1.0178, inside 1.78
			add(tx, "P093", "", coiled(250, 2600, 3250)),
			add(tx, "P094", "right", stiff),
			add(tx, "P095", "right", map[dim.Field]int64{dim.Wire: 250, dim.OD: 2600}),
			tx.Put(store.Part{Code: "R001", Name: "music wire", Class: "RAW-WIRE", Dims: map[dim.Field]int64{dim.Wire: 260}, Marks: marks(dim.Material, "music wire")}),
			tx.Put(store.Part{Code: "R002", Name: "thick wire", Class: "RAW-WIRE", Dims: map[dim.Field]int64{dim.Wire: 800}}),
			tx.Put(store.Part{Code: "R003", Name: "tombac", Class: "RAW-WIRE", Dims: map[dim.Field]int64{dim.Wire: 240}, Marks: marks(dim.Material, "tombac")}),
		} {
			if err != nil {
				return err
			}
		}
		for _, b := range []store.Bag{
			{Code: "B900", Part: "R001", Quantity: 2000, Unit: "mm", Place: "K9", Origin: "bought"}, {Code: "B901", Part: "R002", Quantity: 1, Origin: "bought"},
			{Code: "B902", Part: "R003", Quantity: 1, Origin: "bought"}, {Code: "B903", Part: "R001", Quantity: 1, Origin: "bought", Owner: "customer 6"},
		} {
			if _, err := tx.PutIn(b); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// source: by hand, the total rate goes as d^4 / (D N + L / (3 pi)): of P001 2.35 *
// 3.25 + 10.5/9.42478 = 8.7516; of P090, one leg of 6.5 and one reckoned as its mean of
// 2.45, 7.35 + 8.95/9.42478 = 8.2996, 1.0545 times as stiff; of P093, no leg measured,
// 7.6375 + 4.7/9.42478 = 8.1362, 1.0756; of P091 7.35 + 4.9/9.42478 = 7.8699, 1.1120
func TestLikeSpring(t *testing.T) {
	view(t, shop(t), func(v *store.View) error {
		p, err := v.Part("P001")
		if err != nil {
			return err
		}
		got, err := LikeSpring(v, p, 12)
		if err != nil {
			return err
		}
		var codes []string
		for _, l := range got.Like {
			codes = append(codes, string(l.Part))
		}
		if !slices.Equal(codes, []string{"P090", "P093"}) {
			t.Errorf("alike are %v, want P090 and P093: P092 does not go over the post, P094 is stiffer", codes)
		}
		said := func(l Alike) string { return strings.Join(store.Texts(l.Difference), "; ") }
		if l := got.Like[0]; math.Abs(l.Percent-5.45) > 0.01 || l.Sure || l.Low > 0 || l.High < 5 || math.Abs(*l.Inside-2.2) > 1e-9 ||
			!strings.Contains(said(l), "outside diameter +0.1") || !strings.Contains(said(l), "legs of P090 not measured") {
			t.Errorf("%+v", l)
		}
		if l := got.Like[1]; math.Abs(l.Percent-7.56) > 0.01 || !strings.Contains(said(l), "the hand of P093 is not recorded: look") || l.Difference[len(l.Difference)-1].Kind != HandUnknown {
			t.Errorf("%+v", l)
		}
		traps := strings.Join(store.Texts(got.Traps), "; ")
		if len(got.Traps) != 2 || !strings.Contains(traps, "P002") || !strings.Contains(traps, "P091") || !strings.Contains(traps, "wound left-hand: never in its place") {
			t.Errorf("traps %q", got.Traps)
		}
		if !slices.Equal(got.Lacking, []string{"P095 (coils)"}) {
			t.Errorf("lacking %q", got.Lacking)
		}
		bare, err := v.Part("P095")
		if err != nil {
			return err
		}
		if _, err := LikeSpring(v, bare, 10); !errors.Is(err, store.ErrRefused) || err.Error() != "of P095 spring P095 the rate needs coils" {
			t.Errorf("of a part without coils: %v", err)
		}
		return nil
	})
}

// source: by hand: of 0.26 wire on an inside of 2.10 the mean is 2.36, the legs stay
// 10.5 long: (1.04^4 * 8.7516 - 10.5/9.42478) / 2.36 = 3.8661 coils, to the quarter
// 3.75
func TestMake(t *testing.T) {
	view(t, shop(t), func(v *store.View) error {
		p, err := v.Part("P001")
		if err != nil {
			return err
		}
		m, err := Make(v, p)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(m.Lines, func(l MakeLine) bool { return l.Bag != "" })
		if i < 0 {
			t.Fatalf("no wire of the house: %+v", m.Lines)
		}
		if l := m.Lines[i]; l.Bag != "B900" || l.Place != "K9" || math.Abs(l.Exact-3.8661) > 0.0005 || l.Coils != 3.75 || l.OD != 2.62 || l.Why[len(l.Why)-1].Kind != WireFree || l.Why[len(l.Why)-1].Text != "2000 mm free" {
			t.Errorf("%+v", l)
		}
		var from []string
		for _, l := range m.Lines {
			from = append(from, l.From+l.Number)
		}
		// a metric step of 0.25; music wire 0 is 0.229 and 1 is 0.254 mm
		if want := []string{"metric0.25", "music1", "bag", "music0"}; !slices.Equal(from, want) {
			t.Errorf("%v, want %v", from, want)
		}
		notes := strings.Join(m.Notes, "; ")
		for _, want := range []string{"wind it right-hand", "leg A 6 mm", "B902 tombac is left out"} {
			if !strings.Contains(notes, want) {
				t.Errorf("notes %q lack %q", m.Notes, want)
			}
		}
		if !strings.Contains(strings.Join(m.Cautions, "; "), "eye protection") {
			t.Errorf("cautions %q", m.Cautions)
		}
		bare, err := v.Part("P095")
		if err != nil {
			return err
		}
		if m, err := Make(v, bare); err != nil || !slices.Equal(m.Missing, []string{"coils"}) || len(m.Lines) > 0 {
			t.Errorf("without coils: %+v, %v", m, err)
		}
		if _, err := Make(v, store.Part{Code: "P014", Class: "SPR-FLAT", Dims: map[dim.Field]int64{dim.Thick: 350}}); !errors.Is(err, store.ErrRefused) {
			t.Errorf("a flat spring of wire: %v", err)
		}
		return nil
	})
}

// source: as agreed, stored energy is told of door and mainsprings
func TestSpringCautions(t *testing.T) {
	for _, r := range []struct {
		hazard string
		wire   int64
		making bool
		want   int
	}{{"", 150, false, 0}, {"", 150, true, 1}, {"", 800, false, 1}, {"", 800, true, 2}, {"stored energy", 800, false, 1}, {"stored energy", 360, true, 2}} {
		got := SpringCautions(store.Part{Class: "SPR-TOR", Hazard: r.hazard}, spring.Spring{Wire: r.wire}, r.making)
		if len(got) != r.want {
			t.Errorf("%+v: %q", r, got)
		}
	}
}

func TestSpringTraps(t *testing.T) {
	inside := 1.0
	p := store.Part{Code: "P1", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.Post: 1100}, Marks: marks(dim.Hand, "right")}
	if got := GripsPost(p, &inside); got != "its inside is 1.00 then: it grips its post of 1.1" {
		t.Errorf("%q", got)
	}
	if inside = 1.1; GripsPost(p, &inside) != "" {
		t.Error("an inside of 1.1 goes over a post of 1.1")
	}
	tight, wide := spring.Spring{Class: spring.Torsion, Wire: 200, OD: 1400}, spring.Spring{Class: spring.Torsion, Wire: 200, OD: 1600}
	for _, r := range []struct {
		hand string
		s    spring.Spring
		want []store.ReasonKind
	}{{"left", tight, []store.ReasonKind{OtherHand, PostTooBig}}, {"R", wide, nil}, {"", wide, []store.ReasonKind{HandUnknown}}} {
		o := store.Part{Code: "P2", Class: "SPR-TOR"}
		if r.hand != "" {
			o.Marks = marks(dim.Hand, r.hand)
		}
		if got := SpringTraps(p, o, r.s); !slices.Equal(store.ReasonKinds(got), r.want) && len(got)+len(r.want) > 0 {
			t.Errorf("%q: %+v, want %v", r.hand, got, r.want)
		}
	}
	a, b := store.Part{Code: "P1", Class: "SPR-SPI"}, store.Part{Code: "P2", Class: "SPR-SPI"}
	if got := SpringTraps(a, b, spring.Spring{Class: spring.Spiral}); len(got) != 1 || got[0].Text != "the hand of P1 and P2 is not recorded: look" {
		t.Errorf("clock springs: %+v", got)
	}
	if got := SpringTraps(store.Part{Class: "SPR-CMP"}, store.Part{Class: "SPR-CMP"}, spring.Spring{Class: spring.Compression, Wire: 200, OD: 1600}); len(got) != 0 {
		t.Errorf("the hand of a compression spring: %+v", got)
	}
}

// source: as in TestLikeSpring by hand: P090 is 1.0545 times as stiff as P001
func TestSpringAgainst(t *testing.T) {
	with := coiled(250, 2600, 3250, 6000, 4500)
	p, o := store.Part{Code: "P001", Class: "SPR-TOR", Dims: with}, store.Part{Code: "P090", Class: "SPR-TOR", Dims: coiled(250, 2700, 3000, 6500), Marks: marks(dim.Hand, "right")}
	got := springAgainst(p, o)
	if len(got) != 2 || got[0].Kind != Stiffness || !strings.HasPrefix(got[0].Text, "in all 5 % stiffer, between -") || got[1].Text != "the hand of P001 is not recorded: look" {
		t.Errorf("%+v", got)
	}
	if got := springAgainst(store.Part{Class: "SCR-CSK"}, o); len(got) != 0 {
		t.Errorf("of a screw: %+v", got)
	}
}
