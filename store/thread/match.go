package thread

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Reading is what was measured of a thread, in nanometres. Each value lies
// within its spread, bounds inclusive. A Pitch of 0 was not measured.
type Reading struct {
	Diameter, Spread   int64
	Pitch, PitchSpread int64
	Inside             bool // the diameter is that of a hole
}

// How a reading meets a size, best first.
const (
	Nominal = "nominal" // the size itself lies within the spread
	New     = "new"     // within the limits of a new piece
	Worn    = "worn"    // beyond them by wear alone
	Plated  = "plated"  // beyond the size by plating alone
)

var matches = []string{Nominal, New, Worn, Plated}

// What use and plating do to a diameter. Wear is from memory, 0.02 to 0.05 for
// M1 to M3, of which the least is taken: the tool's spread comes on top. Plating
// is what a 6g thread can bear at most, 0.005 a side (ISO 4042).
const (
	wear    = 20_000
	plating = 10_000
)

// A Hit is a size that a reading can be.
type Hit struct {
	Thread
	Match string // one of the words above
	Why   string
}

// Match returns how a reading meets one thread, or false where it cannot be it.
// A wider spread never loses a thread.
func (r Reading) Match(t Thread) (Hit, bool) {
	if r.Pitch != 0 && distance(r.Pitch, t.Pitch) > r.PitchSpread {
		return Hit{}, false
	}
	read := Band{r.Diameter - r.Spread, r.Diameter + r.Spread}
	basic, fresh, worn, plated := t.screwBands()
	what := "a new one measures"
	if r.Inside {
		basic, fresh, worn, plated = t.holeBands()
		what = "the hole of a new one measures"
	}
	how := ""
	switch {
	case read.meets(Band{basic, basic}):
		how = Nominal
	case read.meets(fresh):
		how = New
	case read.meets(worn):
		how = Worn
	case read.meets(plated):
		how = Plated
	default:
		return Hit{}, false
	}
	return Hit{t, how, t.why(how, what, fresh, r.Inside)}, true
}

// screwBands are the diameters of a screw: as named, new, worn, plated.
func (t Thread) screwBands() (basic int64, fresh, worn, plated Band) {
	l := t.Screw().Major
	return t.Major, l, Band{l.Min - wear, l.Min}, Band{l.Max, t.Major + plating}
}

// holeBands are the diameters of a hole; wear widens it, plating narrows it.
func (t Thread) holeBands() (basic int64, fresh, worn, plated Band) {
	l := t.Nut().Minor
	return l.Min, l, Band{l.Max, l.Max + wear}, Band{l.Min - plating, l.Min}
}

// Window returns the nominal diameters between which every thread lies that a
// reading of a screw can be, in nanometres: a little above the coarsest limits of
// its pitch, so that an index can be read by it.
func (r Reading) Window() (lo, hi int64) {
	pitch := r.Pitch + r.PitchSpread
	return r.Diameter - r.Spread - plating, r.Diameter + r.Spread + 50_000 + 3*pitch/10
}

func (t Thread) why(how, what string, fresh Band, inside bool) string {
	l := t.Screw()
	if inside {
		l = t.Nut()
	}
	text := fmt.Sprintf("%s %s to %s mm", what, Micro(fresh.Min), Micro(fresh.Max))
	switch how {
	case Worn:
		text += ", a worn one a little less"
		if inside {
			text = strings.Replace(text, "less", "more", 1)
		}
	case Plated:
		text += ", a plated one a little more"
		if inside {
			text = strings.Replace(text, "more", "less", 1)
		}
	}
	text += " (" + l.Source + ")"
	if s := Series(t); s != "" {
		text += "; " + s
	}
	return text
}

// Measures says what a new screw of a thread measures outside and its hole
// inside.
func (t Thread) Measures() string {
	s, h := t.Screw().Major, t.Nut().Minor
	return fmt.Sprintf("a new screw measures %s to %s mm, its hole %s to %s", Micro(s.Min), Micro(s.Max), Micro(h.Min), Micro(h.Max))
}

// Candidates returns every size that a reading can be, best first: published
// ones and, for rings and mounts, which are cut to any diameter, metric ones of
// half a millimetre that no table has.
func (r Reading) Candidates() []Hit {
	var out []Hit
	for _, t := range Sizes() {
		if h, ok := r.Match(t); ok {
			out = append(out, h)
		}
	}
	out = append(out, r.rings(out)...)
	r.Sort(out)
	return out
}

// Rings are cut in these pitches (trade practice) from this diameter on, in
// steps of half a millimetre.
const (
	ringFrom = 6_000_000
	ringStep = 500_000
)

var ringPitches = []int64{500_000, 750_000, 1_000_000}

// rings are the metric sizes for rings and mounts that a reading with a pitch
// can be and that are not found already.
func (r Reading) rings(found []Hit) []Hit {
	var out []Hit
	if r.Pitch == 0 {
		return nil
	}
	for _, p := range ringPitches {
		low := (r.Diameter - r.Spread) / ringStep * ringStep
		for d := low; d <= r.Diameter+r.Spread+3*ringStep; d += ringStep {
			t, ok := must(pair(Metric, d, p))
			if !ok || d < ringFrom || slices.ContainsFunc(found, func(h Hit) bool { return h.Thread == t }) {
				continue
			}
			if h, ok := r.Match(t); ok {
				h.Why += "; in no table: rings and mounts are cut to any diameter"
				out = append(out, h)
			}
		}
	}
	return out
}

// Sort puts hits in order: how they meet, then the nearer pitch where it was
// measured, the nearer diameter, the form as people are shown them.
func (r Reading) Sort(hits []Hit) {
	order := func(f string) int { return slices.Index(Forms(), f) }
	slices.SortStableFunc(hits, func(a, b Hit) int {
		return cmp.Or(
			cmp.Compare(slices.Index(matches, a.Match), slices.Index(matches, b.Match)),
			cmp.Compare(r.pitchOff(a.Thread), r.pitchOff(b.Thread)),
			cmp.Compare(r.diameterOff(a.Thread), r.diameterOff(b.Thread)),
			cmp.Compare(order(a.Form), order(b.Form)),
			cmp.Compare(a.Size, b.Size),
		)
	})
}

func (r Reading) pitchOff(t Thread) int64 {
	if r.Pitch == 0 {
		return 0
	}
	return distance(r.Pitch, t.Pitch)
}

func (r Reading) diameterOff(t Thread) int64 {
	if r.Inside {
		return distance(r.Diameter, t.Nut().Minor.Min)
	}
	return distance(r.Diameter, t.Major)
}

// Remarks says what a reading can be beside sizes of the table: the rows that
// have no one diameter.
func (r Reading) Remarks() []string {
	var out []string
	if r.Pitch != 0 && distance(r.Pitch, Pitch(26)) <= r.PitchSpread {
		out = append(out, "26 threads an inch (55 degrees) are cut on any diameter of British brass work")
	}
	if r.Pitch != 0 && distance(r.Pitch, 500_000) <= r.PitchSpread && r.Diameter+r.Spread >= 2_500_000 && r.Diameter-r.Spread <= 3_500_000 {
		out = append(out, "the socket of a cable release is conical, 2.5 to 3.5 x 0.5: measure at two places")
	}
	return out
}

// GaugeSpread is what a pitch read with a gauge may be off by, in nanometres:
// over four or more threads 0.30 is told from 0.35 (from memory), so half the step
// between them.
const GaugeSpread = 25_000

// Pitch returns the pitch of threads per inch in nanometres.
func Pitch(tpi int64) int64 { return (nmPerInch + tpi/2) / tpi }

// Over returns the pitch of n threads that measure length together, and its
// spread where both ends are set with a tool of the given spread: twice that,
// for a crest is set on at either end, shared among n. All in nanometres, the
// spread rounded up.
func Over(n, length, spread int64) (pitch, pitchSpread int64) {
	return (length + n/2) / n, (2*spread + n - 1) / n
}

// Micro prints nanometres as millimetres to a micrometre, without zeros at the
// end.
func Micro(nm int64) string { return decimal((nm + 500) / 1000 * 1000) }
