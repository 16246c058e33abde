package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
)

// An OddsQuery asks how often parts are missing. An empty field is any.
type OddsQuery struct {
	Part    code.Code
	Model   code.Code // a camera; or a shutter or lens, wherever it sits for certain
	History string
	Next    int64 // say the chance that at least one of so many more bodies has the part; 0 is none
	Missing bool  // leave out the rows of what was never missing
	Brief   bool  // leave out all rows, and what is behind the first [MostCommon]
}

// OddsAnswer is the answer of [Odds].
type OddsAnswer struct {
	Common    []CommonPart  `json:"common,omitempty"` // unless one part is asked for
	Odds      []OddsRow     `json:"odds"`
	Histories []HistoryOdds `json:"histories"`
	Notes     []string      `json:"notes,omitempty"`
	Never     int           `json:"-"` // parts never missing
	Bodies    int64         `json:"-"` // looked at
	Left      int           `json:"-"` // rows left out
	More      int           `json:"-"` // parts left out of Common
}

// An OddsRow is one part in one model of one history: histories are never mixed.
// Looked at counts every word that was written down, missing only "missing".
type OddsRow struct {
	Part     code.Code   `json:"part"`
	Name     string      `json:"name,omitempty"`
	Left     string      `json:"left_hand,omitempty"`
	Model    code.Code   `json:"model"`
	History  string      `json:"history"`
	Missing  int64       `json:"missing"`
	Looked   int64       `json:"looked_at"`
	Replaced int64       `json:"replaced,omitempty"` // of these
	Rate     *float64    `json:"rate,omitempty"`
	Low      *float64    `json:"low,omitempty"`
	High     *float64    `json:"high,omitempty"`
	Enough   bool        `json:"enough"`
	Siblings OddsOthers  `json:"siblings"` // bodies of sister models: one family, the same history
	Others   OddsOthers  `json:"others"`   // of all other models
	Plan     Share       `json:"plan"`     // the planning figure
	Basis    odds.Basis  `json:"basis"`
	Pooled   bool        `json:"pooled"` // siblings are mixed into the plan
	Why      string      `json:"why"`
	Expect   *OddsExpect `json:"expect,omitempty"` // until there are enough
	// Exchanged are those in a shutter or lens that is not the body's own: they are
	// counted, and the plan leaves them out.
	Exchanged int64     `json:"exchanged,omitempty"`
	Next      *OddsNext `json:"next,omitempty"`
}

// OddsOthers are bodies of other models.
type OddsOthers struct {
	odds.Count
	Weight float64 `json:"weight"` // of one body in the plan
}

// An OddsNext is the chance that at least one of the next bodies has the part.
type OddsNext struct {
	Bodies int64      `json:"bodies"`
	OneHas float64    `json:"one_has"`
	Low    float64    `json:"low"`
	High   float64    `json:"high"`
	Basis  odds.Basis `json:"basis"`
}

// An OddsExpect is what experience expects: from memory, no count.
type OddsExpect struct {
	Level int    `json:"level"` // 0 hardly ever to 3 expect it
	Words string `json:"words"`
	Piece string `json:"piece"`
	How   string `json:"how"`
	From  string `json:"from"`
}

// HistoryOdds sums all parts of all cameras of one history.
type HistoryOdds struct {
	History string `json:"history"`
	odds.Count
	Bodies int64 `json:"bodies"`
}

// Odds says how often parts were missing from the cameras that were looked at,
// parts cameras and customers' cameras on the bench. Rows are of every part, model
// and history that was looked at; where part and model are both asked for, of every
// history that has a word in the table of experience or in other models too. It
// returns [store.ErrNotFound] for a part or model that is not here.
func Odds(v *store.View, q OddsQuery) (OddsAnswer, error) {
	o := &oddser{looking: newLooking(read(v)), q: q}
	if q.Model != "" {
		o.v.model(q.Model)
	}
	if q.Part != "" {
		o.q.Part = o.v.part(q.Part).Code
		o.read(o.q.Part)
	} else if q.Brief && q.Model == "" {
		out := o.brief()
		return out, o.v.err
	} else {
		o.all()
	}
	if o.v.err != nil {
		return OddsAnswer{}, o.v.err
	}
	out := o.answer()
	if q.Part == "" {
		lots, bodies := o.lots()
		out.Bodies = int64(bodies)
		o.common(&out, lots)
	}
	return out, o.v.err
}

type oddser struct {
	*looking
	q OddsQuery
}

// brief answers without rows: what was seen is summed by part and history as it is read,
// and only the parts that are told are looked at whole. Each camera counts once, and of
// shutters and lenses those that came by themselves.
func (o *oddser) brief() OddsAnswer {
	var lots odds.Lots
	sums := map[string]odds.Count{}
	var part code.Code
	var fair, seen small[string, odds.Count] // of the part, by history
	seats, seat, asked := o.v.PartSeats(), "", false
	bodies, lacked := int64(0), 0
	next := func() {
		missing := int64(0)
		for _, x := range seen {
			sums[x.key] = sums[x.key].Add(x.value)
			missing += x.value.Missing
		}
		if missing > 0 {
			lacked++
		}
		if len(fair) > 0 {
			lots.Parts = append(lots.Parts, string(part))
		}
		for _, x := range fair {
			lots.Of(x.key).Add(len(lots.Parts)-1, x.value)
		}
		fair, seen, asked = fair[:0], seen[:0], false
	}
	o.eachLooked(func(b *lookedAt, on code.Code, as string) { // in order of parts
		if o.q.History != "" && o.q.History != b.history {
			return
		}
		if on != part {
			next()
			part = on
		}
		if !b.counted {
			b.counted = true
			bodies++
			lots.Of(b.history).Bodies++
		}
		count(&seen, b.history, as)
		mayBe := o.mayBeExchanged(b, as)
		if mayBe && !asked {
			seat, asked = seats(part), true
		}
		if !mayBe || !seatExchanged(seat, as) {
			count(&fair, b.history, as)
		}
	})
	next()
	out := OddsAnswer{Odds: []OddsRow{}, Histories: []HistoryOdds{}, Bodies: bodies}
	for _, h := range store.Histories {
		if n := sums[h]; n.Looked > 0 {
			out.Histories = append(out.Histories, HistoryOdds{h, n, lots.Of(h).Bodies})
		}
	}
	if lacked > 1 {
		out.Notes = append(out.Notes, notIndependent)
	}
	o.common(&out, lots)
	return out
}

type oddsKey struct {
	part code.Code
	group
}

// answer makes the rows, by part, model and history.
func (o *oddser) answer() OddsAnswer {
	out := OddsAnswer{Odds: []OddsRow{}, Histories: o.histories()}
	if o.q.Brief {
		if o.missingOf() > 1 {
			out.Notes = append(out.Notes, notIndependent)
		}
		return out
	}
	parts := map[code.Code]bool{}
	for _, k := range o.keys() {
		if o.q.Missing && o.of[k.part].by.get(k.group).Missing == 0 {
			out.Left++
			continue
		}
		r := o.row(k)
		if r.Looked+r.Siblings.Looked+r.Others.Looked+o.q.Next == 0 && r.Expect == nil {
			continue
		}
		out.Odds = append(out.Odds, r)
		parts[k.part] = true
	}
	if len(parts) > 1 {
		out.Notes = append(out.Notes, notIndependent)
	}
	return out
}

const notIndependent = "parts that leave a body together are not independent: their rates are not multiplied, ask for the set"

// missingOf counts the parts that were missing somewhere, as far as it is asked for.
func (o *oddser) missingOf() (n int) {
	for _, l := range o.of {
		for _, x := range l.by {
			if _, ok := o.asked(x.key, x.value); ok && x.value.Missing > 0 {
				n++
				break
			}
		}
	}
	return n
}

// asked is what was looked at in a group, as far as it is asked for: where no model
// is, each camera once, and of shutters and lenses those that came by themselves.
func (o *oddser) asked(k group, n looked) (looked, bool) {
	switch {
	case o.q.History != "" && o.q.History != k.history:
		return n, false
	case o.q.Model != "":
		return n, k.model == o.q.Model
	case !o.inside(k.model):
		return n, true
	case n.alone != nil:
		return *n.alone, true
	}
	return n, false
}

// keys are the rows that are asked for, in order: of what was looked at, and of a
// part and model every history.
func (o *oddser) keys() (keys []oddsKey) {
	for part, l := range o.of {
		for _, x := range l.by {
			if _, ok := o.asked(x.key, x.value); ok {
				keys = append(keys, oddsKey{part, x.key})
			}
		}
	}
	for _, h := range store.Histories {
		k := oddsKey{o.q.Part, group{o.q.Model, h}}
		if _, ok := o.asked(k.group, looked{}); ok && k.part != "" && k.model != "" && !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	order := func(h string) int { return slices.Index(store.Histories, h) }
	slices.SortFunc(keys, func(a, b oddsKey) int {
		return cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.model, b.model), cmp.Compare(order(a.history), order(b.history)))
	})
	return keys
}

// histories sums what was looked at, by history.
func (o *oddser) histories() []HistoryOdds {
	sums, bodies := map[string]odds.Count{}, map[string]map[*lookedAt]bool{}
	for _, l := range o.of {
		for _, x := range l.by {
			n, ok := o.asked(x.key, x.value)
			if !ok {
				continue
			}
			sums[x.key.history] = sums[x.key.history].Add(n.Count)
			if bodies[x.key.history] == nil {
				bodies[x.key.history] = map[*lookedAt]bool{}
			}
			for _, c := range n.cameras {
				bodies[x.key.history][c] = true
			}
		}
	}
	out := []HistoryOdds{}
	for _, h := range store.Histories {
		if n := sums[h]; n.Looked > 0 {
			out = append(out, HistoryOdds{h, n, int64(len(bodies[h]))})
		}
	}
	return out
}

func (o *oddser) row(k oddsKey) OddsRow {
	p, err := o.part(k.part)
	if err != nil {
		p = store.Part{Code: k.part} // seen before it was catalogued
	}
	c := o.counts(k.part, k.group)
	n, plan := o.of[k.part].by.get(k.group), odds.Planned(c)
	i := plan.Interval()
	r := OddsRow{Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Model: k.model, History: k.history, Missing: n.Missing, Looked: n.Looked, Replaced: n.replaced,
		Exchanged: n.Looked - n.fair.Looked, Enough: n.Enough(), Siblings: OddsOthers{c.Sisters, plan.Sisters},
		Others: OddsOthers{c.Others, plan.Others}, Plan: Share{plan.Mean(), i.Low, i.High}, Basis: plan.Basis, Pooled: plan.Sisters > 0}
	if n.Looked > 0 {
		rate, w := n.Rate(), odds.Wilson(n.Missing, n.Looked)
		r.Rate, r.Low, r.High = &rate, &w.Low, &w.High
	}
	if !r.Enough {
		r.Expect = expect(p, k.history)
	}
	r.Why = r.why(p, n.Count, c)
	if k := o.q.Next; k > 0 {
		one := odds.Of(plan, k).Chance(0)
		r.Next = &OddsNext{k, one.Mid, one.Low, one.High, one.Basis}
		r.Why += " " + plan.SayNext(k)
	}
	return r
}

func expect(p store.Part, history string) *OddsExpect {
	e, ok := odds.Expect(p.Seat, p.Class, p.Name, history)
	if !ok {
		return nil
	}
	return &OddsExpect{Level: int(e.Level), Words: e.Level.String(), Piece: e.Assembly + ", " + e.Piece, How: e.How, From: "memory"}
}

// why is the row in sentences.
func (r OddsRow) why(p store.Part, seen odds.Count, c odds.Counts) string {
	s := seen.Say(odds.Bodies(r.History))
	var few []string
	for _, x := range []struct {
		odds.Count
		where string
	}{{c.Sisters, "sister"}, {c.Others, "other"}} {
		if x.Looked > 0 {
			few = append(few, fmt.Sprintf("%d of %d in %s models", x.Missing, x.Looked, x.where))
		}
	}
	switch {
	case len(few) == 0:
	case c.Own.Add(c.Sisters).Add(c.Others).Enough():
		s += " " + odds.SayPlan(c)
	default:
		s += " " + strings.Join(few, ", ") + "."
	}
	if r.Exchanged > 0 {
		s += " " + r.sayExchanged(p.Seat)
	}
	return s
}

// sayExchanged says that what sat in an exchanged shutter or lens is no evidence.
func (r OddsRow) sayExchanged(seat string) string {
	how := "replaced"
	if r.Exchanged > r.Replaced {
		how = "not of the body"
	}
	return fmt.Sprintf("%d %s: a %s that was exchanged is no evidence for %s; the chance leaves it out.", r.Exchanged, how, seat, r.Model)
}
