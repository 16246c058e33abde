// Package page is the page at the bench: the same book, the same answers and the same
// refusals as the line, for eyes and thumbs.
//
// A screen asks store/ask and tells what it says; a form makes a request of the store, as
// a verb does. What may be booked is for the store to say: a rule about stock in here is
// a defect. The job in hand, the list and the booking made last travel in the address and
// in forms, so that each tab has its own and the server holds none of them.
//
// Its one surprising rule: every screen knows the line that answers the same. It stands
// at the foot of the page, and the same address with format=json answers as that line
// does with --json.
package page

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"time"

	"tinful/commands/scan"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/picture"
)

// A Sketch is a part drawn by its measures for a screen.
type Sketch struct {
	SVG     []byte   // nil where there are none to draw it from
	Guessed []string // what is not known of it
	AtSize  bool     // a page has room for it as large as it is
}

// A Bench is what the page stands on. Files, the clock and what is typed are for the
// program around it.
type Bench struct {
	// View asks the store, which is open and shared for as long as fn runs.
	View func(fn func(*store.View) error) error
	// Book books what fn does, in the words of the line that does the same. Sure says
	// that a clock far ahead of the book is right.
	Book func(typed []string, sure bool, fn func(*store.Tx) error) (store.Result, error)
	// Keep does fn on the store outside the book.
	Keep func(typed []string, fn func(*store.Store, store.Head) error) error
	// Photo reads what a picture shows, Kept what one does that is kept and not booked yet;
	// KeepPhoto keeps the file of one that is booked next.
	Photo     func(store.Picture) ([]byte, error)
	Kept      func(name string) (store.Photo, error)
	KeepPhoto func(store.Photo) error
	// Undo takes a booking back and returns it as well.
	Undo func(number uint64) (store.Result, store.Booking, error)
	// Find reads words and measures as find reads them. Notes say how they were read; none
	// says why nothing was found.
	Find func(v *store.View, typed []string) (found ask.Found, notes []string, none error, err error)
	// Words parts what was typed as a line is parted.
	Words func(typed string) ([]string, error)
	// Line writes the answer of a line that asks, as JSON or a fact a line; it returns its
	// exit code and what else the line says.
	Line   func(typed []string, json bool, out io.Writer) (code int, said string)
	Sketch func(store.Part) (Sketch, error)
	// Print makes the paper that a line would write to a file; said is its answer in JSON.
	// With trial nothing is kept of it.
	Print func(typed []string, file string, trial bool) (data, said []byte, err error)
	// Says is an error in the sentence of the line.
	Says   func(error) string
	Day    func(*store.View) code.Day      // the program's day
	Copied func(*store.View) (text string) // when the store was last copied
	By     string                          // who books
}

// Options say how a page is served.
type Options struct {
	Hosts    []string                  // what may stand in the Host of a request: 127.0.0.1:8417
	ReadOnly bool                      // nothing is booked
	Now      func() time.Time          // by which keys run out
	Renewed  func(key string)          // is told of a key that follows one which has run out
	Random   func([]byte) (int, error) // of crypto/rand
}

// A Page answers the requests of browsers.
type Page struct {
	bench   Bench
	opt     Options
	keys    *keyring
	once    *ledger
	routes  *http.ServeMux
	gate    sync.RWMutex  // questions read, bookings write: who waits to book goes before new questions
	asking  chan struct{} // how many are answered at once
	drawing chan struct{} // how many pictures are made small at once
	sending chan struct{} // how many forms with pictures are read at once
	screens *screens
	said    memory
}

// mostAtOnce is how many requests are answered at once: the others wait, so that a
// thousand of them hold no more memory than these.
const mostAtOnce = 8

// mostDrawing is how many pictures are in memory at once to be shown, and how many forms
// with pictures: none of them keeps a question waiting.
const mostDrawing = 2

// New is a page over a bench.
func New(b Bench, o Options) (*Page, error) {
	s, err := readScreens()
	if err != nil {
		return nil, err
	}
	p := &Page{bench: b, opt: o, screens: s, once: newLedger(), routes: http.NewServeMux(), asking: make(chan struct{}, mostAtOnce),
		drawing: make(chan struct{}, mostDrawing), sending: make(chan struct{}, mostDrawing)}
	if p.keys, err = newKeyring(o.Random, o.Now, o.Renewed); err != nil {
		return nil, err
	}
	for _, r := range routes() {
		p.routes.Handle(r.pattern, p.answer(r))
	}
	return p, nil
}

// Key is what stands in the address that opens the page, and nobody else knows.
func (p *Page) Key() string { return p.keys.current().open }

// A route is a screen, or what a form books.
type route struct {
	pattern string // of http.ServeMux
	// before is done outside the book before the screen asks or the form books, nil for
	// most.
	before func(*visit) error
	serve  func(*visit) error // writes an answer that is no screen
	show   func(*visit)
	// book does what a form asks and says where the tab goes then.
	book func(*visit) (to string, err error)
	// line is the line that answers the same, nil where there is none.
	line   func(*visit) []string
	writes bool // that line may book: it is shown, and not run
}

// answer is the handler of a route.
func (p *Page) answer(r route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		defer fault(w)
		v := p.visit(w, q)
		switch {
		case r.serve != nil:
			if err := r.serve(v); err != nil {
				p.refuse(v, err)
			}
		case r.book != nil:
			p.answerForm(v, r)
		case r.line != nil && !r.writes && q.URL.Query().Get("format") == "json":
			p.answerJSON(v, r)
		default:
			if r.line != nil {
				v.Line, v.AsJSON = typedWords(r.line(v)), !r.writes
			}
			p.answerScreen(v, r)
		}
	})
}

// ask asks the store one question.
func (p *Page) ask(fn func(*store.View) error) error {
	return p.beside(func() error { return p.bench.View(fn) })
}

// beside does what reads, beside others that read. The gate is open again whatever comes
// of it: a fault on one screen shuts no other.
func (p *Page) beside(fn func() error) error {
	p.gate.RLock()
	defer p.gate.RUnlock()
	return fn()
}

// alone does what writes, while nobody else reads or writes for the page.
func (p *Page) alone(fn func() error) error {
	p.gate.Lock()
	defer p.gate.Unlock()
	return fn()
}

// fault answers where the program itself is wrong, in place of a connection that ends.
func fault(w http.ResponseWriter) {
	if x := recover(); x != nil {
		http.Error(w, fmt.Sprintf("the program made a mistake on this screen: what is booked stands in the log (%v)", x), http.StatusInternalServerError)
	}
}

// answerScreen asks what a screen shows, closes the store and writes the page.
func (p *Page) answerScreen(v *visit, r route) {
	if r.before != nil {
		if err := p.alone(func() error { return r.before(v) }); err != nil {
			p.refuse(v, err)
			return
		}
	}
	err := p.beside(func() error {
		err := p.bench.View(func(view *store.View) error {
			return v.reads(view, func() {
				if v.head(); v.view.Err == nil {
					r.show(v)
				}
			})
		})
		if err == nil && v.plain != nil {
			var out strings.Builder
			exit, said := p.bench.Line(v.plain, false, &out)
			v.Answered = exit == 0
			v.AsJSON = v.AsJSON && v.Answered
			if v.Text = out.String(); v.Text == "" {
				v.Text = said
			}
		}
		return err
	})
	switch {
	case err != nil:
		p.refuse(v, err)
	case v.to != "":
		http.Redirect(v.w, v.r, v.to, http.StatusSeeOther)
	default:
		p.write(v, v.status)
	}
}

// answerJSON answers as the line of a screen does with --json.
func (p *Page) answerJSON(v *visit, r route) {
	var out bytes.Buffer
	var exit int
	var said string
	_ = p.beside(func() error {
		exit, said = p.bench.Line(r.line(v), true, &out)
		return nil
	})
	v.w.Header().Set("Content-Type", "application/json; charset=utf-8")
	if out.Len() == 0 {
		v.w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		out.WriteString(said)
	}
	v.w.WriteHeader(statusOfExit(exit))
	_, _ = v.w.Write(out.Bytes()) // whoever asked is gone
}

// answerForm books what a form asks, once, and sends the tab on.
func (p *Page) answerForm(v *visit, r route) {
	token := v.r.PostFormValue("once")
	stamp, err := p.keys.spoken(token, v.r.URL.Path)
	if err != nil {
		p.refuse(v, err)
		return
	}
	to, err := p.once.do(token, stamp, func() (string, error) {
		if r.before != nil {
			if err := r.before(v); err != nil {
				return "", err
			}
		}
		p.gate.Lock()
		defer p.gate.Unlock()
		return r.book(v)
	})
	if err != nil {
		p.refuse(v, err)
		return
	}
	http.Redirect(v.w, v.r, to, http.StatusSeeOther)
}

// refuse shows why there is no answer, and what helps.
func (p *Page) refuse(v *visit, err error) {
	if errors.Is(err, store.ErrBusy) {
		v.w.Header().Set("Retry-After", fmt.Sprint(waitSeconds))
		v.Again = v.r.Method == http.MethodGet
	}
	if v.OnWords == "" && !errors.Is(err, store.ErrBusy) {
		_ = p.ask(func(view *store.View) error { return v.reads(view, v.head) }) // what is refused is said first
	}
	v.failed(err)
	p.write(v, statusOf(err))
}

// waitSeconds is when a page that found the store busy asks again.
const waitSeconds = 2

// write lays out a screen in memory, and sends it whole.
func (p *Page) write(v *visit, status int) {
	var out bytes.Buffer
	if err := p.screens.lay(&out, v); err != nil {
		http.Error(v.w, "this screen cannot be laid out: "+err.Error(), http.StatusInternalServerError)
		return
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	if v.r.Method != http.MethodHead {
		_, _ = v.w.Write(out.Bytes()) // whoever asked is gone
	}
}

// statuses say which error is answered with which status, read from the top.
var statuses = []struct {
	err    error
	status int
}{
	{errKey, http.StatusForbidden},
	{errReadOnly, http.StatusForbidden},
	{errTooLarge, http.StatusRequestEntityTooLarge},
	{errHeavy, http.StatusRequestEntityTooLarge},
	{errMany, http.StatusRequestEntityTooLarge},
	{picture.ErrHeavy, http.StatusRequestEntityTooLarge},
	{picture.ErrLarge, http.StatusRequestEntityTooLarge},
	{picture.ErrUnread, http.StatusUnsupportedMediaType},
	{errNoPhoto, http.StatusBadRequest},
	{errManyLabels, http.StatusBadRequest},
	{scan.ErrNone, http.StatusUnprocessableEntity},
	{scan.ErrSpoilt, http.StatusUnprocessableEntity},
	{scan.ErrForeign, http.StatusUnprocessableEntity},
	{errNoted, http.StatusConflict},
	{errKept, http.StatusConflict},
	{errForm, http.StatusBadRequest},
	{store.ErrBusy, http.StatusServiceUnavailable},
	{store.ErrRefused, http.StatusConflict},
	{store.ErrSeveral, http.StatusConflict},
	{store.ErrNotFound, http.StatusNotFound},
	{store.ErrUsage, http.StatusBadRequest},
	{store.ErrBadInput, http.StatusBadRequest},
}

func statusOf(err error) int {
	for _, row := range statuses {
		if errors.Is(err, row.err) {
			return row.status
		}
	}
	return http.StatusInternalServerError
}

// statusOfExit is the status of an answer whose line ends with an exit code.
func statusOfExit(exit int) int {
	switch exit {
	case 0:
		return http.StatusOK
	case 2, 5:
		return http.StatusBadRequest
	case 3:
		return http.StatusNotFound
	case 4:
		return http.StatusConflict
	case 6:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

// typedWords is a line as it is typed.
func typedWords(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		if out[i] = w; w == "" || strings.ContainsAny(w, " \t\"'") {
			out[i] = fmt.Sprintf("%q", w)
		}
	}
	return strings.Join(out, " ")
}
