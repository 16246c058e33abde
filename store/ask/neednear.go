package ask

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/ways"
	"tinful/store/words"
)

// near adds the bags of parts of the same class, seat, hand and thread that are the
// same or near by measure, each with what differs, what must be done to it and what
// it is known for. None of them is known to do the part's work: nobody has tried it.
// One that never goes in is a trap, and so is one of which a note says something
// beside the part asked for. Where the part itself has no way in, only what is known
// to go in is offered.
func (n *needer) near() {
	q, ok := LikePart(n.p)
	if !ok {
		return
	}
	found, err := Find(n.v.View, q)
	n.v.keep(err)
	for _, f := range found.Parts {
		p := n.v.part(f.Part)
		unsure := n.p.Marks[dim.Hand] != "" && p.Marks[dim.Hand] == ""
		if p.Code == n.p.Code || p.Class != n.p.Class || unsure || n.cam.Model != "" && n.sibling(p) {
			continue // a part of the same name is a sibling
		}
		n.nearPart(p, f)
	}
}

func (n *needer) nearPart(p store.Part, f FoundPart) {
	ft := fit{usable: true}
	if n.cam.Model != "" {
		ft = fits(n.v, p, n.cam)
	}
	switch note := notedBeside(n.p, p); {
	case ft.never:
		n.never(p, " "+p.Name+" is near by measure and", ft.words)
		return
	case note != "":
		n.trap(store.Say(LooksAlike, "%s %s is near by measure: %s", p.Code, p.Name, note).Of(p.Code))
		return
	case !ft.usable && !n.fit.usable:
		return
	}
	how := "measures the same"
	if len(f.Difference) > 0 {
		how = "near by measure: " + strings.Join(store.Texts(f.Difference), ", ")
	}
	why := append(store.Reasons{store.Say(WhyNear, "%s %s %s", p.Code, p.Name, how).Of(p.Code)}, springAgainst(n.p, p)...)
	why = append(append(why, store.Say(WhyUntried, "nobody has tried it here").Of(p.Code)), n.knownFor(p)...)
	if p.Note != "" {
		why = append(why, store.Say(WhyNote, "%s: %s", p.Code, p.Note).Of(p.Code))
	}
	n.bagsOf(p, ways.Near, fit{degrees: []string{"unproven"}, work: f.Work}, why)
}

// notedBeside is the note of either of two parts that names the other, with whose
// it is; empty for none. They are known not to be one.
func notedBeside(asked, p store.Part) string {
	for _, x := range [][2]store.Part{{p, asked}, {asked, p}} {
		if namesCode(x[0].Note, x[1].Code) {
			return fmt.Sprintf("the note of %s says: %s", x[0].Code, x[0].Note)
		}
	}
	return ""
}

// mostKnown is how many models are named that a near part is known for.
const mostKnown = 3

// knownFor says where a near part is known to go: what is stated about this very
// model, else the models it goes into.
func (n *needer) knownFor(p store.Part) store.Reasons {
	var models []code.Code
	for _, g := range got(n.v, n.v.GoesOf, p.Code) {
		d := store.Verdict{Degrees: g.Degrees, Goes: g}
		if !d.Usable() {
			continue
		}
		if g.Model == n.cam.Model {
			text := strings.TrimSuffix(d.Words()+", "+g.Where, ", ")
			return store.Reasons{store.Say(WhyKnownFor, "known for its own place in %s: %s", g.Model, text).Of(p.Code, g.Model)}
		}
		models = append(models, g.Model)
	}
	if len(models) == 0 {
		return nil
	}
	text := words.List(models[:min(len(models), mostKnown)], ", ")
	if more := len(models) - mostKnown; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return store.Reasons{store.Say(WhyKnownFor, "known for its own place in %s", text).Of(append([]code.Code{p.Code}, models...)...)}
}

// fewWires is how many wires are named of which a spring can be made.
const fewWires = 3

// make adds how to make the part where its measures say how: a spring out of
// the nearest wires, the bench's own first.
func (n *needer) make() {
	if !n.fit.usable || !words.Under(n.p.Class, "SPR") {
		return
	}
	m, err := Make(n.v.View, n.p)
	if errors.Is(err, store.ErrRefused) {
		return // not wound of wire, or not to be reckoned
	}
	n.v.keep(err)
	for i, l := range m.Lines[:min(len(m.Lines), fewWires)] {
		w := Way{Bag: l.Bag, Part: cmp.Or(l.Part, n.p.Code), Place: l.Place, Why: append(store.Reasons{store.Say(WhyWire, "%s", l.Text)}, l.Why...)}
		n.add(ways.Candidate{Kind: ways.Make, Degrees: n.fit.degrees, If: n.fit.cond, Code: fmt.Sprint(i)}, w)
	}
	for _, c := range m.Cautions {
		if len(m.Lines) > 0 && !slices.Contains(n.out.Cautions, c) {
			n.out.Cautions = append(n.out.Cautions, c)
		}
	}
}
