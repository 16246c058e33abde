package thread

import (
	"slices"
	"strings"
)

// A Band is what a diameter may be, bounds inclusive, in nanometres. Its zero
// value says that nothing is published.
type Band struct{ Min, Max int64 }

// meets tells whether two bands have a diameter in common.
func (b Band) meets(o Band) bool { return b.Min <= o.Max && o.Min <= b.Max }

// wider is a band with so much more on either side.
func (b Band) wider(by int64) Band { return Band{b.Min - by, b.Max + by} }

// with is the least band that holds two; one that is not published adds nothing.
func (b Band) with(o Band) Band {
	switch {
	case b == Band{}:
		return o
	case o == Band{}:
		return b
	}
	return Band{min(b.Min, o.Min), max(b.Max, o.Max)}
}

func below(top, tolerance int64) Band { return Band{top - tolerance, top} }
func above(low, tolerance int64) Band { return Band{low, low + tolerance} }

// Limits are the diameters that a new piece of one class may have: of a screw the
// major, of a hole the minor diameter is what a calliper finds.
type Limits struct {
	Class                   string // "6g"
	Source                  string // the standard: "ISO 965-1"
	Major, Effective, Minor Band
}

// Screws returns the limits of new screws class by class, the usual class first.
// There is none for Loewenherz, whose sizes were kept by master pieces, for BA from
// 17 on, for mounts that are called Whitworth, and for forms that are not known:
// nothing is published of them, and no other form's limits stand in.
func (t Thread) Screws() []Limits {
	switch {
	case t.Form == BA:
		return t.boltsBA()
	case t.Form == Whitworth:
		return t.boltsWhitworth()
	case t.Form == Unified && t.millimetric():
		return []Limits{t.screwMiniature()}
	case t.Form == Unified:
		return t.screwsUnified()
	case t.Form == Metric:
		return append(t.screwsMetric(), t.screwsSmall()...)
	}
	return nil
}

// Holes returns the limits of new holes class by class, the usual class first, and
// none where none are published, as for [Thread.Screws].
func (t Thread) Holes() []Limits {
	switch {
	case t.Form == BA:
		return t.nutsBA()
	case t.Form == Whitworth:
		return t.nutsWhitworth()
	case t.Form == Unified && t.millimetric():
		return []Limits{t.holeMiniature()}
	case t.Form == Unified:
		return t.holesUnified()
	case t.Form == Metric:
		return append(t.holesMetric(), t.holesSmall()...)
	}
	return nil
}

// screw returns what a new screw of any class may measure, and false where no
// limits are published: then its major diameter is the reach that such a screw is
// taken for one within.
func (t Thread) screw() (Limits, bool) {
	if list := t.Screws(); len(list) > 0 {
		return all(list), true
	}
	return Limits{Major: below(t.Major, t.Pitch*reachScrew/100)}, false
}

// hole returns what a new hole of any class may measure, and false where no limits
// are published: then its minor diameter is the reach that such a hole is taken for
// one within. Of a form that is not known it may lie as deep as in any form.
func (t Thread) hole() (Limits, bool) {
	if list := t.Holes(); len(list) > 0 {
		return all(list), true
	}
	low := t.minor()
	if low == 0 {
		return Limits{Minor: Band{t.Major - 3*t.Pitch/2, t.Major - 2*t.Pitch/3}}, false
	}
	return Limits{Minor: above(low, t.Pitch*reachHole/100)}, false
}

// How far under its size a screw, and over its least diameter a hole, is taken for
// one of a form without published limits, in hundredths of the pitch. A choice of
// this program, no source: about what the coarsest classes of other forms allow.
const (
	reachScrew = 25
	reachHole  = 30
)

// all are the limits of several classes in one.
func all(list []Limits) Limits {
	var out Limits
	for _, l := range list {
		out.Major, out.Effective, out.Minor = out.Major.with(l.Major), out.Effective.with(l.Effective), out.Minor.with(l.Minor)
	}
	return out
}

// sources names the sources of limits, each with its classes: "ISO 965-1, 6g and 6h".
func sources(list []Limits) string {
	var out []string
	classes := map[string][]string{}
	for _, l := range list {
		if !slices.Contains(out, l.Source) {
			out = append(out, l.Source)
		}
		if l.Class != "" && !slices.Contains(classes[l.Source], l.Class) {
			classes[l.Source] = append(classes[l.Source], l.Class)
		}
	}
	for i, s := range out {
		out[i] = strings.TrimSuffix(s+", "+and(classes[s]), ", ")
	}
	return strings.Join(out, "; ")
}

// millimetric tells an inch form whose size is in millimetres: unified miniature,
// and mounts that are called Whitworth.
func (t Thread) millimetric() bool { return strings.Contains(t.Size, "x") }

// MostCoat returns how thick plating may be, a side, before it takes up the play
// that class 6g leaves: a quarter of the deviation (ISO 4042), in nanometres. It is 0
// for threads other than metric.
func (t Thread) MostCoat() int64 {
	if t.Form != Metric || !t.general() {
		return 0
	}
	return t.grade().es / 4
}
