package page_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// axe-core looks for faults of WCAG; it comes from npm, and what comes is what is asked for
// here or nothing. It is licensed under the MPL 2.0 and is no part of the program.
const (
	axePackage = "axe-core@4.14.1"
	axeSum     = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
)

// axe is the text of axe-core, fetched once.
var axe = sync.OnceValues(func() (string, error) {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", err
	}
	folder, err := os.MkdirTemp("", "tinful-axe-")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(folder)
	ctx, late := context.WithTimeout(context.Background(), time.Minute)
	defer late()
	cmd := exec.CommandContext(ctx, npm, "pack", "--silent", "--prefer-offline", "--ignore-scripts", axePackage)
	cmd.Dir, cmd.WaitDelay = folder, time.Second
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	all, err := filepath.Glob(filepath.Join(folder, "*.tgz"))
	if err != nil || len(all) != 1 {
		return "", fmt.Errorf("npm pack left %q: %v", all, err)
	}
	text, err := exec.CommandContext(ctx, "tar", "-xzOf", all[0], "package/axe.min.js").Output()
	if err != nil {
		return "", err
	}
	if sum := sha256.Sum256(text); hex.EncodeToString(sum[:]) != axeSum {
		return "", fmt.Errorf("axe.min.js of %s is another one: its sum is %x", axePackage, sum)
	}
	return string(text), nil
})

// axeRun asks for every rule of WCAG 2.0, 2.1 and 2.2, A and AA: the one about the size of
// targets is off unless it is asked for by name. Nothing is fetched for it.
const axeRun = `axe.run(document, {
	runOnly: {type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]},
	rules: {"target-size": {enabled: true}},
	preload: false, resultTypes: ["violations"]
}).then(r => ({rules: r.passes.length, faults: r.violations.flatMap(v => v.nodes.map(n => v.id + ": " + v.help + ": " + n.html.slice(0, 200) + " " + n.any.concat(n.all, n.none).map(c => c.message).join("; ")))}))`

// An axeResult is what axe-core says of a screen.
type axeResult struct {
	Rules  int // that were met
	Faults []string
}

// looked lets axe-core look at what the tab shows.
func (x *tab) looked(axe string) (r axeResult) {
	x.t.Helper()
	ctx, late := context.WithTimeout(x.ctx, time.Minute)
	defer late()
	awaited := func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }
	if err := chromedp.Run(ctx, chromedp.Evaluate(axe+";0", nil), chromedp.Evaluate(axeRun, &r, awaited)); err != nil {
		x.t.Fatalf("axe-core at %s: %v", x.at(), err)
	}
	if r.Rules < 5 {
		x.t.Errorf("at %s axe-core looked at %d rules", x.at(), r.Rules)
	}
	return r
}

// scheme says that the system is light, or dark.
func (x *tab) scheme(name string) {
	x.t.Helper()
	x.do(emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}}))
}

// axe-core finds no fault of WCAG 2.2, A and AA, on any screen, light or dark, narrow or
// wide; and it does find those that are put there.
func TestScreensForEverybody(t *testing.T) {
	text, err := axe()
	if err != nil {
		t.Skipf("axe-core cannot be had from npm, and no screen was looked at with it: %v", err)
	}
	x := serve(t).browse()
	x.fill()
	looks := []struct {
		scheme string
		width  int64
	}{{"light", 360}, {"dark", 1280}, {"dark", 360}, {"light", 1280}}
	if os.Getenv("TINFUL_SOAK") == "" {
		looks = looks[:2]
	}
	for _, look := range looks {
		x.scheme(look.scheme)
		x.do(emulation.SetDeviceMetricsOverride(look.width, 800, 1, false))
		for _, s := range x.screens() {
			s.show()
			for _, fault := range x.looked(text).Faults {
				t.Errorf("%s, %s, %d wide: %s", s.name, look.scheme, look.width, fault)
			}
		}
	}
	for rule, fault := range map[string]string{
		"label":          `m.append(document.createElement("input"))`,
		"color-contrast": `m.append("words"); m.style.color = "#777"; m.style.background = "#888"`,
		"target-size":    `for (const w of "ab") { const b = document.createElement("button"); b.append(w); b.style.cssText = "all: unset; width: 9px"; m.append(b) }`,
	} {
		x.visit("/jobs")
		x.do(chromedp.Evaluate(`{ const m = document.querySelector("main"); `+fault+` }; 0`, nil))
		if faults := x.looked(text).Faults; !strings.Contains(strings.Join(faults, "\n"), rule+": ") {
			t.Errorf("a fault of %s is not found: %q", rule, faults)
		}
	}
}

// fill books what some screens need to have something on them: a strip-down with pictures,
// a second one that is typed and not booked yet, a count.
func (x *tab) fill() {
	x.t.Helper()
	x.visit("/strip/donor/PC-11")
	for i := range 2 {
		file := filepath.Join(x.t.TempDir(), "image.jpg")
		picture(x.t, file, i)
		x.do(send(".hit input[type=file]", file))
		x.hit(".step .big")
	}
	x.tap("book it")
	x.hit(".step .big")
	x.visit("/count/N2")
	x.tap("begin")
	x.types("2")
}

// A shown screen is one of everyScreen, or one that comes of what was sent.
type shownScreen struct {
	name string
	show func()
}

// screens are all screens: those that have an address, and those that come of a form.
func (x *tab) screens() (out []shownScreen) {
	for _, s := range everyScreen {
		out = append(out, shownScreen{s.name, func() { x.visit(s.path) }})
	}
	at := func(name, path string) { out = append(out, shownScreen{name, func() { x.visit(path) }}) }
	at("stripped", "/strip/donor/PC-11")
	at("back", "/back/donor/PC-11")
	at("counting", "/count/N2")
	at("pictures of a camera", "/pictures/donor/PC-11")
	at("no key", "/?key=none")
	out = append(out,
		shownScreen{"refused", func() {
			x.visit("/bag/B201?on=106")
			x.tap("take")
			x.says("not done", "book it all the same")
		}},
		shownScreen{"several", func() {
			x.visit("/strip/donor/PC-11")
			x.do(chromedp.Focus("[name=line]:not([type=hidden])", chromedp.ByQuery))
			x.types("screw off")
			x.says("not done")
		}},
		shownScreen{"booked", func() {
			x.visit("/bag/B283?on=105")
			x.tap("take")
			x.says("for job 105")
		}},
		shownScreen{"undone", func() {
			x.tap("undo")
			x.says("is taken back")
		}})
	return out
}
