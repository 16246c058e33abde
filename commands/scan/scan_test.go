package scan

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"tinful/commands/paper"
	"tinful/store/picture"
)

// printed is a sheet of our own labels as pixels, 200 to the inch.
func printed(t *testing.T, squares ...string) *image.Gray {
	t.Helper()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("pdftoppm (Debian: poppler-utils) is not here, and no label is drawn as pixels")
	}
	sheet, err := paper.ParseSheet("roll 50x25")
	if len(squares) > 1 {
		sheet, err = paper.ParseSheet(paper.Usual)
	}
	if err != nil {
		t.Fatal(err)
	}
	var list []paper.Label
	for i, s := range squares {
		list = append(list, paper.Label{Stops: []string{"LEFT-HAND"}, Word: "release lever return spring", Tells: "wire 0.25 mm", Place: "K1", Code: fmt.Sprint(i), Square: s})
	}
	d, err := paper.New("labels.pdf", "test", paper.GoFonts(), time.Date(2031, 9, 1, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	d.Labels(sheet, 1, list, false)
	b, err := d.Bytes()
	dir := t.TempDir()
	if err := errors.Join(err, os.WriteFile(filepath.Join(dir, "l.pdf"), b, 0o600)); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-gray", "-png", "-r", "200", "-singlefile", filepath.Join(dir, "l.pdf"), filepath.Join(dir, "l")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := os.Open(filepath.Join(dir, "l.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(m.Bounds())
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			g.Set(x, y, m.At(x, y))
		}
	}
	return g
}

// A camera takes a picture of a label: turned, from the side, with noise, out of focus, in
// uneven light, on a bench that is no white.
type camera struct {
	w, h   int
	turn   float64 // degrees
	tilt   float64 // how much smaller the far side is, as a share
	size   float64 // of the label, as a share of the picture's width
	noise  float64 // grey levels, standard deviation
	blur   int     // pixels, on each side
	shadow float64 // how dark the far side is, as a share
}

func (c camera) take(g *image.Gray, r *rand.Rand) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, c.w, c.h))
	sin, cos := math.Sincos(c.turn * math.Pi / 180)
	scale := float64(g.Bounds().Dx()) / (c.size * float64(c.w))
	for y := range c.h {
		for x := range c.w {
			dx, dy := float64(x-c.w/2), float64(y-c.h/2)
			far := 1 + c.tilt*dx/float64(c.w) // from the side
			dx, dy = dx*far, dy*far
			sx, sy := (dx*cos+dy*sin)*scale+float64(g.Bounds().Dx())/2, (dy*cos-dx*sin)*scale+float64(g.Bounds().Dy())/2
			v := 150.0 // the bench
			if p := image.Pt(int(sx), int(sy)); sx >= 0 && sy >= 0 && p.In(g.Bounds()) {
				v = 30 + 0.8*float64(g.GrayAt(p.X, p.Y).Y)
			}
			v *= 1 - c.shadow*float64(x)/float64(c.w)
			out.SetGray(x, y, color.Gray{uint8(min(255, max(0, v+c.noise*r.NormFloat64())))})
		}
	}
	return blurred(out, c.blur)
}

func blurred(g *image.Gray, n int) *image.Gray {
	if n == 0 {
		return g
	}
	out := image.NewGray(g.Bounds())
	for y := range g.Bounds().Dy() {
		for x := range g.Bounds().Dx() {
			sum, k := 0, 0
			for j := -n; j <= n; j++ {
				for i := -n; i <= n; i++ {
					if p := image.Pt(x+i, y+j); p.In(g.Bounds()) {
						sum, k = sum+int(g.GrayAt(p.X, p.Y).Y), k+1
					}
				}
			}
			out.SetGray(x, y, color.Gray{uint8(sum / k)})
		}
	}
	return out
}

func asJPEG(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 75}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Our own labels are read from pictures such as a tablet beside the bench takes.
func TestLabels(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 3))
	label := printed(t, "B203")
	for name, c := range map[string]camera{
		"straight":               {w: 1200, h: 900, size: 0.8},
		"a quarter turn":         {w: 1200, h: 900, size: 0.6, turn: 90},
		"upside down":            {w: 1200, h: 900, size: 0.6, turn: 180},
		"askew":                  {w: 1200, h: 900, size: 0.7, turn: 23},
		"from the side":          {w: 1600, h: 1200, size: 0.6, turn: -8, tilt: 0.35},
		"noise and shadow":       {w: 1600, h: 1200, size: 0.6, turn: 5, noise: 18, shadow: 0.6},
		"out of focus":           {w: 1600, h: 1200, size: 0.7, turn: 3, blur: 3, noise: 4},
		"small in a large":       {w: 4000, h: 3000, size: 0.22, turn: 12, noise: 6},
		"all of it a bit":        {w: 2400, h: 1800, size: 0.45, turn: -31, tilt: 0.2, noise: 10, blur: 1, shadow: 0.4},
		"a small picture of one": {w: 480, h: 360, size: 0.9, turn: 2},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Codes(asJPEG(t, c.take(label, r)))
			if err != nil || !slices.Equal(got, []string{"B203"}) {
				t.Errorf("%q, %v", got, err)
			}
		})
	}
}

// A sheet of labels is read whole, from above down; a tray's says its kind.
func TestSheet(t *testing.T) {
	want := []string{"B201", "JOB:105", "PC-05", "W2-B", "P001", "OMB-50/3.5"}
	squares := []string{"B201", "job:105", "PC-05", "W2-B", "P001", "OMB-50/3.5"}
	got, err := Codes(asJPEG(t, printed(t, squares...)))
	slices.Sort(got)
	slices.Sort(want)
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%q, %v", got, err)
	}
}

// What is smeared over a third is refused in a sentence, a little ink is read through.
func TestSmeared(t *testing.T) {
	label := printed(t, "B203")
	little, much := image.NewGray(label.Bounds()), image.NewGray(label.Bounds())
	copy(little.Pix, label.Pix)
	copy(much.Pix, label.Pix)
	at := squareIn(t, label)
	n := at.Dx()
	for y := range n {
		for x := range n {
			p := at.Min.Add(image.Pt(x, y))
			if x > n*42/100 && x < n*58/100 && y > n*42/100 && y < n*58/100 {
				little.SetGray(p.X, p.Y, color.Gray{0})
			}
			// All but the three corners.
			if (x > n*42/100 || y > n*42/100) && (x < n*60/100 || y > n*42/100) && (x > n*42/100 || y < n*60/100) && (x+y)%3 == 0 {
				much.SetGray(p.X, p.Y, color.Gray{0})
			}
			if x > n*45/100 && y > n*45/100 {
				much.SetGray(p.X, p.Y, color.Gray{255})
			}
		}
	}
	if got, err := Codes(asJPEG(t, little)); err != nil || !slices.Equal(got, []string{"B203"}) {
		t.Errorf("a little: %q, %v", got, err)
	}
	if got, err := Codes(asJPEG(t, much)); !errors.Is(err, ErrSpoilt) {
		t.Errorf("much: %q, %v", got, err)
	}
}

// squareIn is where the square code of a label stands: its corners, by another reader.
func squareIn(t *testing.T, g *image.Gray) image.Rectangle {
	t.Helper()
	bits, err := gozxing.NewBinaryBitmapFromImage(g)
	if err != nil {
		t.Fatal(err)
	}
	r, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil {
		t.Fatal(err)
	}
	var box image.Rectangle
	for i, p := range r.GetResultPoints()[:3] {
		at := image.Rect(int(p.GetX()), int(p.GetY()), int(p.GetX())+1, int(p.GetY())+1)
		if box = box.Union(at); i == 0 {
			box = at
		}
	}
	return box.Inset(-box.Dx() * 3 / 14) // the corners' middles lie 3.5 modules within
}

func TestNoCode(t *testing.T) {
	blank := image.NewGray(image.Rect(0, 0, 800, 600))
	for i := range blank.Pix {
		blank.Pix[i] = 200
	}
	if got, err := Codes(asJPEG(t, blank)); !errors.Is(err, ErrNone) {
		t.Errorf("nothing: %q, %v", got, err)
	}
	if got, err := Codes(asJPEG(t, printed(t, "https://x.example/a?b"))); !errors.Is(err, ErrForeign) {
		t.Errorf("another's: %q, %v", got, err)
	}
	if _, err := Codes([]byte("<svg/>")); !errors.Is(err, picture.ErrUnread) {
		t.Errorf("%v", err)
	}
}

// A picture full of corners of codes, and one of noise, end in time and in a sentence.
func TestCornersWithoutEnd(t *testing.T) {
	corners := image.NewGray(image.Rect(0, 0, 2600, 1950))
	r := rand.New(rand.NewPCG(7, 7))
	noise := image.NewGray(corners.Bounds())
	for y := range 1950 {
		for x := range 2600 {
			cx, cy := x%20/2-1, y%20/2-1 // 7 modules of 2 pixels, 3 between
			far := max(abs(cx-3), abs(cy-3))
			corners.SetGray(x, y, color.Gray{map[bool]uint8{true: 0, false: 255}[far == 3 || far < 2]})
			noise.SetGray(x, y, color.Gray{uint8(255 * r.IntN(2))})
		}
	}
	for name, m := range map[string]image.Image{"corners": corners, "noise": noise} {
		begun := time.Now()
		got, err := Codes(asJPEG(t, m))
		if took := time.Since(begun); err == nil || took > 30*time.Second {
			t.Errorf("%s: %q, %v after %v", name, got, err, took)
		} else {
			t.Logf("%s: %v after %v", name, err, took)
		}
	}
}

func abs(n int) int { return max(n, -n) }
