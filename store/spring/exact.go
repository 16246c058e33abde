package spring

import "math"

// exact is a spring whose every measure is one number: mm, turns, MPa. It is the
// middle of what was read, or a corner of it.
type exact struct {
	class       string
	wire        float64
	od, mean    float64 // mean where od is 0
	coils, idle float64 // that work, and those of the ends that do not
	legs        [2]float64
	hooks       float64 // coils that both hooks count as
	modulus     float64
	friction    float64 // what E d^4 is divided by, a radian
	free        float64
	start       float64

	thick, width float64
	strip        float64 // length of strip, or nothing where it follows from coils, od and id
	id           float64
	plan         float64
	soft, bent   float64 // of a spiral: how much softer and how much more stressed its outer end makes it

	hookRadius, hookBend float64
	strength             strength // of the tables
	sets                 Material
}

// Friction of coils: the theory, E d^4 / (64 D N) a radian, and what Machinery's
// Handbook's T = E d^4 F / (4000 N D), F in degrees, comes to.
const (
	smooth  = 64
	rubbing = 4000. / 360 * 2 * math.Pi
)

// middle is the spring as it was read. What was not measured is reckoned: a leg as
// long as the mean diameter (our own line), hooks as two twisted loops.
func (s Spring) middle() exact {
	x := exact{class: s.Class, wire: mm(s.Wire), coils: s.coils(), idle: s.idle(), hooks: s.hookCoils(), modulus: s.modulusUsed() * 1000,
		friction: smooth, free: mm(s.FreeLength), thick: mm(s.Thick), width: mm(s.Width), strip: mm(s.Length), id: mm(s.ID),
		plan: plan(s.Plan), soft: 1, bent: 2, hookRadius: mm(s.HookRadius), hookBend: mm(s.HookBend), sets: s.Material}
	if s.Mean > 0 {
		x.mean = mm(s.Mean)
	} else {
		x.od = mm(s.OD)
	}
	switch s.Class {
	case Extension:
		x.start = s.Start
	case Torsion:
		for i, leg := range []*int64{s.LegA, s.LegB} {
			x.legs[i] = x.across()
			if leg != nil {
				x.legs[i] = mm(*leg)
			}
		}
	}
	x.strength, _, _ = s.strength()
	return x
}

// across is the mean diameter; no coil is smaller than its wire.
func (x exact) across() float64 {
	if x.od > 0 {
		return max(x.od-x.wire, x.wire)
	}
	return max(x.mean, x.wire)
}

func (x exact) index() float64 { return x.across() / x.wire }

// legTurns are the turns that the legs of a torsion spring are worth: (a + b) /
// (3 pi D). Source: Shigley eq. 10-48; Spring Manufacturers Institute.
func (x exact) legTurns() float64 {
	return (x.legs[0] + x.legs[1]) / (3 * math.Pi * x.across())
}

// active are all coils that work: those of the body, legs and hooks.
func (x exact) active() float64 { return x.coils + x.legTurns() + x.hooks }

// length is that of the strip of a spiral: what was measured, or a coil of the mean
// of outside and inside as often as there are coils.
func (x exact) length() float64 {
	if x.strip > 0 {
		return x.strip
	}
	return math.Pi * x.coils * (x.od + x.id) / 2
}

// rate is in N/mm, of what is turned in N mm a radian.
//
// Sources: G d^4 / (8 D^3 N), Shigley eq. 10-9; E d^4 / (64 D N), the theory; E b
// t^3 / (4 L^3), 3 E I / L^3 of a cantilever with I = b t^3 / 12, the tapered and
// the triangular plan divide by 5.22 and 6 as published for flat springs; E b t^3 /
// (12 l) of a spiral, Bhandari example 10.22.
func (x exact) rate() float64 {
	switch x.class {
	case Flat:
		return x.modulus * x.width * cube(x.thick) / (x.plan * cube(x.strip))
	case Spiral, Hair:
		return x.modulus * x.width * cube(x.thick) / (12 * x.length() * x.soft)
	case Torsion:
		return x.modulus * math.Pow(x.wire, 4) / (x.friction * x.across() * x.active())
	}
	return x.modulus * math.Pow(x.wire, 4) / (8 * cube(x.across()) * x.active())
}

// turnsSofter is how much softer a spiral is whose outer end turns on its pin in place
// of being held fast, by Wahl, Mechanical Springs, from memory. One that is held is bent
// alike everywhere, one that turns twice as much in one place: the middle is the
// published pair, held for the rate and turning for the stress.
const turnsSofter = 0.25

// bare is the spring without its legs and hooks.
func (x exact) bare() exact {
	x.legs, x.hooks = [2]float64{}, 0
	return x
}

func cube(n float64) float64 { return n * n * n }

func plan(p string) float64 {
	switch p {
	case Tapered:
		return 5.22
	case Triangle:
		return 6
	}
	return 4
}

// stress is the stress in MPa of a force in N or a torque in N mm: of the body's
// coil, or of strip. Sources of strip: 6 P L / (b t^2); 12 M / (b t^2) of a spiral,
// Bhandari example 10.22.
func (x exact) stress(load float64) float64 {
	switch x.class {
	case Flat:
		return 6 * load * x.strip / (x.width * x.thick * x.thick)
	case Spiral, Hair:
		return 6 * x.bent * load / (x.width * x.thick * x.thick)
	case Torsion:
		return inner(x.index()) * bending(load, x.wire)
	}
	return bergstraesser(x.index()) * shear(load, x.across(), x.wire)
}

// hookBending is the stress in MPa where the hook of an extension spring is bent
// most. Source: Shigley eqs. 10-34 and 10-35. A hook that was not measured is as
// wide as the body.
func (x exact) hookBending(force float64) float64 {
	r := x.hookRadius
	if r <= 0 {
		r = x.across() / 2
	}
	return force * (inner(2*r/x.wire)*16*x.across()/(math.Pi*cube(x.wire)) + 4/(math.Pi*x.wire*x.wire))
}

// hookTwist is the stress in MPa where the hook leaves the body. Source: Shigley
// eqs. 10-36 and 10-37.
func (x exact) hookTwist(force float64) float64 {
	c := 2 * x.hookBend / x.wire
	return (4*c - 1) / (4*c - 4) * shear(force, x.across(), x.wire)
}

// share is the stress of a load by that which makes the spring take a set, of an
// extension spring that of its hook where it is the greater. It is no number where
// the strength is not known.
func (x exact) share(load float64) float64 {
	load = math.Abs(load)
	mpa := x.strength.at(x.wire)
	switch x.class {
	case Torsion:
		return x.stress(load) / (mpa * x.sets.bendSet)
	case Extension:
		return max(x.stress(load)/(mpa*x.sets.shearSet), x.hookShare(load))
	}
	return x.stress(load) / (mpa * x.sets.shearSet)
}

// hookShare is that of the hook alone.
func (x exact) hookShare(load float64) float64 {
	mpa := x.strength.at(x.wire)
	share := x.hookBending(load) / (mpa * x.sets.hookBendSet)
	if x.hookBend > 0 {
		share = max(share, x.hookTwist(load)/(mpa*x.sets.hookTwistSet))
	}
	return share
}

// bergstraesser is the stress factor (4C+2)/(4C-3) of index C, the same as
// (C+0.5)/(C-0.75) of EN 13906-1. Source: Shigley eq. 10-5.
func bergstraesser(c float64) float64 { return (4*c + 2) / (4*c - 3) }

// inner is the factor of bending at the inside of a coil or a hook,
// (4C^2-C-1)/(4C(C-1)). Source: Shigley, chapter 10.
func inner(c float64) float64 { return (4*c*c - c - 1) / (4 * c * (c - 1)) }

// shear is the stress in MPa of a force in N on a mean diameter and wire in mm,
// before any factor: 8 F D / (pi d^3). Source: Shigley eq. 10-7.
func shear(force, mean, wire float64) float64 { return 8 * force * mean / (math.Pi * cube(wire)) }

// bending is the stress in MPa of a torque in N mm in wire of a diameter in mm,
// before any factor: 32 M / (pi d^3), Machinery's Handbook's 10.18 M / d^3.
func bending(torque, wire float64) float64 { return 32 * torque / (math.Pi * cube(wire)) }

// solid is the length of a compression spring pressed coil to coil, by its ends.
// Source: Shigley, table 10-1 (plain and plain ground by worked examples).
func (x exact) solid(ends string) float64 {
	n := x.coils + x.idle
	if ends == Plain || ends == Closed {
		n++
	}
	return n * x.wire
}

// inside is the inside diameter of a torsion spring that is wound up by an angle in
// radians, of which the body takes its share: N D / (N + turns) - d. Source:
// Shigley eqs. 10-53 and 10-54. It is less than nothing where it cannot be.
func (x exact) inside(rad float64) float64 {
	turns := rad / (2 * math.Pi) * x.coils / x.active()
	return x.coils*x.across()/(x.coils+turns) - x.wire
}
