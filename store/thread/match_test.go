package thread

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// found lists the texts of the candidates.
func found(r Reading) []string {
	var out []string
	for _, h := range r.Candidates() {
		out = append(out, h.String())
	}
	return out
}

// calliper is a reading of hundredths of a millimetre with a calliper, pitch
// read with a gauge.
func calliper(diameter, pitch int64) Reading {
	return Reading{Diameter: diameter * 10_000, Spread: 30_000, Pitch: pitch * 10_000, PitchSpread: 20_000}
}

func TestCandidates(t *testing.T) {
	tests := []struct {
		name     string
		r        Reading
		want, no []string
		source   string
	}{
		{"three groups", calliper(170, 35), []string{"metric 1.7x0.35", "loewenherz 1.7x0.35", "BA 10"}, []string{"metric 1.6x0.35", "unified 1-72"},
			"look-alike pairs: 1.7 x 0.35 in three flanks; M1.6 is 1.581 at most"},
		{"worn 9 BA reads as 1-64", calliper(185, 40), []string{"BA 9", "unified 1-64", "metric 2x0.4"}, nil, "look-alike pairs"},
		{"a worn M2.3", calliper(216, 40), []string{"metric 2.3x0.4", "loewenherz 2.3x0.4", "unified 2-64"}, nil, "look-alike pairs: 6g minimum 2.186"},
		{"sold as 2.6, is 2.5", Reading{Diameter: 2_430_000, Spread: 5_000, Pitch: 450_000, PitchSpread: 20_000}, []string{"metric 2.5x0.45"}, []string{"metric 2.6x0.45"},
			"an electronics forum's example: M2.5 is 2.380 to 2.480"},
		{"5x0.8 and 10-32", calliper(483, 80), []string{"metric 5x0.8", "unified 10-32"}, nil, "4.826 is the least of 6g and the basic size of 10-32"},
		{"pitch told apart", Reading{Diameter: 3_000_000, Spread: 30_000, Pitch: 600_000, PitchSpread: 6_000}, []string{"metric 3x0.6"}, []string{"metric 3x0.5"}, "old JIS M3x0.6"},
		{"without a pitch", Reading{Diameter: 3_000_000, Spread: 30_000}, []string{"metric 3x0.6", "metric 3x0.5", "metric 3x0.35", "loewenherz 3x0.5"}, nil, "the same"},
		{"plated", Reading{Diameter: 1_707_000, Spread: 2_000, Pitch: 350_000, PitchSpread: 20_000}, []string{"metric 1.7x0.35"}, []string{"BA 7"}, "twice a coat of 0.005"},
		{"miniature", calliper(80, 20), []string{"metric 0.8x0.2", "unified 0.8x0.2"}, nil, "ISO 1501 and ASME B1.10M"},
		{"filter, male", calliper(5785, 75), []string{"metric 58x0.75"}, nil, "a workshop's page on adapters: male 57.85 is M58x0.75"},
		{"filter, female", Reading{Diameter: 57_200_000, Spread: 30_000, Pitch: 750_000, PitchSpread: 20_000, Inside: true}, []string{"metric 58x0.75"}, nil,
			"the same page: female 57.2 and 0.75 is 58; D1 = 58 - 1.082532 x 0.75 = 57.188"},
		{"a ring of no table", calliper(3545, 50), []string{"metric 35.5x0.5"}, nil, "35.5 less 0.020 is 35.48, less 0.106 is 35.374"},
		{"a mount", calliper(3895, 98), []string{"whitworth 39x0.976923", "metric 39x1"}, nil, "39 mm x 26 tpi and M39x1"},
	}
	for _, tt := range tests {
		got := found(tt.r)
		for _, w := range tt.want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %s is missing among %v (%s)", tt.name, w, got, tt.source)
			}
		}
		for _, w := range tt.no {
			if slices.Contains(got, w) {
				t.Errorf("%s: %s cannot be it (%s)", tt.name, w, tt.source)
			}
		}
	}
	// The three that are nominally 1.7 x 0.35 come first.
	if first := found(calliper(170, 35))[:3]; !slices.Equal(first, []string{"metric 1.7x0.35", "loewenherz 1.7x0.35", "BA 10"}) {
		t.Errorf("first are %v", first)
	}
}

func TestMatchWords(t *testing.T) {
	m := parsed(t, "M1.7x0.35") // 6g 1.596 to 1.681, 6h to 1.7 (published), 0.02 worn, 0.01 plated
	for _, tt := range []struct {
		um   int64
		want string
	}{{1700, Nominal}, {1681, New}, {1596, New}, {1595, Worn}, {1576, Worn}, {1575, ""}, {1701, Plated}, {1710, Plated}, {1711, ""}} {
		h, ok := Reading{Diameter: tt.um * 1000}.Match(m)
		if h.Match != tt.want || ok != (tt.want != "") {
			t.Errorf("%d: %q %v, want %q", tt.um, h.Match, ok, tt.want)
		}
	}
	h, _ := Reading{Diameter: 1_590_000}.Match(m)
	if want := "a new one measures 1.596 to 1.7 mm, a worn one a little less (ISO 965-1, 6g and 6h)"; !strings.HasPrefix(h.Why, want) {
		t.Errorf("why: %s", h.Why)
	}
}

// A piece made at random within the published limits of a class of any size, read
// within the spread of any tool, is offered as new, and so is every other size whose
// limits it meets with a pitch that the gauge can read so. What is offered outside all
// limits is called worn or plated, and near only where no limits are published.
func TestMadeWithinLimitsIsOffered(t *testing.T) {
	sizes := Sizes()
	classes := func(s Thread, inside bool) (out []Band) {
		for _, l := range s.Screws() {
			out = append(out, l.Major)
		}
		if inside {
			out = nil
			for _, l := range s.Holes() {
				out = append(out, l.Minor)
			}
		}
		return out
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(sizes).Draw(t, "size")
		r := Reading{Inside: rapid.Bool().Draw(t, "inside"), Spread: 1000 * rapid.SampledFrom([]int64{5, 13, 30, 50, 100, 250}).Draw(t, "tool"), PitchSpread: GaugeSpread}
		list := classes(s, r.Inside)
		if len(list) == 0 {
			t.Skip("nothing is published")
		}
		made := rapid.SampledFrom(list).Draw(t, "class")
		exact := rapid.Int64Range(made.Min, made.Max).Draw(t, "diameter")
		r.Diameter = exact + rapid.Int64Range(-r.Spread, r.Spread).Draw(t, "off")
		r.Pitch = s.Pitch + rapid.Int64Range(-GaugeSpread, GaugeSpread).Draw(t, "pitch off")
		hits := map[Thread]Hit{}
		for _, h := range r.Candidates() {
			hits[h.Thread] = h
		}
		for _, o := range sizes {
			here := slices.ContainsFunc(classes(o, r.Inside), func(b Band) bool { return b.Min <= exact && exact <= b.Max })
			if how := hits[o].Match; here && distance(o.Pitch, r.Pitch) <= GaugeSpread && how != Nominal && how != New {
				t.Fatalf("%+v of %d is within the limits of %s, which is offered as %q", r, exact, o, how)
			}
		}
		for _, h := range hits {
			list := classes(h.Thread, r.Inside)
			within := slices.ContainsFunc(list, func(b Band) bool { return b.Min <= r.Diameter+r.Spread && r.Diameter-r.Spread <= b.Max })
			if len(list) > 0 && within != (h.Match == Nominal || h.Match == New) || h.Match == Near && len(list) > 0 {
				t.Fatalf("%+v is offered as %s, %s", r, h.Thread, h.Match)
			}
		}
	})
}

// ASME B1.1: a hole just inside the published maximum of class 2B, in 0.0001 inch, read
// with pins of 0.005 mm, is that size; so is a screw at the published minimum of 2A.
func TestUnifiedAtTheirLimits(t *testing.T) {
	for _, tt := range []struct {
		size        string
		hole, least int64
	}{{"0-80", 514, 563}, {"1-64", 623, 686}, {"1-72", 635, 689}, {"2-56", 737, 813}, {"2-64", 753, 816}, {"3-48", 845, 938}, {"3-56", 865, 942},
		{"4-40", 939, 1061}, {"4-48", 968, 1068}, {"5-40", 1062, 1191}, {"5-44", 1079, 1195}, {"6-32", 1140, 1312}, {"6-40", 1190, 1321}, {"8-32", 1390, 1571},
		{"8-36", 1420, 1577}, {"10-24", 1560, 1818}, {"10-32", 1640, 1831}, {"12-24", 1810, 2078}, {"1/4-20", 2070, 2408}} {
		want := parsed(t, "unified "+tt.size)
		for _, r := range []Reading{{Diameter: tt.hole * tenThou, Inside: true}, {Diameter: tt.least * tenThou}} {
			r.Spread, r.Pitch, r.PitchSpread = 5_000, want.Pitch, GaugeSpread
			if h, ok := r.Match(want); !ok || h.Match != New {
				t.Errorf("%+v: %s is %q", r, want, h.Match)
			}
		}
	}
}

// A screw without allowance, as before the 1960s, is new; in no list is reckoned.
func TestMatchKinds(t *testing.T) {
	tests := []struct {
		cell        string
		um, spread  int64
		inside      bool
		match, kind string
		source      string
	}{
		{"M1.4", 1392, 2, false, New, Published, "ISO 965-1, 6h: 1.325 to 1.400; 6g ends at 1.382"},
		{"M6", 5990, 2, false, New, Published, "ISO 965-1, 6h"},
		{"M6", 6008, 2, false, Plated, Published, "0.005 a side (ISO 4042)"},
		{"loewenherz 1.7x0.35", 1650, 5, false, Near, Unpublished, "nothing is published"},
		{"BA 20", 470, 5, false, Near, Unpublished, "BS 93 ends with 16"},
		{"7/16-20 UNF", 11000, 5, false, New, Reckoned, "0.4375 in, 2A by formula 0.4350 to 0.4362 at most"},
		{"M1x0.25", 820, 2, true, New, Published, "ISO 1501 sizes, limits of ASME B1.10M: 0.740 to 0.832"},
		{"M1.7x0.25", 1505, 0, true, New, Published, "D1 1.429, 0.080 wide in an open table of metric threads"},
		{"M1.2x0.2", 1070, 2, true, Worn, Published, "ISO 965-1: D1 0.983, 0.075 more at most, 0.02 worn"},
		{"whitworth 0.8-36", 20300, 5, false, Plated, Published, "objective thread: 20.198 to 20.274"},
	}
	for _, tt := range tests {
		r := Reading{Diameter: tt.um * 1000, Spread: tt.spread * 1000, Inside: tt.inside}
		if h, ok := r.Match(parsed(t, tt.cell)); !ok || h.Match != tt.match || h.Kind != tt.kind {
			t.Errorf("%s at %d: %q %q (%s)", tt.cell, tt.um, h.Match, h.Kind, tt.source)
		}
	}
}

// Where no listed size is new, sizes in no list follow: metric tenths, inch fractions.
func TestReckoned(t *testing.T) {
	tests := []struct {
		r    Reading
		want []string
		why  string
	}{
		{Reading{Diameter: 3_250_000, Spread: 5_000, Pitch: 600_000, PitchSpread: 6_000}, []string{"metric 3.3x0.6"}, "3.3 less 0.125 is 3.175 at least"},
		{Reading{Diameter: 11_050_000, Spread: 30_000, Pitch: Pitch(20), PitchSpread: 6_000}, []string{"unified 7/16-20", "whitworth 7/16-20"}, "7/16 in is 11.1125"},
		{Reading{Diameter: 12_650_000, Spread: 30_000, Pitch: Pitch(12), PitchSpread: 6_000}, []string{"whitworth 1/2-12", "unified 1/2-12"}, "1/2 in is 12.7"},
		{Reading{Diameter: 35_200_000, Spread: 5_000, Pitch: 500_000, PitchSpread: 6_000}, []string{"metric 35.3x0.5"}, "35.3 less 0.106 is 35.194"},
		{Reading{Diameter: 10_700_000, Spread: 30_000, Pitch: Pitch(13), PitchSpread: 6_000, Inside: true}, []string{"unified 1/2-13"}, "0.5 - 1.082532/13 is 0.4167 in, 10.58 mm, and 0.017 more"},
	}
	for _, tt := range tests {
		got := found(tt.r)
		for _, w := range tt.want {
			if !slices.Contains(got, w) {
				t.Errorf("%s is missing among %v (%s)", w, got, tt.why)
			}
		}
	}
	for _, h := range tests[0].r.Candidates() {
		if h.String() == "metric 3.3x0.6" && (h.Kind != Reckoned || !strings.Contains(h.Why, "in no list: reckoned by the formulas of its form")) {
			t.Errorf("%s: %s, %s", h, h.Kind, h.Why)
		}
	}
	// No form has 0.1 mm on 25 mm, and without a pitch nothing is reckoned.
	for _, r := range []Reading{{Diameter: 25_000_000, Spread: 30_000, Pitch: 100_000, PitchSpread: GaugeSpread}, {Diameter: 150_000_000, Spread: 30_000}} {
		if got := found(r); len(got) != 0 {
			t.Errorf("%+v: %v", r, got)
		}
	}
}

// A wider spread of tool or gauge never loses a size of the lists, and every size is
// found by its own diameter and pitch.
func TestWiderNeverLoses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Reading{
			Diameter: rapid.Int64Range(300_000, 60_000_000).Draw(t, "diameter"), Spread: rapid.Int64Range(0, 60_000).Draw(t, "spread"),
			Pitch: rapid.SampledFrom([]int64{0, 350_000, 400_000, 450_000, 500_000, 750_000, 1_000_000}).Draw(t, "pitch"), PitchSpread: rapid.Int64Range(0, 30_000).Draw(t, "pitch spread"),
			Inside: rapid.Bool().Draw(t, "inside"),
		}
		wide := r
		wide.Spread += rapid.Int64Range(0, 100_000).Draw(t, "wider")
		wide.PitchSpread += rapid.Int64Range(0, 30_000).Draw(t, "pitch wider")
		all := found(wide)
		for _, h := range r.Candidates() {
			if !h.guess && !slices.Contains(all, h.String()) {
				t.Fatalf("%+v finds %s, %+v does not", r, h, wide)
			}
		}
	})
	for _, s := range Sizes() {
		if got := found(Reading{Diameter: s.Major, Pitch: s.Pitch}); !slices.Contains(got, s.String()) {
			t.Errorf("%v is not found by its own size", s)
		}
	}
}

// Every size that a reading of a screw can be lies in the window an index is read
// by.
func TestWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(Sizes()).Draw(t, "size")
		r := Reading{Diameter: s.Major + rapid.Int64Range(-600_000, 100_000).Draw(t, "off"), Spread: rapid.Int64Range(0, 300_000).Draw(t, "spread"),
			Pitch: s.Pitch + rapid.Int64Range(-20_000, 20_000).Draw(t, "pitch off"), PitchSpread: 20_000}
		lo, hi := r.Window()
		if _, ok := r.Match(s); ok && (s.Major < lo || s.Major > hi) {
			t.Fatalf("%s can be read so and lies outside %d to %d", s, lo, hi)
		}
	})
}

func TestOver(t *testing.T) {
	// By hand: 3.5 / 10, and twice 0.03 over ten.
	if p, s := Over(10, 3_500_000, 30_000); p != 350_000 || s != 6_000 {
		t.Errorf("over ten: %d, %d", p, s)
	}
	if p, s := Over(3, 1_000_000, 5_000); p != 333_333 || s != 3_334 {
		t.Errorf("over three: %d, %d", p, s)
	}
}

func TestRemarks(t *testing.T) {
	// Rows of the table without one diameter: 26 tpi brass, cable release 2.5 to 3.5 x 0.5.
	if got := calliper(2000, 98).Remarks(); len(got) != 1 || !strings.Contains(got[0].Text, "brass") {
		t.Errorf("26 threads an inch: %v", got)
	}
	if got := calliper(300, 50).Remarks(); len(got) != 1 || !strings.Contains(got[0].Text, "cable release") {
		t.Errorf("3 x 0.5: %v", got)
	}
	if got := calliper(170, 35).Remarks(); len(got) != 0 {
		t.Errorf("1.7 x 0.35: %v", got)
	}
}

func TestSeries(t *testing.T) {
	for cell, want := range map[string]string{ // source: the table's own rows
		"M2": "ISO metric coarse", "M42x1": "camera mount (M42x1 mount)", "M1.7": "older size (DIN/SI/JIS)", "metric 33.3x0.5": "",
		"M3x0.6 LH": "older size JIS", "BA 10": "",
	} {
		if got := Series(parsed(t, cell)); got != want {
			t.Errorf("%s: %q, want %q", cell, got, want)
		}
	}
}
