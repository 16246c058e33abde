package ask

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/thread"
	"tinful/store/words"
)

// Kinds of traps of threads, beside those of [thread.Note].
const (
	LeftThread store.ReasonKind = "left-hand"
	Mistaken   store.ReasonKind = "mistaken"
	OtherForm  store.ReasonKind = "other-form"
	GoesAnyway store.ReasonKind = "goes-anyway"
	NoForm     store.ReasonKind = "no-form"
)

func (t *threader) trap(r store.Reason) {
	if !slices.ContainsFunc(t.out.Traps, func(o store.Reason) bool { return o.Text == r.Text }) {
		t.out.Traps = append(t.out.Traps, r)
	}
}

// ofModel leaves out the threads whose form is not the model's and names them.
func (t *threader) ofModel(hits []thread.Hit) []thread.Hit {
	if t.q.Model == "" {
		return hits
	}
	t.model = t.v.model(t.q.Model)
	if t.model.Form == "" {
		t.trap(store.Say(NoForm, "the thread form of %s is not recorded", t.model.Code).Of(t.model.Code))
	}
	var in []thread.Hit
	for _, h := range hits {
		if thread.Differs(h.Form, t.model.Form) {
			t.leftOut(h)
		} else {
			in = append(in, h)
		}
	}
	if t.q.Reading == nil {
		return hits // what is asked about is told, and why it does not go
	}
	return in
}

func (t *threader) leftOut(h thread.Hit) {
	t.trap(store.Say(OtherForm, "%s is not meant to go into %s: its threads are %s; %s", h.Thread, t.model.Code, thread.FormName(t.model.Form), bindsIn(h.Form, t.model.Form)).
		Of(t.model.Code))
	for _, c := range t.stock[h.String()] {
		p := t.v.part(c)
		if f := fits(t.v, p, store.Camera{Model: t.model.Code}); f.usable {
			t.trap(store.Say(GoesAnyway, "%s %s (%s) goes into %s all the same: %s", p.Code, p.Name, h.Thread, t.model.Code, f.words).Of(p.Code, t.model.Code))
		}
	}
}

// bindsIn says what becomes of a screw in a hole of another form.
func bindsIn(form, other string) string {
	f, o := thread.FlankWord(form), thread.FlankWord(other)
	if f == o {
		return "it is an inch size, and they are metric, or the other way about: it tightens the farther it goes in"
	}
	return fmt.Sprintf("it binds after a few turns: %s against %s degrees", f, o)
}

// traps names what cannot be told apart, what is left-hand, and for a known
// thread what looks like it.
func (t *threader) traps(hits []thread.Hit) {
	var list []thread.Thread
	for _, h := range hits {
		list = append(list, h.Thread)
		if h.Left && t.q.Hand == "" {
			t.trap(store.Say(LeftThread, "%s%s is LEFT-HAND: it loosens clockwise", strings.TrimSuffix(h.String(), " LH"), t.named(h.Thread)).Of(t.partsOf(h.Thread)...))
		}
	}
	if t.q.Reading == nil {
		t.lookAlikes()
		return
	}
	for _, n := range append(thread.Traps(list), t.q.Reading.Remarks()...) {
		t.trap(store.Reason{Kind: store.ReasonKind(n.Kind), Codes: t.partsOf(n.Threads...), Text: n.Text})
	}
}

// lookAlikes names what the known thread is taken for.
func (t *threader) lookAlikes() {
	for _, a := range thread.Alike(t.q.Known) {
		t.trap(store.Say(OtherThread, "%s%s reads the same and must never be used in its place: %s", a, t.named(a), thread.Into(a, t.q.Known).Why).Of(t.partsOf(a)...))
	}
	if s := t.reading().MistakenWords(t.q.Known); s != "" {
		t.trap(store.Say(Mistaken, "%s", s))
	}
}

// partsOf lists the parts that have a thread near the one asked about.
func (t *threader) partsOf(list ...thread.Thread) []code.Code {
	var out []code.Code
	for _, th := range list {
		out = append(out, t.stock[th.String()]...)
	}
	return out
}

// named lists the parts of a thread in brackets: " (P022, P038)".
func (t *threader) named(th thread.Thread) string {
	if parts := t.partsOf(th); len(parts) > 0 {
		return " (" + words.List(parts, ", ") + ")"
	}
	return ""
}
