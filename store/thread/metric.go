package thread

import "math"

// general tells a metric size that the general tolerances of ISO 965-1 are made
// for: 1 mm and more, pitches of 0.2 mm and more.
func (t Thread) general() bool { return t.Major >= nmPerMM && t.Pitch >= grades[0].pitch*1000 }

// A grade are the values of ISO 965-1 for one pitch, in micrometres: the deviation
// of position g, the tolerances in grade 6 of the screw's major and the nut's minor
// diameter, and those of the effective diameter of screw and nut for each of ranges;
// 0 is not tabled. Wide is a minor tolerance that another published table has.
type grade struct {
	pitch, es, major, minor, wide int64
	effective                     [5][2]int64
}

// ranges are the greatest diameters of the ranges of ISO 965-1, the first from 0.99
// on, in nanometres.
var ranges = [...]int64{1_400_000, 2_800_000, 5_600_000, 11_200_000, 22_400_000, 45_000_000, 90_000_000, 180_000_000, 355_000_000}

// grades are the tabled values: major, deviation and effective as published limits
// of ISO 965-1 show them. From memory is the minor tolerance of 0.2; by the formulas
// are the row of 0.9 and the effective tolerance of 0.3 above 1.4 mm, which the
// standard has not.
var grades = []grade{
	{200, 17, 56, 60, 75, [5][2]int64{{48, 63}, {50, 67}}},
	{250, 18, 67, 71, 80, [5][2]int64{{53, 71}, {56, 75}}},
	{300, 18, 75, 85, 0, [5][2]int64{{56, 75}, {60, 80}}},
	{350, 19, 85, 100, 0, [5][2]int64{{}, {63, 85}, {67, 90}}},
	{400, 19, 95, 112, 0, [5][2]int64{{}, {67, 90}}},
	{450, 20, 100, 125, 0, [5][2]int64{{}, {71, 95}}},
	{500, 20, 106, 140, 0, [5][2]int64{{}, {}, {75, 100}, {85, 112}, {90, 118}}},
	{600, 21, 125, 160, 0, [5][2]int64{{}, {}, {85, 112}}},
	{700, 22, 140, 180, 0, [5][2]int64{{}, {}, {90, 118}}},
	{750, 22, 140, 190, 0, [5][2]int64{{}, {}, {90, 118}, {100, 132}, {106, 140}}},
	{800, 24, 150, 200, 0, [5][2]int64{{}, {}, {95, 125}}},
	{900, 25, 165, 214, 0, [5][2]int64{{}, {}, {99, 131}}},
	{1000, 26, 180, 236, 0, [5][2]int64{{}, {}, {}, {112, 150}, {118, 160}}},
	{1250, 28, 212, 265, 0, [5][2]int64{{}, {}, {}, {118, 160}, {132, 180}}},
	{1500, 32, 236, 300, 0, [5][2]int64{{}, {}, {}, {132, 180}, {140, 190}}},
	{1750, 34, 265, 335, 0, [5][2]int64{{}, {}, {}, {}, {150, 200}}},
}

// A tolerance is what ISO 965-1 leaves one size, in nanometres.
type tolerance struct{ es, major, minor, wide, screw, nut int64 }

// grade is the tolerance of a metric size: the tabled values, and the formulas of
// ISO 965-1 where the table has none.
func (t Thread) grade() tolerance {
	in := rangeOf(t.Major)
	g, ok := tabled(t.Pitch)
	if !ok {
		g = formulaGrade(t.Pitch)
	}
	var screw, nut int64
	if in < len(g.effective) {
		screw, nut = g.effective[in][0], g.effective[in][1]
	}
	if screw == 0 {
		screw, nut = formulaEffective(t.Pitch, in)
	}
	return tolerance{1000 * g.es, 1000 * g.major, 1000 * g.minor, 1000 * g.wide, 1000 * screw, 1000 * nut}
}

// tabled is the row of a pitch in nanometres.
func tabled(pitch int64) (grade, bool) {
	for i := range grades {
		if grades[i].pitch*1000 == pitch {
			return grades[i], true
		}
	}
	return grade{}, false
}

// rangeOf is the place in ranges that a diameter belongs to.
func rangeOf(major int64) int {
	for i, upto := range ranges {
		if major <= upto {
			return i
		}
	}
	return len(ranges) - 1
}

// formulaGrade is a row by the formulas of ISO 965-1: deviation 15 + 11 P, major 180
// P^(2/3) - 3.15/sqrt P, minor 433 P - 190 P^1.22, from 0.9 mm on 230 P^0.7. They
// keep within 5 per cent of the table.
func formulaGrade(pitch int64) grade {
	p := float64(pitch) / nmPerMM
	minor := 433*p - 190*math.Pow(p, 1.22)
	if p > 0.8 {
		minor = 230 * math.Pow(p, 0.7)
	}
	return grade{es: round(15 + 11*p), major: round(180*math.Cbrt(p*p) - 3.15/math.Sqrt(p)), minor: round(minor)}
}

// formulaEffective are the tolerances of the effective diameter of screw and nut by
// the formulas of ISO 965-1, in micrometres: 90 P^0.4 d^0.1, d the geometric mean of
// the range, and 1.32 times that. They keep within 5.5 per cent of the table.
func formulaEffective(pitch int64, in int) (screw, nut int64) {
	least := int64(990_000)
	if in > 0 {
		least = ranges[in-1]
	}
	d := math.Sqrt(float64(least)*float64(ranges[in])) / nmPerMM
	td := 90 * math.Pow(float64(pitch)/nmPerMM, 0.4) * math.Pow(d, 0.1)
	return round(td), round(1.32 * td)
}

func round(x float64) int64 { return int64(math.Round(x)) }

// screwsMetric are 6g and 6h of ISO 965-1. A screw of before the 1960s has no
// allowance as a rule, and none under 1.6 mm has: so it is new up to its full size.
func (t Thread) screwsMetric() []Limits {
	if !t.general() {
		return nil
	}
	g := t.grade()
	class := func(name string, es int64) Limits {
		return Limits{Class: name, Source: "ISO 965-1", Major: below(t.Major-es, g.major), Effective: below(t.effective()-es, g.screw)}
	}
	return []Limits{class("6g", g.es), class("6h", 0)}
}

// holesMetric is 6H of ISO 965-1, with the wider minor diameter that another
// published table gives the pitches of 0.2 and 0.25 mm.
func (t Thread) holesMetric() []Limits {
	if !t.general() {
		return nil
	}
	g := t.grade()
	out := []Limits{{Class: "6H", Source: "ISO 965-1", Minor: above(t.minor(), g.minor), Effective: above(t.effective(), g.nut)}}
	if g.wide > 0 {
		out = append(out, Limits{Class: "6H", Source: "ISO 965-1", Minor: above(t.minor(), g.wide)})
	}
	return out
}
