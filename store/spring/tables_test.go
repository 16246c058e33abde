package spring

import (
	"math"
	"testing"
)

func TestStrength(t *testing.T) {
	for _, r := range []struct {
		family, material string
		wire             int64
		want             float64
		from             string
	}{
		{Newer, "A228", 200, 2792, "the families compared, by hand from published figures"},
		{Newer, "A228", 300, 2633, "the same"}, {Newer, "A228", 500, 2445, "the same"}, {Newer, "A228", 1000, 2211, "the same"},
		{Other, "A228", 200, 2797, "the same"}, {Other, "A228", 300, 2619, "the same"}, {Other, "A228", 500, 2410, "the same"}, {Other, "A228", 1000, 2154, "the same"},
		{Older, "A228", 200, 2678, "the same"}, {Older, "A228", 300, 2507, "the same"}, {Older, "A228", 500, 2306, "the same"}, {Older, "A228", 1000, 2060, "the same"},
		{Newer, "A227", 500, 2034, "the same"}, {Other, "A227", 500, 1989, "the same"}, {Older, "A227", 500, 1736, "the same"},
		{Older, "A228", 7250, 1492, "an examination's practice problem, 7.25 mm music wire"},
		{Older, "A229", 10_000, 1032, "another, 10 mm oil tempered"},
		{Newer, "A228", 2500, 1936, "Shigley, problem 10-3"},
		{Newer, "A229", 4000, 1431, "Shigley, problem 10-6"},
		{Newer, "B159", 300, 1000, "table 10-4, 0.1 to 0.6 mm: no size enters"},
		{Newer, "A313-302", 1000, 1867, "table 10-4 at 1 mm: A itself"},
		{Newer, "A313-302", 4000, 1434, "table 10-4, 2.5 to 5 mm: 2065 / 4^0.263 = 2065 / 1.4399"},
	} {
		line, _, ok := material(t, r.material).strength(r.family, r.wire)
		got := line.at(mm(r.wire))
		if !ok || math.Abs(got-r.want) > 0.6 {
			t.Errorf("%s %s %d: %g, %v, want %g (%s)", r.family, r.material, r.wire, got, ok, r.want, r.from)
		}
	}
	if _, inside, ok := material(t, "302").strength(Newer, 180); !ok || inside {
		t.Error("0.18 mm of 302 is below the table's 0.3: the line is drawn out, and that is said")
	}
	if _, _, ok := material(t, "bronze").strength(Other, 300); ok {
		t.Error("Norton has no line for bronze here")
	}
}

// source: Machinery's Handbook 31, p. 346, and Shigley table 10-5: limits at
// 0.032, 0.063 and 0.125 in
func TestModulusChangesAtTheRightWire(t *testing.T) {
	for _, r := range []struct {
		material string
		wire     int64
		g, e     float64
	}{
		{"A228", 200, 82.7, 203.4}, {"A228", 813, 82.7, 203.4}, {"A228", 838, 81.7, 200}, {"A228", 1600, 81.7, 200}, {"A228", 1626, 81.0, 196.5},
		{"A228", 3175, 81.0, 196.5}, {"A228", 3302, 80.0, 193}, {"A227", 813, 80.7, 198.6}, {"A227", 838, 80.0, 197.9}, {"A227", 1626, 79.3, 197.2},
		{"A227", 3302, 78.6, 196.5}, {"A229", 500, 77.2, 196.5}, {"A229", 5000, 77.2, 196.5}, {"stainless", 300, 69.0, 193}, {"phosphor bronze", 300, 41.4, 103.4},
	} {
		if g, e := material(t, r.material).moduli(r.wire); g != r.g || e != r.e {
			t.Errorf("%s %d: %g, %g, want %g, %g", r.material, r.wire, g, e, r.g, r.e)
		}
	}
	// source: the handbook in million psi: 17-7 PH 10.5 and 29.5, brass 5 and 15,
	// beryllium copper 7 and 17
	for word, want := range map[string][2]float64{"17-7 PH": {10.5, 29.5}, "spring brass": {5, 15}, "beryllium copper": {7, 17}, "phosphor bronze": {6, 15}} {
		if g, e := material(t, word).moduli(300); math.Abs(g/mpsi-want[0]) > 0.01 || math.Abs(e/mpsi-want[1]) > 0.01 {
			t.Errorf("%s: %g, %g GPa, want %v million psi", word, g, e, want)
		}
	}
}

func TestMaterialOf(t *testing.T) {
	for _, r := range []struct {
		word, class, want string
		loosely           bool
	}{
		{"A228", Torsion, "A228", false}, {"a 228", Torsion, "A228", false}, {"Music Wire", Torsion, "A228", false}, {"a313-302", Torsion, "A313-302", false},
		{"phosphor bronze", Flat, "B159", false}, {"bronze", Flat, "B159", true}, {"steel", Torsion, "A228", true}, {"steel", Flat, "A684", true},
		{"stainless", Extension, "A313-302", true}, {"oil-tempered", Extension, "A229", false}, {"Messing", Flat, "B134", false},
	} {
		if m, loosely, ok := MaterialOf(r.word, r.class); !ok || m.Key != r.want || loosely != r.loosely {
			t.Errorf("%q: %s, %v, %v", r.word, m.Key, loosely, ok)
		}
	}
	for _, word := range []string{"", "cheese", "-"} {
		if m, _, ok := MaterialOf(word, Torsion); ok {
			t.Errorf("%q is %s", word, m.Key)
		}
	}
}

// The millimetres that makers print beside the inches of music wire, and those
// worked out by hand for SWG, stand in the table's last column.
func TestGaugesAgreeWithTheirMillimetres(t *testing.T) {
	count := 0
	for _, r := range table(gaugesCSV) {
		if r[2] == "" || r[3] == "" {
			continue
		}
		count++
		if a, b := scaled(r[2], 25_400), scaled(r[3], 1000); a < b-1 || a > b+1 {
			t.Errorf("%s %s: %s in is %d, %s mm is %d", r[0], r[1], r[2], a, r[3], b)
		}
	}
	if count != 43+32 {
		t.Errorf("%d sizes have both, want 75", count)
	}
}

func TestGaugeNo(t *testing.T) {
	for _, r := range []struct {
		table, number string
		wire          int64
		from          string
	}{
		{Music, "24", 1397, "the trap of the two kinds: 24 is 1.397 in one and 0.559 in the other"},
		{SWG, "24", 559, "the same"},
		{Music, "5", 356, "makers' tables: 0.014 in"}, {Music, "6/0", 102, "0.004 in"}, {Music, "00", 203, "2/0, 0.008 in"}, {Music, "0", 229, "0.009 in"},
		{Music, "37", 2997, "Machinery's Handbook 31, table 14: 0.118 in"},
		{SWG, "36", 193, "0.0076 in"}, {SWG, "50", 25, "0.0010 in"}, {SWG, "10", 3251, "0.128 in"}, {BWG, "28", 356, "0.014 in"}, {Metric, "0.20", 200, "Norton, preferred sizes"},
	} {
		if g, ok := GaugeNo(r.table, r.number); !ok || g.Wire != r.wire {
			t.Errorf("%s %s is %d, %v, want %d (%s)", r.table, r.number, g.Wire, ok, r.wire, r.from)
		}
	}
	if g, ok := GaugeNo(SWG, "41"); ok {
		t.Errorf("SWG 41 was not read anywhere, here it is %d", g.Wire)
	}
}

// Music wire rises with the number, SWG and BWG fall.
func TestRises(t *testing.T) {
	for _, r := range []struct {
		table, less, more string
		rises             bool
	}{{Music, "5", "24", true}, {Music, "2/0", "0", true}, {SWG, "24", "36", false}, {BWG, "20", "30", false}, {Metric, "0.20", "0.25", true}} {
		a, _ := GaugeNo(r.table, r.less)
		b, _ := GaugeNo(r.table, r.more)
		if (b.Wire > a.Wire) != r.rises {
			t.Errorf("%s: %d to %d", r.table, a.Wire, b.Wire)
		}
	}
}

func TestNearestGauges(t *testing.T) {
	for _, r := range []struct {
		table string
		wire  int64
		want  []string
		from  string
	}{
		{Music, 356, []string{"5"}, "0.014 in"},
		{Music, 200, []string{"2/0", "3/0"}, "0.203 and 0.178"},
		{SWG, 200, []string{"36", "35"}, "0.193 and 0.213"},
		{Metric, 200, []string{"0.20"}, "a step"},
		{Metric, 150, []string{"0.16", "0.12"}, "0.01 and 0.03 away"},
		{Music, 20, []string{"6/0"}, "thinner than all"},
		{Music, 5000, []string{"37"}, "thicker than all"},
		{"awg", 200, nil, "no such table"},
	} {
		var got []string
		for _, g := range NearestGauges(r.table, r.wire) {
			got = append(got, g.Number)
		}
		if len(got) != len(r.want) || len(got) > 0 && got[0] != r.want[0] || len(got) > 1 && got[1] != r.want[1] {
			t.Errorf("%s %d: %v, want %v (%s)", r.table, r.wire, got, r.want, r.from)
		}
	}
}

func TestTableOf(t *testing.T) {
	for word, want := range map[string]string{"music": Music, "AMW": Music, "piano": Music, "SWG": SWG, "Imperial": SWG, "bwg": BWG, "metric": Metric} {
		if got, ok := TableOf(word); !ok || got != want {
			t.Errorf("%s: %s, %v", word, got, ok)
		}
	}
	if got, ok := TableOf("awg"); ok {
		t.Errorf("awg: %s", got)
	}
}
