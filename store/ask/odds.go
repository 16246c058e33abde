package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/words"
)

// An OddsQuery asks how often parts are missing. An empty field is any.
type OddsQuery struct {
	Part    code.Code
	Model   code.Code // a camera; or a shutter or lens, wherever it sits for certain
	History string
	Missing bool // leave out the rows of what was never missing
}

// OddsAnswer is the answer of [Odds].
type OddsAnswer struct {
	Odds      []OddsRow     `json:"odds"`
	Histories []HistoryOdds `json:"histories"`
	Notes     []string      `json:"notes,omitempty"`
	Left      int           `json:"-"` // rows left out
}

// An OddsRow is one part in one model of one history: histories are never mixed.
// Looked at counts every word that was written down, missing only "missing".
type OddsRow struct {
	Part     code.Code   `json:"part"`
	Name     string      `json:"name,omitempty"`
	Model    code.Code   `json:"model"`
	History  string      `json:"history"`
	Missing  int64       `json:"missing"`
	Looked   int64       `json:"looked_at"`
	Replaced int64       `json:"replaced,omitempty"` // of these
	Rate     *float64    `json:"rate,omitempty"`
	Low      *float64    `json:"low,omitempty"`
	High     *float64    `json:"high,omitempty"`
	Enough   bool        `json:"enough"`
	Siblings OddsSisters `json:"siblings"`
	Plan     OddsPlan    `json:"plan"`
	Pooled   bool        `json:"pooled"` // siblings are mixed into the plan
	Why      string      `json:"why"`
	Expect   *OddsExpect `json:"expect,omitempty"` // until there are enough
}

// OddsSisters are the bodies of sister models: one family, the same history.
type OddsSisters struct {
	Missing int64   `json:"missing"`
	Looked  int64   `json:"looked_at"`
	Weight  float64 `json:"weight"` // of one body in the plan
}

// An OddsPlan is the planning figure with its likely range.
type OddsPlan struct {
	Mid  float64 `json:"mid"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
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
	Missing int64  `json:"missing"`
	Looked  int64  `json:"looked_at"`
	Bodies  int64  `json:"bodies"`
}

// Own is the row's own count.
func (r OddsRow) Own() odds.Count { return odds.Count{Missing: r.Missing, Looked: r.Looked} }

// Sisters is the count of the sister models.
func (r OddsRow) Sisters() odds.Count {
	return odds.Count{Missing: r.Siblings.Missing, Looked: r.Siblings.Looked}
}

// Says tells whether own and sister bodies together are enough to say something.
func (r OddsRow) Says() bool { return r.Own().Add(r.Sisters()).Enough() }

// Odds says how often parts were missing from the cameras that were looked at,
// whoever owns them. Rows are of every part, model and history that was looked at;
// where part and model are both asked for, of every history that has a word in the
// table of experience or in sister models too. It returns [store.ErrNotFound] for a
// part or model that is not here.
func Odds(v *store.View, q OddsQuery) (OddsAnswer, error) {
	o := newOddser(v, q)
	if q.Part != "" {
		p, err := o.part(q.Part)
		if err != nil {
			return OddsAnswer{}, err
		}
		o.q.Part = p.Code
	}
	if err := o.gather(); err != nil {
		return OddsAnswer{}, err
	}
	return o.answer()
}

type oddsKey struct {
	part, model code.Code
	history     string
}

type familyKey struct {
	part            code.Code
	family, history string
}

// A looked is what was seen of one key.
type looked struct {
	odds.Count
	replaced int64
}

type oddser struct {
	v        *store.View
	q        OddsQuery
	counts   map[oddsKey]looked
	family   map[familyKey]odds.Count
	families map[code.Code]string // folded, by model
	parts    map[code.Code]store.Part
	donors   map[code.Code]*store.Donor // nil: not recorded
	bodies   map[string]map[code.Code]bool
}

func newOddser(v *store.View, q OddsQuery) *oddser {
	return &oddser{v: v, q: q, counts: map[oddsKey]looked{}, family: map[familyKey]odds.Count{}, families: map[code.Code]string{},
		parts: map[code.Code]store.Part{}, donors: map[code.Code]*store.Donor{}}
}

func (o *oddser) part(c code.Code) (store.Part, error) {
	p, ok := o.parts[c]
	if ok {
		return p, nil
	}
	p, err := o.v.Part(c)
	if err == nil {
		o.parts[c] = p
	}
	return p, err
}

// gather reads what was seen: of the part, of the model and its sisters, or all.
func (o *oddser) gather() error {
	o.bodies = map[string]map[code.Code]bool{}
	var model store.Model
	var err error
	if o.q.Model != "" {
		if model, err = o.v.Model(o.q.Model); err != nil {
			return err
		}
	}
	switch {
	case o.q.Model != "":
		return o.gatherModels(model)
	case o.q.Part != "":
		for _, l := range o.v.SeenOf(o.q.Part) {
			o.see(l.Donor, "", o.q.Part, l.Seen)
		}
		return nil
	}
	return o.v.EachSeen(func(s store.Seen) error { o.see(s.Donor, "", s.Part, s.Seen); return nil })
}

// gatherModels reads the cameras of a model and of its sisters; of a shutter or
// lens those that carry it for certain, and of these the parts that go into it.
func (o *oddser) gatherModels(model store.Model) error {
	sisters := []code.Code{model.Code}
	if f := words.Fold(model.Family); f != "" {
		sisters = o.v.Family(f)
	}
	for _, m := range sisters {
		bodies, err := donorsWith(o.v, m)
		if err != nil {
			return err
		}
		for _, d := range bodies {
			if err := o.seeAll(d, m, model.Kind == "shutter" || model.Kind == "lens"); err != nil {
				return err
			}
		}
	}
	return nil
}

func (o *oddser) seeAll(d store.Donor, model code.Code, carried bool) error {
	if o.q.History != "" && historyOf(d) != o.q.History {
		return nil
	}
	o.donors[d.Code] = &d
	list, err := o.v.SeenOn(d.Code)
	if err != nil {
		return err
	}
	for _, s := range list {
		if o.q.Part != "" && s.Part != o.q.Part {
			continue
		}
		if carried {
			said, err := o.v.GoesOn(s.Part, model)
			if err != nil {
				return err
			}
			if !slices.ContainsFunc(said, belongs) {
				continue
			}
		}
		o.see(d.Code, model, s.Part, s.Seen)
	}
	return nil
}

func historyOf(d store.Donor) string { return cmp.Or(d.History, "unknown") }

// see counts one observation for a model, the camera's own where none is named.
// One on a camera that is not recorded has no model and no history: it is left out.
func (o *oddser) see(donor, model, part code.Code, seen string) {
	d, ok := o.donors[donor]
	if !ok {
		if rec, err := o.v.Donor(donor); err == nil {
			d = &rec
		}
		o.donors[donor] = d
	}
	if d == nil || o.q.History != "" && historyOf(*d) != o.q.History {
		return
	}
	k := oddsKey{part, cmp.Or(model, d.Model), historyOf(*d)}
	l := o.counts[k]
	l.Looked++
	if seen == "missing" {
		l.Missing++
	}
	if seen == "replaced" {
		l.replaced++
	}
	o.counts[k] = l
	if family := o.familyOf(k.model); family != "" {
		f := familyKey{part, family, k.history}
		one := odds.Count{Looked: 1}
		if seen == "missing" {
			one.Missing = 1
		}
		o.family[f] = o.family[f].Add(one)
	}
	if o.bodies[k.history] == nil {
		o.bodies[k.history] = map[code.Code]bool{}
	}
	if o.q.Model == "" || k.model == o.q.Model {
		o.bodies[k.history][donor] = true
	}
}

// familyOf is the folded family of a model, empty for one that has no sisters.
func (o *oddser) familyOf(model code.Code) string {
	f, ok := o.families[model]
	if ok {
		return f
	}
	m, err := o.v.Model(model)
	if err != nil {
		m = store.Model{} // not recorded
	}
	o.families[model] = words.Fold(m.Family)
	return o.families[model]
}

// answer makes the rows, by part, model and history.
func (o *oddser) answer() (OddsAnswer, error) {
	out := OddsAnswer{Odds: []OddsRow{}, Histories: []HistoryOdds{}}
	o.alsoAsked()
	keys := make([]oddsKey, 0, len(o.counts))
	for k := range o.counts {
		if o.q.Model == "" || k.model == o.q.Model {
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, func(a, b oddsKey) int {
		return cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.model, b.model), cmp.Compare(historyOrder(a.history), historyOrder(b.history)))
	})
	sums, parts := map[string]odds.Count{}, map[code.Code]bool{}
	for _, k := range keys {
		sums[k.history] = sums[k.history].Add(o.counts[k].Count)
		if o.q.Missing && o.counts[k].Missing == 0 {
			out.Left++
			continue
		}
		r, err := o.row(k)
		if err != nil {
			return out, err
		}
		if r.Looked == 0 && r.Siblings.Looked == 0 && r.Expect == nil {
			continue
		}
		out.Odds = append(out.Odds, r)
		parts[k.part] = true
	}
	for _, h := range store.Histories {
		if n := sums[h]; n.Looked > 0 {
			out.Histories = append(out.Histories, HistoryOdds{h, n.Missing, n.Looked, int64(len(o.bodies[h]))})
		}
	}
	if len(parts) > 1 {
		out.Notes = append(out.Notes, "parts that leave a body together are not independent: their rates are not multiplied, ask for the set")
	}
	return out, nil
}

func historyOrder(h string) int { return slices.Index(store.Histories, h) }

// alsoAsked adds the histories of a part and model that were not looked at here.
func (o *oddser) alsoAsked() {
	if o.q.Part == "" || o.q.Model == "" {
		return
	}
	for _, h := range store.Histories {
		if k := (oddsKey{o.q.Part, o.q.Model, h}); o.q.History == "" || o.q.History == h {
			if _, ok := o.counts[k]; !ok {
				o.counts[k] = looked{}
			}
		}
	}
}

func (o *oddser) row(k oddsKey) (OddsRow, error) {
	p, err := o.part(k.part)
	if err != nil {
		p = store.Part{Code: k.part} // seen before it was catalogued
	}
	n := o.counts[k]
	family := o.familyOf(k.model)
	all := o.family[familyKey{k.part, family, k.history}]
	if family == "" {
		all = n.Count
	}
	sisters := odds.Count{Missing: all.Missing - n.Missing, Looked: all.Looked - n.Looked}
	plan := odds.Planned(n.Count, sisters)
	i := plan.Interval()
	r := OddsRow{Part: p.Code, Name: p.Name, Model: k.model, History: k.history, Missing: n.Missing, Looked: n.Looked, Replaced: n.replaced,
		Enough: n.Enough(), Siblings: OddsSisters{sisters.Missing, sisters.Looked, plan.Weight},
		Plan: OddsPlan{plan.Mean(), i.Low, i.High}, Pooled: plan.Weight > 0}
	if n.Looked > 0 {
		rate, w := n.Rate(), odds.Wilson(n.Missing, n.Looked)
		r.Rate, r.Low, r.High = &rate, &w.Low, &w.High
	}
	if !r.Enough {
		r.Expect = expect(p, k.history)
	}
	r.Why = r.why(p)
	return r, nil
}

func expect(p store.Part, history string) *OddsExpect {
	e, ok := odds.Expect(p.Seat, p.Class, p.Name, history)
	if !ok {
		return nil
	}
	return &OddsExpect{Level: int(e.Level), Words: e.Level.String(), Piece: e.Assembly + ", " + e.Piece, How: e.How, From: "memory"}
}

// why is the row in sentences.
func (r OddsRow) why(p store.Part) string {
	s := r.Own().Say(odds.Bodies(r.History))
	switch also := odds.SayPlan(r.Own(), r.Sisters()); {
	case also == "":
	case r.Says():
		s += " " + also
	default:
		s += fmt.Sprintf(" %d of %d in sister models.", r.Siblings.Missing, r.Siblings.Looked)
	}
	if r.Replaced > 0 && (p.Seat == "shutter" || p.Seat == "lens") {
		s += fmt.Sprintf(" %d replaced: a %s that was exchanged is no evidence for %s.", r.Replaced, p.Seat, r.Model)
	}
	return s
}
