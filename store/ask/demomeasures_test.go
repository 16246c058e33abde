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
	"tinful/store/thread"
	"tinful/store/weigh"
)

// Gears of the demo: teeth, modules and what is worn together by parts.csv and
// bags.csv; circles and centres by hand, m z and m (z1 + z2) / 2.
func TestDemoGears(t *testing.T) {
	for _, tt := range []struct {
		part    code.Code
		mate    code.Code
		teeth   int64   // of a mate that is no part
		circle  float64 // mm
		mates   string
		centres float64 // of the mate asked for, else of the first
		traps   []store.ReasonKind
		source  string
	}{
		{"P059", "", 0, 10, "P060", 7.25, nil, "40 and 18 teeth of 0.25: 29 * 0.25; its only bag is lent"},
		{"P057", "", 0, 0, "P058", 1.35, []store.ReasonKind{GoesWith}, "a rack: half the pinion's 9 * 0.30; B270 goes with B271"},
		{"P058", "P057", 0, 2.7, "P056", 1.35, []store.ReasonKind{GoesWith, GoesWith}, "both racks have its module; both pinions are worn with theirs"},
		{"P061", "P060", 0, 9.6, "", 0, []store.ReasonKind{NotMeshing}, "24 * 0.40; 0.25 does not mesh"},
		{"P056", "P057", 0, 0, "P058", 0, []store.ReasonKind{NotMeshing, GoesWith}, "two racks"},
		{"P060", "", 30, 4.5, "P059", 6, nil, "(18 + 30) / 2 * 0.25"},
	} {
		view(t, demo(t), func(v *store.View) error {
			q, known := GearOf(demoPartNamed(t, v, tt.part), 20)
			q.Mate, q.MateTeeth = tt.mate, tt.teeth
			g, err := FindGear(v, q, 20)
			var mates []code.Code
			for _, m := range g.Mates {
				mates = append(mates, m.Part)
			}
			meets := g.Mate
			if meets == nil && len(g.Mates) > 0 {
				meets = &g.Mates[0]
			}
			if !known || math.Abs(g.PitchCircle-tt.circle) > 0.0005 || codeText(mates) != tt.mates || !slices.Equal(store.ReasonKinds(g.Traps), append([]store.ReasonKind{}, tt.traps...)) {
				t.Errorf("%s: circle %v, mates %s, traps %v (%s)", tt.part, g.PitchCircle, codeText(mates), g.Traps, tt.source)
			}
			if tt.centres == 0 && meets.Centres != nil || tt.centres > 0 && (meets.Centres == nil || math.Abs(*meets.Centres-tt.centres) > 0.0005) {
				t.Errorf("%s: centres %v, want %v (%s)", tt.part, meets.Centres, tt.centres, tt.source)
			}
			return err
		})
	}
	view(t, demo(t), func(v *store.View) error {
		if q, ok := GearOf(demoPartNamed(t, v, "P021"), 20); ok {
			t.Errorf("a screw is a gear: %+v", q)
		}
		_, err := FindGear(v, GearQuery{Mate: "P999", Module: 250}, 0)
		if !errors.Is(err, store.ErrNotFound) {
			t.Errorf("P999: %v", err)
		}
		return nil
	})
	// One on the bench: outside 10.5 and 40 teeth make 10.5 / 42 = 0.25, not 10.5 / 40.
	g, err := FindGear(nil, GearQuery{Teeth: 40, OD: 10_500}.Measured(20), 20)
	if err != nil || g.Module != 0.25 || g.Traps[0].Kind != Divided || !strings.Contains(g.Traps[0].Text, "0.263") {
		t.Errorf("%+v, %v", g, err)
	}
	// Recorded with another module than teeth and outside say.
	g, err = FindGear(nil, GearQuery{Part: "P059", Teeth: 40, OD: 10_500, Module: 300, Low: 295, High: 305}, 20)
	if err != nil || !slices.Equal(store.ReasonKinds(g.Traps), []store.ReasonKind{Disagrees}) {
		t.Errorf("%+v, %v", g, err)
	}
}

// Shims of the demo (README, question 10), of one ring, and what is left out.
func TestDemoShims(t *testing.T) {
	od, small, want := int64(28_000), int64(20_000), func(um int64) ShimQuery { return ShimQuery{Want: um} }
	for _, tt := range []struct {
		name  string
		q     ShimQuery
		exact bool
		want  string // bag and number, and what is off, of the first stack
		off   float64
	}{
		{"not with what is here", want(350), false, "B248 1 B259 2", -0.1},
		{"exact", want(150), true, "B248 1 B259 1", 0},
		{"the nearest above is nearer", want(30), false, "B248 1", 0.02},
		{"for a model", ShimQuery{Want: 100, Model: "W3-A"}, true, "B259 1", 0},
		{"for a model they do not go into", ShimQuery{Want: 100, Model: "F-L"}, false, "", 0},
		{"of a size", ShimQuery{Want: 100, OD: &od}, true, "B259 1", 0},
		{"of another size", ShimQuery{Want: 100, OD: &small}, false, "", 0},
	} {
		view(t, demo(t), func(v *store.View) error {
			s, err := FindShims(v, tt.q)
			var got []string
			if len(s.Stacks) > 0 {
				for _, p := range s.Stacks[0].Pieces {
					got = append(got, string(p.Bag), string(rune('0'+p.N)))
				}
			}
			if text := strings.Join(got, " "); text != tt.want || s.Exact != tt.exact || tt.want != "" && math.Abs(s.Stacks[0].Off-tt.off) > 1e-9 {
				t.Errorf("%s: %q, exact %t, %+v", tt.name, text, s.Exact, s.Stacks)
			}
			if bad := tt.q.Model == "F-L"; bad != slices.Contains(store.ReasonKinds(s.Traps), LeftOut) {
				t.Errorf("%s: traps %v", tt.name, s.Traps)
			}
			if tt.want != "" && !strings.HasPrefix(s.Cautions[len(s.Cautions)-1], "a pack belongs to a body") {
				t.Errorf("%s: %q", tt.name, s.Cautions)
			}
			return err
		})
	}
	s := demo(t)
	if _, err := s.Book(store.Head{Day: demoDay, Today: demoDay}, func(x *store.Tx) error {
		_, err := x.PutIn(store.Bag{Code: "B901", Part: "P310", Quantity: 2, Origin: "made", Grade: "made", About: true, GoesWith: "body 60123"})
		_, err2 := x.PutIn(store.Bag{Code: "B902", Part: "P311", Quantity: 2, Origin: "made", Grade: "made"})
		return errors.Join(put(x, store.Part{Code: "P310", Name: "lens shim", Class: "SHM", Dims: map[dim.Field]int64{dim.Thick: 300, dim.OD: 20_000, dim.ID: 18_000}}, store.Part{Code: "P311", Name: "odd shim", Class: "SHM"}), err, err2)
	}); err != nil {
		t.Fatal(err)
	}
	view(t, s, func(v *store.View) error {
		s, err := FindShims(v, ShimQuery{Want: 300})
		hasAll(t, s.Cautions, []string{"B901 goes with body 60123", "B901: its number is about"})
		if len(s.Stacks) != 1 || len(s.Stacks[0].Pieces) != 1 || !slices.Equal(s.Traps[0].Codes, []code.Code{"P311"}) {
			t.Errorf("%+v: rings of two sizes make no stack, and P311 has no thickness", s)
		}
		return err
	})
}

// What a piece weighs by its record (parts.csv, grams), by a table, by its measures.
// M1.7 washer: 0.031 g (DIN 125 in store/weigh/din.csv, published). A ring of brass:
// pi/4 (28² - 25.1²) 0.05 mm³ of 8.5 mg = 0.0514 g (by hand; parts.csv has 0.051).
func TestDemoMasses(t *testing.T) {
	washer := store.Part{Code: "P901", Class: "WSH", Marks: map[dim.Field]string{dim.Thread: "metric 1.7x0.35"}}
	ring := store.Part{Code: "P902", Class: "SHM", Dims: map[dim.Field]int64{dim.OD: 28_000, dim.ID: 25_100, dim.Thick: 50}, Marks: marks(dim.Material, "brass")}
	view(t, demo(t), func(v *store.View) error {
		for _, r := range sheet(t, "parts") {
			m := MassOf(demoPartNamed(t, v, r.code("Part")))
			if r["Mass g"] != "" && (math.Abs(float64(m.Micrograms)/1e6-number(t, r["Mass g"])) > 1e-9 || m.Whose != r["Part"]) {
				t.Errorf("%s: %+v, parts.csv says %s g", r["Part"], m, r["Mass g"])
			}
			if said, alike := NotAlike(demoPartNamed(t, v, r.code("Part"))) != "", strings.HasPrefix(r["Class"], "SCR") && r["Length mm"] == ""; said != alike {
				t.Errorf("%s: that its pieces may differ is said: %t", r["Part"], said)
			}
		}
		for bag, want := range map[code.Code]string{"B301": "B301 is unsorted", "B300": "B300 is sold by length", "B210": ""} {
			b, err := v.Bag(bag)
			text, err2 := NotWeighed(v, b)
			if (text == "") != (want == "") || !strings.HasPrefix(text, want) {
				t.Errorf("%s: %q, want %q", bag, text, want)
			}
			if err := errors.Join(err, err2); err != nil {
				return err
			}
		}
		return nil
	})
	if m := MassOf(washer); m.Micrograms != 31_000 || m.Whose != "DIN 125 M1.7" {
		t.Errorf("a washer: %+v", m)
	}
	if m := MassOf(ring); math.Abs(float64(m.Micrograms)-51_400) > 500 || m.Whose != "P902 by its measures" {
		t.Errorf("a ring: %+v", m)
	}
	ring.Marks = marks(dim.Material, "unobtainium")
	if m := MassOf(ring); m.Micrograms != 0 {
		t.Errorf("a ring of what nobody knows: %+v", m)
	}
	if _, ok := NormMass("DIN 125", "M99", 0, "steel", "x"); ok {
		t.Error("a washer of M99 has a mass")
	}
}

func number(tb testing.TB, text string) (n float64) {
	tb.Helper()
	x := cell(tb, text, func(s string) (float64, error) { m, _, err := dim.Parse(dim.Mass, "", s); return float64(m) / 1e6, err })
	return *x
}

// 30 screws of 0.045 g on a balance that shows 1 mg, by a sample of ten and by the
// record alone; a sample that weighs what another part would is said.
func TestDemoByWeight(t *testing.T) {
	should := PieceMass{weigh.Mass{Micrograms: 45_000}, "P026"}
	pile := weigh.Pile{Total: 30 * 45_000, Balance: weigh.Balance{Resolution: 1000}}
	for _, tt := range []struct {
		name   string
		sample []weigh.Sample
		n      int64
		kind   store.ReasonKind
	}{
		{"by a sample", []weigh.Sample{{Pieces: 10, Mass: 450_000}}, 30, ""},
		{"by the record", nil, 30, "record"},
		{"of another part", []weigh.Sample{{Pieces: 10, Mass: 530_000}}, 25, "another"}, // P027 weighs 0.053; 1350 / 53 = 25.5
	} {
		p := pile
		p.Samples = tt.sample
		w, err := ByWeight(p, should)
		if err != nil || tt.kind == "" && (w.Pieces != tt.n || !w.Stated) || w.Low > tt.n || w.High < tt.n || len(w.Why) != len(w.Kinds) || tt.kind != "" && !slices.Contains(w.Kinds, tt.kind) {
			t.Errorf("%s: %+v, %v", tt.name, w, err)
		}
	}
	if _, err := ByWeight(weigh.Pile{Total: -1}, should); !errors.Is(err, weigh.ErrInput) {
		t.Errorf("a pile of less than nothing: %v", err)
	}
}

// Threads on the demo: what a reading of 1.70 by 0.35 can be (question 2, fault 5),
// left-hand ones (question 7), and what goes into what.
func TestDemoThreads(t *testing.T) {
	read := &thread.Reading{Diameter: 1_700_000, Spread: 30_000, Pitch: 350_000, PitchSpread: thread.GaugeSpread}
	hole := known(t, "metric 1.7x0.35")
	for _, tt := range []struct {
		name  string
		q     ThreadQuery
		parts map[string]string // of each thread that is here
		into  string            // answer for the first
		trap  string
	}{
		{"three flanks", ThreadQuery{Reading: read}, map[string]string{"metric 1.7x0.35": "P022 P038 P039", "loewenherz 1.7x0.35": "P021 P023 P035", "BA 10": "P037", "metric 1.7x0.35 LH": "P040"}, "", ""},
		{"left-hand", ThreadQuery{Reading: read, Hand: "left"}, map[string]string{"metric 1.7x0.35 LH": "P040"}, "", ""},
		{"for a Wendel", ThreadQuery{Reading: read, Model: "W1-B"}, map[string]string{"loewenherz 1.7x0.35": "P021 P023 P035"}, "", "metric 1.7x0.35 is not meant to go into W1-B"},
		{"into a hole", ThreadQuery{Known: known(t, "loewenherz 1.7x0.35"), Into: &hole}, map[string]string{"loewenherz 1.7x0.35": "P021 P023 P035"}, "binds", ""},
		{"its own screw", ThreadQuery{Known: hole, Into: &hole, Inside: true}, map[string]string{"metric 1.7x0.35": "P022 P038 P039"}, "yes", ""},
	} {
		view(t, demo(t), func(v *store.View) error {
			a, err := FindThreads(v, tt.q)
			got := map[string]string{}
			for _, l := range a.Threads {
				var parts []code.Code
				for _, p := range l.Parts {
					parts = append(parts, p.Part)
				}
				if len(parts) > 0 {
					got[l.Thread.String()] = codeText(parts)
				}
			}
			for th, parts := range tt.parts {
				if got[th] != parts {
					t.Errorf("%s: %s is of %q, by parts.csv of %q", tt.name, th, got[th], parts)
				}
			}
			if len(got) != len(tt.parts) {
				t.Errorf("%s: %v, want %v", tt.name, got, tt.parts)
			}
			if tt.into != "" && (a.Threads[0].Into == nil || a.Threads[0].Into.Answer != tt.into) {
				t.Errorf("%s: into %+v, want %s", tt.name, a.Threads[0].Into, tt.into)
			}
			if tt.trap != "" {
				hasAll(t, store.Texts(a.Traps), []string{tt.trap})
			}
			_, err2 := FindThreads(v, ThreadQuery{Known: hole, Model: "NONE"})
			if !errors.Is(err2, store.ErrNotFound) {
				t.Errorf("an unknown model: %v", err2)
			}
			return err
		})
	}
}
