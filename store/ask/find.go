// Package ask answers questions over a read-only view of the store: which
// parts there are, how a part gets into a camera, what is known of one part.
//
// Its results are structs whose JSON names scripts may rely on. It prints
// nothing and changes nothing. The one surprising rule: a part about which
// nothing is recorded for a camera is no answer to what goes into it, but its
// opposite-hand twin that does not go is always named.
package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
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
	Detail int                  // how many parts are told with bags, measures and twins; 0: all
}

// Found is the answer of [Find], best part first.
type Found struct {
	Parts []FoundPart `json:"parts"`
	Traps []string    `json:"traps,omitempty"` // parts left out because they do not go, in words
	Fuzzy []string    `json:"fuzzy,omitempty"` // words that were taken for others, in words
	Clash []string    `json:"clash,omitempty"` // other things the words name: bag:B203
}

// A FoundPart is one part that was found, with its own bags that hold something.
type FoundPart struct {
	Part       code.Code      `json:"part"`
	Name       string         `json:"name"`
	Class      string         `json:"class"`
	Match      string         `json:"match"` // exact, same, near, word or fuzzy
	Score      float64        `json:"score"` // greater is better, within one answer and one kind of match
	OnHand     int64          `json:"on_hand"`
	Free       int64          `json:"free"`
	Goes       string         `json:"goes,omitempty"` // what is known of the camera asked for
	Dims       map[string]any `json:"dims,omitempty"`
	Difference []string       `json:"difference,omitempty"`
	Traps      []string       `json:"traps,omitempty"`
	Bags       []BagLine      `json:"bags"`

	tier, degree int
	rec          store.Part
}

// Find looks for parts by words, measures, class, camera, place, donor and
// grade, in any mix. It returns [store.ErrUsage] when nothing is asked, and an
// answer without parts where nothing is found.
func Find(v *store.View, q Query) (Found, error) {
	f := &finder{v: v, q: q, terms: words.Query(q.Words), hits: map[code.Code]*hit{}, parts: map[code.Code]store.Part{}, out: Found{Parts: []FoundPart{}}}
	if err := f.refuse(); err != nil {
		return f.out, err
	}
	for _, step := range []func() error{f.scope, f.search, f.narrowClass, f.build} {
		if err := step(); err != nil {
			return f.out, err
		}
	}
	slices.SortFunc(f.out.Parts, before)
	if err := f.details(); err != nil {
		return f.out, err
	}
	slices.Sort(f.out.Traps)
	f.out.Traps = slices.Compact(f.out.Traps)
	return f.out, nil
}

// before orders what was found: by kind of match, score, degree, whether any is
// free, and code.
func before(a, b FoundPart) int {
	return cmp.Or(cmp.Compare(a.tier, b.tier), cmp.Compare(b.Score, a.Score), cmp.Compare(a.degree, b.degree),
		cmp.Compare(min(b.Free, 1), min(a.Free, 1)), cmp.Compare(a.Part, b.Part))
}

// few is the number of parts up to which each is looked at by itself; above
// it, an index is read from end to end.
const few = 1024

// handful is the number of parts up to which each is read for its class;
// above it, the index of the classes is.
const handful = 64

type set map[code.Code]bool

type finder struct {
	v     *store.View
	q     Query
	terms []words.Term
	base  set // what place, donor, camera and measure leave; nil: everything
	bags  map[code.Code][]BagLine
	hits  map[code.Code]*hit
	parts map[code.Code]store.Part // read already
	out   Found
}

// read reads a part once.
func (f *finder) read(c code.Code) (store.Part, error) {
	if p, ok := f.parts[c]; ok {
		return p, nil
	}
	p, err := f.v.Part(c)
	if err == nil {
		f.parts[c] = p
	}
	return p, err
}

func (f *finder) refuse() error {
	q := f.q
	if len(f.terms) == 0 && len(q.Class) == 0 && q.Camera.Model == "" && q.Place == "" && q.Donor == "" && q.Grade == "" && len(q.Dims) == 0 && len(q.Marks) == 0 {
		return fmt.Errorf("%w: say what to find by words, measures, class, model, place, donor or grade", store.ErrUsage)
	}
	if len(f.terms) > 0 || len(q.Class) > 0 || q.Camera.Model != "" || q.Place != "" || q.Donor != "" || q.Grade != "" || f.indexed() != 0 || q.Marks[dim.Thread] != "" {
		return nil
	}
	return fmt.Errorf("%w: these measures alone lead to no part: give a class, words or one of wire, outside, free length, thick, length or thread too", store.ErrUsage)
}

// build looks at each part that is left.
func (f *finder) build() error {
	for c, h := range f.hits {
		p, err := f.read(c)
		if err != nil {
			return err
		}
		if !underAny(p.Class, f.q.Class) {
			continue
		}
		if err := f.part(p, h); err != nil {
			return err
		}
	}
	return nil
}

// part adds one part to the answer, unless a measure or the camera speaks
// against it.
func (f *finder) part(p store.Part, h *hit) error {
	out := FoundPart{Part: p.Code, Name: p.Name, Class: p.Class, Score: round(h.score), Bags: []BagLine{}}
	f.rank(&out, h)
	if ok, err := f.measure(p, &out); !ok || err != nil {
		return err
	}
	if ok, err := f.goes(p, &out); !ok || err != nil {
		return err
	}
	if err := f.stock(&out); err != nil {
		return err
	}
	if len(out.Bags) == 0 && f.byBag() {
		return nil
	}
	out.rec = p
	f.out.Parts = append(f.out.Parts, out)
	return nil
}

// details adds what does not decide the order, to as many parts as are told.
func (f *finder) details() error {
	n := len(f.out.Parts)
	if f.q.Detail > 0 {
		n = min(n, f.q.Detail)
	}
	for i := range f.out.Parts[:n] {
		out := &f.out.Parts[i]
		if f.bags == nil && !f.byBag() && out.OnHand != 0 {
			if err := f.lines(out); err != nil {
				return err
			}
			slices.SortFunc(out.Bags, bestBag)
		}
		out.Dims = dimsOf(out.rec)
		if err := f.twins(out.rec, out); err != nil {
			return err
		}
	}
	return nil
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

func (f *finder) trap(format string, args ...any) {
	f.out.Traps = append(f.out.Traps, fmt.Sprintf(format, args...))
}

// goes leaves out what does not go into the camera, and names it.
func (f *finder) goes(p store.Part, out *FoundPart) (bool, error) {
	if f.q.Camera.Model == "" {
		return true, nil
	}
	fit, err := fits(f.v, p, f.q.Camera)
	if err != nil {
		return false, err
	}
	if fit.never {
		f.trap("%s %s does not go into %s: %s", p.Code, p.Name, f.q.Camera.Model, fit.words)
	}
	out.Goes, out.degree = fit.words, ways.Degree(fit.degrees)
	return fit.usable, nil
}

// twins warns of the part of the other hand: of what it is, and, with a camera,
// that it does not go in.
func (f *finder) twins(p store.Part, out *FoundPart) error {
	for _, c := range twinsOf(f.v, p) {
		t, err := f.v.Part(c)
		if err != nil {
			continue // a twin that is named and not recorded
		}
		out.Traps = append(out.Traps, fmt.Sprintf("%s %s is its opposite-hand twin: look at the hand", t.Code, t.Name))
		if f.q.Camera.Model == "" {
			continue
		}
		fit, err := fits(f.v, t, f.q.Camera)
		if err != nil {
			return err
		}
		if fit.never {
			f.trap("%s %s does not go into %s: %s", t.Code, t.Name, f.q.Camera.Model, fit.words)
		}
	}
	return nil
}

// twinsOf lists the opposite-hand twins of a part; it holds both ways.
func twinsOf(v *store.View, p store.Part) []code.Code {
	out := v.TwinsOf(p.Code)
	if p.Twin != "" && !slices.Contains(out, p.Twin) {
		out = append(out, p.Twin)
	}
	return out
}
