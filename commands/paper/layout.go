package paper

import (
	"fmt"
	"math"
)

// A Layout is a sheet of covering as it is cut, drawn at 1:1: lengths in millimetres, x
// along its width to the right, y along its length upwards, from its lower left corner.
type Layout struct {
	Title       string
	W, H        float64
	GrainAcross bool // the grain runs along the width
	Margin      float64
	Panels      []LaidPanel
	Cuts        [][4]float64 // x1, y1, x2, y2 in their order
	Flaws       []Spot
	Left        []Spot // rectangles that are kept
}

// A LaidPanel is a panel as it lies: Turned by a quarter, clockwise.
type LaidPanel struct {
	Panel
	Name   string
	X, Y   float64
	Turned bool
}

// The paper around a layout, in millimetres: what a printer cannot reach, the room above
// for what it is and below for the scale, and how much two pages have in common.
const (
	layoutEdge = 10.0
	layoutHead = 10.0
	layoutFoot = 12.0
	overlap    = 12.0
)

// Layouts prints sheets at 1:1. In a PDF a sheet that is larger than the page goes over
// several pages, which are laid on one another by their crosses; an SVG is one page as
// large as it has to be.
func (d *Doc) Layouts(page Size, list []Layout) error {
	if _, one := d.canvas.(*svg); one {
		d.layoutsOnOne(list)
		return nil
	}
	if page.W < 2*layoutEdge+scaleLong+overlap || page.H < 2*layoutEdge+layoutHead+layoutFoot+overlap+scaleLong {
		return &TooLargeError{0}
	}
	for _, l := range list {
		d.layoutPages(page, l)
	}
	return nil
}

// layoutsOnOne prints all sheets on one page, one below the other.
func (d *Doc) layoutsOnOne(list []Layout) {
	size := Size{scaleLong + 80, layoutEdge}
	for _, l := range list {
		size.W = max(size.W, l.W)
		size.H += l.H + layoutHead + layoutFoot + layoutEdge
	}
	d.page(size.W+2*layoutEdge, size.H)
	y := layoutEdge
	for _, l := range list {
		d.one(layoutEdge, y+4, size.W, 4, 2, d.fonts.bold, l.Title, black)
		d.layout(l, layoutEdge, y+layoutHead)
		y += layoutHead + l.H + layoutFoot
		d.layoutFoot(layoutEdge, y-6, size.W)
		y += layoutEdge
	}
}

// layoutPages prints a sheet on as many pages as it needs, upright or across.
func (d *Doc) layoutPages(page Size, l Layout) {
	if across := (Size{page.H, page.W}); tiles(across, l).count() < tiles(page, l).count() {
		page = across
	}
	t := tiles(page, l)
	for row := range t.rows {
		for col := range t.cols {
			d.page(page.W, page.H)
			x0, y0 := float64(col)*(t.w-overlap), float64(row)*(t.h-overlap)
			d.layout(l, layoutEdge-x0, layoutEdge+layoutHead-y0)
			d.crosses(t, l, layoutEdge-x0, layoutEdge+layoutHead-y0)
			d.masked(page)
			text := l.Title
			if t.count() > 1 {
				text = fmt.Sprintf("page %d of %d (row %d, column %d): %s", row*t.cols+col+1, t.count(), row+1, col+1, l.Title)
			}
			d.one(layoutEdge, layoutEdge+4, page.W-2*layoutEdge, 4, 2, d.fonts.bold, text, black)
			d.layoutFoot(layoutEdge, page.H-layoutEdge-6, page.W-2*layoutEdge)
		}
	}
}

// layoutFoot prints the scale, and what the lines mean.
func (d *Doc) layoutFoot(x, y, w float64) {
	d.scale(x, y, 1)
	const beside = scaleLong + 6
	d.one(x+beside, y, w-beside, 2.8, 1.8, d.fonts.regular, "arrow: up on the camera; two heads: the grain; dashed: cuts, in the order of their numbers; hatched: not to be used", black)
}

// A tiling is how many pages a sheet goes over, and how much of it each shows.
type tiling struct {
	cols, rows int
	w, h       float64
}

func (t tiling) count() int { return t.cols * t.rows }

func tiles(page Size, l Layout) tiling {
	t := tiling{w: page.W - 2*layoutEdge, h: page.H - 2*layoutEdge - layoutHead - layoutFoot}
	over := func(long, shows float64) int { return 1 + int(math.Ceil(max(0, long-shows)/(shows-overlap))) }
	t.cols, t.rows = over(l.W, t.w), over(l.H, t.h)
	return t
}

// masked leaves the edge of a page white, with what is drawn beyond what it shows.
func (d *Doc) masked(page Size) {
	// A millimetre is left open for the edge of the sheet itself.
	side, top, foot := layoutEdge-1, layoutEdge+layoutHead-1, layoutEdge+layoutFoot-1
	for _, p := range []path{box(-1, -1, page.W+2, top+1), box(-1, page.H-foot, page.W+2, foot+1), box(-1, -1, side+1, page.H+2), box(page.W-side, -1, side+1, page.H+2)} {
		d.fill(p, white)
	}
}

// crosses are where pages meet, in the middle of what two of them show: three along every
// seam, at the same places of the sheet on both.
func (d *Doc) crosses(t tiling, l Layout, x, y float64) {
	cross := func(cx, cy float64) {
		d.stroke(line(x+cx-4, y+cy, x+cx+4, y+cy), 0.15, nil, black)
		d.stroke(line(x+cx, y+cy-4, x+cx, y+cy+4), 0.15, nil, black)
		d.stroke(circle(x+cx, y+cy, 2), 0.15, nil, black)
	}
	for c := 1; c < t.cols; c++ {
		for _, share := range []float64{0.1, 0.5, 0.9} {
			cross(float64(c)*(t.w-overlap)+overlap/2, l.H*share)
		}
	}
	for r := 1; r < t.rows; r++ {
		for _, share := range []float64{0.1, 0.5, 0.9} {
			cross(l.W*share, float64(r)*(t.h-overlap)+overlap/2)
		}
	}
}

// layout draws a sheet with its upper left corner at x, y.
func (d *Doc) layout(l Layout, x, y float64) {
	at := func(p path) path { return p.mapped(func(q point) point { return point{x + q.x, y + l.H - q.y} }) }
	d.stroke(at(box(0, 0, l.W, l.H)), 0.3, nil, black)
	for _, s := range l.Flaws {
		d.flaw(s, at)
	}
	for _, s := range l.Left {
		d.inWords(at(box(s.X, s.Y, s.W, s.L)), fmt.Sprintf("left: %s x %s", num(s.W), num(s.L)), 3)
	}
	for i, c := range l.Cuts {
		d.stroke(at(line(c[0], c[1], c[2], c[3])), 0.1, []float64{2, 1}, black)
		d.cutNumber(i+1, c, at)
	}
	for _, p := range l.Panels {
		d.laid(p, at)
	}
	d.stroke(at(box(0, 0, l.W, l.H)), 0.3, nil, black)
}

// cutNumber writes the number of a cut at its first end, in the margin of the panels.
func (d *Doc) cutNumber(n int, c [4]float64, at func(path) path) {
	q := at(path{}.move(c[0], c[1]))[0].p[0]
	text := fmt.Sprint(n)
	size := 2.6
	wide := d.fonts.bold.width(text)*size + 1
	cx, cy := q.x, q.y-3
	if c[1] == c[3] {
		cx, cy = q.x+3, q.y
	}
	d.fill(box(cx-wide/2, cy-size*0.5, wide, size), white)
	d.text(cx-wide/2+0.5, cy+size*0.36, size, d.fonts.bold, text, black)
}

// panelEdge is how wide the edge of a panel and of a hole is: it is cut along its middle.
const panelEdge = 0.15

// laid draws a panel as it lies.
func (d *Doc) laid(p LaidPanel, at func(path) path) {
	on := func(q path) path {
		return at(q.mapped(func(q point) point {
			if p.Turned {
				q = point{q.y, p.Width - q.x}
			}
			return point{p.X + q.x, p.Y + q.y}
		}))
	}
	edge := on(p.outline())
	d.fill(edge, white)
	d.stroke(edge, panelEdge, nil, black)
	for _, h := range p.Holes {
		d.stroke(on(h.outline()), panelEdge, nil, black)
	}
	for _, a := range p.arrows() {
		d.stroke(on(a), 0.15, nil, black)
	}
	d.inWords(edge, p.Name, 4)
}

// inWords writes a text across a piece, below its middle.
func (d *Doc) inWords(edge path, text string, size float64) {
	a, b := edge.bounds()
	text = d.printable(text)
	wide := d.fonts.bold.width(text)
	if wide <= 0 {
		return
	}
	size = min(size, (b.x-a.x)*0.9/wide, (b.y-a.y)*0.2)
	d.text((a.x+b.x)/2-wide*size/2, (a.y+b.y)/2+(b.y-a.y)*0.28, size, d.fonts.bold, text, black)
}

// flaw draws a flaw: its outline with slanting lines within its box.
func (d *Doc) flaw(s Spot, at func(path) path) {
	b := s
	if s.L == 0 {
		b = Spot{s.X - s.W/2, s.Y - s.W/2, s.W, s.W}
	}
	d.stroke(at(s.outline()), 0.2, nil, black)
	for c := 1.5; c < b.W+b.L; c += 1.5 {
		from := point{b.X + max(0, c-b.L), b.Y + min(c, b.L)}
		to := point{b.X + min(c, b.W), b.Y + max(0, c-b.W)}
		if s.L == 0 {
			// The chord of the round on the same line.
			off := (c - b.W) / math.Sqrt2
			if half := s.W/2*s.W/2 - off*off; half > 0 {
				h := math.Sqrt(half / 2)
				mx, my := s.X+off/math.Sqrt2, s.Y+off/math.Sqrt2
				from, to = point{mx - h, my + h}, point{mx + h, my - h}
			} else {
				continue
			}
		}
		d.stroke(at(line(from.x, from.y, to.x, to.y)), 0.1, nil, black)
	}
}
