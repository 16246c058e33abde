package page_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

var update = flag.Bool("update", false, "take the pictures of the README anew")

// The README shows three screens. Beside each picture stands what its screen says and what
// it was drawn with: another browser or other fonts break lines elsewhere, and then the
// words are compared; with the same the pixels are too.
func TestREADMEShowsThePage(t *testing.T) {
	folder := filepath.Join("..", "..", "testdata", "page")
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	x := serve(t).browse()
	x.do(emulation.SetDeviceMetricsOverride(360, 800, 1, true))
	x.scheme("light")
	for _, s := range []struct {
		name string
		show func()
	}{
		{"hit", func() { x.visit("/find?q=release+lever+return+spring&on=105") }},
		{"count", func() {
			x.visit("/count/N2")
			x.tap("begin")
			x.visit("/count/N2")
		}},
		{"back", func() {
			x.visit("/strip/donor/PC-11")
			for range 3 {
				x.hit(".step .big")
			}
			x.tap("book it")
			x.visit("/back/donor/PC-11?step=2")
		}},
	} {
		s.show()
		says, picture := x.drawn()
		file := filepath.Join(folder, s.name)
		if *update {
			if err := os.MkdirAll(folder, 0o755); err != nil {
				t.Fatal(err)
			}
			for name, b := range map[string][]byte{file + ".png": picture, file + ".txt": []byte(says)} {
				if err := os.WriteFile(name, b, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
		if !strings.Contains(string(readme), "testdata/page/"+s.name+".png") {
			t.Errorf("the README does not show %s", s.name)
		}
		then, err := os.ReadFile(file + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		with, words, _ := strings.Cut(says, "\n")
		withThen, wordsThen, _ := strings.Cut(string(then), "\n")
		if words != wordsThen {
			t.Errorf("the picture %s is of an earlier day: go test ./commands/page -run README -update takes it anew. It says\n%s\nthe screen\n%s", s.name, wordsThen, words)
			continue
		}
		if with != withThen {
			t.Logf("%s was drawn with %s, this is %s: words are compared, pixels are not", s.name, withThen, with)
			continue
		}
		old, err := os.ReadFile(file + ".png")
		if err != nil {
			t.Fatal(err)
		}
		share := differing(t, old, picture)
		for again := 0; share > 0.005 && again < 5; again++ { // it was perhaps not painted whole yet
			time.Sleep(300 * time.Millisecond)
			_, picture = x.drawn()
			share = differing(t, old, picture)
		}
		if share > 0.005 {
			t.Errorf("of the picture %s %.1f %% are another colour now: go test ./commands/page -run README -update takes it anew", s.name, 100*share)
		}
	}
}

// drawn is what the screen says, below a line of what draws it, and its picture.
func (x *tab) drawn() (says string, picture []byte) {
	x.t.Helper()
	var words string
	var widths []float64
	x.do(chromedp.Evaluate(`document.activeElement.blur(); getSelection().removeAllRanges()`, nil), chromedp.Text("body", &words, chromedp.ByQuery), chromedp.Evaluate(`["400", "600", "700"].map(w => {
		const e = document.body.appendChild(document.createElement("span"));
		e.style.cssText = "position: absolute; white-space: nowrap; font-size: 100px; font-weight: " + w; e.textContent = "The drawer K1, 0123456789 WAVE";
		const width = e.getBoundingClientRect().width; e.remove(); return width })`, &widths))
	var product string
	x.do(chromedp.ActionFunc(func(ctx context.Context) (err error) {
		_, product, _, _, _, err = browser.GetVersion().Do(ctx)
		return err
	}), chromedp.CaptureScreenshot(&picture))
	return fmt.Sprintf("%s, widths of its letters %.1f\n%s\n", product, widths, strings.TrimSpace(words)), picture
}

// differing is the share of the points of two pictures that nobody would call one colour.
func differing(t *testing.T, a, b []byte) float64 {
	t.Helper()
	var both [2]image.Image
	for i, text := range [][]byte{a, b} {
		m, err := png.Decode(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		both[i] = m
	}
	size := both[0].Bounds()
	if size != both[1].Bounds() {
		return 1
	}
	far := func(a, b uint32) bool { return max(a, b)-min(a, b) > 0x2000 }
	n := 0
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			r, g, b, _ := both[0].At(x, y).RGBA()
			r2, g2, b2, _ := both[1].At(x, y).RGBA()
			if far(r, r2) || far(g, g2) || far(b, b2) {
				n++
			}
		}
	}
	return float64(n) / float64(size.Dx()*size.Dy())
}
