package ask

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ways"
	"tinful/store/words"
)

// near adds the bags of parts of the same kind that are the same or near by
// measure, each with what differs. One that never goes in is a trap, and where
// the part itself has no way in, only what is known to go in is offered.
func (n *needer) near() error {
	q, ok := LikePart(n.p)
	if !ok {
		return nil
	}
	found, err := Find(n.v, q)
	if err != nil {
		return err
	}
	for _, f := range found.Parts {
		if f.Part == n.p.Code || words.Fold(f.Name) == words.Fold(n.p.Name) && n.cam.Model != "" {
			continue // a part of the same name is a sibling
		}
		if err := n.nearPart(f); err != nil {
			return err
		}
	}
	return nil
}

func (n *needer) nearPart(f FoundPart) error {
	p, err := n.v.Part(f.Part)
	if err != nil {
		return err
	}
	ft := fit{usable: true}
	if n.cam.Model != "" {
		if ft, err = fits(n.v, p, n.cam); err != nil {
			return err
		}
	}
	switch {
	case ft.never:
		n.trap("%s %s is near by measure and does not go into %s: %s", p.Code, p.Name, n.cam.Model, ft.words)
		return nil
	case !ft.usable && !n.fit.usable:
		return nil
	case !ft.usable:
		ft.degrees = []string{"unproven"}
	}
	how := "measures the same"
	if len(f.Difference) > 0 {
		how = "near by measure: " + strings.Join(store.Texts(f.Difference), ", ")
	}
	why := []string{fmt.Sprintf("%s %s %s", p.Code, p.Name, how)}
	return n.bagsOf(p, ways.Near, ft, append(why, store.Texts(springAgainst(n.p, p))...))
}

// fewWires is how many wires are named of which a spring can be made.
const fewWires = 3

// make adds how to make the part where its measures say how: a spring out of
// the nearest wires, the bench's own first.
func (n *needer) make() error {
	if !n.fit.usable || !words.Under(n.p.Class, "SPR") {
		return nil
	}
	m, err := Make(n.v, n.p)
	if errors.Is(err, store.ErrRefused) {
		return nil // not wound of wire, or not to be reckoned
	}
	if err != nil {
		return err
	}
	for i, l := range m.Lines {
		if i == fewWires {
			break
		}
		w := Way{Bag: l.Bag, Part: n.p.Code, Place: l.Place, Why: append([]string{l.Text}, store.Texts(l.Why)...)}
		if l.Part != "" {
			w.Part = l.Part
		}
		n.add(ways.Candidate{Kind: ways.Make, Degrees: n.fit.degrees, If: n.fit.cond, Code: fmt.Sprint(i)}, w)
	}
	for _, c := range m.Cautions {
		if len(m.Lines) > 0 && !slices.Contains(n.out.Cautions, c) {
			n.out.Cautions = append(n.out.Cautions, c)
		}
	}
	return nil
}
