package thread

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// source: handbook sizes, look-alike pairs in numbers: what a calliper (0.03 mm) and a
// pitch gauge (0.025 mm) can read one for another, each warning of the other.
func TestMistaken(t *testing.T) {
	pairs := [][2]string{{"M1.6", "M1.7"}, {"M2", "BA 9"}, {"unified 1-64", "BA 9"}, {"unified 1-64", "M2"}, {"BA 8", "M2.2"}, {"BA 8", "unified 2-56"},
		{"unified 2-64", "M2.3"}, {"M2.5", "M2.6"}, {"BA 6", "unified 4-48"}, {"BA 5", "unified 5-44"}, {"BA 4", "unified 6-40"}, {"M4", "unified 8-36"},
		{"BA 3", "M4x0.75"}, {"M5", "unified 10-32"}, {"whitworth 39x0.976923", "M39x1"}, {"M2.5", "BA 7"}, {"M1.6", "unified 0-80"}, {"M4", "M4x0.75"}}
	read := Reading{Spread: 30_000}
	has := func(a, b string) bool { return slices.Contains(read.Mistaken(parsed(t, a)), parsed(t, b)) }
	for _, p := range pairs {
		if !has(p[0], p[1]) || !has(p[1], p[0]) {
			t.Errorf("%s and %s are easily taken for one another", p[0], p[1])
		}
	}
	for _, p := range [][2]string{{"M3", "M3x0.6"}, {"M1.7", "BA 10"}, {"M1.4", "unified 1.4x0.3"}, {"M2", "M2.3"}} {
		if has(p[0], p[1]) || has(p[1], p[0]) {
			t.Errorf("%s is told from %s, looks like it, or is it", p[0], p[1])
		}
	}
	// BS 93: 9 BA is 1.797 to 1.9 and has ten threads on 3.9 mm.
	if s := read.MistakenWords(parsed(t, "unified 1-64")); !strings.HasPrefix(s, "easily taken for ") || !strings.Contains(s, "BA 9 (1.797 to 1.9, ten 3.9)") {
		t.Errorf("%s", s)
	}
	// Holes, ASME B1.1 and BS 84: 4-40 is 0.0849 to 0.0939 in, 1/8-40 BSW 0.0930 to 0.1020.
	inside := Reading{Spread: 30_000, Inside: true}
	if s := inside.MistakenWords(parsed(t, "unified 4-40")); !strings.Contains(s, "whitworth 1/8-40 (2.362 to 2.59, ten 6.35)") || !strings.Contains(s, "pins in the hole") {
		t.Errorf("%s", s)
	}
}

// Whatever one reading can be, each warns of the other: all sizes of the lists that it
// meets, unless one goes into the other's hole.
func TestOneReadingWarnsBothWays(t *testing.T) {
	sizes := Sizes()
	warned := func(r Reading, a, b Thread) bool {
		return slices.Contains(Alike(a), b) || slices.Contains(r.Mistaken(a), b)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(sizes).Draw(t, "size")
		r := reading(t, s)
		var hits []Hit
		for _, h := range r.Candidates() {
			if !h.guess {
				hits = append(hits, h)
			}
		}
		for _, a := range hits {
			for _, b := range hits {
				if a.Thread != b.Thread && Into(a.Thread, b.Thread).Answer != Yes && Into(b.Thread, a.Thread).Answer != Yes && !warned(r, a.Thread, b.Thread) {
					t.Fatalf("%+v is %s (%s) and %s (%s), and the one does not warn of the other", r, a.Thread, a.Match, b.Thread, b.Match)
				}
			}
		}
	})
}

// reading is one of a screw or hole of a size, new, worn or none of it, with any tool.
func reading(t *rapid.T, s Thread) Reading {
	r := Reading{Inside: rapid.Bool().Draw(t, "inside"), Spread: 1000 * rapid.SampledFrom([]int64{5, 30, 50, 100, 250}).Draw(t, "spread"), PitchSpread: GaugeSpread}
	m := s.made(r.Inside)
	r.Diameter = rapid.Int64Range(m.fresh.Min-100_000, m.fresh.Max+100_000).Draw(t, "diameter")
	r.Pitch = s.Pitch + rapid.Int64Range(-GaugeSpread, GaugeSpread).Draw(t, "pitch off")
	return r
}
