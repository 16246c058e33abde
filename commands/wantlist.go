package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/paper"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// A soughtPart is a part that a list for dealers asks for.
type soughtPart struct {
	part   store.Part
	n      int
	models []string
}

// wantedList writes what is wanted for those who may have it: no jobs, no prices.
func wantedList(c *call, v *store.View, list []store.Want) error {
	var sought []*soughtPart
	for _, w := range list {
		p, err := v.Part(w.Part)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(sought, func(s *soughtPart) bool { return s.part.Code == p.Code })
		if i < 0 {
			i, sought = len(sought), append(sought, &soughtPart{part: p})
		}
		sought[i].n++
		if name := wantedModel(v, w); name != "" && !slices.Contains(sought[i].models, name) {
			sought[i].models = append(sought[i].models, name)
		}
	}
	r := tell.Report{Title: "Wanted", Tables: []tell.ReportTable{{Sheet: "Wanted", Title: "parts that are looked for",
		Heads: []string{"our mark", "what", ">pieces", "measures", "for"}}}}
	var drawings []paper.Drawing
	for _, s := range sought {
		what := strings.Join(tell.Filled(store.LeftHand(s.part), s.part.Name, strings.Join(s.part.MakerNos, ", ")), ", ")
		r.Tables[0].Rows = append(r.Tables[0].Rows, []string{string(s.part.Code), what, fmt.Sprint(s.n), measuresInWords(s.part), strings.Join(s.models, "; ")})
		if w, err := drawingOf([]store.Part{s.part}, 1); err == nil { // else there are no measures to draw from
			drawings = append(drawings, w)
		}
	}
	shop, err := v.Shop()
	if err != nil {
		return err
	}
	return toldReport(c, map[string]any{"file": c.String("output"), "wants": tell.Each(list, tell.WantAnswer)}, shop, c.dayNow(v), r, drawings...)
}

// wantedModel names the camera that a want is for.
func wantedModel(v *store.View, w store.Want) string {
	model := w.Model
	if j, err := v.Job(w.Job); model == "" && err == nil {
		model = j.Model
	}
	m, err := v.Model(cmp.Or(model, code.Code("-")))
	if err != nil {
		return string(model)
	}
	return strings.Join(tell.Filled(m.Maker, strings.TrimSpace(strings.TrimPrefix(m.Name, m.Maker))), " ")
}

// measuresInWords are all measures of a part, as a list.
func measuresInWords(p store.Part) string {
	return tell.Commas(tell.Each(comparedRows([]store.Part{p}), func(r paper.Compared) string { return r.Name + " " + r.Values[0] }))
}
