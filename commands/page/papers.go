package page

import (
	"encoding/json"
	"net/url"
	"path"
	"slices"
	"strings"
	"sync"

	"tinful/commands/tell"
	"tinful/store"
)

// Papers are made by the lines that write them, and opened in the browser instead.

// papers are those that may be asked for, by the first word of their address: the line
// that makes one of what stands behind that.
var papers = sync.OnceValue(func() map[string]func(v *visit, of string) []string {
	return map[string]func(v *visit, of string) []string{
		"arrival":  func(_ *visit, of string) []string { return []string{"paper", "job:" + of, "--arrival"} },
		"estimate": func(_ *visit, of string) []string { return []string{"paper", "job:" + of, "--estimate"} },
		"done":     func(_ *visit, of string) []string { return []string{"paper", "job:" + of, "--done"} },
		"drawing":  func(_ *visit, of string) []string { return []string{"draw", "part:" + of} },
		"drawers":  func(*visit, string) []string { return []string{"list", "drawers"} },
		"free":     func(*visit, string) []string { return []string{"list", "free"} },
		"wants":    func(*visit, string) []string { return []string{"wants"} },
		"month":    monthLine,
		"cut":      cutLine,
		"labels":   func(v *visit, _ string) []string { return labelLine(v, v.r.URL.Query()["of"]) },
	}
})

// monthLine is the sheet of a month, of this one where none is named.
func monthLine(_ *visit, of string) []string {
	if _, _, err := store.MonthDays(of); err != nil {
		return []string{"month"}
	}
	return []string{"month", of}
}

// labelLine prints labels of things.
func labelLine(v *visit, things []string) []string {
	typed := []string{"label"}
	for _, t := range things {
		if kind, _, ok := strings.Cut(t, ":"); ok && slices.Contains(store.NoteOn, kind) {
			typed = append(typed, t)
		}
	}
	for _, flag := range []string{"paper", "from"} {
		if text := v.given(flag); text != "" {
			typed = append(typed, "--"+flag+"="+text)
		}
	}
	return typed
}

// servePaper makes a paper and shows it. Nothing is booked by that.
func servePaper(v *visit) error {
	what := v.r.PathValue("what")
	line, known := papers()[what]
	if !known {
		return store.Absent("this page has no such paper")
	}
	of := v.r.PathValue("of")
	ending, kind := ".pdf", "application/pdf"
	if v.given("as") == "svg" {
		ending, kind = ".svg", "image/svg+xml"
	}
	var data []byte
	err := v.page.beside(func() (err error) {
		data, _, err = v.page.bench.Print(line(v, of), "paper"+ending, true)
		return err
	})
	if err != nil {
		return err
	}
	v.write(kind, strings.Join(tell.Filled(of, what), "-")+ending, data)
	return nil
}

// serveSketch serves the drawing of a part.
func serveSketch(v *visit) error {
	var p store.Part
	err := v.page.ask(func(view *store.View) error {
		return v.reads(view, func() { p = found(v, view.Part, v.thing("part").Code) })
	})
	if err != nil {
		return err
	}
	s, err := v.page.bench.Sketch(p)
	if err == nil && s.SVG == nil {
		err = store.Absent("there are no measures to draw %s from", p.Code)
	}
	if err != nil {
		return err
	}
	v.write("image/svg+xml", string(p.Code)+".svg", s.SVG)
	return nil
}

// write answers with a paper that the program made.
func (v *visit) write(kind, name string, data []byte) {
	h := v.w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Security-Policy", "default-src 'none'; object-src 'self'; frame-ancestors 'none'")
	h.Set("Content-Disposition", "inline; filename*=UTF-8''"+url.PathEscape(path.Base(name)))
	_, _ = v.w.Write(data) // whoever asked is gone
}

// printLabels prints labels and keeps what they said, then leads to the paper.
func printLabels(v *visit) (string, error) {
	typed := labelLine(v, v.r.PostForm["of"])
	switch what := v.given("what"); what {
	case "new", "drawers":
		typed = append(typed, "--"+what)
	}
	_, said, err := v.page.bench.Print(typed, "labels.pdf", false)
	if err != nil {
		return "", err
	}
	var answer struct {
		Labels []struct{ Thing string }
	}
	if err := json.Unmarshal(said, &answer); err != nil {
		return "", err
	}
	q := url.Values{}
	for _, l := range answer.Labels {
		q.Add("of", l.Thing)
	}
	for _, flag := range []string{"paper", "from"} {
		if text := v.given(flag); text != "" {
			q.Set(flag, text)
		}
	}
	return "/paper/labels/" + "?" + q.Encode(), nil
}

// A labelForm prints labels.
type labelForm struct {
	Visit  *visit
	Of     string   // the thing, empty for a choice
	Papers []string // that are kept by name
}

func (v *visit) labels(ref store.Ref) *labelForm {
	if v.ReadOnly {
		return nil
	}
	f := &labelForm{Visit: v}
	if ref.Code != "" {
		f.Of = ref.String()
	}
	all, err := v.view.Papers()
	v.view.Keep(err)
	for _, p := range all {
		f.Papers = append(f.Papers, p.Name)
	}
	return f
}

// A morePage are the screens that are not at the head of each, and the papers.
type morePage struct {
	Screens, Papers []link
	Labels          *labelForm
}

func showMore(v *visit) {
	v.screen, v.Title, v.Body = "more", "more", morePage{
		Screens: []link{
			{v.Link("/low"), "low", "what runs short, and what to do"},
			{v.Link("/missing"), "goes missing", "how often each part is missing"},
			{v.Link("/month"), "month", "what came, was used and what it cost"},
			{v.Link("/donors"), "parts cameras", "where parts should still be"},
			{v.Link("/cut"), "coverings", "how panels are cut"},
			{v.Link("/counts"), "counts", "what was counted, and what is open"},
		},
		Papers: []link{
			{"/paper/drawers/", "what lies where", "for the wall"},
			{"/paper/free/", "what is free for each model", ""},
			{"/paper/wants/", "what is wanted", "for dealers"},
			{"/paper/month/", "the sheet of this month", "for the accountant"},
		},
		Labels: v.labels(store.Ref{}),
	}
}

// A cutPage is how the panels of a camera are cut from what is here.
type cutPage struct {
	Model, Drawn, Paper string
	Models              []string
	Job                 bool // of the camera in hand
}

// cutLine lays out the panels of a model, else of the camera in hand.
func cutLine(v *visit, _ string) []string {
	if m := v.given("for"); m != "" {
		return []string{"cut", "--for=" + m}
	}
	return []string{"cut", "--job=" + string(v.On)}
}

func cutShown(v *visit) []string { return cutLine(v, "") }

func showCut(v *visit) {
	out := cutPage{Model: v.given("for"), Models: v.models()}
	out.Job = out.Model == "" && v.On != ""
	v.screen, v.Title = "cut", "coverings"
	if out.Model != "" {
		out.Model = string(look(v.view, out.Model, "model").Code)
	}
	if out.Model == "" && !out.Job {
		v.Line, v.AsJSON = "", false
	} else {
		v.plain = cutLine(v, "")
		q := url.Values{"for": {out.Model}}
		if out.Job {
			q = url.Values{"on": {string(v.On)}}
		}
		out.Paper = "/paper/cut/?" + q.Encode()
		q.Set("as", "svg")
		out.Drawn = "/paper/cut/?" + q.Encode()
	}
	v.Body = out
}
