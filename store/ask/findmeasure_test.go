package ask

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// What a spring gives for one measure that differs, by hand: (0.21/0.20)^4 is
// 1.2155, (0.22/0.20)^4 is 1.4641, and three coils instead of four are a third
// stiffer.
func TestStiffer(t *testing.T) {
	tests := []struct {
		name    string
		f       dim.Field
		want, n int64
		text    string
	}{
		{"0.01 on 0.20 wire", dim.Wire, 200, 210, "about 22 % stiffer"},
		{"0.02 on 0.20 wire", dim.Wire, 200, 220, "about 46 % stiffer"},
		{"0.01 less: (0.19/0.20)^4 is 0.8145", dim.Wire, 200, 190, "about 19 % softer"},
		{"strip goes with the third power: 1.1^3 is 1.331", dim.Thick, 100, 110, "about 33 % stiffer"},
		{"three coils for four", dim.Coils, 4000, 3000, "about 33 % stiffer"},
		{"the same", dim.Wire, 200, 200, ""},
		{"legs say nothing", dim.LegA, 5000, 6000, ""},
	}
	for _, tt := range tests {
		if got := stiffer(tt.f, tt.want, tt.n); got != tt.text {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.text)
		}
	}
}

// A blunter tool never loses what a finer one found, and what is the same stays
// so.
func TestWideningLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.SampledFrom(dim.Table()).Draw(t, "field").For(rapid.SampledFrom(words.Classes()).Draw(t, "class"))
		want, off := rapid.Int64Range(1, 50_000).Draw(t, "want"), rapid.Int64Range(-3000, 3000).Draw(t, "off")
		fine := closeness(in, Range{Want: want}, want+off)
		for _, tool := range dim.Tools {
			r := Range{Want: want, Spread: dim.Wider(tool, in.Field)}
			if blunt := closeness(in, r, want+off); blunt < fine {
				t.Fatalf("%s %d: %d with the usual tool, %d with a %s", in.Key, want+off, fine, blunt, tool)
			}
		}
	})
}

// crowd is a workshop with springs and screws whose measures lie side by side.
func crowd(t *testing.T) *store.Store {
	w := workshop(t)
	_, err := w.Book(store.Head{Day: 22001, Today: 22001, By: "H", Command: "test"}, func(tx *store.Tx) error {
		for i := range int64(80) {
			p := store.Part{Code: code.Code(fmt.Sprintf("P%d", 700+i)), Name: fmt.Sprintf("piece %d", i), Dims: map[dim.Field]int64{}, Marks: map[dim.Field]string{}}
			if i%2 == 0 {
				p.Class, p.Dims[dim.Wire], p.Dims[dim.OD], p.Dims[dim.LegA] = "SPR-TOR", 100+7*i, 1000+90*i, 2000+80*i
			} else {
				p.Class, p.Dims[dim.Length], p.Dims[dim.Head] = "SCR-CSK", 1000+70*i, 2000+25*i
				p.Marks[dim.Thread] = []string{"metric 1.7x0.35", "loewenherz 1.7x0.35", "metric 2x0.4", "metric 1.6x0.35", "BA 10"}[i/2%5]
			}
			if i%7 == 0 { // not all was measured
				delete(p.Dims, []dim.Field{dim.Wire, dim.Length}[i%2])
			}
			if err := tx.Put(p); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A part that a query by measure finds is found with every blunter tool too, and
// is no farther off, threads among them.
func TestBlunterToolFindsAll(t *testing.T) {
	w := crowd(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := Query{Dims: map[dim.Field]Range{}, Marks: map[dim.Field]string{}}
		fields := map[dim.Field][2]int64{dim.Wire: {100, 600}, dim.OD: {1000, 11_000}, dim.Length: {1000, 10_000}, dim.Thick: {50, 1600}, dim.Head: {2000, 4000}, dim.LegA: {2000, 9000}}
		for _, d := range rapid.SliceOfNDistinct(rapid.SampledFrom(slices.Sorted(maps.Keys(fields))), 1, 2, rapid.ID).Draw(rt, "fields") {
			q.Dims[d] = Range{Want: rapid.Int64Range(fields[d][0], fields[d][1]).Draw(rt, dim.Of(d).Key)}
		}
		if rapid.Bool().Draw(rt, "with a thread") {
			q.Marks[dim.Thread] = rapid.SampledFrom([]string{"unknown 1.7x0.35", "unknown 1.68x0.35", "metric 2x0.4", "unknown 1.4x0.3"}).Draw(rt, "thread")
		}
		order := map[string]int{"same": 0, "near": 1}
		view(t, w, func(v *store.View) error {
			fine, err := Find(v, q)
			if err != nil {
				return err
			}
			for _, tool := range dim.Tools {
				q.Tool = tool
				blunt, err := Find(v, q)
				if err != nil {
					return err
				}
				match := map[code.Code]string{}
				for _, p := range blunt.Parts {
					match[p.Part] = p.Match
				}
				for _, p := range fine.Parts {
					if m, ok := match[p.Part]; !ok || order[m] > order[p.Match] {
						rt.Errorf("%s is %s with the usual tool and %q with a %s", p.Part, p.Match, m, tool)
					}
				}
			}
			return nil
		})
	})
}

// What the table takes for the same lies within what it takes for near.
func TestSameIsNear(t *testing.T) {
	for _, class := range words.Classes() {
		for _, in := range dim.Table() {
			if x := in.For(class); x.Kind != dim.KindMass && (x.Same > x.NearMinus || x.SamePlus > x.NearPlus) {
				t.Errorf("%s of %s: the same within -%d +%d, near only within -%d +%d", in.Key, class, x.Same, x.SamePlus, x.NearMinus, x.NearPlus)
			}
		}
	}
}

// However a spring is asked for by measure, one of the other hand is never an
// answer.
func TestHandNeverCrosses(t *testing.T) {
	w := workshop(t)
	rapid.Check(t, func(rt *rapid.T) {
		hand := rapid.SampledFrom([]string{"left", "right"}).Draw(rt, "hand")
		q := Query{Class: []string{"SPR"}, Tool: rapid.SampledFrom(dim.Tools).Draw(rt, "tool"), Marks: map[dim.Field]string{dim.Hand: hand},
			Dims: map[dim.Field]Range{dim.OD: {Want: rapid.Int64Range(1500, 4000).Draw(rt, "od")}}}
		if rapid.Bool().Draw(rt, "with wire") {
			q.Dims[dim.Wire] = Range{Want: rapid.Int64Range(150, 400).Draw(rt, "wire")}
		}
		view(t, w, func(v *store.View) error {
			found, err := Find(v, q)
			if err != nil {
				return err
			}
			for _, p := range found.Parts {
				if have := p.Dims[dim.Of(dim.Hand).Key]; have != nil && have != hand {
					rt.Errorf("%s is %v-hand, %s was asked", p.Part, have, hand)
				}
			}
			return nil
		})
	})
}

// Without a hand, both hands come apart, and without a form, each form does.
func TestToldApart(t *testing.T) {
	w := workshop(t)
	view(t, w, func(v *store.View) error {
		found, err := Find(v, Query{Dims: map[dim.Field]Range{dim.Wire: {Want: 250}, dim.OD: {Want: 2600}}})
		if err != nil {
			return err
		}
		hands := map[code.Code]string{}
		for _, p := range found.Parts {
			hands[p.Part] = p.Hand
		}
		if hands["P001"] != "right" || hands["P002"] != "left" {
			t.Errorf("P001 %q, P002 %q; the demo's README has them as opposite-hand twins", hands["P001"], hands["P002"])
		}
		found, err = Find(v, Query{Marks: map[dim.Field]string{dim.Thread: "unknown 1.7x0.35"}})
		forms := map[code.Code]string{}
		for _, p := range found.Parts {
			forms[p.Part] = p.Form
		}
		if f := forms; f["P021"] == f["P022"] || f["P022"] == f["P037"] || f["P021"] == f["P037"] || f["P021"] == "" {
			t.Errorf("P021 %q, P022 %q, P037 %q: three flanks by the demo's README", f["P021"], f["P022"], f["P037"])
		}
		return err
	})
}

// A spring whose wire was not taken is told where none that was measured is left,
// the other hand not counting as one.
func TestUntoldMeasure(t *testing.T) {
	w := workshop(t)
	_, err := w.Book(store.Head{Day: 22001, Today: 22001, By: "H", Command: "test"}, func(tx *store.Tx) error {
		return tx.Put(store.Part{Code: "P901", Name: "old spring", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.OD: 2000}, Marks: map[dim.Field]string{dim.Hand: "right"}})
	})
	if err != nil {
		t.Fatal(err)
	}
	view(t, w, func(v *store.View) error {
		for hand, want := range map[string]code.Code{"left": "P004", "right": "P901"} {
			found, err := Find(v, Query{Dims: map[dim.Field]Range{dim.Wire: {Want: 200}, dim.OD: {Want: 2000}}, Marks: map[dim.Field]string{dim.Hand: hand}})
			if err != nil {
				return err
			}
			if len(found.Parts) != 1 || found.Parts[0].Part != want {
				t.Errorf("%s: %v, want %s alone", hand, found.Parts, want)
			}
		}
		return nil
	})
}

// Springs that are alike outside are found by the wire, in whose window few lie: those
// within 0.02 by the table, and where there are none those whose wire was not taken.
func TestNarrowestWindow(t *testing.T) {
	w := workshop(t)
	_, err := w.Book(store.Head{Day: 22001, Today: 22001, By: "H", Command: "test"}, func(tx *store.Tx) error {
		for i := range int64(300) {
			p := store.Part{Code: code.Code(fmt.Sprintf("P%d", 2000+i)), Name: "spring", Class: "SPR-TOR", Dims: map[dim.Field]int64{dim.OD: 6000, dim.Wire: 300 + i}}
			if i%10 == 0 {
				delete(p.Dims, dim.Wire)
			}
			if err := tx.Put(p); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	view(t, w, func(v *store.View) error {
		for wire, want := range map[int64]int{
			450: 36, // 430 to 470 are 41, five of them not taken
			900: 30, // none, and thirty that were not taken
		} {
			found, err := Find(v, Query{Class: []string{"SPR"}, Dims: map[dim.Field]Range{dim.Wire: {Want: wire}, dim.OD: {Want: 6000}}})
			if err != nil {
				return err
			}
			if len(found.Parts) != want {
				t.Errorf("wire %d: %d parts, want %d", wire, len(found.Parts), want)
			}
		}
		return nil
	})
}
