package page

import (
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// A visit is one request while it is answered, and all that its page shows. What begins
// with a capital is read by the templates.
type visit struct {
	tab
	page   *Page
	w      http.ResponseWriter
	view   *store.Lookup // while the store is open
	status int
	to     string        // where the tab is sent instead
	screen string        // the name of its template
	jotted store.Jotted  // what is typed of a strip-down and not booked yet
	photos []store.Photo // that were sent with the form
	plain  []string      // a line whose answer stands on the page as it is

	Title    string
	Line     string // that answers the same
	AsJSON   bool   // and may be asked for as JSON
	OnWords  string // the job in hand
	DidWords string
	Told     []string // what the booking changed that was just made
	Notes    []string
	Asked    string // what stands in the box
	Bag      code.Code
	Led      bool // the focus is led to what comes next, not to the box
	ReadOnly bool
	Again    bool // the page asks again by itself
	Failed   string
	Choices  []choice
	Despite  []field // the form again, to be booked though a rule is against it
	Sure     bool    // or with a clock that is said to be right
	Path     string  // where the form goes that was refused
	Text     string  // the answer of plain
	Answered bool    // it is one
	Body     any     // of the screen
}

// A field is one of a form, as it is sent again.
type field struct{ Name, Value string }

// A choice is one of several things that would do.
type choice struct {
	Token, Words string
	Fields       []field
}

func (p *Page) visit(w http.ResponseWriter, r *http.Request) *visit {
	v := &visit{tab: tab{r: r}, page: p, w: w, status: http.StatusOK, ReadOnly: p.opt.ReadOnly}
	v.On = code.Code(v.given("on"))
	v.Did, _ = strconv.ParseUint(v.given("did"), 10, 64)
	return v
}

// head reads what stands at the head of every screen: the job in hand, and what undo
// would take back.
func (v *visit) head() {
	if v.On != "" {
		ref := look(v.view, string(v.On), "job")
		if v.On = ""; v.view.Err != nil {
			return
		}
		j := found(v, v.view.Job, ref.Code)
		v.On, v.OnWords = j.Code, strings.Join(tell.Filled("on "+string(j.Code), string(j.Model), j.Owner), "  ")
	}
	b := v.undoes()
	if v.Did = b.Number; v.Did != 0 {
		v.DidWords = fmt.Sprintf("%d: %s", b.Number, b.Command)
	}
	if n, _ := strconv.ParseUint(v.given("told"), 10, 64); n != 0 {
		v.Told = v.changed(n)
	}
}

// undoes is the booking that undo takes back: the last of this tab, else the person's own.
func (v *visit) undoes() store.Booking {
	if v.Did != 0 {
		b, err := v.view.BookingNo(v.Did)
		if err == nil && b.Undone == 0 && b.Kind != "undo" {
			return b
		}
	}
	b, err := v.view.Latest(v.page.bench.By)
	if errors.Is(err, store.ErrNotFound) {
		return store.Booking{}
	}
	v.view.Keep(err)
	return b
}

// changed says what a booking changed: as it was said when it was booked, else as the
// book has it.
func (v *visit) changed(n uint64) []string {
	if told := v.page.said.of(n); told != nil {
		return told
	}
	b := found(v, v.view.BookingNo, n)
	return append([]string{b.Command}, tell.Each(found(v, v.view.EntriesIn, b), func(e store.Entry) string {
		return strings.Join(tell.Filled(e.What.String(), strconv.FormatInt(e.Quantity, 10), string(e.Bag), string(e.Job), e.To), " ")
	})...)
}

// Form begins a form that books: it goes to path, once, and leads back here.
func (v *visit) Form(path string, class ...string) (template.HTML, error) {
	return v.form(path, "", class)
}

// FileForm begins a form that pictures go with.
func (v *visit) FileForm(path string, class ...string) (template.HTML, error) {
	return v.form(path, ` enctype="multipart/form-data"`, class)
}

// PaperForm begins a form whose paper opens beside the page.
func (v *visit) PaperForm(path string, class ...string) (template.HTML, error) {
	return v.form(path, ` target="_blank"`, class)
}

func (v *visit) form(path, coded string, class []string) (template.HTML, error) {
	word, err := v.page.keys.word(path)
	if err != nil {
		return "", err
	}
	esc := template.HTMLEscapeString
	out := `<form method="post" action="` + esc(path) + `" class="` + esc(strings.Join(class, " ")) + `"` + coded + `>`
	for _, f := range []field{{"once", word}, {"back", v.back()}, {"on", string(v.On)}} {
		out += `<input type="hidden" name="` + f.Name + `" value="` + esc(f.Value) + `">`
	}
	return template.HTML(out), nil
}

// book books in the words of the line that does the same, and remembers what it changed.
func (v *visit) book(typed []string, book func(*store.Lookup, *store.Tx)) (store.Result, error) {
	res, err := v.page.bench.Book(typed, v.given("sure") == "yes", func(t *store.Tx) error {
		l := &store.Lookup{View: &t.View}
		book(l, t)
		return l.Err
	})
	if err == nil {
		v.page.said.keep(res)
	}
	return res, err
}

// failed puts on the page why there is no answer, and what would do.
func (v *visit) failed(err error) {
	v.screen, v.Title, v.Body = "refused", "not done", nil
	if v.r.Method == http.MethodGet {
		v.Title = "no answer"
	}
	v.Failed, v.Path = v.page.bench.Says(err), v.r.URL.Path
	if v.r.Method != http.MethodPost {
		return
	}
	if e, ok := errors.AsType[*store.ChoiceError](err); ok {
		for _, row := range e.Rows {
			name := cmp.Or(v.given("choose"), "piece")
			v.Choices = append(v.Choices, choice{Words: choiceWords(row), Fields: v.fields(name, row.Ref.String())})
		}
	}
	if e, ok := errors.AsType[*store.Refusal](err); ok && tell.MayAnyway(e.Kind) {
		v.Despite = v.fields("anyway", "yes")
	}
	if _, ok := errors.AsType[*store.ClockError](err); ok {
		v.Sure, v.Despite = true, v.fields("sure", "yes")
	}
	if e, ok := errors.AsType[*store.UnknownError](err); ok && strings.HasPrefix(v.Path, "/strip/") && !strings.ContainsAny(e.Name, "0123456789") {
		v.Choices = append(v.Choices, choice{Words: "keep it in the step alone, as no stock", Fields: v.fields("called", "yes")})
	}
	if errors.Is(err, store.ErrBusy) {
		v.Choices = []choice{{Words: "try again", Fields: v.fields("", "")}}
	}
}

// choiceWords is one of several things that would do, in a line.
func choiceWords(r store.Choice) string {
	if r.Kind == "bag" {
		return strings.Join(tell.Filled(string(r.Code), r.State.Grade, string(r.State.Place), r.Words(), r.Bag.Looks, r.Bag.Note), ", ")
	}
	return strings.Join(tell.Filled(string(r.Code), r.Part.Name, fmt.Sprintf("%d free", r.Free)), ", ")
}

// twos are the screens whose cards stand in two columns where there is room.
var twos = []string{"today", "part", "job", "bag", "donor", "low", "missing", "more", "hits"}

// Two says that this screen is one of them.
func (v *visit) Two() bool { return slices.Contains(twos, v.screen) }

// FailedLines are the lines of what is wrong.
func (v *visit) FailedLines() []string { return strings.Split(v.Failed, "\n") }

// A bagForms is what the forms of a bag are made of.
type bagForms struct {
	Visit      *visit
	Bag        string
	Some       bool
	Here, Held int64
	Jobs       []link
}

// With is what the forms of a bag are made of.
func (v *visit) With(bag string, some bool, here, held int64, jobs []link) bagForms {
	return bagForms{v, bag, some, here, held, jobs}
}

// reads lets the visit read the store while read runs, and is the first error it met.
func (v *visit) reads(view *store.View, read func()) error {
	v.view = &store.Lookup{View: view}
	defer func() { v.view = nil }()
	read()
	return v.view.Err
}

// mayBook refuses a screen that is there to book, where the page is only read.
func (v *visit) mayBook() {
	if v.ReadOnly {
		v.view.Keep(errReadOnly)
	}
}

// found is what one of the functions of the view has for a key.
func found[K, T any](v *visit, from func(K) (T, error), key K) T { return store.Got(v.view, from, key) }

// asked is what a question about the store has for a key.
func asked[K, T any](v *visit, ask func(*store.View, K) (T, error), key K) T {
	return store.Asked(v.view, ask, key)
}

// look reads the thing of one of the kinds that a text names.
func look(l *store.Lookup, text string, kinds ...string) (ref store.Ref) {
	if l.Err == nil {
		ref, l.Err = l.Thing(text, kinds...)
	}
	return ref
}
