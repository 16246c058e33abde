package commands

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"tinful/store"
)

// A pageWorld is a page that is served over the demo, and a browser without eyes.
type pageWorld struct {
	t       *testing.T
	env     Env
	home    string
	address string // with the key
	root    string // http://127.0.0.1:PORT
	client  *http.Client
	end     func() int
}

// A lineWriter hands on the first line that is written to it.
type lineWriter struct {
	mu    sync.Mutex
	text  bytes.Buffer
	first chan string
	once  sync.Once
}

func (w *lineWriter) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.text.Write(b)
	if line, _, whole := strings.Cut(w.text.String(), "\n"); whole {
		w.once.Do(func() { w.first <- line })
	}
	return len(b), nil
}

// servePageOf serves the page over a demo in a new folder, with these flags.
func servePageOf(t *testing.T, flags ...string) *pageWorld {
	t.Helper()
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	return servePageAt(t, home, flags...)
}

func servePageAt(t *testing.T, home string, flags ...string) *pageWorld {
	t.Helper()
	w := newWorld(t, home)
	out := &lineWriter{first: make(chan string, 1)}
	ctx, stop := context.WithCancel(context.Background())
	w.env.Stdout, w.env.Stderr, w.env.until = out, &lineWriter{first: make(chan string, 1)}, ctx
	ended := make(chan int, 1)
	go func() { ended <- Run(append([]string{"tinful", "page"}, flags...), w.env) }()
	p := &pageWorld{t: t, env: w.env, home: home}
	p.end = sync.OnceValue(func() int { stop(); return <-ended })
	t.Cleanup(func() {
		if code := p.end(); code != exitOK {
			t.Errorf("the page ended with %d", code)
		}
	})
	select {
	case p.address = <-out.first:
	case code := <-ended:
		ended <- code
		t.Fatalf("the page ended at once with %d: %s", code, w.env.Stderr.(*lineWriter).text.String())
	}
	u, err := url.Parse(p.address)
	if err != nil {
		t.Fatal(err)
	}
	p.root = "http://" + u.Host
	jar, _ := cookiejar.New(nil)
	p.client = &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	if status, _ := p.get("/?" + u.RawQuery); status != http.StatusOK {
		t.Fatalf("the key opens nothing: %d", status)
	}
	return p
}

// get asks for an address and returns what came.
func (p *pageWorld) get(path string) (int, string) {
	p.t.Helper()
	r, err := p.client.Get(p.root + path)
	if err != nil {
		p.t.Fatal(err)
	}
	return answered(p.t, r)
}

func answered(t *testing.T, r *http.Response) (int, string) {
	t.Helper()
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(b)
}

// send sends a form as a browser does.
func (p *pageWorld) send(path string, form url.Values, change ...func(*http.Request)) (int, string, string) {
	p.t.Helper()
	r, err := http.NewRequest("POST", p.root+path, strings.NewReader(form.Encode()))
	if err != nil {
		p.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", p.root)
	for _, c := range change {
		c(r)
	}
	res, err := p.client.Do(r)
	if err != nil {
		p.t.Fatal(err)
	}
	to := res.Header.Get("Location")
	status, text := answered(p.t, res)
	return status, text, to
}

var formPattern = regexp.MustCompile(`(?s)<form method="post" action="([^"]*)".*?</form>`)
var inputPattern = regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`)

// form is the first form of a page that goes to path, with what is hidden in it.
func (p *pageWorld) form(text, path string) url.Values {
	p.t.Helper()
	for _, m := range formPattern.FindAllStringSubmatch(text, -1) {
		if m[1] != path {
			continue
		}
		out := url.Values{}
		for _, in := range inputPattern.FindAllStringSubmatch(m[0], -1) {
			out.Set(in[1], strings.NewReplacer("&amp;", "&", "&#34;", `"`, "&#39;", "'", "&lt;", "<", "&gt;", ">", "&#43;", "+").Replace(in[2]))
		}
		return out
	}
	p.t.Fatalf("no form goes to %s in\n%s", path, text)
	return nil
}

// line runs a line on the same store.
func (p *pageWorld) line(args ...string) (int, string) {
	p.t.Helper()
	w := newWorld(p.t, p.home)
	code := Run(append([]string{"tinful"}, args...), w.env)
	return code, w.stdout.String()
}

// bookings is how many bookings the store has.
func (p *pageWorld) bookings() int {
	p.t.Helper()
	var log struct{ Bookings []struct{ Booking int } }
	_, text := p.line("log", "--json")
	if err := json.Unmarshal([]byte(text), &log); err != nil {
		p.t.Fatal(err, text)
	}
	return len(log.Bookings)
}

// Every attack that needs no more than a request is refused before the store is asked.
func TestPageRefuses(t *testing.T) {
	p := servePageOf(t)
	_, bag := p.get("/bag/B283?on=105")
	fit := p.form(bag, "/fit")
	fit.Set("n", "1")
	bare := &http.Client{CheckRedirect: p.client.CheckRedirect}
	before := p.bookings()
	tests := []struct {
		name   string
		ask    func() (int, string)
		status int
	}{
		{"another host name, led here", func() (int, string) {
			r, _ := http.NewRequest("GET", p.root+"/", nil)
			r.Host = "bench.example:" + r.URL.Port()
			return do(t, p.client, r)
		}, 403},
		{"this host at another port", func() (int, string) {
			r, _ := http.NewRequest("GET", p.root+"/", nil)
			r.Host = "127.0.0.1:1"
			return do(t, p.client, r)
		}, 403},
		{"no key", func() (int, string) { r, _ := http.NewRequest("GET", p.root+"/", nil); return do(t, bare, r) }, 403},
		{"no key, the script", func() (int, string) {
			r, _ := http.NewRequest("GET", p.root+"/own/page.js", nil)
			return do(t, bare, r)
		}, 403},
		{"a wrong key", func() (int, string) {
			r, _ := http.NewRequest("GET", p.root+"/?key=AAAAAAAAAAAAAAAAAAAAAA", nil)
			return do(t, bare, r)
		}, 403},
		{"an empty key", func() (int, string) { r, _ := http.NewRequest("GET", p.root+"/?key=", nil); return do(t, bare, r) }, 403},
		{"a wrong cookie", func() (int, string) {
			r, _ := http.NewRequest("GET", p.root+"/", nil)
			r.AddCookie(&http.Cookie{Name: "tinful-" + r.URL.Port(), Value: "AAAAAAAAAAAAAAAAAAAAAA"})
			return do(t, bare, r)
		}, 403},
		{"words that hold what cannot be typed", func() (int, string) { return p.get("/find?q=a%01b") }, 400},
		{"a form of another origin", func() (int, string) {
			s, text, _ := p.send("/fit", fit, func(r *http.Request) { r.Header.Set("Origin", "http://bench.example") })
			return s, text
		}, 403},
		{"a form of an origin that is hidden", func() (int, string) {
			s, text, _ := p.send("/fit", fit, func(r *http.Request) { r.Header.Set("Origin", "null") })
			return s, text
		}, 403},
		{"a form of nowhere", func() (int, string) {
			s, text, _ := p.send("/fit", fit, func(r *http.Request) { r.Header.Del("Origin") })
			return s, text
		}, 403},
		{"a form of a sister site", func() (int, string) {
			s, text, _ := p.send("/fit", fit, func(r *http.Request) { r.Header.Del("Origin"); r.Header.Set("Sec-Fetch-Site", "same-site") })
			return s, text
		}, 403},
		{"a form without its word", func() (int, string) { s, text, _ := p.send("/fit", without(fit, "once")); return s, text }, 403},
		{"a form with a word that was made up", func() (int, string) {
			f := without(fit, "once")
			f.Set("once", strings.Repeat("A", 32)+"."+strings.Repeat("A", 43))
			s, text, _ := p.send("/fit", f)
			return s, text
		}, 403},
		{"a word for another booking", func() (int, string) { s, text, _ := p.send("/return", fit); return s, text }, 403},
		{"a booking by an address", func() (int, string) { return p.get("/fit?" + fit.Encode()) }, 404},
		{"no host", func() (int, string) { return p.bare("GET / HTTP/1.0\r\n\r\n") }, 403},
		{"two hosts", func() (int, string) {
			return p.bare("GET / HTTP/1.1\r\nHost: " + strings.TrimPrefix(p.root, "http://") + "\r\nHost: bench.example\r\n\r\n")
		}, 400},
		{"a host in the address", func() (int, string) {
			return p.bare("GET http://bench.example/jobs HTTP/1.1\r\nHost: " + strings.TrimPrefix(p.root, "http://") + "\r\n\r\n")
		}, 403},
		{"a head of forty kilobytes", func() (int, string) {
			return p.bare("GET / HTTP/1.1\r\nHost: " + strings.TrimPrefix(p.root, "http://") + "\r\nCookie: " + strings.Repeat("x", 40<<10) + "\r\n\r\n")
		}, 431},
		{"a body of two lengths", func() (int, string) {
			return p.bare("POST /fit HTTP/1.1\r\nHost: " + strings.TrimPrefix(p.root, "http://") + "\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nbag=B1")
		}, 400},
		{"another method", func() (int, string) {
			r, _ := http.NewRequest("DELETE", p.root+"/bag/B201", nil)
			return do(t, p.client, r)
		}, 405},
		{"a form with two bodies' worth", func() (int, string) {
			f := without(fit, "why")
			f.Set("why", strings.Repeat("x", 70<<10))
			s, text, _ := p.send("/fit", f)
			return s, text
		}, 413},
		{"a file of the machine", func() (int, string) { return p.get("/own/../../../../etc/passwd") }, 404},
		{"a file of the machine, written in another way", func() (int, string) { return p.get("/own/%2e%2e/%2e%2e/guard.go") }, 404},
		{"a file of the program", func() (int, string) { return p.get("/own/guard.go") }, 404},
		{"a code that is a path", func() (int, string) { return p.get("/part/..%2f..%2f..%2fetc%2fpasswd") }, 404},
		{"a code with a zero in it", func() (int, string) { return p.get("/part/P001%00") }, 404},
		{"no screen", func() (int, string) { return p.get("/admin") }, 404},
	}
	for _, test := range tests {
		status, text := test.ask()
		if status == http.StatusTemporaryRedirect || status == http.StatusMovedPermanently { // to the path that it is
			status = http.StatusNotFound
		}
		if status != test.status || strings.Contains(text, "root:") || strings.Contains(text, "package page") || status == 403 && strings.Contains(text, "B283") && !strings.Contains(text, "this form is from") {
			t.Errorf("%s: %d\n%s", test.name, status, text)
		}
	}
	if after := p.bookings(); after != before {
		t.Errorf("%d bookings were made", after-before)
	}
	if status, text, _ := p.send("/fit", fit); status != http.StatusSeeOther { // the word was good all along
		t.Errorf("what was right is refused: %d %s", status, text)
	}
}

func do(t *testing.T, c *http.Client, r *http.Request) (int, string) {
	t.Helper()
	res, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	return answered(t, res)
}

// bare sends bytes as they are, without the cookie, and returns what comes back.
func (p *pageWorld) bare(text string) (int, string) {
	p.t.Helper()
	c, err := net.Dial("tcp", strings.TrimPrefix(p.root, "http://"))
	if err != nil {
		p.t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(10 * time.Second))
	go io.WriteString(c, text) // it may be answered before all of it is read
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		p.t.Fatal(err)
	}
	return answered(p.t, r)
}

func without(form url.Values, name string) url.Values {
	out := url.Values{}
	for n, v := range form {
		if n != name {
			out[n] = v
		}
	}
	return out
}

// A form that is sent twice, one after the other or at once, books once and is answered
// alike.
func TestPageBooksOnce(t *testing.T) {
	p := servePageOf(t)
	_, bag := p.get("/bag/B283?on=105")
	fit := p.form(bag, "/fit")
	fit.Set("n", "1")
	before := p.bookings()
	var all sync.WaitGroup
	to := make([]string, 8)
	for i := range to {
		all.Go(func() {
			var status int
			if status, _, to[i] = p.send("/fit", fit); status != http.StatusSeeOther {
				t.Errorf("tap %d: %d", i, status)
			}
		})
	}
	all.Wait()
	for _, x := range to {
		if x != to[0] || !strings.Contains(x, "told=") {
			t.Errorf("one tap leads to %q, another to %q", to[0], x)
		}
	}
	if made := p.bookings() - before; made != 1 {
		t.Errorf("%d bookings of one form", made)
	}
	_, told := p.get(to[0])
	if !strings.Contains(told, "-&gt;") || !strings.Contains(told, "B283") || !strings.Contains(told, "for job 105") {
		t.Errorf("what was booked is not said:\n%s", told)
	}
	// Taken back, the spent form stays spent.
	if status, text, _ := p.send("/undo", p.form(told, "/undo")); status != http.StatusSeeOther {
		t.Fatalf("undo: %d %s", status, text)
	}
	if status, _, again := p.send("/fit", fit); status != http.StatusSeeOther || again != to[0] {
		t.Errorf("sent again: %d %s", status, again)
	}
	if made := p.bookings() - before; made != 2 {
		t.Errorf("%d bookings after undo and a form that was sent again", made)
	}
}

// What the page books is what the line that stands below it books, and it is refused in
// the same sentence.
func TestPageBooksAsTheLine(t *testing.T) {
	for _, test := range []struct {
		page, path string
		form       map[string]string
		line       []string
	}{
		{"/bag/B283?on=105", "/fit", map[string]string{"n": "2"}, []string{"fit", "b283", "2", "--job", "105"}},
		{"/bag/B283?on=105", "/fit", map[string]string{"n": "２"}, []string{"fit", "b283", "２", "--job", "105"}},
		{"/bag/B283?on=105", "/fit", map[string]string{"n": "999"}, []string{"fit", "b283", "999", "--job", "105"}},
		{"/bag/B201?on=106", "/fit", map[string]string{"n": "1"}, []string{"fit", "b201", "1", "--job", "106"}}, // the twin
		{"/bag/B201?on=105", "/hold", map[string]string{"n": "1"}, []string{"hold", "b201", "1", "--job", "105"}},
		{"/job/105?on=105", "/fit", nil, []string{"fit", "b281", "1", "--job", "105"}},
		{"/job/105?on=105", "/unhold", nil, []string{"unhold", "b281", "--job", "105"}},
	} {
		p, q := servePageOf(t), servePageOf(t)
		_, text := p.get(test.page)
		form := p.form(text, test.path)
		for name, value := range test.form {
			form.Set(name, value)
		}
		status, text, _ := p.send(test.path, form)
		w := newWorld(t, q.home)
		code := Run(append([]string{"tinful"}, test.line...), w.env)
		if (code == exitOK) != (status == http.StatusSeeOther) {
			t.Errorf("%s: the page says %d, the line %d\n%s\n%s", test.line, status, code, text, w.stderr)
		}
		if code != exitOK {
			first, _, _ := strings.Cut(strings.TrimPrefix(w.stderr.String(), "tinful: "), "\n")
			if plain := unescaped(text); !strings.Contains(plain, first) {
				t.Errorf("%s: the line says %q, the page\n%s", test.line, first, plain)
			}
		}
		_, mine := p.line("log", "--json")
		_, theirs := q.line("log", "--json")
		if clockless(mine) != clockless(theirs) {
			t.Errorf("%s: the page booked\n%s\nthe line\n%s", test.line, mine, theirs)
		}
	}
}

func unescaped(text string) string {
	return strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&lt;", "<", "&gt;", ">", "&#43;", "+", "&amp;", "&").Replace(text)
}

// clockless is a log as the store has it: how a number and code were typed is left out.
func clockless(text string) string {
	return regexp.MustCompile(`"command":"[^"]*",?`).ReplaceAllString(text, "")
}

// Every screen answers as JSON what its line answers.
func TestPageAnswersAsTheLine(t *testing.T) {
	p := servePageOf(t)
	for _, path := range []string{"/", "/find?q=torsion+.20", "/find?q=counter+pawl+spring&on=105", "/part/P001", "/bag/B201", "/place/K1", "/donor/PC-03", "/model/W1-A", "/jobs", "/job/105", "/out", "/log"} {
		_, text := p.get(path)
		_, after, found := strings.Cut(text, "<code>tinful ")
		shown, _, _ := strings.Cut(after, "</code>")
		if !found {
			t.Errorf("%s names no line", path)
			continue
		}
		sep := "?"
		if strings.Contains(path, "?") {
			sep = "&"
		}
		status, got := p.get(path + sep + "format=json")
		code, want := p.line(append(strings.Fields(unescaped(shown)), "--json")...)
		if got != want || code != exitOK || status != http.StatusOK {
			t.Errorf("%s: %d %d\n%.300s\n%.300s", path, status, code, got, want)
		}
	}
	before := p.bookings()
	for _, path := range []string{"/need/P057?on=103&format=json", "/done/105?format=json"} { // their lines book
		if _, text := p.get(path); strings.HasPrefix(text, `{"tinful"`) {
			t.Errorf("%s was run", path)
		}
	}
	if p.bookings() != before {
		t.Error("a question booked")
	}
}

// Names with markup in them stand on every screen as they are, and none of it runs.
func TestPageShowsMarkupAsText(t *testing.T) {
	const evil = `<script>alert(1)</script>"'><img src=x onerror=alert(1)>{{.}}`
	p := servePageOf(t)
	for _, args := range [][]string{
		{"add", "part", "P900", evil, "--class", "torsion spring", "--note", evil, "--alias", evil},
		{"add", "place", "K90", evil},
		{"put", "2", "P900", "from", "bought", "--place", "K90", "--grade", "new", "--note", evil},
		{"arrived", "w1b", "77<b>", evil + ",", evil, "--job", "900", "--note", evil, "--accessories", evil},
		{"note", "900", evil},
		{"want", "P900", "--job", "900", "--note", evil},
	} {
		if code, _ := p.line(args...); code != exitOK {
			w := newWorld(t, p.home)
			Run(append([]string{"tinful"}, args...), w.env)
			t.Errorf("%s: %d %s", args, code, w.stderr)
		}
	}
	query := url.QueryEscape(evil)
	for _, path := range []string{"/", "/find?q=P900", "/find?q=" + query, "/part/P900?q=" + query, "/bag/P900", "/place/K90", "/job/900?on=900", "/done/900", "/need/P900?on=900", "/out", "/log", "/jobs",
		"/arrive?model=" + query + "&owner=" + query + "&fault=" + query, "/job/900?on=" + query, "/job/" + url.PathEscape(evil), "/go?q=" + query + "&on=" + query, "/find?q=a&did=" + query + "&told=" + query} {
		_, text := p.get(path)
		if strings.Contains(text, "<script>alert") || strings.Contains(text, "<img") || strings.Contains(text, "77<b>") {
			t.Errorf("%s has markup of a name in it:\n%s", path, text)
		}
	}
}

// A key runs out after twelve hours, and with the program.
func TestPageKeysEnd(t *testing.T) {
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "w.db"), demoStore(t), 0o600); err != nil {
		t.Fatal(err)
	}
	w := newWorld(t, home)
	var mu sync.Mutex
	now := w.env.Now()
	out, said := &lineWriter{first: make(chan string, 1)}, &lineWriter{first: make(chan string, 1)}
	ctx, stop := context.WithCancel(context.Background())
	w.env.Now = func() time.Time { mu.Lock(); defer mu.Unlock(); return now }
	w.env.Stdout, w.env.Stderr, w.env.until = out, said, ctx
	ended := make(chan int, 1)
	go func() { ended <- Run([]string{"tinful", "page"}, w.env) }()
	address := <-out.first
	u, _ := url.Parse(address)
	jar, _ := cookiejar.New(nil)
	p := &pageWorld{t: t, home: home, root: "http://" + u.Host, client: &http.Client{Jar: jar}}
	for _, step := range []struct {
		after  time.Duration
		path   string
		status int
	}{{0, "/?" + u.RawQuery, 200}, {0, "/jobs", 200}, {11 * time.Hour, "/jobs", 200}, {2 * time.Hour, "/jobs", 403}, {0, "/?" + u.RawQuery, 403}} {
		mu.Lock()
		now = now.Add(step.after)
		mu.Unlock()
		if status, text := p.get(step.path); status != step.status {
			t.Errorf("after %s %s: %d %s", step.after, step.path, status, text)
		}
	}
	stop()
	if code := <-ended; code != exitOK {
		t.Error(code)
	}
	if text := said.text.String(); strings.Count(text, "/?key=") != 1 || strings.Contains(text, u.RawQuery) {
		t.Errorf("the address that follows is not said once: %s", text)
	}
	other := servePageAt(t, home)
	if status, _ := other.get("/?" + u.RawQuery); status != http.StatusForbidden {
		t.Error("a key of an earlier run opens the page")
	}
}

// A page that was opened to be read books nothing, and offers nothing that would: a label
// is read, and that is all.
func TestPageReadOnly(t *testing.T) {
	p, q := servePageOf(t, "--read-only"), servePageOf(t)
	_, text := q.get("/bag/B283?on=105")
	before := p.bookings()
	if status, _, _ := p.send("/fit", q.form(text, "/fit")); status != http.StatusForbidden {
		t.Errorf("it books: %d", status)
	}
	for _, path := range []string{"/", "/bag/B283?on=105", "/job/105?on=105", "/find?q=spring&on=105", "/done/105", "/need/P057?on=103", "/arrive?model=W1-B&owner=x&fault=y"} {
		if _, text := p.get(path); strings.Count(text, `method="post"`) != strings.Count(text, `method="post" action="/scan"`) && !strings.Contains(path, "done") {
			t.Errorf("%s has a form that books:\n%s", path, text)
		}
	}
	if p.bookings() != before {
		t.Error("something was booked")
	}
}

// Who sends slowly, or without end, keeps nobody waiting and is given up.
func TestPageBoundsSenders(t *testing.T) {
	p := servePageOf(t)
	host := strings.TrimPrefix(p.root, "http://")
	cookie := p.client.Jar.Cookies(&url.URL{Scheme: "http", Host: host, Path: "/"})[0]
	head := fmt.Sprintf("POST /fit HTTP/1.1\r\nHost: %s\r\nOrigin: %s\r\nCookie: %s=%s\r\nContent-Type: application/x-www-form-urlencoded\r\n", host, p.root, cookie.Name, cookie.Value)
	var slow []net.Conn
	for i := range 24 {
		c, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		text := "GET / HTTP/1.1\r\nHost: "
		if i%2 == 0 {
			text = head + "Content-Length: 1000\r\n\r\nbag="
		}
		io.WriteString(c, text)
		slow = append(slow, c)
	}
	begun := time.Now()
	if status, _ := p.get("/jobs"); status != http.StatusOK || time.Since(begun) > 2*time.Second {
		t.Errorf("beside slow senders: %d after %s", status, time.Since(begun))
	}
	// A head that never ends is given up after five seconds: the odd ones.
	_ = slow[1].SetReadDeadline(time.Now().Add(15 * time.Second))
	if b, err := io.ReadAll(slow[1]); err != nil || strings.Contains(string(b), "200 OK") {
		t.Errorf("a head without end: %q %v", b, err)
	}
	// A body of 1 GB is refused, and not read.
	if sent := sendWithoutEnd(t, host, head+"Content-Length: 1073741824\r\n\r\n"); sent > 64<<20 {
		t.Errorf("%d MB of a form were taken", sent>>20)
	}
	// Nor is one of pictures, and of who has no key not even what may be sent.
	for _, test := range []struct {
		head string
		most int64
	}{
		{strings.Replace(head, "/fit", "/photo/part/P001", 1), 72 << 20},
		{strings.Replace(strings.Replace(head, "/fit", "/photo/part/P001", 1), cookie.Value, "none", 1), 16 << 20},
	} {
		text := strings.Replace(test.head, "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", 1) + "Content-Length: 1073741824\r\n\r\n" +
			"--x\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"a.jpg\"\r\n\r\n"
		if sent := sendWithoutEnd(t, host, text); sent > test.most {
			t.Errorf("%d MB of pictures were taken", sent>>20)
		}
	}
	if status, _ := p.get("/jobs"); status != http.StatusOK {
		t.Errorf("after that: %d", status)
	}
}

// sendWithoutEnd sends a head and up to 1 GB behind it, and returns how much went out.
func sendWithoutEnd(t *testing.T, host, head string) (sent int64) {
	t.Helper()
	c, err := net.Dial("tcp", host)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	part := bytes.Repeat([]byte("a"), 1<<16)
	_ = c.SetDeadline(time.Now().Add(15 * time.Second))
	io.WriteString(c, head)
	for sent < 1<<30 {
		n, err := c.Write(part)
		if sent += int64(n); err != nil {
			break
		}
	}
	return sent
}

// Connections that say nothing are given up, and who asks then is answered, however many
// they were.
func TestPageBoundsConnections(t *testing.T) {
	p := servePageOf(t)
	for range 80 {
		c, err := net.Dial("tcp", strings.TrimPrefix(p.root, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
	}
	p.client.CloseIdleConnections()
	begun := time.Now()
	if status, _ := p.get("/jobs"); status != http.StatusOK || time.Since(begun) > 15*time.Second {
		t.Errorf("behind 80 who say nothing: %d after %s", status, time.Since(begun))
	}
}

// While another program has the store the page says so and books nothing; the same form
// books when it is free.
func TestPageWaits(t *testing.T) {
	p := servePageOf(t)
	_, bag := p.get("/bag/B283?on=105")
	fit := p.form(bag, "/fit")
	fit.Set("n", "1")
	free := holdStore(t, filepath.Join(p.home, "w.db"))
	status, text := p.get("/jobs")
	if status != http.StatusServiceUnavailable || !strings.Contains(text, "another tinful is working on this store") || !strings.Contains(text, `http-equiv="refresh"`) {
		t.Errorf("a question: %d %s", status, text)
	}
	status, text, _ = p.send("/fit", fit)
	if status != http.StatusServiceUnavailable || !strings.Contains(text, "try again") {
		t.Errorf("a booking: %d %s", status, text)
	}
	free()
	if status, text, _ = p.send("/fit", p.form(text, "/fit")); status != http.StatusSeeOther {
		t.Errorf("when it is free: %d %s", status, text)
	}
	if status, _, _ := p.send("/fit", fit); status != http.StatusSeeOther { // it booked nothing before
		t.Errorf("the first form: %d", status)
	}
}

// Ten thousand requests leave no goroutine and little memory behind.
func TestPageStaysSmall(t *testing.T) {
	n := 1000
	if os.Getenv("TINFUL_SOAK") != "" {
		n = 10_000
	}
	p := servePageOf(t)
	p.get("/")
	p.client.CloseIdleConnections()
	time.Sleep(100 * time.Millisecond)
	was := runtime.NumGoroutine()
	var all sync.WaitGroup
	paths := []string{"/", "/find?q=spring&on=105", "/part/P001", "/job/105?on=105", "/bag/B201?on=105"}
	for w := range 8 {
		all.Go(func() {
			for i := range n / 8 {
				if status, text := p.get(paths[(i+w)%len(paths)]); status != http.StatusOK || len(text) > 60<<10 {
					t.Errorf("%s: %d, %d bytes", paths[(i+w)%len(paths)], status, len(text))
					return
				}
			}
		})
	}
	all.Wait()
	p.client.CloseIdleConnections()
	for range 50 {
		if runtime.NumGoroutine() <= was {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if now := runtime.NumGoroutine(); now > was {
		t.Errorf("%d goroutines before, %d after", was, now)
	}
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	if m.HeapInuse > 100<<20 {
		t.Errorf("%d MiB are in use after %d requests", m.HeapInuse>>20, n)
	}
}

// holdStore has a store open to book in it, as another program would, until free.
func holdStore(t *testing.T, path string) (free func()) {
	t.Helper()
	s, err := store.OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}
