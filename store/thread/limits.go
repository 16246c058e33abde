package thread

import (
	"math"
	"strings"
)

// A Band is what a diameter may be, bounds inclusive, in nanometres. Its zero
// value says that nothing is known.
type Band struct{ Min, Max int64 }

// meets tells whether two bands have a diameter in common.
func (b Band) meets(o Band) bool { return b.Min <= o.Max && o.Min <= b.Max }

// Limits are the diameters that a new piece may have. Source says whose they
// are; a band that was not found published is zero.
type Limits struct {
	Major, Effective, Minor Band
	Source                  string
}

// Effective returns the basic effective (pitch) diameter in nanometres, 0 for a
// form that is not known. Metric and unified: D - 0.649519 P (ISO 68-1, ISO 724,
// ASME B1.1); Whitworth: D - 0.640327 P (BS 84); BA: D less the depth of thread,
// 0.6 P rounded to 0.005 mm (BS 93); Loewenherz: D - 0.75 P.
func (t Thread) Effective() int64 { return t.less(1) }

// Minor returns the basic minor diameter in nanometres, for metric and unified
// that of the nut, D - 1.082532 P; for the others D less twice the depth. It is
// 0 for a form that is not known. Sources: as for Effective.
func (t Thread) Minor() int64 {
	if t.Form == Metric || t.Form == Unified {
		return t.Major - millionths(t.Pitch, 1_082_532)
	}
	return t.less(2)
}

// Root returns the diameter of a metric screw at its rounded root, d - 1.22687 P
// (ISO 68-1), in nanometres, and 0 for other forms.
func (t Thread) Root() int64 {
	if t.Form != Metric {
		return 0
	}
	return t.Major - millionths(t.Pitch, 1_226_870)
}

// less is the major diameter less n times the depth of engagement.
func (t Thread) less(n int64) int64 {
	switch t.Form {
	case Metric, Unified:
		return t.Major - n*millionths(t.Pitch, 649_519)
	case Whitworth:
		return t.Major - n*millionths(t.Pitch, 640_327)
	case Loewenherz:
		return t.Major - n*millionths(t.Pitch, 750_000)
	case BA:
		const step = 5_000
		return t.Major - n*((millionths(t.Pitch, 600_000)+step/2)/step*step)
	}
	return 0
}

// millionths returns n millionths of x, halves up.
func millionths(x, n int64) int64 { return (x*n + 500_000) / 1_000_000 }

// A grade is a row of the tables of ISO 965-1 for one pitch, in nanometres: the
// deviation of position g, the tolerance of the screw's major diameter in grade
// 6 and that of the nut's minor diameter in grade 6.
type grade struct{ pitch, es, major, minor int64 }

// grades are the tabled values. Those of 0.2, 0.75, 1.25 and 1.5 mm and the
// nut's of 0.25 and 0.3 mm are from memory; the others follow from the published
// limits of M1 to M6. Grade 6 is not made for the nut of 0.2 mm: 60 is what the
// formula of the standard gives.
var grades = []grade{
	{200_000, 17_000, 56_000, 60_000}, {250_000, 18_000, 67_000, 71_000}, {300_000, 18_000, 75_000, 85_000},
	{350_000, 19_000, 85_000, 100_000}, {400_000, 19_000, 95_000, 112_000}, {450_000, 20_000, 100_000, 125_000},
	{500_000, 20_000, 106_000, 140_000}, {600_000, 21_000, 125_000, 160_000}, {700_000, 22_000, 140_000, 180_000},
	{750_000, 22_000, 140_000, 190_000}, {800_000, 24_000, 150_000, 200_000}, {1_000_000, 26_000, 180_000, 236_000},
	{1_250_000, 28_000, 212_000, 265_000}, {1_500_000, 32_000, 236_000, 300_000},
}

// gradeOf is the row of a pitch: a pitch between two rows takes the coarser one,
// whose tolerances are wider.
func gradeOf(pitch int64) grade {
	for _, g := range grades {
		if pitch <= g.pitch {
			return g
		}
	}
	return grades[len(grades)-1]
}

// An effective is the tolerance of the effective diameter in grade 6 for the
// diameters above over and up to upto and one pitch, in nanometres.
type effective struct{ over, upto, pitch, screw, nut int64 }

// effectives are the tolerances that the published limits of ISO 965-1 show; a
// nut of 0 was not read.
var effectives = []effective{
	{990_000, 1_400_000, 250_000, 53_000, 0}, {990_000, 1_400_000, 300_000, 56_000, 0},
	{1_400_000, 2_800_000, 350_000, 63_000, 85_000}, {1_400_000, 2_800_000, 400_000, 67_000, 90_000},
	{1_400_000, 2_800_000, 450_000, 71_000, 95_000}, {2_800_000, 5_600_000, 350_000, 67_000, 0},
	{2_800_000, 5_600_000, 500_000, 75_000, 100_000}, {2_800_000, 5_600_000, 600_000, 85_000, 112_000},
	{2_800_000, 5_600_000, 700_000, 90_000, 118_000}, {2_800_000, 5_600_000, 800_000, 95_000, 125_000},
	{5_600_000, 11_200_000, 1_000_000, 112_000, 150_000},
}

func effectiveOf(t Thread) effective {
	for _, e := range effectives {
		if t.Pitch == e.pitch && t.Major > e.over && t.Major <= e.upto {
			return e
		}
	}
	return effective{}
}

// Screw returns the limits of a new screw of the usual class: metric 6g (ISO
// 965-1), BA normal (BS 93), unified 2A (ASME B1.1), unified miniature (ASME
// B1.10M). For Loewenherz, Whitworth and unknown forms no limits were found
// published: those of another form stand in, and Source says so.
func (t Thread) Screw() Limits {
	switch {
	case t.Form == BA:
		return t.screwBA()
	case t.Pitch < grades[0].pitch, t.miniature():
		return t.screwMiniature()
	case t.Form == Unified || t.Form == Whitworth:
		return t.screwUnified()
	}
	return t.screwMetric()
}

// miniature tells a unified thread whose size is told in millimetres.
func (t Thread) miniature() bool { return t.Form == Unified && strings.Contains(t.Size, "x") }

func (t Thread) screwMetric() Limits {
	g, e := gradeOf(t.Pitch), effectiveOf(t)
	if t.Form != Metric {
		return Limits{Major: Band{t.Major - g.es - g.major, t.Major}, Source: "no limits are published; metric 6g of this pitch stands in"}
	}
	l := Limits{Major: below(t.Major-g.es, g.major), Source: "ISO 965-1, 6g"}
	if e.screw > 0 {
		l.Effective = below(t.Effective()-g.es, e.screw)
	}
	l.Minor.Max = t.Minor() - g.es
	return l
}

func below(top, tolerance int64) Band { return Band{top - tolerance, top} }
func above(low, tolerance int64) Band { return Band{low, low + tolerance} }

// screwBA is the bolt of the normal class: an allowance of 0.025 mm and 0.20 P
// up to 10 BA, no allowance and 0.25 P for the smaller ones. The smallest, 17 to
// 22, take the same.
func (t Thread) screwBA() Limits {
	allow, major := int64(25_000), millionths(t.Pitch, 200_000)
	if t.Major < 1_700_000 {
		allow, major = 0, millionths(t.Pitch, 250_000)
	}
	tenth := millionths(t.Pitch, 100_000)
	return Limits{
		Major: below(t.Major-allow, major), Effective: below(t.Effective()-allow, tenth+25_000),
		Minor: below(t.Minor()-allow, 2*tenth+50_000), Source: "BS 93, normal bolt",
	}
}

// screwMiniature is the unified miniature screw, whose rule gives its published
// rows to a micrometre: maxima D, D - 0.64952 P, D - 1.2 P, tolerances 0.12 P +
// 0.006, 0.08 P + 0.008, 0.16 P + 0.008 mm.
func (t Thread) screwMiniature() Limits {
	return Limits{
		Major:     below(t.Major, millionths(t.Pitch, 120_000)+6_000),
		Effective: below(t.Major-millionths(t.Pitch, 649_520), millionths(t.Pitch, 80_000)+8_000),
		Minor:     below(t.Major-millionths(t.Pitch, 1_200_000), millionths(t.Pitch, 160_000)+8_000),
		Source:    "ASME B1.10M",
	}
}

// screwUnified is class 2A. The formulas of ASME B1.1, in inches, are from
// memory; rounded to 0.0001 inch they give the published limits of 0-80.
func (t Thread) screwUnified() Limits {
	d, p := float64(t.Major)/nmPerInch, float64(t.Pitch)/nmPerInch
	two := math.Cbrt(p * p)
	pitch := 0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(d) + 0.015*two
	allow := tenThou(0.3 * pitch)
	l := Limits{Major: below(t.Major-allow, tenThou(0.06*two)), Source: "ASME B1.1, 2A"}
	if t.Form == Whitworth {
		l.Source = "no limits were read; unified 2A of this size stands in"
		return l
	}
	l.Effective = below(tenThou(float64(t.Effective())/nmPerInch)-allow, tenThou(pitch))
	return l
}

// tenThou rounds inches to 0.0001 and returns nanometres.
func tenThou(in float64) int64 { return int64(math.Round(in*1e4)) * nmPerInch / 10_000 }

// Nut returns the limits of a new hole: its minor diameter is what a calliper
// finds inside. Metric is 6H (ISO 965-1) and BA the nut of BS 93; for the other
// forms no limits were read and the metric tolerance of the pitch stands in.
func (t Thread) Nut() Limits {
	g, e := gradeOf(t.Pitch), effectiveOf(t)
	minor := t.Minor()
	switch {
	case t.Form == BA:
		return Limits{Minor: above(minor, millionths(t.Pitch, 375_000)),
			Effective: above(t.Effective(), millionths(t.Pitch, 120_000)+30_000), Source: "BS 93, nut"}
	case minor == 0:
		minor = Thread{Form: Metric, Major: t.Major, Pitch: t.Pitch}.Minor()
	}
	l := Limits{Minor: above(minor, g.minor), Source: "no limits were read; metric 6H of this pitch stands in"}
	if t.Form == Metric {
		l.Source = "ISO 965-1, 6H"
		if e.nut > 0 {
			l.Effective = above(t.Effective(), e.nut)
		}
	}
	return l
}

// MostCoat returns how thick plating may be, a side, before it takes up the play
// that the class leaves: a quarter of the deviation (ISO 4042), in nanometres. It
// is 0 for threads other than metric, which leave none that is published.
func (t Thread) MostCoat() int64 {
	if t.Form != Metric || t.Pitch < grades[0].pitch {
		return 0
	}
	return gradeOf(t.Pitch).es / 4
}
