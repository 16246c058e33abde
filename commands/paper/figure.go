package paper

import (
	"cmp"
	"math"
	"slices"
)

// A Measure is a length in millimetres, an angle in degrees or a number; not known is
// not zero.
type Measure struct {
	V     float64
	Known bool
}

// or is the measure, or what is taken where it is not known.
func (m Measure) or(v float64) float64 {
	if m.Known {
		return m.V
	}
	return v
}

// A Figure is a thing drawn from its measures, in millimetres of the thing itself,
// right and down. What is painted later lies in front.
type Figure struct {
	strokes []stroke
	Guessed []string // what is not known and drawn dashed, or as is usual
}

// A stroke is one line of a figure: the edge of something, or a wire, whose width is
// that of the thing.
type stroke struct {
	p    path
	wire float64 // its diameter, 0 for an edge
	dash bool    // not known
	thin bool    // no edge: a pitch circle, a crest
	body bool    // a closed edge that hides what is behind it
	tip  bool    // the wire ends where the line does
}

func (f *Figure) edge(p path, known bool) {
	f.strokes = append(f.strokes, stroke{p: p, dash: !known})
}
func (f *Figure) solid(p path, known bool) {
	f.strokes = append(f.strokes, stroke{p: p, dash: !known, body: true})
}
func (f *Figure) thin(p path) { f.strokes = append(f.strokes, stroke{p: p, thin: true}) }
func (f *Figure) guess(s string) {
	if !slices.Contains(f.Guessed, s) {
		f.Guessed = append(f.Guessed, s)
	}
}

// beside puts another figure under this one, gap millimetres below.
func (f *Figure) below(o Figure, gap float64) {
	_, most := f.bounds()
	least, _ := o.bounds()
	dy := gap
	if len(f.strokes) > 0 {
		dy = most.y - least.y + gap
	}
	for _, s := range o.strokes {
		s.p = s.p.at(0, dy, 1)
		f.strokes = append(f.strokes, s)
	}
	for _, g := range o.Guessed {
		f.guess(g)
	}
}

// bounds is the least box that holds a figure.
func (f *Figure) bounds() (least, most point) {
	least, most = point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, s := range f.strokes {
		a, b := s.p.bounds()
		r := s.wire / 2
		least = point{min(least.x, a.x-r), min(least.y, a.y-r)}
		most = point{max(most.x, b.x+r), max(most.y, b.y+r)}
	}
	return least, most
}

// Empty tells whether nothing is drawn.
func (f *Figure) Empty() bool { return len(f.strokes) == 0 }

// Size is the room that a figure takes at a scale.
func (f *Figure) Size(times float64) Size {
	if f.Empty() {
		return Size{}
	}
	a, b := f.bounds()
	return Size{(b.x - a.x) * times, (b.y - a.y) * times}
}

// edgeWidth is how wide an edge is on paper: at 1:1 it adds 0.03 mm on either side of
// what it bounds.
func edgeWidth(times float64) float64 { return min(0.06*math.Sqrt(times), 0.25) }

// figure draws a figure with the upper left corner of its box at x, y.
func (d *Doc) figure(f *Figure, x, y, times float64) {
	a, _ := f.bounds()
	edge := edgeWidth(times)
	for _, s := range f.strokes {
		p := s.p.at(x-a.x*times, y-a.y*times, times)
		switch {
		case s.dash:
			d.stroke(p, edge, []float64{min(1.2, 0.5*times), min(0.8, 0.35*times)}, black)
		case s.wire > 0:
			d.stroke(p, s.wire*times, nil, black)
			if core := s.wire*times - 2*edge; core > 0.03 {
				end := edge / 2
				if s.tip {
					end = -edge
				}
				d.stroke(longer(p, edge/2, end), core, nil, white)
			}
		case s.body:
			d.fill(p, white)
			d.stroke(p, edge, nil, black)
		case s.thin:
			d.stroke(p, edge*0.6, nil, black)
		default:
			d.stroke(p, edge, nil, black)
		}
	}
}

// longer is a path of lines that begins and ends a little farther out, so that the
// inside of one piece of wire goes over into that of the next.
func longer(p path, before, behind float64) path {
	out := slices.Clone(p)
	stretch := func(end, next int, by float64) {
		a, b := p[end].p[0], p[next].p[0]
		if n := math.Hypot(a.x-b.x, a.y-b.y); n > 0 {
			out[end].p[0] = point{a.x + (a.x-b.x)/n*by, a.y + (a.y-b.y)/n*by}
		}
	}
	if len(p) > 1 {
		stretch(0, 1, before)
		stretch(len(p)-1, len(p)-2, behind)
	}
	return out
}

// A bend is a point of a wire in space: x to the right, y away from who looks at the
// front, z up.
type bend struct{ x, y, z float64 }

// A wire is one piece of wire: its axis point by point, and whether it is known. A coil
// goes around an upright axis.
type wire struct {
	axis        []bend
	known, coil bool
}

// front is wires seen from the front, top from above: the nearer before the farther.
func front(wires []wire, thick float64) Figure {
	return seen(wires, thick, func(b bend) (point, float64) { return point{b.x, -b.z}, b.y })
}

func top(wires []wire, thick float64) Figure {
	return seen(wires, thick, func(b bend) (point, float64) { return point{b.x, -b.y}, -b.z })
}

// seen paints wires piece by piece, the farthest first. A piece ends where a wire goes
// from the near half to the far one, so that none lies both before and behind another.
func seen(wires []wire, thick float64, eye func(bend) (point, float64)) (f Figure) {
	type piece struct {
		stroke
		far float64
	}
	var all []piece
	for _, w := range wires {
		var p path
		sum, n, last := 0.0, 0.0, 0.0
		end := func() {
			if len(p) > 1 {
				all = append(all, piece{stroke{p: p, wire: thick, dash: !w.known, tip: !w.coil}, sum / n})
			}
		}
		for i, b := range w.axis {
			q, far := eye(b)
			switch {
			case i == 0:
				p = p.move(q.x, q.y)
			default:
				p = p.line(q.x, q.y)
			}
			sum, n = sum+far, n+1
			if i > 0 && w.coil && b.y*last < 0 {
				end()
				p, sum, n = path{}.move(q.x, q.y), far, 1
			}
			last = b.y
		}
		end()
	}
	slices.SortStableFunc(all, func(a, b piece) int { return cmp.Compare(b.far, a.far) })
	for _, p := range all {
		f.strokes = append(f.strokes, p.stroke)
	}
	return f
}
