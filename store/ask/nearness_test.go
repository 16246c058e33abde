package ask

import (
	"slices"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/dim"
)

// nearTo holds a part against what measures as another does.
func nearTo(t *testing.T, to, p store.Part) (match string, x nearness) {
	t.Helper()
	q, ok := LikePart(to)
	if !ok || !underAny(p.Class, q.Class) {
		return "", nearness{}
	}
	x, err := q.against(p, q.gauges(p.Class))
	if err != nil {
		t.Fatal(err)
	}
	return x.how.match(), x
}

// The tolerances are those of the table of dimensions: a screw within 0.2 mm is the
// same, one up to 1.5 mm longer can be shortened (common practice, no source).
func TestNear(t *testing.T) {
	screw := func(seat, class, cell string, length int64) store.Part {
		return store.Part{Code: "P1", Seat: seat, Class: class, Marks: marks(dim.Thread, cell), Dims: map[dim.Field]int64{dim.Length: length, dim.Head: 2300}}
	}
	spring := func(hand string, wire, legA int64) store.Part {
		p := store.Part{Code: "P2", Seat: "wind", Class: "SPR-TOR", Dims: coiled(wire, 1950, 3000, legA, 5500), Marks: map[dim.Field]string{}}
		if hand != "" {
			p.Marks[dim.Hand] = hand
		}
		return p
	}
	to := screw("top", "SCR-CHS", "loewenherz 1.4x0.30", 2000)
	for _, tt := range []struct {
		name        string
		to, p       store.Part
		match, work string
		kinds       []store.ReasonKind
	}{
		{"equal", to, to, "same", "", nil},
		{"longer", to, screw("top", "SCR-CHS", "loewenherz 1.4x0.30", 2800), "near", "shorten by 0.8", []store.ReasonKind{ToShorten}},
		{"shorter", to, screw("top", "SCR-CHS", "loewenherz 1.4x0.30", 1500), "", "", nil},
		{"another seat", to, screw("base", "SCR-CHS", "loewenherz 1.4x0.30", 2000), "", "", nil},
		{"no seat", to, screw("", "SCR-CHS", "loewenherz 1.4x0.30", 2000), "", "", nil},
		{"another class", to, screw("top", "SCR-PAN", "loewenherz 1.4x0.30", 2000), "", "", nil},
		{"another form", to, screw("top", "SCR-CHS", "metric 1.4x0.30", 2000), "", "", nil},
		{"another hand of the thread", to, screw("top", "SCR-CHS", "loewenherz 1.4x0.30 LH", 2000), "", "", nil},
		{"the opposite hand", spring("left", 200, 5500), spring("right", 200, 5500), "", "", nil},
		{"its hand not recorded", spring("left", 200, 5500), spring("", 200, 5500), "near", "", []store.ReasonKind{Unmeasured}},
		{"a longer leg", spring("left", 200, 5500), spring("left", 200, 6500), "near", "cut leg A by 1", []store.ReasonKind{ToCut}},
		{"thicker wire", spring("left", 200, 5500), spring("left", 220, 5500), "near", "", []store.ReasonKind{Measures}},
		{"too little recorded", store.Part{Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.Wire: 200}}, spring("left", 200, 5500), "", "", nil},
	} {
		match, x := nearTo(t, tt.to, tt.p)
		if match == "" {
			x = nearness{} // what differed before is of no use
		}
		if kinds := store.ReasonKinds(x.differences); match != tt.match || strings.Join(x.work, ", ") != tt.work || !slices.Equal(kinds, tt.kinds) {
			t.Errorf("%s: %q, %q, %v, want %q, %q, %v", tt.name, match, strings.Join(x.work, ", "), kinds, tt.match, tt.work, tt.kinds)
		}
	}
}

// The indexes leave nothing out: what find answers to the measures of a part is what
// holding each part against them says.
func TestNearIsWhatFindFinds(t *testing.T) {
	s := crowd(t)
	view(t, s, func(v *store.View) error {
		return v.EachPart(func(to store.Part) error {
			q, ok := LikePart(to)
			if !ok {
				return nil
			}
			r := read(v)
			found, _ := find(r, q, true)
			if r.err != nil {
				return r.err
			}
			got := map[string]string{}
			for _, p := range found.Parts {
				got[string(p.Part)] = p.Match
			}
			return v.EachPart(func(p store.Part) error {
				if match, _ := nearTo(t, to, p); match != got[string(p.Code)] {
					t.Errorf("%s to %s: near says %q, find %q", p.Code, to.Code, match, got[string(p.Code)])
				}
				return nil
			})
		})
	})
}
