package paper

import (
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// needs skips a test where programs of Debian that it asks are not installed.
func needs(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("%s is not installed, and paper is not looked at with it", p)
		}
	}
}

// written writes a document into a file of a folder of its own.
func written(t *testing.T, name string, draw func(*Doc)) string {
	t.Helper()
	d, err := New(name, "test", GoFonts(), time.Date(2031, 9, 1, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	draw(d)
	b, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// pictures are the pages of a PDF as pixels.
func pictures(t *testing.T, file string, dpi int) (out []*image.Gray) {
	t.Helper()
	needs(t, "pdftoppm")
	folder := t.TempDir()
	if b, err := exec.Command("pdftoppm", "-gray", "-r", fmt.Sprint(dpi), file, filepath.Join(folder, "p")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, b)
	}
	names, _ := filepath.Glob(filepath.Join(folder, "*.pgm"))
	slices.Sort(names)
	for _, name := range names {
		out = append(out, read(t, name))
	}
	return out
}

// read reads a picture in greys: Netpbm's PGM, "P5 width height 255" and its bytes.
func read(t *testing.T, name string) *image.Gray {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var w, h, most int
	if _, err := fmt.Sscanf(string(b[:min(len(b), 40)]), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil || most != 255 || len(b) < w*h {
		t.Fatalf("%s is no picture in greys: %v", name, err)
	}
	return &image.Gray{Pix: b[len(b)-w*h:], Stride: w, Rect: image.Rect(0, 0, w, h)}
}

// cut is a part of a picture, in millimetres.
func cut(g *image.Gray, dpi int, f Field) *image.Gray {
	px := func(mm float64) int { return int(math.Round(mm * float64(dpi) / 25.4)) }
	out := image.NewGray(image.Rect(0, 0, px(f.W), px(f.H)))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.SetGray(x, y, g.GrayAt(px(f.X)+x, px(f.Y)+y))
		}
	}
	return out
}

// oneBit is a picture in black and white alone.
func oneBit(g *image.Gray) *image.Gray {
	out := image.NewGray(g.Rect)
	for i, p := range g.Pix {
		if p >= 128 {
			out.Pix[i] = 255
		}
	}
	return out
}

func dark(g *image.Gray, x, y int) bool { return g.GrayAt(x, y).Y < 128 }

// A recorder is a canvas that keeps the boxes of what is drawn.
type recorder struct {
	pages []Size
	drawn []mark
}

// A mark is the box of a text or path on a page.
type mark struct {
	page        int
	least, most point
	text        string
	p           path
	size, width float64
	dash        bool
	in          ink
	filled      bool
}

func (r *recorder) page(w, h float64) { r.pages = append(r.pages, Size{w, h}) }
func (r *recorder) text(x, y, size float64, f *face, s string, in ink) {
	// Letters of the Go fonts reach 0.95 em up and 0.24 down (measured of their outlines).
	r.drawn = append(r.drawn, mark{page: len(r.pages) - 1, least: point{x, y - 0.95*size}, most: point{x + f.width(s)*size, y + 0.24*size}, text: s, size: size, in: in})
}
func (r *recorder) fill(p path, in ink) {
	a, b := p.bounds()
	r.drawn = append(r.drawn, mark{page: len(r.pages) - 1, least: a, most: b, p: p, in: in, filled: true})
}
func (r *recorder) stroke(p path, width float64, dash []float64, in ink) {
	a, b := p.bounds()
	r.drawn = append(r.drawn, mark{page: len(r.pages) - 1, least: a, most: b, p: p, in: in, width: width, dash: dash != nil})
}
func (r *recorder) bytes() ([]byte, error) { return nil, nil }

// recorded is a document whose canvas keeps what is drawn.
func recorded() (*Doc, *recorder) {
	r := &recorder{}
	return &Doc{canvas: r, fonts: GoFonts(), lacks: map[rune]bool{}}, r
}

// sound asks two readers of PDF that share no code whether a file is one, and whether
// it holds its fonts.
func sound(t *testing.T, file string) {
	t.Helper()
	needs(t, "qpdf", "pdffonts")
	if b, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Errorf("qpdf --check: %v\n%s", err, b)
	}
	b, err := exec.Command("pdffonts", file).CombinedOutput()
	if err != nil {
		t.Fatalf("pdffonts: %v\n%s", err, b)
	}
	for _, l := range strings.Split(strings.TrimSpace(string(b)), "\n")[2:] {
		if f := strings.Fields(l); len(f) < 5 || f[len(f)-5] != "yes" {
			t.Errorf("a font is not embedded: %s", l)
		}
	}
	if _, err := exec.LookPath("mutool"); err == nil {
		if b, err := exec.Command("mutool", "draw", "-o", filepath.Join(t.TempDir(), "p.png"), file, "1").CombinedOutput(); err != nil || strings.Contains(string(b), "error") {
			t.Errorf("mutool: %v\n%s", err, b)
		}
	}
}
