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
	Left    string                 `json:"left_hand,omitempty"`
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
func (o *oddser) common(out *OddsAnswer, lots odds.Lots) {
	most := 0
	if o.q.Brief {
		most = MostCommon
	}
	list, all, never := odds.Commonly(lots, most)
	out.Common, out.More, out.Never = make([]CommonPart, 0, len(list)), all-len(list), never
	var sum odds.Count
	overall := map[string]float64{} // of each history
	for _, l := range lots.All() {
		sum = sum.Add(l.Sum())
		overall[l.History] = l.Overall()
	}
	if present := sum.Looked - sum.Missing; sum.Looked > 0 && 3*present < sum.Looked {
		out.Notes = append(out.Notes, fmt.Sprintf("%d of %d observations say that a part is there: it looks as if only what was missing was written down, and then these rates are too high", present, sum.Looked))
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
func (o *oddser) lots() (odds.Lots, int) {
	var lots odds.Lots
	bodies, all := map[string]map[*lookedAt]bool{}, map[*lookedAt]bool{}
	for part, l := range o.of {
		known := false
		for _, x := range l.by {
			n, asked := o.asked(x.key, x.value)
			if !asked {
				continue
			}
			lot := lots.Of(x.key.history)
			if bodies[x.key.history] == nil {
				bodies[x.key.history] = map[*lookedAt]bool{}
			}
			if n.fair.Looked > 0 {
				if !known {
					known, lots.Parts = true, append(lots.Parts, string(part))
				}
				lot.Add(len(lots.Parts)-1, n.fair)
			}
			for _, c := range n.cameras {
				bodies[x.key.history][c], all[c] = true, true
			}
			lot.Bodies = int64(len(bodies[x.key.history]))
		}
	}
	return lots, len(all)
}

func (o *oddser) commonPart(m odds.Missed, lots odds.Lots, overall map[string]float64) CommonPart {
	out := CommonPart{Part: code.Code(m.Part), Missing: m.Missing, Looked: m.Looked, Rate: m.Rate, By: map[string]odds.Rating{}, Kind: "counted"}
	if p, err := o.part(out.Part); err == nil {
		out.Name, out.Left = p.Name, store.LeftHand(p)
	}
	bodies := 0.0
	for _, l := range lots.All() {
		bodies += float64(l.Bodies)
	}
	for _, h := range store.Histories { // in one order, so that sums are rounded alike
		l := lots.Of(h)
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
