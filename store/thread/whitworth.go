package thread

import "math"

// toleranceWhitworth is the tolerance of the effective diameter in the medium class of
// BS 84, in inches: 0.002 D^(1/3) + 0.003 sqrt L + 0.005 sqrt P, the length of
// engagement L being D (from memory).
func toleranceWhitworth(d, p float64) float64 {
	return 0.002*math.Cbrt(d) + 0.003*math.Sqrt(d) + 0.005*math.Sqrt(p)
}

// allowWhitworth is what medium and free bolts lie lower by, in inches: 0.3 of the
// tolerance up to 3/4 inch, below 1/4 inch that of 1/4-20 (from memory). Before 1956
// there was none.
func allowWhitworth(d, p float64) float64 {
	switch {
	case d > 0.75:
		return 0
	case d < 0.25:
		d, p = 0.25, 0.05
	}
	return 0.3 * toleranceWhitworth(d, p)
}

// objective is the published screw of the objective thread of microscopes, 0.8 inch
// of 36 threads, which has limits of its own: 0.7952 to 0.7982 inch.
const objective = "0.8-36"

// boltsWhitworth are the bolts of BS 84. Mounts that are called Whitworth, in
// millimetres, are none of its sizes.
func (t Thread) boltsWhitworth() []Limits {
	switch {
	case t.Size == objective:
		return []Limits{{Source: "limits of the objective thread", Major: Band{7952 * tenThou, 7982 * tenThou}}}
	case t.millimetric():
		return nil
	}
	d, p := inches(t.Major), inches(t.Pitch)
	tol, root := toleranceWhitworth(d, p), math.Sqrt(p)
	class := func(name string, of, allow, minor float64) Limits {
		low := ofInches(allow)
		return Limits{Class: name, Source: "BS 84", Major: below(t.Major-low, ofInches(of*tol+0.01*root)),
			Effective: below(t.effective()-low, ofInches(of*tol)), Minor: below(t.minor()-low, ofInches(of*tol+minor*root))}
	}
	allow := allowWhitworth(d, p)
	return []Limits{class("medium", 1, allow, 0.02), class("free", 1.5, allow, 0.02), class("close", 2.0/3, 0, 0.013)}
}

// nutsWhitworth are the nuts of BS 84; their minor diameter is 0.2 P and 0.004 inch
// wide, 0.005 from 24 threads an inch down, 0.007 from 20 down.
func (t Thread) nutsWhitworth() []Limits {
	if t.Size == objective || t.millimetric() {
		return nil
	}
	d, p := inches(t.Major), inches(t.Pitch)
	tol, minor := toleranceWhitworth(d, p), 0.2*p
	switch {
	case p < 1/25.0:
		minor += 0.004
	case p < 1/21.0:
		minor += 0.005
	default:
		minor += 0.007
	}
	class := func(name string, of float64) Limits {
		return Limits{Class: name, Source: "BS 84", Minor: above(t.minor(), ofInches(minor)), Effective: above(t.effective(), ofInches(of*tol))}
	}
	return []Limits{class("medium", 1), class("normal", 1.5)}
}
