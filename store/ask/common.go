package ask

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/words"
)

// A CommonPart is a part that was missing somewhere, over all models: how often a
// body lacks it, by how many bodies of each history came here.
type CommonPart struct {
	Part    code.Code              `json:"part"`
	Name    string                 `json:"name"`
	Missing int64                  `json:"missing"`
	Looked  int64                  `json:"looked_at"`
	Rate    float64                `json:"rate"`
	Low     float64                `json:"low"` // the ends of the histories, weighted: wider than 95 %
	High    float64                `json:"high"`
	By      map[string]odds.Rating `json:"by_history"`
	Models  int                    `json:"models"` // in which it was missing
	Why     string                 `json:"why"`
	Kind    store.ReasonKind       `json:"why_kind"` // counted, or few: too few to say
}

// common fills in which parts commonly go missing.
func (o *oddser) common(out *OddsAnswer, lots map[string]odds.Lot) {
	list, never := odds.Commonly(lots)
	if o.q.Brief && len(list) > MostCommon {
		list, out.More = list[:MostCommon], len(list)-MostCommon
	}
	out.Common, out.Never = make([]CommonPart, 0, len(list)), never
	present, looked := int64(0), int64(0)
	for _, l := range lots {
		for _, c := range l.Parts {
			present, looked = present+c.Looked-c.Missing, looked+c.Looked
		}
	}
	if looked > 0 && 3*present < looked {
		out.Notes = append(out.Notes, fmt.Sprintf("%d of %d observations say that a part is there: it looks as if only what was missing was written down, and then these rates are too high", present, looked))
	}
	overall := map[string]float64{} // of each history
	for h, l := range lots {
		overall[h] = l.Overall()
	}
	for _, m := range list {
		out.Common = append(out.Common, o.commonPart(m, lots, overall))
	}
	out.Notes = append(out.Notes, o.fromOne(out.Common[:min(len(out.Common), MostCommon)])...)
}

// MostCommon is how many parts that commonly go missing are told unless all are
// asked for.
const MostCommon = 10

// lots sums what was looked at of each part, by history over all camera models.
func (o *oddser) lots() (map[string]odds.Lot, int) {
	lots, bodies, all := map[string]odds.Lot{}, map[string]map[*lookedAt]bool{}, map[*lookedAt]bool{}
	for part, l := range o.of {
		for _, x := range l.by {
			n, asked := o.asked(x.key, x.value)
			if !asked {
				continue
			}
			lot, ok := lots[x.key.history]
			if !ok {
				lot.Parts, bodies[x.key.history] = map[string]odds.Count{}, map[*lookedAt]bool{}
			}
			if n.fair.Looked > 0 {
				lot.Parts[string(part)] = lot.Parts[string(part)].Add(n.fair)
			}
			for _, c := range n.cameras {
				bodies[x.key.history][c], all[c] = true, true
			}
			lot.Bodies = int64(len(bodies[x.key.history]))
			lots[x.key.history] = lot
		}
	}
	return lots, len(all)
}

func (o *oddser) commonPart(m odds.Missed, lots map[string]odds.Lot, overall map[string]float64) CommonPart {
	out := CommonPart{Part: code.Code(m.Part), Missing: m.Missing, Looked: m.Looked, Rate: m.Rate, By: map[string]odds.Rating{}, Kind: "counted"}
	if p, err := o.part(out.Part); err == nil {
		out.Name = p.Name
	}
	bodies := 0.0
	for _, l := range lots {
		bodies += float64(l.Bodies)
	}
	for _, h := range store.Histories { // in one order, so that sums are rounded alike
		l := lots[h]
		share := float64(l.Bodies) / bodies
		if r, ok := m.By[h]; ok {
			out.By[h] = r
			out.Low, out.High = out.Low+share*r.Low, out.High+share*r.High
			continue
		}
		if l.Bodies > 0 {
			out.Low, out.High = out.Low+share*overall[h], out.High+share*overall[h]
		}
	}
	for _, x := range o.read(out.Part).by {
		if n, ok := o.asked(x.key, x.value); ok && n.fair.Missing > 0 {
			out.Models++
		}
	}
	if !m.Enough() {
		out.Kind = "few"
	}
	out.Why = sayCommon(m)
	return out
}

// sayCommon says how often a part is missing: the counts of each history, and the
// rate of the one in which most of it was missing.
func sayCommon(m odds.Missed) string {
	var said []string
	most := ""
	for _, h := range store.Histories {
		r, ok := m.By[h]
		if !ok {
			continue
		}
		if most == "" || r.Missing > m.By[most].Missing {
			most = h
		}
		if r.Missing > 0 {
			said = append(said, fmt.Sprintf("%d of %d %s", r.Missing, r.Looked, h))
		}
	}
	if !m.Enough() {
		return fmt.Sprintf("%d of %d lacked it: too few to say", m.Missing, m.Looked)
	}
	r := m.By[most]
	if r.Enough() {
		return fmt.Sprintf("%s lacked it: about %s of %s, %s", strings.Join(said, ", "), odds.Percent(r.Rate), most, r.Likely())
	}
	return fmt.Sprintf("%s lacked it, %d of %d in all: about %s of what comes", strings.Join(said, ", "), m.Missing, m.Looked, odds.Percent(m.Rate))
}

// fromOne says once which of the parts were all missing from one and the same body.
func (o *oddser) fromOne(list []CommonPart) (notes []string) {
	parts := map[store.Ref][]code.Code{}
	for _, p := range list {
		refs := map[*lookedAt]bool{}
		var at store.Ref
		for _, x := range o.read(p.Part).by {
			n, ok := o.asked(x.key, x.value)
			for _, r := range n.lacking {
				if ok {
					refs[r], at = true, r.ref
				}
			}
		}
		if len(refs) == 1 {
			parts[at] = append(parts[at], p.Part)
		}
	}
	for at, all := range parts {
		if len(all) > 1 {
			slices.Sort(all)
			notes = append(notes, fmt.Sprintf("%s were missing from %s alone", words.List(all, ", "), at.Code))
		}
	}
	slices.Sort(notes)
	return notes
}
