package paper

import (
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// aLayout is a sheet with two panels, one of them turned, a cut and a flaw: by hand.
func aLayout(w, h float64) Layout {
	back := Panel{Width: 57, Length: 128, Corner: 2, Holes: []Spot{{X: 10, Y: 100, W: 8}}}
	side := Panel{Width: 34, Length: 57, Holes: []Spot{{X: 6, Y: 45, W: 4}, {X: 20, Y: 5, W: 6, L: 3}}}
	return Layout{Title: "SK-1 calfskin", W: w, H: h, Margin: 4, Panels: []LaidPanel{{Panel: back, Name: "P069", X: 4, Y: 4}, {Panel: side, Name: "P070", X: 69, Y: 10, Turned: true}},
		Cuts: [][4]float64{{65, 0, 65, h}}, Flaws: []Spot{{X: 100, Y: 100, W: 10}}}
}

// A span is a stretch on a row, or on a column, of a sheet that begins and ends with an
// edge, in millimetres from its lower left.
type span struct {
	what         string
	column       bool
	at, from, to float64
}

// spans are edges of aLayout, reckoned by hand. The hole 8@10,100 of the back lies at 14,
// 104 and is crossed through its centre; the side panel is turned clockwise, so that its
// hole 4@6,45 lies 45 to the right and 34-6 = 28 up: at 114, 38; and the rectangle 6x3@20,5
// from 5 to 8 to the right and from 34-26 = 8 to 14 up: at 74 to 77, 18 to 24.
var spans = []span{
	{"back, width", false, 60, 4, 61},
	{"back, length", true, 52, 4, 132},
	{"side, turned, its length across", false, 13, 69, 126},
	{"side, turned, its width upright", true, 72, 10, 44},
	{"hole of the back, across", false, 104, 10, 18},
	{"hole of the back, upright", true, 14, 100, 108},
	{"hole of the side, across", false, 38, 112, 116},
	{"hole of the side, upright", true, 114, 36, 40},
	{"rectangle of the side, across", false, 21, 74, 77},
	{"rectangle of the side, upright", true, 75.5, 18, 24},
}

// A sheetOn is a sheet as pixels: where its lower left corner is on the picture, in
// millimetres from above.
type sheetOn struct {
	g    *image.Gray
	dpi  float64
	x, y float64
}

// edge looks for an edge near a place of the sheet along a row or column, and says where its
// middle is.
func (s sheetOn) edge(column bool, at, near float64) (float64, bool) {
	px := func(mm float64) int { return int(math.Round(mm * s.dpi / 25.4)) }
	first, last := -1, -1
	for i := px(near - 0.7); i <= px(near+0.7); i++ {
		x, y := px(s.x)+i, px(s.y-at)
		if column {
			x, y = px(s.x+at), px(s.y)-i
		}
		if s.g.GrayAt(x, y).Y < 200 {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	return (float64(first+last)/2 + 0.5) * 25.4 / s.dpi, first >= 0
}

// compare looks for all edges that lie between low and high.
func (s sheetOn) compare(t *testing.T, low, high float64) (seen int) {
	t.Helper()
	for _, e := range spans {
		for _, want := range []float64{e.from, e.to} {
			x, y := want, e.at
			if e.column {
				x, y = e.at, want
			}
			if _ = x; y < low || y > high {
				continue
			}
			seen++
			if got, ok := s.edge(e.column, e.at, want); !ok || math.Abs(got-want) > 0.2 {
				t.Errorf("%s: an edge at %.2f mm (there: %v), laid at %.2f", e.what, got, ok, want)
			}
		}
	}
	return seen
}

// scaled looks for the scale: the row that is dark for the longest is 50 mm.
func scaled(t *testing.T, g *image.Gray, dpi float64, from int) {
	t.Helper()
	for y := g.Rect.Dy() - 1; y > from; y-- {
		if mm := longest(g, y) * 25.4 / dpi; mm > 40 {
			if math.Abs(mm-50) > 0.2 {
				t.Errorf("the scale is %.2f mm long", mm)
			}
			return
		}
	}
	t.Error("no scale is there")
}

// A sheet that has room on a page is on it as large as it is, as pixels at 300 dots to the
// inch.
func TestLayoutAsPixels(t *testing.T) {
	file := written(t, "l.pdf", func(d *Doc) {
		if err := d.Layouts(Pages["A4"], []Layout{aLayout(150, 200)}); err != nil {
			t.Fatal(err)
		}
	})
	sound(t, file)
	pages := pictures(t, file, 300)
	if len(pages) != 1 {
		t.Fatalf("%d pages", len(pages))
	}
	s := sheetOn{pages[0], 300, layoutEdge, layoutEdge + layoutHead + 200}
	if n := s.compare(t, 0, 200); n != 2*len(spans) {
		t.Errorf("%d edges", n)
	}
	scaled(t, pages[0], 300, 0)
}

// A sheet of A4 goes over two pages across: the same cross is on both, and either page has
// its part of the sheet.
func TestLayoutOverPages(t *testing.T) {
	file := written(t, "l.pdf", func(d *Doc) {
		if err := d.Layouts(Pages["A4"], []Layout{aLayout(210, 297)}); err != nil {
			t.Fatal(err)
		}
	})
	pages := pictures(t, file, 300)
	if len(pages) != 2 {
		t.Fatalf("%d pages", len(pages))
	}
	// Across, a page shows 210-20-22 = 168 mm of height, 12 of them again on the next: the
	// second begins 156 from above, and the crosses are 162 from above, 135 from below.
	for i, page := range pages {
		s := sheetOn{page, 300, layoutEdge, layoutEdge + layoutHead + 297 - float64(i)*156}
		low, high := 297-168.0, 297.0
		if i == 1 {
			low, high = 0, 297-156.0
		}
		if n := s.compare(t, low+0.8, high-0.8); n == 0 {
			t.Errorf("page %d has no edge", i+1)
		}
		for _, x := range []float64{21, 105, 189} {
			if got, ok := s.edge(true, x+3, 135); !ok || math.Abs(got-135) > 0.2 {
				t.Errorf("page %d: the cross at %v, 135 is at %.2f", i+1, x, got)
			}
		}
		scaled(t, page, 300, 0)
	}
}

// The SVG is as large in a browser.
func TestLayoutInABrowser(t *testing.T) {
	needs(t, "chromium")
	file := written(t, "l.svg", func(d *Doc) {
		if err := d.Layouts(Pages["A4"], []Layout{aLayout(150, 200)}); err != nil {
			t.Fatal(err)
		}
	})
	shot := filepath.Join(filepath.Dir(file), "shot.png")
	const times = 3.125 // 300 of 96 dots to the inch
	b, err := exec.Command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=3.125",
		"--user-data-dir="+t.TempDir(), "--window-size=800,1100", "--screenshot="+shot, "file://"+file).CombinedOutput()
	f, ferr := os.Open(shot)
	if ferr != nil {
		t.Skipf("chromium makes no picture here (%v), and the page is not looked at in a browser: %.300s", err, b)
	}
	defer f.Close()
	in, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(in.Bounds())
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			g.Set(x, y, in.At(x, y))
		}
	}
	s := sheetOn{g, 96 * times, layoutEdge, layoutEdge + layoutHead + 200}
	if n := s.compare(t, 0, 200); n != 2*len(spans) {
		t.Errorf("%d edges", n)
	}
	scaled(t, g, 96*times, 2620) // below the sheet, whose lower edge is at 220 mm
}

// A page that is too small for anything is said to be.
func TestLayoutOnASmallPage(t *testing.T) {
	written(t, "l.pdf", func(d *Doc) {
		d.page(100, 100)
		if err := d.Layouts(Size{60, 60}, []Layout{aLayout(150, 200)}); err == nil {
			t.Error("drawn on 60 by 60 mm")
		}
	})
}
