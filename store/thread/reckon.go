package thread

import (
	"fmt"
	"slices"
)

// Candidates returns every size that a reading can be, best first: those of the
// lists; for rings and mounts, which are cut to any diameter, metric ones of half a
// millimetre; and where no listed size is met by a piece as new, the sizes in no list
// that the formulas of a form give, last.
func (r Reading) Candidates() []Hit {
	var out []Hit
	found := map[Thread]bool{}
	met := false
	for _, t := range Sizes() {
		if h, ok := r.Match(t); ok {
			out, found[t] = append(out, h), true
			met = met || h.Match == Nominal || h.Match == New
		}
	}
	more := r.rings()
	if !met {
		more = slices.Concat(more, r.metric(metricStep), r.inch(Unified), r.inch(Whitworth))
	}
	for _, t := range more {
		if h, ok := r.Match(t); ok && !found[t] {
			h.guess, found[t] = true, true
			out = append(out, h)
		}
	}
	r.Sort(out)
	return out
}

// The pitches of ISO 261 with 0.9, an older one, in nanometres.
var metricPitches = []int64{200_000, 250_000, 300_000, 350_000, 400_000, 450_000, 500_000, 600_000, 700_000, 750_000, 800_000, 900_000,
	1_000_000, 1_250_000, 1_500_000, 1_750_000, 2_000_000, 2_500_000, 3_000_000, 3_500_000, 4_000_000, 4_500_000, 5_000_000, 5_500_000, 6_000_000}

// Rings are cut in these pitches (trade practice) from this diameter on, in
// steps of half a millimetre. Other metric sizes go by tenths.
const (
	ringFrom   = 6_000_000
	ringStep   = 500_000
	metricStep = 100_000
)

var ringPitches = []int64{500_000, 750_000, 1_000_000}

// rings are the metric sizes for rings and mounts near a reading with a pitch.
func (r Reading) rings() []Thread {
	return slices.DeleteFunc(r.metric(ringStep), func(t Thread) bool { return t.Major < ringFrom || !slices.Contains(ringPitches, t.Pitch) })
}

// metric are the metric sizes near a reading with a pitch whose diameters are whole
// steps.
func (r Reading) metric(step int64) []Thread {
	var out []Thread
	for _, p := range metricPitches {
		if !r.pitched(p) {
			continue
		}
		lo, hi := r.near(p)
		for d := (lo + step - 1) / step * step; d <= hi; d += step {
			if t, ok := must(pair(Metric, d, p)); ok && t.general() {
				out = append(out, t)
			}
		}
	}
	return out
}

// perInch are the threads per inch of a form: those of ASME B1.1, and those of BS 84 with
// the brass thread of 26.
func perInch(form string) []int64 {
	switch form {
	case Unified:
		return []int64{80, 72, 64, 56, 48, 44, 40, 36, 32, 30, 28, 27, 24, 20, 18, 16, 14, 13, 12, 11, 10, 9, 8, 7, 6, 5, 4}
	case Whitworth:
		return []int64{60, 48, 40, 32, 28, 26, 24, 22, 20, 19, 18, 16, 14, 12, 11, 10, 9, 8, 7, 6, 5, 4}
	}
	return nil
}

// inch are the sizes of an inch form near a reading with a pitch: screw numbers of
// the unified form, and fractions by thirty-seconds, from half an inch on by
// sixteenths.
func (r Reading) inch(form string) []Thread {
	var out []Thread
	for _, n := range perInch(form) {
		p := Pitch(n)
		if !r.pitched(p) {
			continue
		}
		lo, hi := r.near(p)
		for _, size := range inchSizes(form, lo, hi) {
			if t, ok := must(parseInch(form, size, fmt.Sprint(n))); ok && t.Major >= lo && t.Major <= hi {
				out = append(out, t)
			}
		}
	}
	return out
}

// inchSizes are the names of the diameters of an inch form from lo to hi.
func inchSizes(form string, lo, hi int64) []string {
	var out []string
	if form == Unified {
		out = []string{"0", "1", "2", "3", "4", "5", "6", "8", "10", "12"}
	}
	const step = nmPerInch / 32
	for n := max(lo/step, 2); n*step <= hi; n++ {
		switch {
		case n%32 == 0:
			out = append(out, fmt.Sprint(n/32))
		case n < 16 || n%2 == 0:
			out = append(out, fmt.Sprintf("%d/32", n))
		}
	}
	return out
}

// pitched tells whether a pitch was measured and can be p.
func (r Reading) pitched(p int64) bool { return r.Pitch != 0 && distance(r.Pitch, p) <= r.PitchSpread }

// near are the nominal diameters between which a size of pitch p can be read so: a
// screw is smaller than its size by limits and wear, a hole by its thread.
func (r Reading) near(p int64) (lo, hi int64) {
	lo, hi = r.Window()
	if r.Inside {
		hi += 3 * p / 2
	}
	return lo, hi
}
