package thread

import (
	"cmp"
	"slices"
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
	Near    = "near"    // near the size of a form that no limits are published of
	Worn    = "worn"    // beyond them by wear alone
	Plated  = "plated"  // beyond the size by plating alone
)

var matches = []string{Nominal, New, Near, Worn, Plated}

// What use and plating do to a diameter. Wear is from memory, 0.02 to 0.05 for
// M1 to M3, of which the least is taken: the tool's spread comes on top. Plating
// is what a 6g thread can bear at most, 0.005 a side (ISO 4042).
const (
	wear    = 20_000
	plating = 10_000
)

// What the limits of a size rest on.
const (
	Published   = "published"
	Reckoned    = "reckoned"    // the size is in no list; its limits are by formula
	Unpublished = "unpublished" // no limits are published
)

// A Hit is a size that a reading can be.
type Hit struct {
	Thread
	Match string // one of the words above
	Kind  string // what its limits rest on
	Why   string

	guess bool // in no list, and found by formula alone
}

// A made is what pieces of a thread measure where a tool reads them: screws outside,
// holes at the minor diameter.
type made struct {
	inside bool
	size   Band // the size itself; zero where a new piece never has it, or it is not known
	fresh  Band // a new piece, or what is taken for one where nothing is published
	full   int64
	known  bool // limits are published
}

func (t Thread) made(inside bool) made {
	l, published := t.screw()
	m := made{inside, Band{t.Major, t.Major}, l.Major, t.Major, published}
	if inside {
		l, m.known = t.hole()
		m.fresh, m.size = l.Minor, Band{l.Minor.Min, l.Minor.Min}
	}
	if inside && t.Form == Unknown || m.known && !m.size.meets(m.fresh) {
		m.size = Band{}
	}
	return m
}

// kind is what the limits of a thread rest on.
func (t Thread) kind(m made) string {
	switch {
	case !m.known:
		return Unpublished
	case !t.listing().in:
		return Reckoned
	}
	return Published
}

// worn and plated are what use makes of a piece: a screw loses metal at the crest and
// grows by a coat, a hole the other way about. Both begin where new ones end.
func (m made) worn() Band {
	if m.inside {
		return above(m.fresh.Max, wear)
	}
	return below(m.fresh.Min, wear)
}

func (m made) plated() Band {
	if m.inside {
		return below(m.fresh.Min, plating)
	}
	return Band{m.fresh.Max, m.full + plating}
}

// reach is every diameter that a piece may have.
func (m made) reach() Band { return m.fresh.with(m.worn()).with(m.plated()) }

// Match returns how a reading meets one thread, or false where it cannot be it.
// A wider spread never loses a thread.
func (r Reading) Match(t Thread) (Hit, bool) {
	if r.Pitch != 0 && distance(r.Pitch, t.Pitch) > r.PitchSpread {
		return Hit{}, false
	}
	read := Band{r.Diameter, r.Diameter}.wider(r.Spread)
	m := t.made(r.Inside)
	how := New
	if !m.known {
		how = Near
	}
	switch {
	case m.size != Band{} && read.meets(m.size):
		how = Nominal
	case read.meets(m.fresh):
	case read.meets(m.worn()):
		how = Worn
	case read.meets(m.plated()):
		how = Plated
	default:
		return Hit{}, false
	}
	return Hit{Thread: t, Match: how, Kind: t.kind(m), Why: t.why(how, m)}, true
}

// Known is a thread that is known, as a hit: what new pieces of it measure.
func Known(t Thread) Hit {
	return Hit{Thread: t, Match: Nominal, Kind: t.kind(t.made(false)), Why: t.Measures()}
}

// Window returns the nominal diameters between which every thread lies that a
// reading of a screw can be, in nanometres: a little above the coarsest limits of
// its pitch, so that an index can be read by it.
func (r Reading) Window() (lo, hi int64) {
	pitch := r.Pitch + r.PitchSpread
	return r.Diameter - r.Spread - plating, r.Diameter + r.Spread + 100_000 + 3*pitch/10
}

// Sort puts hits in order: how they meet, then the nearer pitch where it was
// measured, the nearer diameter, the form as people are shown them; what is in no
// list comes last.
func (r Reading) Sort(hits []Hit) {
	order := func(f string) int { return slices.Index(Forms(), f) }
	last := map[bool]int{true: 1}
	slices.SortStableFunc(hits, func(a, b Hit) int {
		return cmp.Or(
			cmp.Compare(last[a.guess], last[b.guess]),
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
		h, _ := t.hole()
		return distance(r.Diameter, h.Minor.Min)
	}
	return distance(r.Diameter, t.Major)
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
