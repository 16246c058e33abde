package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
)

// A part that comes out of a parts camera shows that it was in there. It is a
// statement about the model only where nobody made one, and where the camera can
// be trusted to be as it left its maker: see mayProve. The statement is direct
// (unit for an assembly) and stands on "compared": the piece in hand was looked
// at as the part, and in its camera; nobody has run it anywhere else. It names
// the donor in its note.

// prove writes the statements that follow from what came off a donor.
func (w *stripper) prove() error {
	if w.in.Kind == "job" {
		return nil
	}
	for _, c := range w.order {
		p := w.parts[c]
		verdicts, err := w.t.Verdicts(p, w.donor.Camera())
		if err != nil {
			return err
		}
		if i := slices.IndexFunc(verdicts, Verdict.Never); i >= 0 {
			w.mark("%s %s came off, and is said not to go in there (%s): look again, or an earlier hand put it in", c, p.Name, verdicts[i].Words())
			continue
		}
		if slices.ContainsFunc(verdicts, func(d Verdict) bool { return len(d.Degrees) > 0 || d.Recorded }) {
			continue
		}
		model, err := w.t.sitsIn(p, w.donor)
		if err != nil {
			return err
		}
		said, err := w.t.GoesOn(c, model)
		if err != nil {
			return err
		}
		if model == "" || len(said) > 0 || !mayProve(p, w.donor, w.seen[c].Seen) {
			continue
		}
		if err := w.say(p, model); err != nil {
			return err
		}
	}
	return nil
}

func (w *stripper) say(p Part, model code.Code) error {
	n := w.off[p.Code]
	g := Goes{Part: p.Code, Model: model, Degrees: []string{"direct"}, PerBody: &n, Evidence: "compared", By: w.t.head.By, Date: w.t.Day(),
		Note: "came out of " + string(w.donor.Code)}
	if w.donor.BodyNo != "" && model == w.donor.Model {
		g.Note += fmt.Sprintf(", body %s", w.donor.BodyNo)
	}
	if p.Class == "ASM" {
		g.Degrees = []string{"unit"}
	}
	w.out.Goes = append(w.out.Goes, g)
	return w.t.Put(g)
}

// sitsIn is the model that a part out of a donor says something about. A part of
// the shutter or lens speaks of the shutter or lens, never of the camera: either
// may have been exchanged. It is empty where it is not known which one it is.
func (v *View) sitsIn(p Part, d Donor) (code.Code, error) {
	known := map[string]code.Code{"shutter": d.Shutter, "lens": d.Lens}
	c, carried := known[p.Seat]
	switch {
	case !carried:
		return d.Model, nil
	case c != "":
		return c, nil
	}
	m, err := v.Model(d.Model)
	if err != nil {
		return "", nil // a camera of a model that is not recorded
	}
	may, err := v.Carried(m, p.Seat)
	if err != nil || len(may) != 1 {
		return "", err
	}
	return may[0], nil
}

// mayProve tells whether what came out of a donor shows what its maker put in:
// nobody opened it, or a service did and the part is none that services replace.
// What was seen as replaced shows nothing. Source: common practice.
func mayProve(p Part, d Donor, seen string) bool {
	if seen == "replaced" {
		return false
	}
	switch d.History {
	case "unopened", "failed":
		return true
	case "serviced":
		for _, class := range []string{"SCR", "NUT", "WSH", "SHM", "SPC", "CLP"} {
			if strings.HasPrefix(p.Class, class) {
				return false
			}
		}
		return true
	}
	return false
}
