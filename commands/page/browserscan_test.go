package page_test

import (
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// label is a picture of our own label for a thing, as a printer prints it.
func (b *bench) label(thing string) string {
	b.t.Helper()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		b.t.Skip("pdftoppm (Debian: poppler-utils) is not here, and no label is drawn as pixels")
	}
	file := filepath.Join(b.t.TempDir(), "label")
	b.line("label", thing, "--paper", "roll 50x25", "-o", file+".pdf")
	if out, err := exec.Command("pdftoppm", "-png", "-r", "300", "-singlefile", file+".pdf", file).CombinedOutput(); err != nil {
		b.t.Fatalf("%v: %s", err, out)
	}
	return file + ".png"
}

// send chooses files for the field of a form, as the camera of a device does.
func send(field string, files ...string) chromedp.Action {
	return chromedp.SetUploadFiles(field, files, chromedp.ByQuery)
}

// strokes types as a hand scanner does, a stroke every 5 ms however slow the machine is.
func strokes(text string) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		begun := time.Now()
		for i, r := range text {
			at := input.TimeSinceEpoch(begun.Add(time.Duration(i) * 5 * time.Millisecond))
			for _, k := range kb.Encode(r) {
				k.Timestamp = &at
				if err := k.Do(ctx); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// Tray, bag and digit: the first two from pictures of our own labels, and what a hand
// scanner types into a field goes where it belongs.
func TestBrowserScans(t *testing.T) {
	x := serve(t).browse()
	tray, bag := x.label("place:J3"), x.label("bag:B283")
	x.visit("/")
	x.follow(send(".scan input[type=file]", tray))
	if at := x.at(); !strings.HasPrefix(at, "/job/105?") || !strings.Contains(at, "on=105") {
		t.Fatalf("the picture of a tray leads to %s:\n%s", at, x.text())
	}
	x.follow(send(".scan input[type=file]", bag))
	x.says("B283")
	x.types("3")
	x.says("B283 cover screw, pan, slotted 8 -> 5 for job 105")

	// A label is scanned while the focus is in a field: that has again what it had.
	x.do(chromedp.SetValue("input[data-digits]", "4", chromedp.ByQuery), chromedp.Focus("input[data-digits]", chromedp.ByQuery))
	x.follow(strokes("BAG:B201\r"))
	if at := x.at(); !strings.HasPrefix(at, "/bag/B201?") {
		t.Errorf("strokes in a field lead to %s", at)
	}

	// The end of what a quick hand types is no label.
	x.visit("/strip/donor/PC-11")
	x.do(chromedp.Focus("[name=line]:not([type=hidden])", chromedp.ByQuery), chromedp.KeyEvent("p21 o"), chromedp.Sleep(60*time.Millisecond))
	x.follow(chromedp.KeyEvent("ff\r"))
	x.says("typed, and not booked yet", "off P021")

	// What is damaged, or no label of ours, gets a sentence.
	plain := filepath.Join(t.TempDir(), "plain.jpg")
	picture(t, plain, 1)
	x.follow(send(".scan input[type=file]", plain))
	x.says("no square code is seen")
	x.visit("/?on=105")
	x.types("B9999")
	x.says(`is called "B9999" here`)

	// And the same by hand, without script.
	x.do(emulation.SetScriptExecutionDisabled(true))
	x.visit("/?on=105")
	x.do(chromedp.Evaluate(`document.querySelector(".scan").open = true`, nil), send(".scan input[type=file]", bag))
	x.hit(".scan button")
	x.says("B283")
}

// picture writes a photograph of nothing, each nth another one.
func picture(t *testing.T, file string, nth int) {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 800, 600))
	for y := range 600 {
		for x := range 800 {
			m.Set(x, y, color.RGBA{uint8(x / 4), uint8(y / 3), uint8(60 * nth), 255})
		}
	}
	f, err := os.Create(file)
	if err == nil {
		err = jpeg.Encode(f, m, nil)
	}
	if err == nil {
		err = f.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
}

// A parts camera is taken apart with three pictures of its steps, and put back by them.
func TestBrowserStripsWithPictures(t *testing.T) {
	x := serve(t).browse()
	x.visit("/strip/donor/PC-11")
	for i := range 3 {
		file := filepath.Join(t.TempDir(), "image.jpg")
		picture(t, file, i)
		x.do(send(".hit input[type=file]", file))
		x.hit(".hit .big")
	}
	x.says("typed, and not booked yet")
	x.pictures(3)
	x.shot("strip-pictures")
	x.tap("book it")
	x.says("3 steps of PC-11 booked")
	x.tap("back together")
	for range 2 {
		x.pictures(1)
		x.tap("it is in: next")
	}
	x.pictures(1)
	x.shot("back-pictures")
	x.visit("/donor/PC-11")
	x.says("3 pictures of PC-11")
	x.pictures(3)
	x.shot("donor-pictures")
}

// pictures fails unless that many pictures are seen.
func (x *tab) pictures(n int) {
	x.t.Helper()
	var seen int
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		x.do(chromedp.Evaluate(`[...document.querySelectorAll(".album img")].filter(i => { i.loading = "eager"; return i.complete && i.naturalWidth > 100 }).length`, &seen))
		if seen == n {
			return
		}
	}
	x.t.Errorf("%d pictures are seen at %s, not %d", seen, x.at(), n)
}

// Words are looked for while they are typed, and the box keeps the focus.
func TestBrowserSearchesWhileTyping(t *testing.T) {
	x := serve(t).browse()
	x.visit("/?on=105")
	x.do(chromedp.SendKeys("#q", "counter pawl", chromedp.ByQuery), chromedp.WaitVisible(".hit", chromedp.ByQuery))
	x.says("counter pawl spring")
	if at := x.at(); !strings.HasPrefix(at, "/find?") || !strings.Contains(at, "on=105") {
		t.Errorf("what was found while it was typed stands at %s", at)
	}
	var typed, focus string
	x.do(chromedp.Value("#q", &typed, chromedp.ByQuery), chromedp.Evaluate(`document.activeElement.id`, &focus))
	if typed != "counter pawl" || focus != "q" {
		t.Errorf("the box has %q, the focus %q", typed, focus)
	}
	x.tap("take one")
	x.says("for job 105")
	x.do(chromedp.NavigateBack())
	x.visit("/?on=105")
	x.do(chromedp.SendKeys("#q", "b283", chromedp.ByQuery), chromedp.Sleep(600*time.Millisecond))
	if at := x.at(); !strings.HasPrefix(at, "/?") {
		t.Errorf("a code that is typed leads to %s without Enter", at)
	}
}
