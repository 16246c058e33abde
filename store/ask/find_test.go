package ask

import (
	"errors"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"

	"github.com/google/go-cmp/cmp"
)

func w(s string) []string { return strings.Fields(s) }

func TestFind(t *testing.T) {
	s := workshop(t)
	measure := func(kv ...int64) map[dim.Field]Range {
		m := map[dim.Field]Range{}
		for i := 0; i < len(kv); i += 2 {
			m[dim.Field(kv[i])] = Range{Want: kv[i+1]}
		}
		return m
	}
	wire, od, coils, legA := int64(dim.Wire), int64(dim.OD), int64(dim.Coils), int64(dim.LegA)
	tests := []struct {
		name   string
		q      Query
		want   string // parts and their match
		traps  []string
		source string
	}{
		{"exact name first", Query{Words: w("counter pawl spring")}, "P003 exact", nil, "the rule: words: all must hit"},
		{"all words hit", Query{Words: w("pawl spring")}, "P003 word, P004 word", nil, "the rule: words"},
		{"code, forgiving", Query{Words: w("p3")}, "P003 exact", nil, "the rule: codes"},
		{"German", Query{Words: w("klinkenfeder")}, "P003 word", nil, "demo parts.csv, aliases"},
		{"one letter wrong", Query{Words: w("pawk spring")}, "P003 fuzzy, P004 fuzzy", nil, "the rule: words: fuzzy"},
		{"never fuzzy on digits", Query{Words: w("p999")}, "", nil, "the rule: words"},
		{"class word", Query{Words: w("Schenkelfeder"), Camera: store.Camera{Model: "W2-A", Shutter: "HAL-00"}},
			"P001 word, P003 word, P011 word", []string{"P002 release lever return spring does not go into W2-A"}, "demo goes.csv; README, P002 follows from Twin"},
		{"in the shutter it may carry", Query{Words: w("mainspring"), Camera: store.Camera{Model: "W1-B"}}, "P011 word", nil, "demo README, P011 for job 101"},
		{"not in another shutter", Query{Words: w("mainspring"), Camera: store.Camera{Model: "W1-B", Shutter: "ORV-00"}}, "", nil, "demo README, P011 for job 101"},
		{"thread form", Query{Words: w("top plate screw"), Camera: store.Camera{Model: "W1-B"}}, "P021 word",
			[]string{"P022 top plate screw, countersunk does not go into W1-B"}, "demo goes.csv"},
		{"question 1 at a bench", Query{Class: []string{"SPR-TOR"}, Dims: measure(wire, 200, od, 2000, coils, 3000, legA, 5000), Marks: marks(dim.Hand, "left")},
			"P004 same", nil, "demo README, question 1"},
		{"other hand never", Query{Class: []string{"SPR"}, Dims: measure(wire, 250, od, 2600), Marks: marks(dim.Hand, "L")},
			"P002 same", []string{"P001 release lever return spring is right-hand"}, "common practice, no source: hand"},
		{"same, bounds inclusive", Query{Dims: measure(wire, 240, od, 2500)}, "P001 same, P002 same", nil, "common practice, no source: 0.01 and 0.10"},
		{"near, bounds inclusive", Query{Dims: measure(wire, 230, od, 2350)}, "P001 near, P002 near", nil, "common practice, no source: 0.02 and 0.25"},
		{"beyond near", Query{Dims: measure(wire, 229, od, 2600)}, "", nil, "common practice, no source: 0.02"},
		{"not recorded is near", Query{Dims: measure(od, 4800, legA, 7000)}, "P011 near", nil, "the rule: dim"},
		{"longer leg can be cut", Query{Dims: measure(od, 2000, legA, 3000)}, "P004 near", nil, "common practice, no source: leg"},
		{"thread without form", Query{Marks: marks(dim.Thread, "1.7x0.35")}, "P021 same, P022 same, P037 same, P039 same", nil, "demo README, question 2"},
		{"thread with form", Query{Marks: marks(dim.Thread, "loewenherz 1.7x0.35")}, "P021 same",
			[]string{"P022 top plate", "P037 bracket", "P039 cover"}, "demo README, fault 5"},
		{"place", Query{Place: "K2"}, "P011 word", nil, "stock above"},
		{"donor", Query{Donor: "PC-11"}, "P011 word, P078 word", nil, "stock above"},
		{"grade with words", Query{Words: w("spring"), Grade: "usable"}, "P001 word, P003 word, P011 word", nil, "stock above"},
		{"grade alone", Query{Grade: "pattern"}, "P070 word", nil, "stock above"},
		{"class alone", Query{Class: []string{"SCR"}}, "P021 word, P022 word, P037 word, P039 word", nil, "records above"},
		{"nothing of the kind", Query{Words: w("zzzzqq")}, "", nil, "no such word"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			view(t, s, func(v *store.View) error {
				got, err := Find(v, tt.q)
				if err != nil {
					return err
				}
				text := map[string]bool{}
				for _, p := range got.Parts {
					text[string(p.Part)+" "+p.Match] = true
				}
				want := map[string]bool{}
				for _, p := range strings.Split(tt.want, ", ") {
					if p != "" {
						want[p] = true
					}
				}
				if d := cmp.Diff(want, text); d != "" {
					t.Errorf("%s: (-want +got)\n%s", tt.source, d)
				}
				hasAll(t, store.Texts(got.Traps), tt.traps)
				return nil
			})
		})
	}
}

// hasAll checks that each text is the start of a line.
func hasAll(t *testing.T, lines, want []string) {
	t.Helper()
	for _, s := range want {
		if !strings.Contains("\n"+strings.Join(lines, "\n"), "\n"+s) {
			t.Errorf("no line starts with %q in\n%s", s, strings.Join(lines, "\n"))
		}
	}
}

func TestFindOrderAndFigures(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := Find(v, Query{Words: w("counter pawl")})
		if err != nil {
			return err
		}
		// The exact name before the part that has more words.
		if len(got.Parts) != 2 || got.Parts[0].Part != "P050" || got.Parts[1].Part != "P003" {
			t.Fatalf("got %+v", got.Parts)
		}
		p := got.Parts[1]
		// Two booked in, one fitted; the empty bag is not shown.
		if p.OnHand != 1 || p.Free != 1 || len(p.Bags) != 1 || p.Bags[0].Bag != "B239" {
			t.Errorf("got %+v", p)
		}
		if d := cmp.Diff(map[string]any{"wire": 0.15, "od": 1.6, "coils": 4.5, "hand": "right"}, p.Dims); d != "" {
			t.Error(d)
		}
		return nil
	})
}

func TestFindDifferenceAndNotes(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := Find(v, Query{Class: []string{"SPR"}, Dims: map[dim.Field]Range{dim.Wire: {Want: 140}, dim.OD: {Want: 1600}}})
		if err != nil {
			return err
		}
		// 0.15/0.14 to the fourth power is 1.318: by hand.
		if d := cmp.Diff([]string{"wire +0.01, about 32 % stiffer"}, store.Texts(got.Parts[0].Difference)); d != "" {
			t.Error(d)
		}
		got, err = Find(v, Query{Words: w("pawk")})
		if d := cmp.Diff([]string{`no exact match for "pawk"; nearest: pawl (one letter different)`}, got.Fuzzy); d != "" {
			t.Error(d)
		}
		if _, err := Find(v, Query{}); !errors.Is(err, store.ErrUsage) {
			t.Errorf("an empty question: %v", err)
		}
		if _, err := Find(v, Query{Words: w("spring"), Camera: store.Camera{Model: "NONE"}}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("an unknown model: %v", err)
		}
		return err
	})
}

// Only own bags are stock.
func TestFindOwnBagsOnly(t *testing.T) {
	s := workshop(t)
	view(t, s, func(v *store.View) error {
		got, err := Find(v, Query{Words: w("p001")})
		if err != nil {
			return err
		}
		var bags []code.Code
		for _, b := range got.Parts[0].Bags {
			bags = append(bags, b.Bag)
		}
		if d := cmp.Diff([]code.Code{"B223", "B201"}, bags); d != "" || got.Parts[0].Free != 2 {
			t.Errorf("free %d, %s", got.Parts[0].Free, d)
		}
		return nil
	})
}
