package thread

import "math"

// inches are a diameter in nanometres in inches, and the other way about.
func inches(nm int64) float64   { return float64(nm) / nmPerInch }
func ofInches(in float64) int64 { return round(in * nmPerInch) }

// From this diameter on class 1A and 1B are made, and holes have a simpler rule.
const quarterInch = nmPerInch / 4

// pitchUnified is the tolerance of the effective diameter in class 2A, in inches:
// 0.0015 D^(1/3) + 0.0015 sqrt L + 0.015 P^(2/3) (ASME B1.1). The length of engagement
// L is D for UNC and UNF, nine pitches for the others (that they part so is from
// memory, and published rows show it). Below 0-80 the formula is outside its range and
// nothing else is published.
func (t Thread) pitchUnified() float64 {
	d, p := inches(t.Major), inches(t.Pitch)
	length := 9 * p
	if t.listing().selected {
		length = d
	}
	return 0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(length) + 0.015*math.Cbrt(p*p)
}

// screwsUnified are the classes of ASME B1.1. 1A and 2A have an allowance of 0.3 of
// the effective tolerance, 3A has none: a screw may be new up to its full size.
func (t Thread) screwsUnified() []Limits {
	td, p := t.pitchUnified(), inches(t.Pitch)
	major := math.Cbrt(p * p)
	class := func(name string, allow, major, effective float64) Limits {
		return Limits{Class: name, Source: "ASME B1.1",
			Major: downward(t.Major, allow, major), Effective: downward(t.effective(), allow, effective)}
	}
	out := []Limits{class("2A", 0.3*td, 0.06*major, td), class("3A", 0, 0.06*major, 0.75*td)}
	if t.Major >= quarterInch {
		out = append(out, class("1A", 0.3*td, 0.09*major, 1.5*td))
	}
	return out
}

// holesUnified are the classes of ASME B1.1. Minor diameters are rounded to 0.001
// inch there from number 6 on.
func (t Thread) holesUnified() []Limits {
	td, step := t.pitchUnified(), int64(tenThou)
	if t.Major >= 138*10*tenThou {
		step *= 10
	}
	class := func(name string, minor, effective float64) Limits {
		return Limits{Class: name, Source: "ASME B1.1", Minor: upward(t.minor(), minor, step), Effective: upward(t.effective(), effective, tenThou)}
	}
	b2, b3 := t.minorUnified()
	out := []Limits{class("2B", b2, 1.3*td), class("3B", b3, 0.975*td)}
	if t.Major >= quarterInch {
		out = append(out, class("1B", b2, 1.95*td))
	}
	return out
}

// minorUnified are the tolerances of a hole's minor diameter in classes 1B and 2B, and
// in 3B, in inches (ASME B1.1): 0.05 P^(2/3) + 0.03 P/D - 0.002, at most 0.394 P, and
// no less than 0.25 P - 0.4 P^2; 3B no less than 0.23 P - 1.5 P^2, from 12 threads an
// inch down 0.12 P. From 1/4 inch on 1B and 2B have 0.25 P - 0.4 P^2.
func (t Thread) minorUnified() (b2, b3 float64) {
	d, p := inches(t.Major), inches(t.Pitch)
	small := min(0.05*math.Cbrt(p*p)+0.03*p/d-0.002, 0.394*p)
	floor := 0.23*p - 1.5*p*p
	if p > 1/12.5 {
		floor = 0.12 * p
	}
	b2 = 0.25*p - 0.4*p*p
	if t.Major < quarterInch {
		b2 = max(b2, small)
	}
	return b2, max(small, floor)
}

// tenThou is 0.0001 inch, what ASME B1.1 rounds to.
const tenThou = nmPerInch / 10_000

// upward is the band of a hole from low on, and downward that of a screw from top down,
// as the formulas give it and as the standard's tables print it, with allowance and
// tolerance rounded: what either holds is new.
func upward(low int64, tolerance float64, step int64) Band {
	from, wide := nearest(low, tenThou), nearest(ofInches(tolerance), tenThou)
	return above(low, ofInches(tolerance)).with(Band{nearest(from, step), nearest(from+wide, step)})
}

func downward(top int64, allow, tolerance float64) Band {
	printed := below(top-nearest(ofInches(allow), tenThou), nearest(ofInches(tolerance), tenThou))
	return below(top-ofInches(allow), ofInches(tolerance)).with(printed)
}
