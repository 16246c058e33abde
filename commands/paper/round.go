package paper

import "math"

// A Ring is a washer, shim, spacer, clip or ball by its measures.
type Ring struct {
	Outside, Inside, High Measure
	Open                  bool // a clip: how it is cut open is not measured
	Ball                  bool
}

// Draw draws a ring from above and from the side.
func (r Ring) Draw() (f Figure) {
	var above, side Figure
	out, in := r.Outside.or(r.Inside.V*1.9), r.Inside.or(r.Outside.V*0.5)
	if !r.Outside.Known {
		f.guess("the outside: drawn dashed")
	}
	above.edge(circle(0, 0, out/2), r.Outside.Known && !r.Open)
	if r.Ball {
		f.below(above, 0)
		return f
	}
	if !r.Inside.Known {
		f.guess("the inside: drawn dashed")
	}
	above.edge(circle(0, 0, in/2), r.Inside.Known)
	if r.Open {
		f.guess("where it is open: drawn as a ring")
	}
	if !r.High.Known {
		f.guess("the thickness: drawn dashed")
	}
	side.edge(box(-out/2, 0, out, r.High.or(out*0.1)), r.High.Known && r.Outside.Known)
	f.below(above, 0)
	f.below(side, out*0.25)
	return f
}

// A Gear is a gear by its measures.
type Gear struct {
	Teeth   int
	Outside float64
	Module  float64
	Bore    Measure
	Width   Measure
}

// pressure is the angle that teeth are drawn with where nobody measured it, in degrees:
// ISO 53.
const pressure = 20

// Draw draws a gear from above: tips and bore as measured, flanks as standard ones.
func (g Gear) Draw() (f Figure) {
	f.guess("the form of the teeth: flanks drawn dashed as involutes of 20 degrees")
	z := float64(g.Teeth)
	tip, pitch := g.Outside/2, g.Module*z/2
	root, base := pitch-1.25*g.Module, pitch*math.Cos(pressure*math.Pi/180)
	involute := func(r float64) float64 { // the angle it has turned at a radius
		a := math.Acos(min(1, base/r))
		return math.Tan(a) - a
	}
	// Half the angle of a tooth where it is thickest, from its middle.
	half := func(r float64) float64 { return math.Pi/(2*z) + involute(pitch) - involute(max(r, base)) }
	at := func(r, a float64) point { return point{r * math.Sin(a), -r * math.Cos(a)} }
	for n := range g.Teeth {
		middle := 2 * math.Pi * float64(n) / z
		for _, hand := range []float64{-1, 1} {
			var flank []point
			for i := range 7 {
				r := root + (tip-root)*float64(i)/6
				flank = append(flank, at(r, middle+hand*half(r)))
			}
			f.edge(polyline(flank...), false)
		}
		deg := func(a float64) float64 { return a*180/math.Pi - 90 }
		f.edge(arc(0, 0, tip, deg(middle-half(tip)), deg(middle+half(tip))), true)
		next := middle + 2*math.Pi/z
		f.edge(arc(0, 0, root, deg(middle+half(root)), deg(next-half(root))), false)
	}
	f.thin(circle(0, 0, pitch))
	if !g.Bore.Known {
		f.guess("the bore: left out")
	} else {
		f.edge(circle(0, 0, g.Bore.V/2), true)
	}
	var side Figure
	if !g.Width.Known {
		f.guess("the width: drawn dashed")
	}
	side.edge(box(-tip, 0, 2*tip, g.Width.or(tip*0.2)), g.Width.Known)
	f.below(side, tip*0.3)
	return f
}

// A Plate is what is known of a flat thing by its length and width.
type Plate struct {
	Length, Width float64
	Thick         Measure
	Hole          Measure // across
	Apart         Measure // the holes' centres
	Outline       bool    // its outline is a rectangle
}

// Draw draws a flat thing as the rectangle it goes into, with its holes.
func (p Plate) Draw() (f Figure) {
	if !p.Outline {
		f.guess("its outline: drawn dashed as what it goes into")
	}
	f.edge(box(-p.Length/2, -p.Width/2, p.Length, p.Width), p.Outline)
	switch {
	case p.Hole.Known && p.Apart.Known:
		f.guess("where the holes are: drawn in the middle, as far apart as measured")
		for _, x := range []float64{-p.Apart.V / 2, p.Apart.V / 2} {
			f.edge(circle(x, 0, p.Hole.V/2), true)
		}
	case p.Hole.Known:
		f.guess("where the hole is: drawn dashed in the middle")
		f.edge(circle(0, 0, p.Hole.V/2), false)
	}
	var side Figure
	if p.Thick.Known {
		side.edge(box(-p.Length/2, 0, p.Length, p.Thick.V), p.Outline)
		f.below(side, p.Width*0.3)
	}
	return f
}
