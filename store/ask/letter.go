package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// A Letter is a paper for the owner of a camera: plain words, no codes but the number
// of the job. A sum on it is what somebody typed; none is reckoned.
type Letter struct {
	Shop     store.Shop
	Title    string
	Facts    []Fact
	Sections []Section
	Sign     string // what is to be signed, empty for nothing
}

// A Fact is one thing that a letter says of a camera.
type Fact struct{ Name, Text string }

// A Section is a part of a letter: lines, with a sum where one was typed.
type Section struct {
	Title string
	Lines []store.JobLine
}

// Letters are the kinds of letters.
var Letters = []string{"arrival", "estimate", "done"}

// LetterOf writes a letter about a job. With notes its dated remarks stand on it too.
func LetterOf(view *store.View, job code.Code, kind string, notes bool) (Letter, error) {
	v := read(view)
	j := v.job(job)
	l := Letter{Title: map[string]string{"arrival": "What came in", "estimate": "Estimate", "done": "What was done"}[kind]}
	if v.err != nil {
		return l, v.err
	}
	shop, err := v.Shop()
	v.keep(err)
	l.Shop, l.Facts = shop, letterFacts(v, j)
	switch kind {
	case "arrival":
		l.arrival(v, j)
	case "estimate":
		l.estimate(j)
	default:
		l.done(v, j)
	}
	if notes {
		var lines []string
		for _, r := range got2(v, v.NotesOf, "job", job) {
			lines = append(lines, DayWords(r.Day)+": "+r.Text)
		}
		l.section("Notes", lines...)
	}
	return l, v.err
}

// DayWords are a day as letters have it, empty for none.
func DayWords(d code.Day) string {
	if d == 0 {
		return ""
	}
	return d.Time().Format("2 January 2006")
}

// section adds lines, where there are any.
func (l *Letter) section(title string, lines ...string) {
	s := Section{Title: title}
	for _, text := range texts(lines...) {
		s.Lines = append(s.Lines, store.JobLine{Text: text})
	}
	if len(s.Lines) > 0 {
		l.Sections = append(l.Sections, s)
	}
}

// letterFacts say which camera it is.
func letterFacts(v *reader, j store.Job) (out []Fact) {
	add := func(name, text string) {
		if text != "" {
			out = append(out, Fact{name, text})
		}
	}
	add("Repair", string(j.Code))
	add("Camera", modelWords(v.known(j.Model)))
	add("Body number", j.BodyNo)
	add("Shutter", modelWords(v.known(j.Shutter)))
	add("Lens", modelWords(v.known(j.Lens)))
	add("Owner", j.Owner)
	add("Came", DayWords(j.Opened))
	return out
}

// modelWords are a model by its maker and name.
func modelWords(m store.Model) string {
	if m.Maker != "" && !strings.HasPrefix(m.Name, m.Maker) {
		return strings.TrimSpace(m.Maker + " " + m.Name)
	}
	return m.Name
}

// arrival says what came, how it was found and what was agreed.
func (l *Letter) arrival(v *reader, j store.Job) {
	l.section("What you told us", j.Fault)
	l.section("What came with it", cmp.Or(j.Accessories, "nothing"))
	var found []string
	for _, s := range got(v, v.SeenOnJob, j.Code) {
		if s.Seen != "present" {
			found = append(found, v.part(s.Part).Name+": "+s.Seen)
		}
	}
	if j.History == "meddled" || j.History == "serviced" {
		found = append(found, "it has been opened before")
	}
	if len(found) == 0 {
		found = []string{"nothing else was noted"}
	}
	l.section("How we found it", found...)
	l.section("What was agreed", agreedWords(j), prefixed("promised for ", DayWords(j.Promised)))
	if j.Value != nil {
		l.Sections[len(l.Sections)-1].Lines = append(l.Sections[len(l.Sections)-1].Lines, store.JobLine{Text: "what you value it at", Sum: j.Value})
	}
	l.Sign = "I leave the camera as it is described here"
}

// agreedWords say what the owner answered about used or made parts.
func agreedWords(j store.Job) string {
	switch j.Agreed {
	case "yes":
		return "used parts from other cameras, or parts made here, may be fitted"
	case "no":
		return "no used or made parts are to be fitted"
	}
	return "may used parts from other cameras, or parts made here, be fitted?   yes      no"
}

// estimate says what is to be done and what it is to cost, as it was typed.
func (l *Letter) estimate(j store.Job) {
	l.section("What you told us", j.Fault)
	s := Section{Title: "What is to be done"}
	s.Lines = append(s.Lines, j.Lines...)
	if len(s.Lines) == 0 {
		s.Lines = []store.JobLine{{Text: "nothing is written down yet"}}
	}
	l.Sections = append(l.Sections, s)
	l.section("Used and made parts", agreedWords(j), prefixed("ready by ", DayWords(j.Promised)))
	l.Sign = "I agree to this estimate"
}

// done says what was fitted and where it came from, what was left out and why, what
// became of the old pieces, and what to mind.
func (l *Letter) done(v *reader, j store.Job) {
	l.section("What you told us", j.Fault)
	var fitted, mind []string
	for _, p := range got(v, v.PiecesOf, j.Code) {
		if p.Held {
			continue
		}
		name := cmp.Or(v.part(p.Bag.Part).Name, "a part")
		text := fmt.Sprintf("%s, %s", name, sourceWords(v, j, p.Bag))
		if p.Bag.Unit == "mm" || p.N > 1 {
			text = store.Amount(p.N, p.Bag.Unit, false) + " x " + text
		}
		fitted = append(fitted, text)
		for _, word := range fitWords(v, p.Bag.Part, j) {
			mind = append(mind, name+": "+word)
		}
	}
	if len(fitted) == 0 {
		fitted = []string{"no part was fitted"}
	}
	l.section("What was fitted", fitted...)
	var out []string
	for _, w := range got(v, v.WantsFor, j.Code) {
		name := v.part(w.Part).Name
		switch {
		case w.Instead != "":
			out = append(out, name+": not to be had; instead: "+w.Instead)
		case w.Met == 0:
			out = append(out, name+": not to be had")
		}
	}
	l.section("What was left out", out...)
	var olds []string
	for _, o := range got(v, v.OldOf, j.Code) {
		olds = append(olds, oldPlain(v, o))
	}
	l.section("Your old pieces", olds...)
	for _, m := range carriedIn(v, j, v.known(j.Model)) {
		mind = append(mind, deferring(hazards(m))...)
	}
	slices.Sort(mind)
	l.section("What to mind", slices.Compact(mind)...)
}

// sourceWords say from which kind of source a piece is.
func sourceWords(v *reader, j store.Job, b store.Bag) string {
	switch {
	case b.Origin == "made":
		return "made here"
	case b.Owner != store.Own && b.Owner == j.Owner:
		return "from what you lent"
	case b.Origin == "bought" || b.Origin == "unknown" || b.Origin == "several" || b.Origin == "":
		return "from our own stock"
	}
	if d, err := v.Donor(code.Code(b.Origin)); err == nil && d.Owner == j.Owner {
		return "from the camera you lent"
	}
	return "used, from another camera"
}

// fitWords are what a fitted part asks its owner to know.
func fitWords(v *reader, part code.Code, j store.Job) (out []string) {
	if part == "" {
		return nil
	}
	for _, d := range got2(v, v.Verdicts, v.part(part), j.Camera()) {
		for degree, text := range map[string]string{"looks-wrong": "works, and looks different from the one it replaces",
			"rework": "was worked on to go in", "matched": "belongs together with its partner: keep them together"} {
			if slices.Contains(d.Degrees, degree) && !slices.Contains(out, text) {
				out = append(out, text)
			}
		}
	}
	slices.Sort(out)
	return out
}

// oldPlain says what became of an old piece.
func oldPlain(v *reader, o store.Old) string {
	name := o.Piece
	if o.Part != "" {
		name = v.part(o.Part).Name
	}
	if o.Quantity > 1 {
		name = fmt.Sprintf("%d x %s", o.Quantity, name)
	}
	fate := map[string]string{"returned": "handed back", "envelope": "with your camera, in an envelope", "refused": "you did not want it back", "lost": "lost here"}[o.Fate]
	return fmt.Sprintf("%s (%s): %s", name, o.Why, cmp.Or(fate, "kept here for you"))
}
