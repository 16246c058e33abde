package ask

import (
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
)

// A ThreadQuery asks which threads a reading can be, or about one thread that is
// known.
type ThreadQuery struct {
	Reading *thread.Reading // nil: Known is asked about
	Known   thread.Thread
	Of      string         // what Known is the thread of, for the answer
	Hand    string         // left or right, empty where nobody looked
	Model   code.Code      // only threads that are meant to go into it
	Into    *thread.Thread // the hole a screw is to go into, or for a hole the screw
	Inside  bool           // Known is that of a hole
	Spread  int64          // what a reading of Known would be off by, nanometres
}

// Threads is the answer to a ThreadQuery.
type Threads struct {
	Threads []ThreadLine  `json:"threads"`
	Traps   store.Reasons `json:"traps"`
}

// MarshalJSON has the kinds of the traps beside them.
func (t Threads) MarshalJSON() ([]byte, error) {
	type plain Threads
	return store.JSON(struct {
		plain
		Kinds []store.ReasonKind `json:"traps_kind"`
	}{plain(t), store.ReasonKinds(t.Traps)})
}

// A ThreadLine is one thread and what the workshop has of it. Lengths are
// millimetres.
type ThreadLine struct {
	Form    string           `json:"form"`
	Size    string           `json:"size"`
	Major   float64          `json:"major"`
	Pitch   float64          `json:"pitch"`
	Flank   *float64         `json:"flank,omitempty"` // degrees; absent for a form that is not known
	Hand    string           `json:"hand"`
	Match   string           `json:"match"` // nominal, new, near, worn or plated, as [thread.Reading.Match] has it
	Why     string           `json:"why"`
	WhyKind store.ReasonKind `json:"why_kind"`
	Screw   []ThreadLimits   `json:"screw"` // of a new screw, by class; empty where none are published
	Hole    []ThreadLimits   `json:"hole"`
	Into    *ThreadInto      `json:"into,omitempty"`
	Parts   []ThreadPart     `json:"parts,omitempty"`
	Models  []code.Code      `json:"models,omitempty"` // whose threads are of this form

	Thread thread.Thread `json:"-"`
}

// ThreadLimits are what a new piece of one class may measure, least and greatest. What
// is not published is left out.
type ThreadLimits struct {
	Class     string    `json:"class,omitempty"`
	Source    string    `json:"source"`
	Major     []float64 `json:"major,omitempty"`
	Effective []float64 `json:"effective,omitempty"`
	Minor     []float64 `json:"minor,omitempty"`
}

func threadLimits(list []thread.Limits) []ThreadLimits {
	out := []ThreadLimits{}
	band := func(b thread.Band) []float64 {
		if b == (thread.Band{}) {
			return nil
		}
		return []float64{microns(b.Min), microns(b.Max)}
	}
	for _, l := range list {
		out = append(out, ThreadLimits{l.Class, l.Source, band(l.Major), band(l.Effective), band(l.Minor)})
	}
	return out
}

// microns are nanometres in millimetres, to a micrometre.
func microns(nm int64) float64 { return math.Round(float64(nm)/1000) / 1000 }

// A ThreadInto says whether a screw goes into a hole.
type ThreadInto struct {
	Thread  string `json:"thread"`
	Answer  string `json:"answer"` // yes, no, binds or unknown
	Why     string `json:"why"`
	Caution string `json:"caution,omitempty"`
}

// A ThreadPart is a part that has a thread.
type ThreadPart struct {
	Part   code.Code `json:"part"`
	Name   string    `json:"name"`
	Left   string    `json:"left_hand,omitempty"`
	OnHand int64     `json:"on_hand"`
	Free   int64     `json:"free"`
	Goes   string    `json:"goes,omitempty"` // what is known of the model asked for
	Bags   []BagLine `json:"bags"`
}

// A threader answers a ThreadQuery.
type threader struct {
	v     *reader // its view is nil: there is no store
	q     ThreadQuery
	model store.Model
	stock map[string][]code.Code // parts by the text of their thread
	out   Threads
}

// FindThreads lists the threads that a reading can be, best first, or the one
// that is known, with the parts that have each and the models whose threads are
// of its form. v may be nil: then the tables alone answer. With a model threads
// of another form are left out and named in the traps.
func FindThreads(v *store.View, q ThreadQuery) (Threads, error) {
	t := &threader{q: q, stock: map[string][]code.Code{}, out: Threads{Threads: []ThreadLine{}}, v: read(v)}
	var hits []thread.Hit
	if q.Reading != nil {
		hits = q.Reading.Candidates()
	} else {
		h := thread.Known(q.Known)
		h.Why = strings.TrimPrefix(q.Of+"; "+h.Why, "; ")
		hits = []thread.Hit{h}
	}
	for _, step := range []func([]thread.Hit) []thread.Hit{t.addStock, t.ofHand, t.ofModel, t.lines} {
		if hits = step(hits); t.v.err != nil {
			return t.out, t.v.err
		}
	}
	t.traps(hits)
	return t.out, nil
}

// How far beyond a reading the nominal diameter of a part can lie, in
// nanometres: limits and wear of a screw, the depth of thread of a hole.
const (
	beyondScrew = 600_000
	beyondHole  = 3_000_000
)

// addStock finds the parts near a reading, or near a known thread, and adds the
// threads that no table has and those that are left-hand.
func (t *threader) addStock(hits []thread.Hit) []thread.Hit {
	if t.v.View == nil {
		return hits
	}
	lo, hi := t.q.Known.Major-nearMajor, t.q.Known.Major+nearMajor
	r := t.q.Reading
	if r != nil {
		lo, hi = r.Diameter-r.Spread-nearMajor, r.Diameter+r.Spread+beyondScrew
		if r.Inside {
			hi += beyondHole
		}
	}
	t.v.keep(t.v.Measured(fieldMajor, lo, hi, func(m store.Measured) error {
		p := t.v.part(m.Part())
		th, err := thread.Parse(p.Marks[dim.Thread])
		if err != nil {
			return nil
		}
		if list := t.stock[th.String()]; !slices.Contains(list, p.Code) {
			t.stock[th.String()] = append(list, p.Code)
		}
		if r == nil || slices.ContainsFunc(hits, func(h thread.Hit) bool { return h.Thread == th }) {
			return nil
		}
		if h, ok := r.Match(th); ok {
			hits = append(hits, h)
		}
		return nil
	}))
	for _, list := range t.stock {
		slices.Sort(list)
	}
	if r != nil {
		r.Sort(hits)
	}
	return hits
}

// ofHand keeps the threads of the hand asked for. A table has no hand: its sizes
// are either.
func (t *threader) ofHand(hits []thread.Hit) []thread.Hit {
	if t.q.Hand == "" || t.q.Reading == nil {
		return hits
	}
	var out []thread.Hit
	for _, h := range hits {
		h.Left = t.q.Hand == "left"
		if !slices.ContainsFunc(out, func(o thread.Hit) bool { return o.Thread == h.Thread }) {
			out = append(out, h)
		}
	}
	return out
}

// lines makes the answer.
func (t *threader) lines(hits []thread.Hit) []thread.Hit {
	models := t.models()
	for _, h := range hits {
		l := ThreadLine{Form: h.Form, Size: h.Size, Major: float64(h.Major) / 1e6, Pitch: float64(h.Pitch) / 1e6, Hand: "right", Match: h.Match, Why: h.Why, WhyKind: store.ReasonKind(h.Kind),
			Screw: threadLimits(h.Screws()), Hole: threadLimits(h.Holes()), Models: models[h.Form], Into: t.into(h.Thread), Parts: t.parts(h.Thread), Thread: h.Thread}
		if h.Left {
			l.Hand = "left"
		}
		if f, ok := thread.Flank(h.Form); ok {
			f = math.Round(f*1000) / 1000
			l.Flank = &f
		}
		t.out.Threads = append(t.out.Threads, l)
	}
	return hits
}

// reading is what was read, or how the thread that is known would be.
func (t *threader) reading() thread.Reading {
	if t.q.Reading != nil {
		return *t.q.Reading
	}
	return thread.Reading{Inside: t.q.Inside, Spread: t.q.Spread}
}

// into says whether a thread goes into the one asked for.
func (t *threader) into(th thread.Thread) *ThreadInto {
	if t.q.Into == nil {
		return nil
	}
	f := thread.Into(th, *t.q.Into)
	if t.reading().Inside {
		f = thread.Into(*t.q.Into, th)
	}
	return &ThreadInto{Thread: t.q.Into.String(), Answer: f.Answer, Why: f.Why, Caution: f.Caution}
}

// models lists the models of each thread form.
func (t *threader) models() map[string][]code.Code {
	out := map[string][]code.Code{}
	if t.v.View == nil {
		return out
	}
	for m := range each(t.v, t.v.EachModel) {
		if form, ok := thread.ParseForm(m.Form); ok && form != thread.Unknown {
			out[form] = append(out[form], m.Code)
		}
	}
	return out
}

// parts reads the parts that have a thread, with their bags.
func (t *threader) parts(th thread.Thread) (out []ThreadPart) {
	for _, c := range t.stock[th.String()] {
		p, fig := t.v.part(c), t.v.figure(c)
		l := ThreadPart{Part: c, Name: p.Name, Left: store.LeftHand(p), OnHand: fig.OnHand(), Free: fig.Free(), Bags: ownBags(t.v, c)}
		if t.q.Model != "" {
			l.Goes = fits(t.v, p, store.Camera{Model: t.q.Model}).words
		}
		out = append(out, l)
	}
	return out
}

// ownBags lists the workshop's own bags of a part that hold something, best
// first.
func ownBags(v *reader, part code.Code) []BagLine {
	out := []BagLine{}
	for _, c := range v.BagsOf(part) {
		if b, l := bagLine(v, c); b.Owner == store.Own && l.OnHand != 0 {
			out = append(out, l)
		}
	}
	slices.SortFunc(out, bestBag)
	return out
}
