package paper

import (
	"errors"
	"image"
	"math"
	"strings"
	"testing"
)

func known(v float64) Measure { return Measure{v, true} }

// The twins of the demo: P001 and P002.
func twin(left bool) Spring {
	return Spring{Kind: "torsion", Wire: 0.25, OD: 2.6, Coils: known(3.25), Left: left, HandKnown: true, LegA: known(6), LegB: known(4.5), Angle: known(95)}
}

// things are one of each kind with its largest extent across, in millimetres, as its
// measures say: by hand.
func things() map[string]struct {
	f    Figure
	wide float64
} {
	comp := Spring{Kind: "compression", Wire: 0.3, OD: 4.2, Coils: known(6), HandKnown: true, Free: known(7.5), EndsSaid: true, Closed: true}
	ext := Spring{Kind: "extension", Wire: 0.36, OD: 2.6, Coils: known(18), HandKnown: true, Inside: known(10.2), HooksKnown: true, Hooks: 90}
	screw := Screw{Head: "cheese", Major: 1.4, Pitch: 0.3, Depth: 0.225, Flank: 53.13, Length: known(2), HeadWide: known(2.3), HeadHigh: known(0.9), Slot: known(0.3), Slotted: true}
	sunk := Screw{Head: "countersunk", Major: 1.7, Pitch: 0.35, Depth: 0.189, Flank: 60, Length: known(3), HeadWide: known(2.9)}
	return map[string]struct {
		f    Figure
		wide float64
	}{
		"compression": {comp.Draw(), 4.2}, "extension": {ext.Draw(), 2.6}, "cheese-head screw": {screw.Draw(), 2.3}, "countersunk screw": {sunk.Draw(), 2.9},
		"washer": {Ring{Outside: known(6), Inside: known(3.2), High: known(0.2)}.Draw(), 6},
		"gear":   {Gear{Teeth: 40, Outside: 10.5, Module: 0.25, Bore: known(2), Width: known(0.8)}.Draw(), 10.5},
		"ball":   {Ring{Outside: known(1), Ball: true}.Draw(), 1},
	}
}

// The scale is 50.0 mm within 0.2 as pixels, on A4 and on letter, at 1:1 and at five times.
func TestScaleIsFiftyMillimetres(t *testing.T) {
	dpi := 300.0
	if soak {
		dpi = 600
	}
	for name, size := range map[string]Size{"A4": Pages["A4"], "letter": Pages["letter"]} {
		for _, times := range []float64{1, 5} {
			file := written(t, "d.pdf", func(d *Doc) {
				err := d.Drawing(size, Drawing{Times: times, Things: []Thing{{Code: "P001", Name: "release lever return spring", Figure: twin(false).Draw()}}})
				if err != nil {
					t.Fatal(err)
				}
			})
			sound(t, file)
			g := pictures(t, file, int(dpi))[0]
			// The scale's line is the lowest that is dark for 40 mm.
			wide := 0.0
			for y := g.Rect.Dy() - 1; y > 0 && wide == 0; y-- {
				wide = longest(g, y)
				if wide < 40*dpi/25.4 {
					wide = 0
				}
			}
			if mm := wide * 25.4 / dpi; math.Abs(mm-50) > 0.2 {
				t.Errorf("%s, %v times: the scale is %.2f mm long", name, times, mm)
			}
		}
	}
}

// longest is the longest row of dark pixels on a line.
func longest(g *image.Gray, y int) float64 {
	best, n := 0, 0
	for x := range g.Rect.Dx() {
		if n++; !dark(g, x, y) {
			n = 0
		}
		best = max(best, n)
	}
	return float64(best)
}

// alone draws one figure on a page of 127 mm, 3000 pixels at 600 dots to the inch.
func alone(t *testing.T, f Figure, times float64, at func(Size) (x, y float64)) *image.Gray {
	t.Helper()
	return pictures(t, written(t, "f.pdf", func(d *Doc) {
		d.page(127, 127)
		x, y := at(f.Size(times))
		d.figure(&f, x, y, times)
	}), 600)[0]
}

// extent is from the first to the last column with ink, in pixels.
func extent(g *image.Gray) float64 {
	first, last := g.Rect.Dx(), -1
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			if dark(g, x, y) {
				first, last = min(first, x), max(last, x)
			}
		}
	}
	return float64(last - first + 1)
}

// Outside diameters are within 0.1 mm of what was measured, as pixels at 1:1.
func TestOutsideDiameters(t *testing.T) {
	for name, x := range things() {
		g := alone(t, x.f, 1, func(s Size) (float64, float64) { return (127 - s.W) / 2, 20 })
		if mm := extent(g) * 25.4 / 600; math.Abs(mm-x.wide) > 0.1 {
			t.Errorf("%s: %.3f mm across, measured %.2f", name, mm, x.wide)
		}
	}
	// Of the torsion spring the coil alone: its legs reach farther.
	s := twin(false)
	s.LegA, s.LegB = known(0.1), known(0.1)
	g := alone(t, s.Draw(), 1, func(s Size) (float64, float64) { return 60, 20 })
	if mm := extent(g) * 25.4 / 600; math.Abs(mm-2.6) > 0.1 {
		t.Errorf("torsion: %.3f mm across, measured 2.6", mm)
	}
}

// The left twin is the mirror of the right one, pixel by pixel but for what a rounding
// at an edge does.
func TestLeftTwinIsTheMirror(t *testing.T) {
	pictures := map[bool]*image.Gray{}
	for _, left := range []bool{false, true} {
		pictures[left] = alone(t, twin(left).Draw(), 8, func(s Size) (float64, float64) { return (127 - s.W) / 2, 20 })
	}
	right, left := pictures[false], pictures[true]
	ink, off := 0, 0
	for y := range right.Rect.Dy() {
		for x := range right.Rect.Dx() {
			if dark(right, x, y) {
				ink++
			}
			if dark(right, x, y) != dark(left, right.Rect.Dx()-1-x, y) {
				off++
			}
		}
	}
	if ink < 10_000 || off > ink/50 {
		t.Errorf("of %d dark pixels %d differ from the mirror", ink, off)
	}
}

// Source: the trade's rule: look along the axis; if the wire goes away from you
// clockwise it is right-hand wound. Seen from above, what is painted later is nearer.
func TestHandOfACoil(t *testing.T) {
	for _, left := range []bool{false, true} {
		s := twin(left)
		coil := s.helix(270, 3.25, func(t float64) float64 { return t * s.Wire })
		if left {
			for i := range coil {
				coil[i].x = -coil[i].x
			}
		}
		f := top([]wire{{coil, true, true}}, s.Wire)
		turned := 0.0 // on the page, clockwise, as the wire goes away
		for i := len(f.strokes) - 1; i >= 0; i-- {
			p := f.strokes[i].p
			if i > 0 && f.strokes[i-1].p[len(f.strokes[i-1].p)-1].p[0] != p[0].p[0] {
				t.Fatal("a piece does not go on below the one that lies on it")
			}
			for n := len(p) - 1; n > 0; n-- {
				a, b := p[n].p[0], p[n-1].p[0]
				turned += math.Atan2(a.x*b.y-a.y*b.x, a.x*b.x+a.y*b.y)
			}
		}
		if turns := turned / 2 / math.Pi; math.Abs(math.Abs(turns)-3.25) > 0.01 || (turns > 0) == left {
			t.Errorf("left %v: the wire goes away with %.2f turns clockwise", left, turns)
		}
		// From the front the turns before the axis rise to the right, of a left-hand coil to the left.
		side := front([]wire{{coil, true, true}}, s.Wire)
		near := side.strokes[len(side.strokes)-1].p
		a, b := near[0].p[0], near[len(near)-1].p[0]
		if rises := (b.y < a.y) == (b.x > a.x); rises == left {
			t.Errorf("left %v: a turn in front goes from %v to %v", left, a, b)
		}
	}
}

// Crests of a right-hand thread rise to the right, as the turns of a right-hand coil
// do; the flanks stand at the angle of the form, a pitch apart.
func TestThreadInProfile(t *testing.T) {
	for _, left := range []bool{false, true} {
		s := Screw{Head: "cheese", Major: 2.3, Pitch: 0.4, Depth: 0.3, Flank: 53.13, Left: left, Length: known(4.5), HeadWide: known(4.2), HeadHigh: known(1)}
		f := s.Draw()
		crests := 0
		for _, x := range f.strokes {
			if x.thin {
				crests++
				if a, b := x.p[0].p[0], x.p[1].p[0]; (b.y < a.y) == left || math.Abs(math.Abs(b.y-a.y)-0.2) > 1e-9 {
					t.Errorf("left %v: a crest goes from %v to %v", left, a, b)
				}
			}
		}
		if crests < 10 || crests > 12 { // 4.5 / 0.4 = 11.25
			t.Errorf("%d crests on 4.5 mm of pitch 0.4", crests)
		}
		for _, x := range f.strokes {
			if !x.body || len(x.p) < 20 {
				continue
			}
			for i := 1; i < len(x.p)-1; i++ {
				a, b := x.p[i-1].p[0], x.p[i].p[0]
				if across, along := math.Abs(b.x-a.x), math.Abs(b.y-a.y); math.Abs(across-0.3) < 1e-9 {
					if angle := 2 * math.Atan(along/across) * 180 / math.Pi; math.Abs(angle-53.13) > 0.01 {
						t.Errorf("flanks of %.2f degrees", angle)
					}
				}
			}
		}
	}
}

// What is not known is drawn dashed and said, never left to look like what is.
func TestWhatIsNotKnownIsDashed(t *testing.T) {
	s := twin(false)
	s.LegB, s.HandKnown = Measure{}, false
	f := s.Draw()
	if got := strings.Join(f.Guessed, "; "); !strings.Contains(got, "leg B: drawn dashed") || !strings.Contains(got, "which hand it is wound: drawn dashed") {
		t.Errorf("said: %s", got)
	}
	for _, x := range f.strokes {
		if x.wire > 0 && !x.dash {
			t.Error("a wire of unknown hand is drawn as if it were known")
		}
	}
	whole := twin(false)
	if f := whole.Draw(); len(f.Guessed) != 0 {
		t.Errorf("of a spring that is measured whole it is said: %v", f.Guessed)
	}
}

// A drawing never leaves its page; one that is too large says how large it may be.
func TestDrawingStaysOnItsPage(t *testing.T) {
	long := strings.Repeat("W", 300)
	rows := []Compared{}
	for range 12 {
		rows = append(rows, Compared{long, []string{long, "קפיץ", ""}, true})
	}
	for name, x := range things() {
		things := []Thing{{Code: long, Name: long, Stop: long, Figure: x.f}, {Code: "P1", Name: "\x00\u202e", Figure: x.f}, {Name: "a", Figure: x.f}}
		d, r := recorded()
		if err := d.Drawing(Pages["letter"], Drawing{Times: 1, Things: things, Rows: rows, Notes: []string{long, long}}); err != nil {
			t.Fatal(name, err)
		}
		for _, m := range r.drawn {
			if m.least.x < 0 || m.least.y < 0 || m.most.x > 215.9 || m.most.y > 279.4 {
				t.Errorf("%s: %q reaches from %v to %v", name, m.text, m.least, m.most)
			}
		}
		err := d.Drawing(Pages["A4"], Drawing{Times: 100, Things: things})
		large, ok := errors.AsType[*TooLargeError](err)
		if !ok || large.Most < 1 {
			t.Fatal(name, err)
		}
		if err := d.Drawing(Pages["A4"], Drawing{Times: large.Most * 0.999, Things: things}); err != nil {
			t.Errorf("%s: the most that is said is refused: %v", name, err)
		}
	}
}
