package page_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// The page in a real Chromium, over the built program. Without a Chromium these tests are
// skipped.

// built is the program, built once.
var built = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "tinful-page-")
	if err != nil {
		return "", err
	}
	file := filepath.Join(folder, "tinful")
	if runtime.GOOS == "windows" {
		file += ".exe"
	}
	cmd := exec.Command("go", "build", "-trimpath", "-tags", "urfave_cli_no_docs", "-o", file, "tinful")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return file, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if file, err := built(); err == nil {
		os.RemoveAll(filepath.Dir(file))
	}
	os.Exit(code)
}

// A bench is a demo workshop with its page open.
type bench struct {
	t       *testing.T
	file    string
	env     []string
	address string
	root    string
	process *os.Process
	killed  bool // by the test
}

// newBench is a workshop without a store.
func newBench(t *testing.T) *bench {
	t.Helper()
	file, err := built()
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir()
	b := &bench{t: t, file: file}
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "TINFUL_") && !strings.HasPrefix(e, "DISPLAY=") {
			b.env = append(b.env, e)
		}
	}
	b.env = append(b.env, "XDG_DATA_HOME="+home, "XDG_STATE_HOME="+home, "TINFUL_STORE="+filepath.Join(home, "tinful", "demo.db"), "TINFUL_BY=R", "TINFUL_CLOCK=2031-09-01T10:00:00Z")
	return b
}

// serve opens the page over a demo of its own.
func serve(t *testing.T, flags ...string) *bench {
	t.Helper()
	b := newBench(t)
	b.line("demo")
	return b.serve(flags...)
}

// serve opens the page until the test ends.
func (b *bench) serve(flags ...string) *bench {
	b.t.Helper()
	cmd := b.start(flags...)
	b.t.Cleanup(func() {
		_ = cmd.Process.Signal(os.Interrupt)
		if err := cmd.Wait(); err != nil && !b.killed {
			b.t.Errorf("the page ended with %v", err)
		}
	})
	return b
}

// start opens the page; whoever calls it ends it.
func (b *bench) start(flags ...string) *exec.Cmd {
	b.t.Helper()
	cmd := exec.Command(b.file, append([]string{"page"}, flags...)...)
	cmd.Env = b.env
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.t.Fatal(err)
	}
	b.process = cmd.Process
	first := bufio.NewScanner(out)
	if !first.Scan() {
		b.t.Fatal("no address was printed")
	}
	b.address = first.Text()
	u, err := url.Parse(b.address)
	if err != nil {
		b.t.Fatal(err)
	}
	b.root = "http://" + u.Host
	return cmd
}

// line runs a line on the same store.
func (b *bench) line(args ...string) string {
	b.t.Helper()
	cmd := exec.Command(b.file, args...)
	cmd.Env = b.env
	out, err := cmd.Output()
	if e, ok := errors.AsType[*exec.ExitError](err); ok {
		return string(out) + string(e.Stderr)
	} else if err != nil {
		b.t.Fatal(err)
	}
	return string(out)
}

// A tab is a tab of a browser; what it should not do is a fault of the test.
type tab struct {
	*bench
	ctx context.Context
}

// browse opens a browser on the page. It skips the test where there is none.
func (b *bench) browse() *tab {
	b.t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		b.t.Skip("there is no Chromium here: the page is not looked at in a browser")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("no-proxy-server", true))
	if os.Getuid() == 0 {
		opts = append(opts, chromedp.NoSandbox)
	}
	ctx, end := chromedp.NewExecAllocator(context.Background(), opts...)
	b.t.Cleanup(end)
	first := b.open(ctx)
	first.do(chromedp.Navigate(b.address), chromedp.WaitVisible("#q"))
	return first
}

// open opens a tab in a browser that is known.
func (b *bench) open(in context.Context) *tab {
	b.t.Helper()
	ctx, end := chromedp.NewContext(in)
	b.t.Cleanup(end)
	ctx, late := context.WithTimeout(ctx, 10*time.Minute)
	b.t.Cleanup(late)
	x := &tab{b, ctx}
	chromedp.ListenTarget(ctx, func(event any) {
		switch e := event.(type) {
		case *cdpruntime.EventConsoleAPICalled:
			if e.Type == cdpruntime.APITypeError || e.Type == cdpruntime.APITypeWarning {
				b.t.Errorf("the console says %s: %v", e.Type, e.Args)
			}
		case *cdpruntime.EventExceptionThrown:
			b.t.Errorf("the script fails: %v", e.ExceptionDetails)
		case *log.EventEntryAdded:
			// A status such as 409 is an answer.
			if e.Entry.Level == log.LevelError && e.Entry.Source != log.SourceNetwork {
				b.t.Errorf("the browser says: %s (%s)", e.Entry.Text, e.Entry.URL)
			}
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; !strings.HasPrefix(u, b.root+"/") && !strings.HasPrefix(u, "about:") && !strings.HasPrefix(u, "blob:") && !strings.HasPrefix(u, "data:") {
				b.t.Errorf("a request goes elsewhere: %s", u)
			}
		}
	})
	if err := chromedp.Run(ctx, network.Enable(), log.Enable()); err != nil { // the tab is open as long as this context
		b.t.Fatal(err)
	}
	return x
}

// patience is how long something on a screen may take, on a slow machine.
const patience = 90 * time.Second

func (x *tab) do(actions ...chromedp.Action) {
	x.t.Helper()
	ctx, late := context.WithTimeout(x.ctx, patience)
	defer late()
	if err := chromedp.Run(ctx, actions...); err != nil {
		x.t.Fatal(err)
	}
}

// visit goes to an address of the page.
func (x *tab) visit(path string) { x.t.Helper(); x.do(chromedp.Navigate(x.root + path)) }

// text is what the page says.
func (x *tab) text() (text string) {
	x.t.Helper()
	x.do(chromedp.Text("main", &text, chromedp.ByQuery))
	return text
}

// at is the address in the bar, without host.
func (x *tab) at() string {
	x.t.Helper()
	var at string
	x.do(chromedp.Location(&at))
	return strings.TrimPrefix(at, x.root)
}

// says fails unless the page says all of that.
func (x *tab) says(all ...string) {
	x.t.Helper()
	text := x.text()
	for _, want := range all {
		if !strings.Contains(text, want) {
			x.t.Fatalf("at %s the page does not say %q:\n%s", x.at(), want, text)
		}
	}
}

// tap follows what has those words on it, and waits for the page that comes.
func (x *tab) tap(words string) {
	x.t.Helper()
	x.click(fmt.Sprintf(`[...document.querySelectorAll("button, a, summary, label")].find(e => e.textContent.trim().startsWith(%q))`, words), words)
}

// hit taps the first element that a selector finds.
func (x *tab) hit(selector string) {
	x.t.Helper()
	x.click(fmt.Sprintf("document.querySelector(%q)", selector), selector)
}

// click taps what an expression of the page finds, all in one step: between two the
// browser may have laid the page anew.
func (x *tab) click(what, called string) {
	x.t.Helper()
	x.follow(chromedp.Evaluate(fmt.Sprintf(`(() => { const e = %s; if (!e) throw new Error("not here: "+%q); e.scrollIntoView(); e.click(); return true })()`, what, called), nil))
}

// follow waits for the page that an action leads to: words that are looked for while they
// are typed are none.
func (x *tab) follow(actions ...chromedp.Action) {
	x.t.Helper()
	x.do(chromedp.Evaluate(`window.gone = false`, nil))
	x.do(actions...)
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		var there bool
		if err := chromedp.Run(x.ctx, chromedp.Evaluate(`window.gone === undefined && document.readyState === "complete"`, &there)); err == nil && there {
			return
		}
	}
	x.t.Fatalf("at %s nothing leads to another page", x.at())
}

// type types into the field that has the focus, as a scanner does, with Enter.
func (x *tab) types(text string) {
	x.t.Helper()
	x.follow(chromedp.KeyEvent(text + "\r"))
}

// shots are where pictures of the screens go, for whoever wants to look at them.
var shots = os.Getenv("TINFUL_SHOTS")

// shot takes pictures of a screen at three widths, light and dark.
func (x *tab) shot(name string) {
	x.t.Helper()
	if shots == "" {
		return
	}
	for _, width := range []int64{360, 768, 1280} {
		for _, scheme := range []string{"light", "dark"} {
			var png []byte
			x.do(emulation.SetDeviceMetricsOverride(width, 800, 1, false),
				emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}),
				chromedp.FullScreenshot(&png, 100))
			if err := os.WriteFile(filepath.Join(shots, fmt.Sprintf("%s-%d-%s.png", name, width, scheme)), png, 0o600); err != nil {
				x.t.Fatal(err)
			}
		}
	}
	x.do(emulation.ClearDeviceMetricsOverride())
}

// everyScreen is an address of each screen, with something on it.
var everyScreen = []struct{ name, path string }{
	{"today", "/?on=105"},
	{"hits", "/find?q=counter+pawl+spring&on=105"},
	{"measures", "/find?q=torsion+.25+2.6&on=105"},
	{"many", "/find?q=spring"},
	{"nothing", "/find?q=nonesuch+thing"},
	{"part", "/part/P001?on=106"},
	{"bag", "/bag/B283?on=105"},
	{"place", "/place/K1"},
	{"donor", "/donor/PC-03"},
	{"model", "/model/W1-A"},
	{"need", "/need/P003?on=103"},
	{"jobs", "/jobs?on=105"},
	{"job", "/job/105?on=105"},
	{"look", "/look/donor/PC-11"},
	{"strip", "/strip/job/105"},
	{"count", "/count/K1"},
	{"low", "/low"},
	{"month", "/month"},
	{"arrive", "/arrive?model=W1-B&number=77&owner=customer+9&fault=counter+stuck"},
	{"done", "/done/105?on=105"},
	{"out", "/out"},
	{"log", "/log"},
	{"missing", "/missing"},
	{"more", "/more"},
	{"cut", "/cut?for=W1-A"},
	{"drawn", "/part/P069"},
	{"labels", "/labels?q=B201+J3"},
	{"pictures", "/pictures/part/P001"},
	{"nowhere", "/part/P999"},
}

// No screen is wider than what it is shown on, at three widths and with type of twice the
// size, and what a finger taps has room for it.
func TestScreensFit(t *testing.T) {
	if os.Getenv("TINFUL_SOAK") == "" && shots == "" {
		t.Skip("every screen at every width is looked at with TINFUL_SOAK or TINFUL_SHOTS")
	}
	x := serve(t).browse()
	for _, s := range everyScreen {
		x.visit(s.path)
		for _, width := range []int64{360, 768, 1280} {
			for _, type_ := range []string{"", "200%"} {
				var over bool
				var small []string
				x.do(emulation.SetDeviceMetricsOverride(width, 800, 1, false),
					chromedp.Evaluate(fmt.Sprintf(`document.documentElement.style.fontSize = %q; document.documentElement.scrollWidth > innerWidth`, map[string]string{"": "", "200%": "225%"}[type_]), &over),
					chromedp.Evaluate(`[...document.querySelectorAll("a, button, input:not([type=hidden]), select, summary")].filter(e => {
						const r = e.getBoundingClientRect();
						return r.width > 0 && r.right > 0 && (r.height < 43.5 || r.width < 43.5) && !e.closest("footer, label.pick, .skip")
					}).map(e => e.outerHTML.slice(0, 120))`, &small))
				if over {
					t.Errorf("%s at %d %s is wider than the screen", s.name, width, type_)
				}
				if len(small) > 0 {
					t.Errorf("%s at %d %s has targets below 44 pixels:\n%s", s.name, width, type_, strings.Join(small, "\n"))
				}
			}
		}
		x.do(emulation.ClearDeviceMetricsOverride(), chromedp.Evaluate(`document.documentElement.style.fontSize = ""`, nil))
		x.shot(s.name)
	}
}

// A spring is found by words and by its measures, its twin is refused, it is taken and
// put back again.
func TestBrowserFindsAndTakes(t *testing.T) {
	x := serve(t).browse()
	x.visit("/?on=105")
	x.types("release lever return spring")
	x.says("release lever return spring", "trap:", "opposite-hand")
	x.visit("/?on=106") // W3-A takes the other hand
	x.types("torsion .25 2.6 3.25 right")
	x.says("release lever return spring", "1 free", "K1", "opposite-hand")
	x.tap("take one")
	x.says("not done", "opposite-hand", "book it all the same")
	x.visit("/?on=105")
	x.types("b283")
	x.types("2") // of the bag in hand: how many
	x.says("B283 cover screw, pan, slotted 8 -> 6 for job 105")
	x.tap("undo")
	x.says("is taken back", "6 -> 8")
	if log := x.line("log", "B283"); !strings.Contains(log, "undo") {
		t.Errorf("the book: %s", log)
	}
}

// A camera comes in, is taken in hand, gets a piece and is closed, by keyboard alone.
func TestBrowserArrivalByKeyboard(t *testing.T) {
	x := serve(t).browse()
	x.visit("/arrive")
	x.do(chromedp.Focus("[name=model]", chromedp.ByQuery))
	for _, text := range []string{"w1b\t", "77\t", "customer 9\t"} {
		x.do(chromedp.KeyEvent(text))
	}
	x.types("counter stuck")
	if at := x.at(); !strings.Contains(at, "model=w1b&number=77&owner=customer+9&fault=counter+stuck") {
		t.Fatalf("the form leads to %s:\n%s", at, x.text())
	}
	x.do(chromedp.Focus("[name=accessories]", chromedp.ByQuery), chromedp.KeyEvent("case\ty"), chromedp.Focus("main button.main", chromedp.ByQuery))
	x.follow(chromedp.KeyEvent("\r"))
	x.says("job 109 (W1-B, customer 9) arrived", "customer 9: counter stuck")
	x.do(chromedp.Focus("#q", chromedp.ByQuery))
	x.types("b201")
	x.types("1")
	x.says("for job 109")
	x.do(chromedp.Focus("#q", chromedp.ByQuery))
	x.types("109")
	x.tap("it is done")
	x.do(chromedp.Focus("[value=tested]", chromedp.ByQuery), chromedp.KeyEvent(" "))
	x.follow(chromedp.KeyEvent("\r"))
	x.says("is ready")
}

// A drawer is counted on the large keys, a parts camera taken apart and put back.
func TestBrowserCountsAndStrips(t *testing.T) {
	x := serve(t).browse()
	x.visit("/count/N2")
	x.tap("begin")
	for range 3 {
		var bag string
		x.do(chromedp.Value("[name=bag]", &bag, chromedp.ByQuery))
		x.do(chromedp.Click(".keys button:nth-child(8)"), chromedp.Click(".keys button:nth-child(7)"), chromedp.Click(".keys button:nth-child(10)")) // 2, 1, and 1 away again
		x.hit(".keys .main")
		x.says(strings.TrimPrefix(bag, "bag:") + ": counted 2, the book had ")
	}
	x.visit("/strip/donor/PC-11")
	for i := range 3 {
		x.says(fmt.Sprintf("step %d of PC-11", i+1))
		x.hit(".step .big")
	}
	x.tap("book it")
	x.says("3 steps of PC-11 booked")
	x.tap("back together")
	for range 2 {
		x.tap("it is in: next")
	}
	x.says("step 1", "it is together")
}

// What is typed or scanned beside the box lands in it, and without JavaScript all of it
// works but that.
func TestBrowserBoxAndNoScript(t *testing.T) {
	x := serve(t).browse()
	x.visit("/part/P001?on=105")
	x.do(chromedp.Evaluate(`document.activeElement.blur()`, nil))
	x.types("j4")
	if at := x.at(); !strings.HasPrefix(at, "/job/106?") || !strings.HasSuffix(at, "on=106") {
		t.Errorf("a tray that is scanned leads to %s", at)
	}
	x.do(emulation.SetScriptExecutionDisabled(true))
	x.visit("/?on=105")
	x.do(chromedp.Focus("#q", chromedp.ByQuery))
	x.types("b283")
	x.types("2") // how many is asked, and taken by one more Enter
	if at := x.at(); !strings.HasPrefix(at, "/bag/B283?") || !strings.Contains(at, "n=2") {
		t.Errorf("a digit behind a bag leads to %s", at)
	}
	x.follow(chromedp.KeyEvent("\r"))
	x.says("8 -> 6")
	x.do(chromedp.Focus("form[action='/fit'] button", chromedp.ByQuery))
	x.follow(chromedp.KeyEvent("\r"))
	x.says("for job 105")
	x.visit("/count/K1")
	x.do(chromedp.Focus("form[action='/begin/K1'] button", chromedp.ByQuery))
	x.follow(chromedp.KeyEvent("\r"))
	x.do(chromedp.Focus("input#n", chromedp.ByQuery))
	x.types("1")
	x.says("counted 1, the book had")
}
