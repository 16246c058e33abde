package ask

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/ways"
	"tinful/store/words"
)

// A Query is what [Find] is asked. Everything given must be met.
type Query struct {
	Words  []string             // as typed
	Class  []string             // classes or prefixes, any of them
	Camera store.Camera         // with a model: what goes into it, or into what it may carry
	Place  code.Code            // parts with a bag there
	Donor  code.Code            // parts with a bag from there
	Grade  string               // parts with a bag of that grade
	Dims   map[dim.Field]Range  // measures
	Marks  map[dim.Field]string // hand, thread and other words
	Seat   *string              // parts of this seat, empty: of none; nil: of any
	Tool   string               // that the measures were read with; empty: the usual one of each
	For    store.Camera         // with a model: what is found is told whether it goes in, and nothing is left out
	Detail int                  // how many parts are told with name, bags, measures and twins; 0: all
}

// Found is the answer of [Find], best part first.
type Found struct {
	Parts   []FoundPart   `json:"parts"`
	Traps   store.Reasons `json:"traps,omitempty"`   // parts left out because they do not go, and what is easily mixed up
	Fuzzy   []string      `json:"fuzzy,omitempty"`   // words that were taken for others, in words
	Clash   []string      `json:"clash,omitempty"`   // other things the words name: bag:B203
	Numbers []Numbered    `json:"numbers,omitempty"` // what bears the number that was typed
	Near    []code.Code   `json:"near,omitempty"`    // codes near to one that nothing has
	Sheets  []FoundSheet  `json:"sheets,omitempty"`  // what a panel of that size can be cut from
}

// MarshalJSON writes the answer with the kinds of its traps beside them.
func (f Found) MarshalJSON() ([]byte, error) {
	type plain Found
	return store.JSON(struct {
		plain
		TrapsKind []store.ReasonKind `json:"traps_kind,omitempty"`
	}{plain(f), store.ReasonKinds(f.Traps)})
}

// Any says that something is found, or that the words name another thing.
func (f Found) Any() bool { return len(f.Parts)+len(f.Numbers)+len(f.Clash)+len(f.Sheets) > 0 }

// A FoundPart is one part that was found, with its own bags that hold something.
type FoundPart struct {
	Part       code.Code      `json:"part"`
	Name       string         `json:"name"`
	Class      string         `json:"class"`
	Unsaid     bool           `json:"class_not_said,omitempty"` // a class was asked for, and that of this part is not said
	Match      string         `json:"match"`                    // exact, same, near, word or fuzzy
	Score      float64        `json:"score"`                    // greater is better, within one answer and one kind of match
	OnHand     int64          `json:"on_hand"`
	Free       int64          `json:"free"`
	About      bool           `json:"about"`               // some of the free pieces are not counted
	Counted    int64          `json:"counted"`             // those that are
	Goes       string         `json:"goes,omitempty"`      // what is known of the camera asked for
	Hand       string         `json:"hand,omitempty"`      // of a spring that was asked for without a hand
	Form       string         `json:"form,omitempty"`      // of a thread that was asked for without a form
	LeftHand   string         `json:"left_hand,omitempty"` // LEFT-HAND, loosens clockwise: of a thread
	Dims       map[string]any `json:"dims,omitempty"`
	Difference store.Reasons  `json:"difference,omitempty"`
	Work       string         `json:"work,omitempty"` // what is to be done to it: shorten by 0.8
	Traps      store.Reasons  `json:"traps,omitempty"`
	Bags       []BagLine      `json:"bags"`

	tier, degree int
	unknown      bool // nothing is recorded for the camera asked for
	left         bool // Form is of a left-hand thread, which was not asked for
	rec          *store.Part
}

// MarshalJSON writes the part with the kinds of its differences and traps beside
// them.
func (p FoundPart) MarshalJSON() ([]byte, error) {
	type plain FoundPart
	return store.JSON(struct {
		plain
		DifferenceKind []store.ReasonKind `json:"difference_kind,omitempty"`
		TrapsKind      []store.ReasonKind `json:"traps_kind,omitempty"`
	}{plain(p), store.ReasonKinds(p.Difference), store.ReasonKinds(p.Traps)})
}

// Kinds of the traps of an answer.
const (
	NeverGoes   store.ReasonKind = "never"        // a part that does not go into the camera
	OtherHand   store.ReasonKind = "other-hand"   // it measures so and is of the other hand
	BothHands   store.ReasonKind = "both-hands"   // parts of both hands measure so
	OtherThread store.ReasonKind = "other-thread" // it reads the same and is another thread
	OtherFlanks store.ReasonKind = "other-flanks" // several threads read the same
	Twin        store.ReasonKind = "twin"         // the part has an opposite-hand twin
)

// Find looks for parts by words, measures, class, camera, place, donor and
// grade, in any mix. It returns [store.ErrUsage] when nothing is asked, and an
// answer without parts where nothing is found.
//
// Parts on which an indexed measure was not taken are told where no other is
// found with the usual tools: a blunter one, which finds more, loses none.
func Find(view *store.View, q Query) (Found, error) {
	v := read(view)
	coveringWords(v, &q)
	found, left := find(v, q, false)
	if left {
		usual := found
		if q.Tool != "" {
			plain := q
			plain.Tool, plain.Detail = "", 1
			usual, _ = find(v, plain, false)
		}
		if len(usual.Parts) == 0 {
			found, _ = find(v, q, true)
		}
	}
	found.Sheets = findSheets(v, q)
	return found, v.err
}

// find looks once; untold takes parts whose measure was not taken. left says that
// there may be such parts and they were left out.
func find(v *reader, q Query, untold bool) (found Found, left bool) {
	q.Dims = spread(q.Dims, q.Tool)
	f := &finder{v: v, q: q, untold: untold, terms: words.Query(q.Words), hits: map[code.Code]*hit{}, parts: map[code.Code]*store.Part{}, held: map[string][]gauge{}, words: map[string]bool{}, out: Found{Parts: []FoundPart{}}}
	f.leftHand()
	for _, step := range []func(){f.refuse, f.scope, f.search, f.narrowClass, f.build} {
		if step(); v.err != nil {
			return f.out, false
		}
	}
	f.apart()
	f.out.Parts = sorted(f.out.Parts)
	f.details()
	f.out.Traps = ordered(f.out.Traps)
	return f.out, f.left
}

// ordered puts traps in the order of their texts, each once.
func ordered(traps store.Reasons) store.Reasons {
	slices.SortStableFunc(traps, func(a, b store.Reason) int { return cmp.Compare(a.Text, b.Text) })
	return slices.CompactFunc(traps, func(a, b store.Reason) bool { return a.Text == b.Text })
}

// before orders what was found: whose class is said, kind of match, hand and form where these are
// told apart, whether anything is recorded for the camera, score, degree, whether
// any is free, and code.
func before(a, b *FoundPart) int {
	later := func(a, b bool) int {
		switch {
		case a == b:
			return 0
		case a:
			return 1
		}
		return -1
	}
	return cmp.Or(later(a.Unsaid, b.Unsaid), cmp.Compare(a.tier, b.tier), cmp.Compare(a.Hand, b.Hand), cmp.Compare(a.Form, b.Form), later(a.unknown, b.unknown), cmp.Compare(b.Score, a.Score), cmp.Compare(a.degree, b.degree),
		cmp.Compare(min(b.Free, 1), min(a.Free, 1)), cmp.Compare(a.Part, b.Part))
}

// sorted is parts in that order. They are large, so that each is moved once.
func sorted(parts []FoundPart) []FoundPart {
	order := make([]*FoundPart, len(parts))
	for i := range parts {
		order[i] = &parts[i]
	}
	slices.SortFunc(order, before)
	out := make([]FoundPart, len(parts))
	for i, p := range order {
		out[i] = *p
	}
	return out
}

// few is the number of parts up to which each is looked at by itself; above
// it, an index is read from end to end.
const few = 1024

// handful is the number of parts up to which each is read for its class;
// above it, the index of the classes is.
const handful = 64

type set map[code.Code]bool

func (s set) add(codes ...code.Code) {
	for _, c := range codes {
		s[c] = true
	}
}

type finder struct {
	untold bool // take parts on which a measure was not taken
	left   bool // some were left out
	v      *reader
	q      Query
	terms  []words.Term
	base   set // what place, donor, camera and measure leave; nil: everything
	bags   map[code.Code][]BagLine
	hits   map[code.Code]*hit
	parts  map[code.Code]*store.Part // read already
	held   map[string][]gauge        // by class, see gauges
	words  map[string]bool           // asked already whether any part has them
	all    *bool                     // the class of every part is said; nil: not asked yet
	thread bool                      // only what has a left-hand thread
	out    Found
}

// read reads a part once.
func (f *finder) read(c code.Code) *store.Part {
	p := f.parts[c]
	if p == nil {
		read := f.v.part(c)
		p = &read
		f.parts[c] = p
	}
	return p
}

func (f *finder) refuse() {
	q := f.q
	if len(f.terms) == 0 && len(q.Class) == 0 && q.Camera.Model == "" && !f.byBag() && !q.measures() {
		f.v.keep(store.Misread("say what to find by words, measures, class, model, place, donor or grade"))
	}
}

// build looks at each part that is left.
func (f *finder) build() {
	f.out.Parts = slices.Grow(f.out.Parts, min(len(f.hits), few))
	for c, h := range f.hits {
		p := &store.Part{Code: c}
		if f.looks() {
			p = f.read(c)
			if !f.mayBe(*p) || f.thread && !leftThread(*p) {
				continue
			}
		}
		f.part(p, h)
	}
}

// looks says whether a part has to be read to know if it belongs into the answer, and
// where.
func (f *finder) looks() bool {
	return f.q.measures() || len(f.q.Class) > 0 || f.q.Camera.Model != "" && !f.brief() || f.thread || f.byKindOf() && !f.classed()
}

// brief says that more parts than are told were met by words: whether one of them goes into
// the camera is asked without reading it. What words meet is no second name.
func (f *finder) brief() bool {
	return f.q.Camera.Model != "" && f.q.Detail > 0 && len(f.hits) > f.q.Detail && len(f.terms) > 0 && !f.byMeasure()
}

// part adds one part to the answer, unless a measure or the camera speaks
// against it.
func (f *finder) part(p *store.Part, h *hit) {
	out := FoundPart{Part: p.Code, Score: round(h.score), Bags: []BagLine{}, rec: p}
	out.Unsaid = f.looks() && p.Class == "" && f.byKindOf()
	f.rank(&out, h)
	if !f.measure(*p, &out) || !f.goes(*p, &out) {
		return
	}
	f.stock(&out)
	if len(out.Bags) > 0 || !f.byBag() {
		f.out.Parts = append(f.out.Parts, out)
	}
}

// details adds what does not decide the order, to as many parts as are told.
func (f *finder) details() {
	n := len(f.out.Parts)
	if f.q.Detail > 0 {
		n = min(n, f.q.Detail)
	}
	for i := range f.out.Parts[:n] {
		out := &f.out.Parts[i]
		out.rec = f.read(out.Part)
		out.Name, out.Class = out.rec.Name, out.rec.Class
		if f.bags == nil && !f.byBag() && out.OnHand != 0 {
			f.lines(out)
			slices.SortFunc(out.Bags, bestBag)
		}
		f.counted(out)
		unitBags(f.v, *out.rec, out.Bags)
		out.Dims = dimsOf(*out.rec)
		if f.q.Camera.Model != "" && out.Goes == "" {
			out.Goes = fits(f.v, *out.rec, f.q.Camera).words
		}
		f.goesFor(out)
		f.twins(*out.rec, out)
		out.LeftHand = store.LeftHand(*out.rec)
	}
}

func round(x float64) float64 { return math.Round(x*10_000) / 10_000 }

// Tiers of an answer, best first.
const (
	tierExact = iota
	tierSame
	tierNear
	tierWord
	tierClass
	tierFuzzy
)

func (f *finder) rank(out *FoundPart, h *hit) {
	switch {
	case h.exact:
		out.Match, out.tier = "exact", tierExact
	case h.guessed:
		out.Match, out.tier = "fuzzy", tierFuzzy
	case h.byClass:
		out.Match, out.tier = "word", tierClass
	default:
		out.Match, out.tier = "word", tierWord
	}
}

func (f *finder) trap(r store.Reason) { f.out.Traps = append(f.out.Traps, r) }

// never is the trap that a part does not go into the camera.
func (f *finder) never(p store.Part, why string) {
	f.trap(store.Say(NeverGoes, "%s %s does not go into %s: %s", p.Code, p.Name, f.q.Camera.Model, why).Of(p.Code))
}

// goes leaves out what does not go into the camera, and names it.
func (f *finder) goes(p store.Part, out *FoundPart) bool {
	if f.q.Camera.Model == "" {
		return true
	}
	if f.brief() {
		stated := got2(f.v, f.v.Stated, p.Code, f.q.Camera)
		switch best := bestOf(stated); {
		case best != nil:
			out.degree = ways.Degree(best.Degrees)
			return true
		case len(stated) > 0 && !slices.ContainsFunc(stated, store.Verdict.Never):
			return false
		}
		p = *f.read(p.Code)
	}
	fit := fits(f.v, p, f.q.Camera)
	if fit.never {
		f.never(p, fit.words)
	}
	out.Goes, out.degree, out.unknown = fit.words, ways.Degree(fit.degrees), !fit.usable
	return fit.usable || !fit.never && f.byMeasure()
}

// byMeasure says that parts are asked for by measure: what measures so may be
// the piece that is sought, whatever is recorded of it.
func (f *finder) byMeasure() bool { return len(f.q.Dims) > 0 || f.q.Marks[dim.Thread] != "" }

// goesFor tells whether a part goes into the camera that is on the bench.
func (f *finder) goesFor(out *FoundPart) {
	if f.q.For.Model == "" || f.q.Camera.Model != "" {
		return
	}
	said := "nothing is recorded"
	if fit := fits(f.v, *out.rec, f.q.For); fit.usable || fit.never {
		said = fit.words
	}
	out.Goes = fmt.Sprintf("into %s: %s", f.q.For.Model, said)
}

// apart tells hands and thread forms apart where they were not asked for: parts
// that differ in nothing else look the same, and one of them is wrong.
func (f *finder) apart() {
	if len(f.q.Dims) > 0 && f.q.Marks[dim.Hand] == "" {
		f.handsApart()
	}
	f.formsApart()
}

func (f *finder) handsApart() {
	best := map[string]*FoundPart{}
	for i := range f.out.Parts {
		p := &f.out.Parts[i]
		if h := p.rec.Marks[dim.Hand]; h != "" && words.Under(p.rec.Class, "SPR") {
			p.Hand = hand(h)
			if b := best[p.Hand]; b == nil || before(p, b) < 0 {
				best[p.Hand] = p
			}
		}
	}
	if left, right := best["left"], best["right"]; left != nil && right != nil {
		l, r := left.Part, right.Part
		f.trap(store.Say(BothHands, "%s is left-hand and %s right-hand: both answer to these measures, and the wrong one pushes the wrong way; look at the hand", l, r).Of(l, r))
	}
}

func (f *finder) formsApart() {
	of := map[string][]string{}
	var all []code.Code
	for i := range f.out.Parts {
		if p := &f.out.Parts[i]; p.Form != "" && !p.left {
			t := flanked(p.rec.Marks[dim.Thread])
			of[t], all = append(of[t], string(p.Part)), append(all, p.Part)
		}
	}
	if t, err := thread.Parse(f.q.Marks[dim.Thread]); err == nil && t.Form == thread.Unknown && len(of) > 0 {
		all = append(all, f.otherKinds(t, of)...)
	}
	if len(of) < 2 {
		return
	}
	var said []string
	for _, t := range slices.Sorted(maps.Keys(of)) {
		parts := of[t]
		slices.Sort(parts)
		if more := len(parts) - mostNamed; more > 0 {
			parts = append(parts[:mostNamed], fmt.Sprintf("%d more", more))
		}
		said = append(said, t+": "+strings.Join(parts, ", "))
	}
	f.trap(store.Say(OtherFlanks, "these read the same and have other flanks: %s. One goes a few turns into the other and binds, and the hole is gone", strings.Join(said, "; ")).Of(all...))
}

// otherKinds adds parts of other kinds whose thread reads as the one asked for and has
// flanks that no part of the answer has.
func (f *finder) otherKinds(t thread.Thread, of map[string][]string) (added []code.Code) {
	mine := slices.Collect(maps.Keys(of))
	f.v.keep(f.v.Measured(fieldMajor, t.Major-nearMajor, t.Major+nearMajor, func(m store.Measured) error {
		p := f.v.part(m.Part())
		o, err := thread.Parse(p.Marks[dim.Thread])
		if err != nil || o.Left || max(o.Pitch-t.Pitch, t.Pitch-o.Pitch) > nearPitch {
			return nil
		}
		if text := flanked(p.Marks[dim.Thread]); o.Form != thread.Unknown && !slices.Contains(mine, text) {
			of[text], added = append(of[text], string(p.Code)), append(added, p.Code)
		}
		return nil
	}))
	return added
}

// mostNamed is how many parts of one form a trap names.
const mostNamed = 6

// flanked is a thread of the catalogue with its flanks to half a degree:
// "loewenherz 1.7x0.35 (53 degrees)".
func flanked(text string) string {
	t, err := thread.Parse(text)
	if err != nil {
		return text
	}
	if deg, ok := thread.Flank(t.Form); ok {
		return fmt.Sprintf("%s (%g degrees)", t, math.Round(deg*2)/2)
	}
	return t.String()
}

// twins warns of the part of the other hand: of what it is, and, with a camera,
// that it does not go in.
func (f *finder) twins(p store.Part, out *FoundPart) {
	for _, c := range twinsOf(f.v, p) {
		t, err := f.v.Part(c)
		if err != nil {
			continue // a twin that is named and not recorded
		}
		out.Traps = append(out.Traps, twinTrap(t))
		if f.q.Camera.Model == "" {
			continue
		}
		if fit := fits(f.v, t, f.q.Camera); fit.never {
			f.never(t, fit.words)
		}
	}
}

// twinTrap warns of the part of the other hand.
func twinTrap(t store.Part) store.Reason {
	return store.Say(Twin, "%s %s is its opposite-hand twin: look at the hand", t.Code, t.Name).Of(t.Code)
}

// twinsOf lists the opposite-hand twins of a part; it holds both ways.
func twinsOf(v *reader, p store.Part) []code.Code {
	out := v.TwinsOf(p.Code)
	if p.Twin != "" && !slices.Contains(out, p.Twin) {
		out = append(out, p.Twin)
	}
	return out
}
