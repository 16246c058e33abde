package thread

import (
	"cmp"
	"fmt"
	"slices"
)

// Two threads nearer than this cannot be told by a calliper and a pitch gauge,
// in nanometres.
const (
	alikeMajor = 30_000
	alikePitch = 12_000
)

// LookAlike reports whether a and b are easily taken for one another though
// they are not the same: diameters within 0.03 mm and pitches within 0.012 mm,
// bounds inclusive, with a form or hand that differs.
func LookAlike(a, b Thread) bool {
	return a.Form != "" && b.Form != "" && (a.Form != b.Form || a.Left != b.Left) &&
		distance(a.Major, b.Major) <= alikeMajor && distance(a.Pitch, b.Pitch) <= alikePitch
}

func distance(a, b int64) int64 { return max(a-b, b-a) }

// Alike returns the published sizes that are easily taken for t and must never
// be used in its place: see [LookAlike].
func Alike(t Thread) []Thread {
	return others(t, func(s Thread) bool { return LookAlike(t, s) })
}

// Mistaken returns the published sizes beside those of [Alike] that one reading can
// be as well as t, worn and plated pieces among them: the diameter read within r's
// spread, inside where r is, and the pitch with a gauge. The nearest pitch comes first.
func (r Reading) Mistaken(t Thread) []Thread {
	reach := func(t Thread) Band { return t.made(r.Inside).reach().wider(r.Spread) }
	own := reach(t)
	out := others(t, func(s Thread) bool {
		return distance(s.Pitch, t.Pitch) <= 2*GaugeSpread && !LookAlike(t, s) && reach(s).meets(own)
	})
	slices.SortStableFunc(out, func(a, b Thread) int {
		return cmp.Or(cmp.Compare(distance(a.Pitch, t.Pitch), distance(b.Pitch, t.Pitch)), cmp.Compare(distance(a.Major, t.Major), distance(b.Major, t.Major)))
	})
	return out
}

// others are the published sizes, in the hand of t, that are as wanted and are not
// another name of t.
func others(t Thread, wanted func(Thread) bool) []Thread {
	var out []Thread
	for _, s := range Sizes() {
		s.Left = t.Left
		if s != t && wanted(s) && Into(s, t).Answer != Yes {
			out = append(out, s)
		}
	}
	return out
}

// MistakenWords says what else such a reading may be taken for, and what tells it:
// nothing where there is nothing.
func (r Reading) MistakenWords(t Thread) string {
	var bits []string
	for _, s := range r.Mistaken(t) {
		bits = append(bits, fmt.Sprintf("%s (%s, ten %s)", s, s.made(r.Inside).fresh, ten(s.Pitch)))
	}
	if len(bits) == 0 {
		return ""
	}
	with := "a micrometer on the outside"
	if r.Inside {
		with = "pins in the hole"
	}
	m := t.made(r.Inside)
	fresh := m.fresh.String() + " when new"
	if !m.known {
		fresh = "about " + m.fresh.String()
	}
	return fmt.Sprintf("easily taken for %s: %s, %s, and the length of ten threads, %s mm, tell", and(bits), with, fresh, ten(t.Pitch))
}
