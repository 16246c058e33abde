package ask

import (
	"cmp"
	"errors"
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
	Next    int64 // say the chance that at least one of so many more bodies has the part; 0 is none
	Missing bool  // leave out the rows of what was never missing
	Own     bool  // leave out what sat in a shutter or lens that is not the body's own
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
	// Exchanged are those in a shutter or lens that is not the body's own: they are
	// counted, and donors and need leave them out.
	Exchanged int64     `json:"exchanged,omitempty"`
	Next      *OddsNext `json:"next,omitempty"`
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

// An OddsNext is the chance that at least one of the next bodies has the part.
type OddsNext struct {
	Bodies int64   `json:"bodies"`
	OneHas float64 `json:"one_has"`
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
// parts cameras and customers' cameras on the bench. Rows are of every part, model and history that was looked at;
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
	replaced, exchanged int64
}

// A lookedAt is a camera that was looked at: a donor or a customer's.
type lookedAt struct {
	ref     store.Ref
	cam     store.Camera
	history string
	marks   Marks
	odd     *bool // its shutter is out of step; nil: not asked yet
}

type oddser struct {
	v        *store.View
	q        OddsQuery
	skip     store.Ref // this camera is left out
	counts   map[oddsKey]looked
	family   map[familyKey]odds.Count
	families map[code.Code]string // folded, by model
	parts    map[code.Code]store.Part
	cameras  map[store.Ref]*lookedAt // nil: not recorded
	bodies   map[string]map[store.Ref]bool
	steps    *stepper
}

func newOddser(v *store.View, q OddsQuery) *oddser {
	return &oddser{v: v, q: q, counts: map[oddsKey]looked{}, family: map[familyKey]odds.Count{}, families: map[code.Code]string{},
		parts: map[code.Code]store.Part{}, cameras: map[store.Ref]*lookedAt{}, bodies: map[string]map[store.Ref]bool{}, steps: newStepper(v)}
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
	switch {
	case o.q.Model != "":
		model, err := o.v.Model(o.q.Model)
		if err != nil {
			return err
		}
		return o.gatherModels(model)
	case o.q.Part != "":
		for _, s := range o.v.LooksOf(o.q.Part) {
			if err := o.see(s, ""); err != nil {
				return err
			}
		}
		return nil
	}
	return o.v.EachLook(func(s store.Seen) error { return o.see(s, "") })
}

// gatherModels reads the cameras of a model and of its sisters; of a shutter or
// lens those that carry it for certain, and of these the parts that go into it.
func (o *oddser) gatherModels(model store.Model) error {
	sisters := []code.Code{model.Code}
	if f := words.Fold(model.Family); f != "" {
		sisters = o.v.Family(f)
	}
	carried := model.Kind == "shutter" || model.Kind == "lens"
	for _, m := range sisters {
		bodies, err := donorsWith(o.v, m)
		if err != nil {
			return err
		}
		for _, d := range bodies {
			list, err := o.v.SeenOn(d.Code)
			if err != nil {
				return err
			}
			for _, s := range list {
				if err := o.seeIn(s, m, carried); err != nil {
					return err
				}
			}
		}
	}
	return o.gatherJobs(sisters, carried)
}

// gatherJobs reads the customers' cameras of some models, or that carry them.
func (o *oddser) gatherJobs(sisters []code.Code, carried bool) error {
	return o.v.EachLookOnJobs(func(s store.Seen) error {
		b := o.camera(refSeen(s))
		if b == nil {
			return nil
		}
		for _, m := range sisters {
			in, err := holds(o.v, b.cam, m)
			if errors.Is(err, store.ErrNotFound) {
				return nil // its model is not recorded
			}
			if err != nil {
				return err
			}
			if in {
				return o.seeIn(s, m, carried)
			}
		}
		return nil
	})
}

// seeIn counts an observation for a model; for a shutter or lens only of what goes
// into it.
func (o *oddser) seeIn(s store.Seen, model code.Code, carried bool) error {
	if o.q.Part != "" && s.Part != o.q.Part {
		return nil
	}
	if carried {
		said, err := o.v.GoesOn(s.Part, model)
		if err != nil || !slices.ContainsFunc(said, belongs) {
			return err
		}
	}
	return o.see(s, model)
}

// refSeen is the camera of an observation.
func refSeen(s store.Seen) store.Ref {
	if s.Job != "" {
		return store.Ref{Kind: "job", Code: s.Job}
	}
	return store.Ref{Kind: "donor", Code: s.Donor}
}

// camera reads a camera once, nil for one that is not recorded or has no model.
func (o *oddser) camera(ref store.Ref) *lookedAt {
	b, ok := o.cameras[ref]
	if ok {
		return b
	}
	if ref.Kind == "job" {
		if j, err := o.v.Job(ref.Code); err == nil {
			b = &lookedAt{ref: ref, cam: j.Camera(), history: j.History, marks: Marks{Number: j.BodyNo, Shutter: j.Shutter, Lens: j.Lens}}
		}
	} else if d, err := o.v.Donor(ref.Code); err == nil {
		b = &lookedAt{ref: ref, cam: d.Camera(), history: d.History, marks: MarksOf(d)}
	}
	if b != nil && b.cam.Model == "" {
		b = nil
	}
	if b != nil {
		b.history = cmp.Or(b.history, "unknown")
	}
	o.cameras[ref] = b
	return b
}

// see counts one observation for a model, the camera's own where none is named.
// One on a camera that is not recorded has no model and no history: it is left out.
func (o *oddser) see(s store.Seen, model code.Code) error {
	b := o.camera(refSeen(s))
	if b == nil || b.ref == o.skip || o.q.History != "" && b.history != o.q.History {
		return nil
	}
	k := oddsKey{s.Part, cmp.Or(model, b.cam.Model), b.history}
	exchanged := false
	if k.model == b.cam.Model {
		var err error
		if exchanged, err = o.exchanged(b, s); err != nil || exchanged && o.q.Own {
			return err
		}
	}
	one := looked{Count: odds.Count{Looked: 1}}
	switch s.Seen {
	case "missing":
		one.Missing = 1
	case "replaced":
		one.replaced = 1
	}
	if exchanged {
		one.exchanged = 1
	}
	o.counts[k] = o.counts[k].add(one)
	if family := o.familyOf(k.model); family != "" {
		f := familyKey{s.Part, family, k.history}
		o.family[f] = o.family[f].Add(one.Count)
	}
	if o.bodies[k.history] == nil {
		o.bodies[k.history] = map[store.Ref]bool{}
	}
	if o.q.Model == "" || k.model == o.q.Model {
		o.bodies[k.history][b.ref] = true
	}
	return nil
}

func (l looked) add(m looked) looked {
	return looked{l.Count.Add(m.Count), l.replaced + m.replaced, l.exchanged + m.exchanged}
}

// exchanged says whether a part sat in a shutter or lens that is not the body's
// own: it was seen replaced, or the shutter is out of step with the body. What is
// there or not says nothing then about what the maker put into that model.
func (o *oddser) exchanged(b *lookedAt, s store.Seen) (bool, error) {
	p, err := o.part(s.Part)
	if err != nil || p.Seat != "shutter" && p.Seat != "lens" {
		return false, nil // seen before it was catalogued, or of the body
	}
	if s.Seen == "replaced" || p.Seat == "lens" {
		return s.Seen == "replaced", nil
	}
	if b.odd == nil {
		why, err := o.steps.outOfStep(o.steps.model(b.cam.Model), b.marks)
		if err != nil {
			return false, err
		}
		odd := why != ""
		b.odd = &odd
	}
	return *b.odd, nil
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

// lackedIn are the rows, in order of parts, of what bodies of a model and history,
// or of its sister models, were seen to lack.
func lackedIn(v *store.View, model code.Code, history string) ([]OddsRow, error) {
	o := newOddser(v, OddsQuery{Model: model, History: history, Own: true})
	if err := o.gather(); err != nil {
		return nil, err
	}
	parts := map[code.Code]bool{}
	for k, n := range o.counts {
		if n.Missing > 0 {
			parts[k.part] = true
		}
	}
	var out []OddsRow
	for _, part := range sortedKeys(parts) {
		r, err := o.row(oddsKey{part, model, history})
		if err != nil {
			return nil, err
		}
		out = append(out, r)
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
	r := OddsRow{Part: p.Code, Name: p.Name, Model: k.model, History: k.history, Missing: n.Missing, Looked: n.Looked, Replaced: n.replaced, Exchanged: n.exchanged,
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
	if k := o.q.Next; k > 0 {
		r.Next = &OddsNext{k, plan.OneHas(k)}
		if r.Says() {
			r.Why += " " + plan.SayNext(k)
		}
	}
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
	return fmt.Sprintf("%d %s: a %s that was exchanged is no evidence for %s; donors and need leave it out.", r.Exchanged, how, seat, r.Model)
}
