package scan

import (
	"cmp"
	"math"
	"slices"

	"tinful/store/square"
)

// triples are three corners each that may be those of one code: upper left, upper right,
// lower left. Those that fit best come first, so that what shares a corner with a code that
// is there comes later.
func triples(list []corner) (out [][3]corner) {
	type fit struct {
		three [3]corner
		off   float64
	}
	var fits []fit
	for i, a := range list {
		for j := i + 1; j < len(list); j++ {
			for k := j + 1; k < len(list); k++ {
				if three, off, ok := square3(a, list[j], list[k]); ok {
					fits = append(fits, fit{three, off})
				}
			}
		}
	}
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Compare(a.off, b.off) })
	for _, f := range fits {
		out = append(out, f.three)
	}
	return out
}

// square3 puts three corners in order and says by which share they are off two sides of a
// square, as far as a picture from the side lets them be.
func square3(a, b, c corner) (three [3]corner, off float64, ok bool) {
	small, large := min(a.module, b.module, c.module), max(a.module, b.module, c.module)
	if large > small*1.4+0.5 {
		return three, 0, false
	}
	// The first is that across from the longest side.
	ab, bc, ca := far(a, b), far(b, c), far(c, a)
	switch max(ab, bc, ca) {
	case ab:
		a, b, c, ab, bc, ca = c, a, b, ca, ab, bc
	case ca:
		a, b, c, ab, bc, ca = b, c, a, bc, ca, ab
	}
	if (b.x-a.x)*(c.y-a.y)-(b.y-a.y)*(c.x-a.x) < 0 {
		b, c, ab, ca = c, b, ca, ab
	}
	sides := max(ab, ca)/min(ab, ca) - 1
	angle := math.Abs(bc/math.Hypot(ab, ca) - 1)
	// Fourteen modules lie between the corners of the smallest code, 170 of the largest;
	// a row that runs aslant makes them look up to two fifths larger.
	modules := (ab + ca) / 2 / ((a.module + b.module + c.module) / 3)
	return [3]corner{a, b, c}, sides + angle, sides < 0.3 && angle < 0.15 && modules > 9 && modules < 180
}

func far(a, b corner) float64 { return math.Hypot(a.x-b.x, a.y-b.y) }

// text is what the code with these corners says.
func (s *shot) text(three [3]corner) (string, bool) {
	a, b, c := three[0], three[1], three[2]
	module := (s.moduleTo(a, b) + s.moduleTo(a, c)) / 2
	if !(module >= 1) {
		return "", false
	}
	side := (far(a, b)+far(a, c))/2/module + 7
	near := int(math.Round((side-17)/4))*4 + 17
	for _, n := range []int{near, near + 4, near - 4} {
		if n < 21 || n > 177 {
			continue
		}
		on := spread(a, b, c, n)
		if !s.counted(on) {
			continue
		}
		if n > 21 {
			// From the side the fourth corner lies elsewhere. Near it stands a mark.
			if x, y, ok := s.mark(on); ok {
				on = on.bent(x, y)
			}
		}
		if text, err := s.modules(on).Text(); err == nil {
			return text, true
		}
	}
	return "", false
}

// moduleTo is how many pixels a module has on the way between two corners: both reach
// three and a half to either side. NaN where neither does.
func (s *shot) moduleTo(a, b corner) float64 {
	sum, n := 0.0, 0.0
	dx, dy := (b.x-a.x)/far(a, b), (b.y-a.y)/far(a, b)
	for _, from := range []corner{a, b} {
		for _, way := range []float64{1, -1} {
			if r := s.reach(from, dx*way, dy*way); r > 0 {
				sum, n = sum+r/3.5, n+1
			}
		}
	}
	return sum / n
}

// reach is how far the outer ring of a corner reaches: dark, light, dark, and out. It is 0
// where the picture ends before.
func (s *shot) reach(from corner, dx, dy float64) float64 {
	const step = 0.25
	for r, turns, dark := 0.0, 0, true; r < 12*from.module; r += step {
		x, y := int(math.Floor(from.x+r*dx)), int(math.Floor(from.y+r*dy))
		if x < 0 || y < 0 || x >= s.w || y >= s.h {
			return 0
		}
		if s.at(x, y) != dark {
			if turns++; turns == 3 {
				return r
			}
			dark = !dark
		}
	}
	return 0
}

// A grid says where on a picture the modules of a code of n a side lie. In module widths
// from the middle of the first corner, by side of them to the next, a point u, v is at
// (first + u along + v down) / (1 + u g + v h).
type grid struct {
	n                  int
	side               float64
	first, right, down corner
	g, h               float64 // how much smaller it becomes along and down: nothing from straight above
}

// spread is the grid between three corners, seen from straight above.
func spread(first, right, down corner, n int) grid {
	return grid{n: n, side: float64(n - 7), first: first, right: right, down: down}
}

// of is where a point of a code, in modules from its edges, lies on the picture.
func (o grid) of(x, y float64) (px, py float64) {
	u, v := (x-3.5)/o.side, (y-3.5)/o.side
	at := func(first, right, down float64) float64 {
		return (first + u*(right*(1+o.g)-first) + v*(down*(1+o.h)-first)) / (1 + u*o.g + v*o.h)
	}
	return at(o.first.x, o.right.x, o.down.x), at(o.first.y, o.right.y, o.down.y)
}

// bent is the grid seen from the side, of which the last mark lies at x, y.
func (o grid) bent(x, y float64) grid {
	t := (o.side - 3) / o.side
	// Two equations for g and h: x and y of the mark.
	off := func(first, right, down, mark float64) (g, h, is float64) {
		return t * (right - mark), t * (down - mark), mark - first - t*(right-first) - t*(down-first)
	}
	gx, hx, isx := off(o.first.x, o.right.x, o.down.x, x)
	gy, hy, isy := off(o.first.y, o.right.y, o.down.y, y)
	if det := gx*hy - gy*hx; det != 0 {
		o.g, o.h = (isx*hy-isy*hx)/det, (gx*isy-gy*isx)/det
	}
	return o
}

// module says whether the middle of a module is dark.
func (s *shot) module(o grid, x, y float64) bool {
	px, py := o.of(x, y)
	return s.at(int(math.Floor(px)), int(math.Floor(py)))
}

// counted says whether the lines that count modules, dark and light by turns between the
// corners, are there, two thirds of them at least.
func (s *shot) counted(o grid) bool {
	right := 0
	for i := 8; i < o.n-8; i++ {
		for _, dark := range []bool{s.module(o, float64(i)+0.5, 6.5), s.module(o, 6.5, float64(i)+0.5)} {
			if dark == (i%2 == 0) {
				right++
			}
		}
	}
	return 3*right >= 2*2*(o.n-16)
}

// modules are those of a code, each as most of five points of it are.
func (s *shot) modules(o grid) *square.Code {
	code := square.Blank(o.n)
	for y := range o.n {
		for x := range o.n {
			dark := 0
			for _, d := range [][2]float64{{0, 0}, {0.2, 0}, {-0.2, 0}, {0, 0.2}, {0, -0.2}} {
				if s.module(o, float64(x)+0.5+d[0], float64(y)+0.5+d[1]) {
					dark++
				}
			}
			code.Set(x, y, dark > 2)
		}
	}
	return code
}

// mark looks for the last mark of a code where it should lie, and further and further away:
// a dark module, a light ring and a dark one. It is where most of the 25 are as they should be.
func (s *shot) mark(o grid) (x, y float64, ok bool) {
	at := o.side + 0.5 // modules from the edge
	x0, y0 := o.of(at, at)
	ux, uy := o.of(at+1, at)
	vx, vy := o.of(at, at+1)
	ux, uy, vx, vy = ux-x0, uy-y0, vx-x0, vy-y0
	width := max(1, int(math.Hypot(ux, uy)))
	for _, within := range []int{4, 8} {
		most, n, sx, sy := 22, 0.0, 0.0, 0.0
		for dy := -within * width; dy <= within*width; dy++ {
			for dx := -within * width; dx <= within*width; dx++ {
				px, py := x0+float64(dx), y0+float64(dy)
				like := 25
				for i := 0; i < 25 && like >= most; i++ {
					mx, my := i%5-2, i/5-2
					ring := max(mx, -mx, my, -my)
					if s.at(int(math.Floor(px+float64(mx)*ux+float64(my)*vx)), int(math.Floor(py+float64(mx)*uy+float64(my)*vy))) == (ring == 1) {
						like--
					}
				}
				switch {
				case like > most:
					most, n, sx, sy = like, 1, px, py
				case like == most:
					n, sx, sy = n+1, sx+px, sy+py
				}
			}
		}
		if n > 0 {
			return sx / n, sy / n, true
		}
	}
	return 0, 0, false
}
