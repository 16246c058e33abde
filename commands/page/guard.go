package page

import (
	"embed"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"
)

// What protects the page. Others log in to the machine, other pages are open in the same
// browser, and names may be anything:
//
//   - nobody is answered without the key of this run, which came in the address that the
//     program printed and is kept in a cookie that no script reads and no other site sends;
//   - a request names one of the hosts the page listens on, so that a name which was made
//     to lead here opens nothing;
//   - a form comes from a page of ours by what the browser says of it, and has a word of
//     its own that is spent by what it books;
//   - sizes, times and how much happens at once have bounds.

// policy lets a browser load what the page brings itself, and nothing that stands in the
// page run.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' blob:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// scanPath reads a picture and books nothing.
const scanPath = "/scan"

// mostForm is how many bytes of a form are read.
const mostForm = 64 << 10

//go:embed own/style.css own/page.js
var own embed.FS

// ServeHTTP looks at a request before anything is asked.
func (p *Page) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	switch {
	case !slices.Contains(p.opt.Hosts, r.Host):
		forbid(w, "this page has another address: open the one that the program printed")
	case r.URL.Path == "/own/style.css": // what a refusal looks like too
		serveOwn(w, r)
	case r.URL.Path == "/" && r.URL.Query().Has("key"):
		p.enter(w, r)
	case !p.keys.opens(r):
		forbid(w, "this page opens with a key: open the address that the program printed. A key ends with the program, and after twelve hours")
	case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
		http.Error(w, "only GET and POST are answered", http.StatusMethodNotAllowed)
	case r.Method == http.MethodPost && !ofOurs(r):
		forbid(w, "this form does not come from a page of the program")
	case r.Method == http.MethodPost && p.opt.ReadOnly && r.URL.Path != scanPath:
		forbid(w, errReadOnly.Error())
	case strings.HasPrefix(r.URL.Path, "/own/"):
		serveOwn(w, r)
	default:
		bad := error(nil)
		if r.Method == http.MethodPost && withPictures(r) {
			p.sending <- struct{}{}
			defer func() { <-p.sending }()
			bad = readPictures(w, r)
		} else if r.Method == http.MethodPost {
			bad = readForm(w, r)
		}
		turn := p.asking // a form is read before: who sends slowly keeps nobody waiting
		if strings.HasPrefix(r.URL.Path, "/picture/") {
			turn = p.drawing
		}
		turn <- struct{}{}
		defer func() { <-turn }()
		if bad != nil {
			p.refuse(p.visit(w, r), bad)
			return
		}
		p.routes.ServeHTTP(w, r)
	}
}

// readForm reads a form whole, or not at all.
func readForm(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	err := r.ParseForm()
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return errTooLarge
	}
	if err != nil {
		return fmt.Errorf("%w: %w", errForm, err)
	}
	return nil
}

// readPictures reads a form with pictures whole into memory, or not at all. It may take
// longer than others.
func readPictures(w http.ResponseWriter, r *http.Request) error {
	c := http.NewResponseController(w)
	now := time.Now()
	err := errors.Join(c.SetReadDeadline(now.Add(sendWithin)), c.SetWriteDeadline(now.Add(sendWithin+answerWithin)))
	if err != nil {
		return err
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostSent)
	err = r.ParseMultipartForm(mostSent)
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return errHeavy
	}
	if err != nil {
		return fmt.Errorf("%w: %w", errForm, err)
	}
	return nil
}

var (
	errTooLarge = fmt.Errorf("the form is larger than %d KiB: nothing was read of it", mostForm>>10)
	errForm     = errors.New("this form cannot be read")
	errReadOnly = errors.New("the page was opened to be read: nothing is booked from it")
)

// ofOurs tells whether a form was sent by a page of ours, as the browser says.
func ofOurs(r *http.Request) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		return origin == "http://"+r.Host
	}
	return r.Header.Get("Sec-Fetch-Site") == "same-origin"
}

// enter takes the key out of the address into a cookie. The browser is sent on by the
// page itself: a request that another page began would not bring the cookie.
func (p *Page) enter(w http.ResponseWriter, r *http.Request) {
	if !p.keys.isKey(r.URL.Query().Get("key")) {
		forbid(w, "this key is none, or it has run out: open the address that the program printed last")
		return
	}
	http.SetCookie(w, p.keys.cookie(r))
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write([]byte(`<!doctype html><html lang="en"><meta charset="utf-8"><meta http-equiv="refresh" content="0;url=/"><title>tinful</title>` +
		`<link rel="stylesheet" href="/own/style.css"><main><p><a href="/">open the page at the bench</a></p></main>`))
}

// forbid answers a request that is none of ours. It asks the store nothing.
func forbid(w http.ResponseWriter, sentence string) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(http.StatusForbidden)
	_, _ = w.Write([]byte(`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>refused</title>` +
		`<link rel="stylesheet" href="/own/style.css"><main><h1>refused</h1><p>` + sentence + `</p></main>`))
}

// serveOwn serves the style sheet and the script: nothing else has a name there.
func serveOwn(w http.ResponseWriter, r *http.Request) {
	kind := map[string]string{"/own/style.css": "text/css; charset=utf-8", "/own/page.js": "text/javascript; charset=utf-8"}[r.URL.Path]
	b, err := own.ReadFile(strings.TrimPrefix(r.URL.Path, "/"))
	if err != nil || kind == "" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(b)
}
