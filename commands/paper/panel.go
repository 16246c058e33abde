package paper

import "math"

// A Panel is a panel of covering by its outline, seen from outside: lengths in
// millimetres, x along its width to the right, y along its length upwards, from its lower
// left corner.
type Panel struct {
	Width, Length float64
	Corner        float64 // radius
	Holes         []Spot
	GrainAcross   bool // the grain runs along the width, else along the length
	UpAcross      bool // the width stands upright on the camera, else the length
}

// A Spot is a round by its diameter W and its centre, L 0, or a rectangle, W by L, by its
// lower left corner.
type Spot struct{ X, Y, W, L float64 }

// Draw draws a panel with its holes, an arrow that shows which way is up, and one with two
// heads along the grain.
func (p Panel) Draw() (f Figure) {
	f.edge(p.outline().flipped(p.Length), true)
	for _, h := range p.Holes {
		f.edge(h.outline().flipped(p.Length), true)
	}
	for _, a := range p.arrows() {
		f.thin(a.flipped(p.Length))
	}
	return f
}

// outline is the edge of a panel, y upwards.
func (p Panel) outline() path {
	w, l, r := p.Width, p.Length, min(p.Corner, p.Width/2, p.Length/2)
	if r <= 0 {
		return box(0, 0, w, l)
	}
	k := r * (1 - 4.0/3*(math.Sqrt2-1))
	out := path{}.move(r, 0).line(w-r, 0).curve(point{w - k, 0}, point{w, k}, point{w, r})
	out = out.line(w, l-r).curve(point{w, l - k}, point{w - k, l}, point{w - r, l})
	out = out.line(r, l).curve(point{k, l}, point{0, l - k}, point{0, l - r})
	return out.line(0, r).curve(point{0, k}, point{k, 0}, point{r, 0}).close()
}

func (s Spot) outline() path {
	if s.L == 0 {
		return circle(s.X, s.Y, s.W/2)
	}
	return box(s.X, s.Y, s.W, s.L)
}

// arrows are lines: up with one head, along the grain with two.
func (p Panel) arrows() []path {
	long := min(p.Width, p.Length) / 4
	middle := point{p.Width / 2, p.Length / 2}
	var out []path
	arrow := func(at point, across bool, heads int) {
		dx, dy := 0.0, 1.0
		if across {
			dx, dy = 1, 0
		}
		end := func(s float64) point { return point{at.x + s*dx*long/2, at.y + s*dy*long/2} }
		a, b := end(-1), end(1)
		out = append(out, line(a.x, a.y, b.x, b.y))
		for i, tip := range []point{b, a}[:heads] {
			s := map[int]float64{0: 1, 1: -1}[i] * long / 5
			out = append(out, polyline(point{tip.x - s*dx - s*dy/2, tip.y - s*dy - s*dx/2}, tip, point{tip.x - s*dx + s*dy/2, tip.y - s*dy + s*dx/2}))
		}
	}
	shift := long * 0.6
	arrow(point{middle.x - shift, middle.y}, p.UpAcross, 1)
	arrow(point{middle.x + shift, middle.y}, p.GrainAcross, 2)
	return out
}

// flipped is a path with y downwards from a height on.
func (p path) flipped(height float64) path {
	return p.mapped(func(q point) point { return point{q.x, height - q.y} })
}

// mapped is a path with each point moved.
func (p path) mapped(to func(point) point) path {
	out := make(path, len(p))
	for i, s := range p {
		for n := range s.points() {
			s.p[n] = to(s.p[n])
		}
		out[i] = s
	}
	return out
}
