package paper

import (
	"fmt"
	"math"
)

// A Spring is a coil spring by its measures.
type Spring struct {
	Kind             string // torsion, extension or compression
	Wire, OD         float64
	Coils            Measure
	Left, HandKnown  bool
	LegA, LegB       Measure
	Angle            Measure // between the legs
	Inside           Measure // between the hooks
	Hooks            float64 // degrees between the hooks
	HooksKnown       bool
	Free             Measure // length
	Closed, EndsSaid bool    // the coils at the ends lie close
}

// turnSteps is how many straight pieces a turn is drawn with: off by at most 0.1 % of
// the radius.
const turnSteps = 72

// Draw draws the spring from above and from the front. Right-hand is the hand of the
// trade: look along the axis, and the wire goes away from you clockwise.
func (s Spring) Draw() (f Figure) {
	var wires []wire
	turns := s.turns(&f)
	switch s.Kind {
	case "torsion":
		wires = s.torsion(&f, turns)
	case "extension":
		wires = s.extension(&f, turns)
	default:
		wires = s.compression(&f, turns)
	}
	if !s.HandKnown {
		f.guess("which hand it is wound: drawn dashed as right-hand")
	}
	for i := range wires {
		wires[i].known = wires[i].known && s.HandKnown && s.Coils.Known
		if s.Left {
			for n := range wires[i].axis {
				wires[i].axis[n].x = -wires[i].axis[n].x
			}
		}
	}
	above, side := top(wires, s.Wire), front(wires, s.Wire)
	if !s.Coils.Known || !s.HandKnown {
		above.strokes = append(above.strokes, s.outline()...)
	}
	f.below(above, 0)
	f.below(side, max(2*s.Wire, s.OD*0.4))
	return f
}

// outline is what stays true of a spring whose coils are not known: its diameters.
func (s Spring) outline() []stroke {
	return []stroke{{p: circle(0, 0, s.OD/2)}, {p: circle(0, 0, s.OD/2-s.Wire)}}
}

// mean is the radius of the wire's axis.
func (s Spring) mean() float64 { return (s.OD - s.Wire) / 2 }

// turns are the turns that are drawn: those counted, and of a torsion spring whose
// legs stand straight as many more or fewer as bring them to the angle measured.
func (s Spring) turns(f *Figure) float64 {
	if !s.Coils.Known {
		f.guess("how many coils: drawn dashed with three")
	}
	n := s.Coils.or(3)
	if s.Kind != "torsion" || !s.Angle.Known {
		return n
	}
	// Legs along the tangent stand at 180 degrees after whole turns.
	best := math.Inf(1)
	for _, off := range []float64{(180 - s.Angle.V) / 360, (s.Angle.V - 180) / 360} {
		if t := math.Round(n-off) + off; t > 0 && math.Abs(t-n) < math.Abs(best-n)-1e-9 {
			best = t
		}
	}
	if s.Coils.Known && math.Abs(best-n) > 0.13 {
		f.guess(fmt.Sprintf("%s coils and legs at %s deg do not go together with straight legs: drawn with %s coils", short(n), short(s.Angle.V), short(best)))
	}
	return best
}

func short(x float64) string { return num(math.Round(x*100) / 100) }

// helix are the turns of a coil whose axis stands upright, from an angle in degrees
// on, right-hand; height is where it is after so many turns.
func (s Spring) helix(from, turns float64, height func(turn float64) float64) (out []bend) {
	n := int(math.Ceil(turns * turnSteps))
	for i := range n + 1 {
		t := turns * float64(i) / float64(n)
		a := from*math.Pi/180 + 2*math.Pi*t
		out = append(out, bend{s.mean() * math.Cos(a), s.mean() * math.Sin(a), height(t)})
	}
	return out
}

// torsion is a coil with its legs. Leg A leaves it below, to the left.
func (s Spring) torsion(f *Figure, turns float64) []wire {
	if !s.Angle.Known {
		f.guess("the angle between the legs: drawn as the coils give it")
	}
	coil := s.helix(270, turns, func(t float64) float64 { return t * s.Wire })
	first, last := coil[0], coil[len(coil)-1]
	end := (270 + 360*turns) * math.Pi / 180
	leg := func(from bend, dx, dy, long float64) []bend {
		return []bend{from, {from.x + dx*long, from.y + dy*long, from.z}}
	}
	usual := 2 * s.OD
	for i, m := range []Measure{s.LegA, s.LegB} {
		if !m.Known {
			f.guess("leg " + "AB"[i:i+1] + ": drawn dashed, twice the diameter long")
		}
	}
	return []wire{{leg(first, -1, 0, s.LegA.or(usual)), s.LegA.Known, false}, {coil, true, true},
		{leg(last, -math.Sin(end), math.Cos(end), s.LegB.or(usual)), s.LegB.Known && s.Angle.Known, false}}
}

// extension is a close coil between two loops.
func (s Spring) extension(f *Figure, turns float64) []wire {
	half := turns * s.Wire / 2
	body := 2*half + s.Wire
	if !s.Inside.Known {
		f.guess("the length inside the hooks: drawn dashed with whole loops")
	}
	if !s.HooksKnown {
		f.guess("how the hooks stand: drawn dashed in line")
	}
	known := s.Inside.Known && s.HooksKnown
	inside := s.Inside.or(body + 2*(s.OD-2*s.Wire))
	loop := func(up, turned float64) (out []bend) {
		r := s.mean()
		centre := inside/2 - (r - s.Wire/2)
		begin := math.Asin(max(-1, min(1, (half-centre)/r)))
		for i := range turnSteps + 1 {
			a := begin + (math.Pi-2*begin)*float64(i)/turnSteps
			x, z := r*math.Cos(a), centre+r*math.Sin(a)
			out = append(out, bend{x * math.Cos(turned), x * math.Sin(turned), up * z})
		}
		return out
	}
	return []wire{{s.helix(0, turns, func(t float64) float64 { return t*s.Wire - half }), true, true},
		{loop(1, 0), known, false}, {loop(-1, s.Hooks*math.Pi/180), known, false}}
}

// compression is an open coil; where its ends are closed, the coils there lie close.
func (s Spring) compression(f *Figure, turns float64) []wire {
	if !s.Free.Known {
		f.guess("the free length: drawn dashed")
	}
	if !s.EndsSaid {
		f.guess("the ends: drawn plain")
	}
	high := max(s.Free.or(turns*s.Wire*2)-s.Wire, turns*s.Wire)
	height := func(t float64) float64 { return high * t / turns }
	if s.Closed && turns > 2 {
		pitch := (high - 2*s.Wire) / (turns - 2)
		height = func(t float64) float64 {
			switch {
			case t < 1:
				return t * s.Wire
			case t > turns-1:
				return high - (turns-t)*s.Wire
			}
			return s.Wire + (t-1)*pitch
		}
	}
	return []wire{{s.helix(0, turns, height), s.Free.Known, true}}
}
