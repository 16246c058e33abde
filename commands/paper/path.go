package paper

import "math"

// A point is one of a page, in millimetres.
type point struct{ x, y float64 }

// A step is a piece of a path: m to begin, l a line, c a curve of Bézier with its two
// handles, z back to where the path began.
type step struct {
	op byte
	p  [3]point
}

// A path is lines and curves.
type path []step

func (p path) move(x, y float64) path { return append(p, step{'m', [3]point{{x, y}}}) }
func (p path) line(x, y float64) path { return append(p, step{'l', [3]point{{x, y}}}) }
func (p path) curve(a, b, to point) path {
	return append(p, step{'c', [3]point{a, b, to}})
}
func (p path) close() path { return append(p, step{op: 'z'}) }

// points are how many points a step has.
func (s step) points() int { return map[byte]int{'m': 1, 'l': 1, 'c': 3}[s.op] }

// at is the path scaled and then moved.
func (p path) at(x, y, scale float64) path {
	out := make(path, len(p))
	for i, s := range p {
		for n := range s.points() {
			s.p[n] = point{x + s.p[n].x*scale, y + s.p[n].y*scale}
		}
		out[i] = s
	}
	return out
}

// box is the path of a rectangle.
func box(x, y, w, h float64) path {
	return path{}.move(x, y).line(x+w, y).line(x+w, y+h).line(x, y+h).close()
}

// line is the path from one point to another.
func line(x1, y1, x2, y2 float64) path { return path{}.move(x1, y1).line(x2, y2) }

// polyline is the path along points.
func polyline(list ...point) path {
	var p path
	for i, q := range list {
		if i == 0 {
			p = p.move(q.x, q.y)
		} else {
			p = p.line(q.x, q.y)
		}
	}
	return p
}

// circle is the path of a circle: four curves, off by at most 0.03 % of the radius.
func circle(x, y, r float64) path { return arc(x, y, r, 0, 360).close() }

// arc is the path along a circle, angles in degrees from the right, clockwise on the
// page.
func arc(x, y, r, from, to float64) path {
	n := max(1, math.Ceil(math.Abs(to-from)/90))
	turn := (to - from) / n * math.Pi / 180
	handle := 4.0 / 3 * math.Tan(turn/4) * r
	p := path{}.move(x+r*math.Cos(from*math.Pi/180), y+r*math.Sin(from*math.Pi/180))
	for i := range int(n) {
		a := from*math.Pi/180 + float64(i)*turn
		b := a + turn
		sa, ca, sb, cb := math.Sin(a), math.Cos(a), math.Sin(b), math.Cos(b)
		p = p.curve(point{x + r*ca - handle*sa, y + r*sa + handle*ca}, point{x + r*cb + handle*sb, y + r*sb - handle*cb}, point{x + r*cb, y + r*sb})
	}
	return p
}

// bounds is the least box that holds all points of a path, handles too.
func (p path) bounds() (least, most point) {
	least, most = point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, s := range p {
		for _, q := range s.p[:s.points()] {
			least = point{min(least.x, q.x), min(least.y, q.y)}
			most = point{max(most.x, q.x), max(most.y, q.y)}
		}
	}
	return least, most
}
