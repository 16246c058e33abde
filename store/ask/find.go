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

// A Range is one measure asked for, in the unit of its field. With Lo and Hi
// both zero, what is accepted follows from Want by the table of dimensions;
// otherwise the part's value must lie from Lo to Hi, bounds inclusive, and Want
// is what differences are told from.
type Range struct{ Lo, Hi, Want int64 }

func (r Range) bounded() bool { return r.Lo != 0 || r.Hi != 0 }

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

// A BagLine is one bag in an answer.
type BagLine struct {
	Bag    code.Code `json:"bag"`
	OnHand int64     `json:"on_hand"`
	Free   int64     `json:"free"`
	Held   int64     `json:"held"`
	Lent   int64     `json:"lent"`
	Unit   string    `json:"unit,omitempty"`
	Grade  string    `json:"grade,omitempty"`
	Place  code.Code `json:"place,omitempty"`
	Origin string    `json:"origin,omitempty"`
	Owner  string    `json:"owner,omitempty"`
	About  bool      `json:"about"`
	Note   string    `json:"note,omitempty"`
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

// A hit is a part the words have led to.
type hit struct {
	score                   float64
	exact, byClass, guessed bool
}

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

// indexed is the measure by which the index is read: the outside first, as its
// window holds the fewest parts.
func (f *finder) indexed() dim.Field {
	for _, d := range []dim.Field{dim.OD, dim.FreeLength, dim.Length, dim.Wire, dim.Thick} {
		if _, ok := f.q.Dims[d]; ok {
			return d
		}
	}
	return 0
}

// narrow keeps of the base what is in s.
func (f *finder) narrow(s set) {
	if f.base == nil {
		f.base = s
		return
	}
	maps.DeleteFunc(f.base, func(c code.Code, _ bool) bool { return !s[c] })
}

// scope finds what every condition but words leaves.
func (f *finder) scope() error {
	for _, step := range []func() error{f.scopeBags, f.scopeCamera, f.scopeMeasure, f.scopeThread} {
		if err := step(); err != nil {
			return err
		}
	}
	if f.base == nil && len(f.terms) == 0 {
		f.narrow(f.ofClass(f.q.Class))
	}
	return nil
}

// scopeBags reads the bags of a place or donor, and those of a grade where
// nothing else leads to parts.
func (f *finder) scopeBags() error {
	var list []code.Code
	q := f.q
	switch {
	case q.Donor != "":
		list = f.v.BagsFrom(string(q.Donor))
	case q.Place != "":
		list = f.v.BagsAt(q.Place)
	case q.Grade != "" && len(f.terms) == 0 && len(q.Class) == 0 && q.Camera.Model == "" && f.indexed() == 0 && q.Marks[dim.Thread] == "":
		list = f.v.BagsGraded(q.Grade)
	default:
		return nil
	}
	f.bags = map[code.Code][]BagLine{}
	s := set{}
	for _, c := range list {
		b, line, err := bagLine(f.v, c)
		if err != nil {
			return err
		}
		if b.Part == "" || !f.shows(line) {
			continue
		}
		p, err := f.v.Part(b.Part)
		if err != nil {
			return err
		}
		f.bags[p.Code] = append(f.bags[p.Code], line)
		s[p.Code] = true
	}
	f.narrow(s)
	return nil
}

// shows says whether a bag belongs into the answer.
func (f *finder) shows(b BagLine) bool {
	q := f.q
	return b.OnHand > 0 && b.Owner == store.Own && (q.Place == "" || b.Place == q.Place) &&
		(q.Donor == "" || b.Origin == string(q.Donor)) && (q.Grade == "" || b.Grade == q.Grade)
}

// bagLine reads a bag and what the book says of it.
func bagLine(v *store.View, c code.Code) (store.Bag, BagLine, error) {
	b, err := v.Bag(c)
	if err != nil {
		return b, BagLine{}, err
	}
	s, err := v.State(c)
	if err != nil {
		return b, BagLine{}, err
	}
	return b, line(b, s), nil
}

func line(b store.Bag, s store.State) BagLine {
	l := BagLine{Bag: b.Code, OnHand: s.OnHand(), Free: s.Free(), Held: s.Held(), Lent: s.Lent(), Unit: b.Unit,
		Grade: s.Grade, Place: s.Place, Origin: b.Origin, Owner: b.Owner, About: s.About, Note: b.Note}
	if b.Part == "" {
		l.Free = 0 // unsorted
	}
	return l
}

func (f *finder) scopeCamera() error {
	cam := f.q.Camera
	if cam.Model == "" {
		return nil
	}
	all, err := within(f.v, cam)
	if err != nil {
		return err
	}
	var parts []code.Code
	for _, m := range all {
		parts = append(parts, f.v.PartsInto(m)...)
	}
	s := make(set, len(parts))
	for _, p := range parts {
		s[p] = true
	}
	f.narrow(s)
	return nil
}

// within lists the model of a camera and what it carries or may carry.
func within(v *store.View, cam store.Camera) ([]code.Code, error) {
	m, err := v.Model(cam.Model)
	if err != nil {
		return nil, err
	}
	out := []code.Code{m.Code}
	for _, k := range []struct {
		kind  string
		known code.Code
	}{{"shutter", cam.Shutter}, {"lens", cam.Lens}} {
		if k.known != "" {
			out = append(out, k.known)
			continue
		}
		may, err := v.Carried(m, k.kind)
		if err != nil {
			return nil, err
		}
		out = append(out, may...)
	}
	return out, nil
}

// scopeMeasure reads one window of the index; the other indexed measures and
// the class stand beside each value, so that no part is looked at.
func (f *finder) scopeMeasure() error {
	d := f.indexed()
	if d == 0 {
		return nil
	}
	lo, hi := window(d, f.q.Dims[d])
	s := set{}
	err := f.v.Measured(d, lo, hi, func(m store.Measured) error {
		if !underAny(m.Class, f.q.Class) {
			return nil
		}
		for g, r := range f.q.Dims {
			if in := dim.Of(g); in.Indexed {
				n, ok := m.Dims[g]
				if !ok || closeness(in.For(m.Class), r, n) == far {
					return nil
				}
			}
		}
		s[m.Part] = true
		return nil
	})
	f.narrow(s)
	return err
}

// window is the widest that any class allows.
func window(d dim.Field, r Range) (lo, hi int64) {
	if r.bounded() {
		return r.Lo, r.Hi
	}
	in := dim.Of(d)
	minus, plus := in.NearMinus, in.NearPlus
	for _, c := range words.Classes() {
		x := in.For(c)
		minus, plus = max(minus, x.NearMinus), max(plus, x.NearPlus)
	}
	return r.Want - minus, r.Want + plus
}

// fieldMajor is the thread's diameter in the store's index of measures, in
// nanometres.
const fieldMajor = dim.Field(200)

// nearMajor and nearPitch are how far apart two threads may be read and still
// be one, in nanometres: see [thread.LookAlike].
const (
	nearMajor = 30_000
	nearPitch = 12_000
)

func (f *finder) scopeThread() error {
	cell := f.q.Marks[dim.Thread]
	if cell == "" {
		return nil
	}
	t, err := thread.Parse(cell)
	if err != nil {
		return fmt.Errorf("%w: %w", store.ErrUsage, err)
	}
	s := set{}
	err = f.v.Measured(fieldMajor, t.Major-nearMajor, t.Major+nearMajor, func(m store.Measured) error {
		s[m.Part] = true
		return nil
	})
	f.narrow(s)
	return err
}

func underAny(class string, prefixes []string) bool {
	return len(prefixes) == 0 || slices.ContainsFunc(prefixes, func(p string) bool { return words.Under(class, p) })
}

func (f *finder) ofClass(classes []string) set {
	s := set{}
	for _, c := range classes {
		for _, p := range f.v.PartsOfClass(c, true) {
			s[p] = true
		}
	}
	return s
}

// search follows the words. All terms must be met; an exact code or name is
// a hit by itself.
func (f *finder) search() error {
	if len(f.terms) == 0 {
		for c := range f.base {
			f.hits[c] = &hit{}
		}
		return nil
	}
	f.exact()
	met, err := f.meetAll()
	if err != nil {
		return err
	}
	for c, h := range met {
		if old := f.hits[c]; old != nil {
			old.score = h.score
			continue
		}
		f.hits[c] = h
	}
	return nil
}

// exact finds the part whose code or whole name was typed.
func (f *finder) exact() {
	typed := strings.Join(f.q.Words, " ")
	var list []code.Code
	for _, r := range f.v.Resolve(typed) {
		if r.Kind == "part" {
			list = append(list, r.Code)
		} else {
			f.out.Clash = append(f.out.Clash, r.String())
		}
	}
	for _, c := range append(list, f.v.PartsNamed(words.Fold(typed))...) {
		if f.base == nil || f.base[c] {
			f.hits[c] = &hit{exact: true}
		}
	}
}

// meetAll meets the terms one after the other, plain words first, as they
// leave the fewest.
func (f *finder) meetAll() (map[code.Code]*hit, error) {
	terms := slices.Clone(f.terms)
	slices.SortStableFunc(terms, func(a, b words.Term) int { return cmp.Compare(min(len(a.Class), 1), min(len(b.Class), 1)) })
	met, local := map[code.Code]*hit{}, f.base
	for i, t := range terms {
		now, err := f.meet(t, local)
		if err != nil {
			return nil, err
		}
		local = set{}
		for c, h := range now {
			local[c] = true
			if old := met[c]; old != nil && i > 0 {
				h.score, h.byClass, h.guessed = h.score+old.score, h.byClass || old.byClass, h.guessed || old.guessed
			}
		}
		met = now
	}
	return met, nil
}

// meet finds the parts in local, or all where it is nil, that meet a term: by
// their words, their code, their class, or else by the nearest word.
func (f *finder) meet(t words.Term, local set) (map[code.Code]*hit, error) {
	met := map[code.Code]*hit{}
	if !t.Only {
		for c, s := range f.text(single(t.Tokens), local) {
			met[c] = &hit{score: s}
		}
		f.byCode(t, local, met)
	}
	if err := f.byClass(cmp.Or(joined(t.Class), joined(classesNamed(t))), local, met); err != nil {
		return nil, err
	}
	if len(met) > 0 || len(t.Class) > 0 || len(f.hits) > 0 {
		return met, nil
	}
	return met, f.guess(t, local, met)
}

// joined and parted carry a list of classes as one comparable text.
func joined(classes []string) string { return strings.Join(classes, ";") }
func parted(classes string) []string {
	if classes == "" {
		return nil
	}
	return strings.Split(classes, ";")
}

// classesNamed lists the classes in whose name a plain word stands.
func classesNamed(t words.Term) []string {
	if len(t.Class) > 0 || len(t.Tokens) != 1 {
		return nil
	}
	return classesWith(t.Tokens[0])
}

func classesWith(token string) []string {
	var out []string
	for _, c := range words.Classes() {
		if slices.Contains(words.Tokens(words.ClassName(c)), token) {
			out = append(out, c)
		}
	}
	return out
}

func single(tokens []string) [][]string {
	out := make([][]string, len(tokens))
	for i, t := range tokens {
		out[i] = []string{t}
	}
	return out
}

// text finds the parts that have, of each list, at least one word, and what
// that adds to their score.
func (f *finder) text(lists [][]string, local set) map[code.Code]float64 {
	sum := map[code.Code]float64{}
	for i, alts := range lists {
		now := map[code.Code]float64{}
		for _, w := range alts {
			for c, s := range f.word(w, local) {
				now[c] = max(now[c], s)
			}
		}
		for c := range now {
			now[c] += sum[c]
		}
		sum, local = now, keys(now)
		if i+1 < len(lists) && len(now) == 0 {
			return now
		}
	}
	return sum
}

func keys(m map[code.Code]float64) set {
	s := make(set, len(m))
	for c := range m {
		s[c] = true
	}
	return s
}

// word scores the parts that have one word. Where few parts are left, each is
// asked, and the word's weight is that among them.
func (f *finder) word(w string, local set) map[code.Code]float64 {
	parts, all := f.v.Words()
	var list []store.Posting
	n := int(parts)
	if local != nil && len(local) <= few {
		n = len(local)
		for c := range local {
			if count, of := f.v.HasWord(w, c); count > 0 {
				list = append(list, store.Posting{Part: c, Count: count, Of: of})
			}
		}
	} else {
		list = f.v.WordIn(w)
	}
	idf := words.IDF(min(len(list), n), n)
	avg := float64(all) / float64(max(parts, 1))
	out := make(map[code.Code]float64, min(len(list), max(len(local), few)))
	for _, p := range list {
		if local == nil || local[p.Part] {
			out[p.Part] = words.Score(idf, float64(p.Count), float64(p.Of), avg)
		}
	}
	return out
}

// byCode adds the part whose code the term is.
func (f *finder) byCode(t words.Term, local set, met map[code.Code]*hit) {
	if !words.HasDigit(t.Text) {
		return
	}
	for _, r := range f.v.Resolve(t.Text, "part") {
		if (local == nil || local[r.Code]) && met[r.Code] == nil {
			met[r.Code] = &hit{}
		}
	}
}

// byClass adds the parts of the classes that are not met by their words.
func (f *finder) byClass(classes string, local set, met map[code.Code]*hit) error {
	if classes == "" {
		return nil
	}
	if local == nil || len(local) > few {
		for c := range f.ofClass(parted(classes)) {
			if (local == nil || local[c]) && met[c] == nil {
				met[c] = &hit{byClass: true}
			}
		}
		return nil
	}
	rest := maps.Clone(local)
	maps.DeleteFunc(rest, func(c code.Code, _ bool) bool { return met[c] != nil })
	if len(rest) > handful {
		for _, class := range parted(classes) {
			for _, c := range f.v.PartsOfClassAmong(class, rest) {
				met[c] = &hit{byClass: true}
			}
		}
		return nil
	}
	for c := range rest {
		p, err := f.read(c)
		if err != nil {
			return err
		}
		if underAny(p.Class, parted(classes)) {
			met[c] = &hit{byClass: true}
		}
	}
	return nil
}

// guess takes the words of a term that no part has for the nearest that some
// part has.
func (f *finder) guess(t words.Term, local set, met map[code.Code]*hit) error {
	var lists [][]string
	var classes []string
	guessed := false
	for _, tok := range t.Tokens {
		if f.known(tok) {
			lists = append(lists, []string{tok})
			continue
		}
		near := f.nearest(tok)
		if len(near) == 0 {
			return nil
		}
		guessed = true
		f.out.Fuzzy = append(f.out.Fuzzy, fmt.Sprintf("no exact match for %q; nearest: %s (%s different)", tok, strings.Join(near, ", "), letters(words.Distance(tok, near[0]))))
		lists = append(lists, near)
		for _, w := range near {
			classes = append(classes, classesWith(w)...)
		}
	}
	if !guessed {
		return nil
	}
	for c, s := range f.text(lists, local) {
		met[c] = &hit{score: s}
	}
	if len(t.Tokens) == 1 {
		if err := f.byClass(joined(classes), local, met); err != nil {
			return err
		}
	}
	for _, h := range met {
		h.guessed = true
	}
	return nil
}

// known says whether any part or class has the word.
func (f *finder) known(tok string) bool {
	list := f.v.WordsFrom(tok)
	return len(list) > 0 && list[0] == tok || len(classesWith(tok)) > 0
}

// nearest lists the words that are equally near to one that nobody has.
func (f *finder) nearest(tok string) []string {
	if words.HasDigit(tok) {
		return nil
	}
	all := f.v.WordsFrom("")
	for _, c := range words.Classes() {
		all = append(all, words.Tokens(words.ClassName(c))...)
	}
	near := words.Fuzzy(tok, slices.Values(all))
	for i, w := range near {
		if words.Distance(tok, w) > words.Distance(tok, near[0]) {
			return near[:i]
		}
	}
	return near
}

func letters(n int) string {
	if n == 1 {
		return "one letter"
	}
	return fmt.Sprintf("%d letters", n)
}

// narrowClass leaves what is of a class asked for, where many are left.
func (f *finder) narrowClass() error {
	if len(f.q.Class) == 0 || len(f.hits) <= few || len(f.terms) == 0 {
		return nil
	}
	of := f.ofClass(f.q.Class)
	maps.DeleteFunc(f.hits, func(c code.Code, _ *hit) bool { return !of[c] })
	return nil
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

// byBag says that a part is found by its bags, which then decide.
func (f *finder) byBag() bool { return f.q.Place != "" || f.q.Donor != "" || f.q.Grade != "" }

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

// How close a part's measure is to one asked for.
type closeTo uint8

const (
	far closeTo = iota
	near
	same
)

// closeness compares one measure, bounds inclusive.
func closeness(in dim.Info, r Range, n int64) closeTo {
	d := n - r.Want
	switch {
	case r.bounded() && r.Lo <= n && n <= r.Hi:
		return same
	case r.bounded():
		return far
	case -in.Same <= d && d <= in.SamePlus:
		return same
	case -in.NearMinus <= d && d <= in.NearPlus:
		return near
	}
	return far
}

// measure compares a part with the measures and words asked for. What is not
// recorded is near at best, and an indexed measure must be recorded.
func (f *finder) measure(p store.Part, out *FoundPart) (bool, error) {
	if len(f.q.Dims) == 0 && len(f.q.Marks) == 0 {
		return true, nil
	}
	all, off := same, 0.0
	for _, d := range slices.Sorted(maps.Keys(f.q.Dims)) {
		in, r := dim.Of(d).For(p.Class), f.q.Dims[d]
		n, ok := p.Dims[d]
		if !ok {
			if in.Indexed {
				return false, nil
			}
			all = near
			out.Difference = append(out.Difference, in.Name()+" not recorded")
			continue
		}
		how := closeness(in, r, n)
		if how == far {
			return false, nil
		}
		all = min(all, how)
		if n != r.Want && r.Want != 0 {
			out.Difference = append(out.Difference, difference(in, p.Class, r.Want, n))
			off += math.Pow(float64(n-r.Want)/float64(max(min(in.NearMinus, in.NearPlus), 1)), 2)
		}
	}
	for _, d := range slices.Sorted(maps.Keys(f.q.Marks)) {
		how, err := f.mark(p, d, f.q.Marks[d], out)
		if how == far || err != nil {
			return false, err
		}
		all = min(all, how)
	}
	f.grade(out, all, off)
	return true, nil
}

func (f *finder) grade(out *FoundPart, all closeTo, off float64) {
	out.Match, out.tier = "near", tierNear
	if all == same {
		out.Match, out.tier = "same", tierSame
	}
	out.Score = round(out.Score + 1/(1+off))
}

// difference is one line of how a part differs from what was asked.
func difference(in dim.Info, class string, want, n int64) string {
	s := dim.Format(in.Field, n-want)
	if n > want {
		s = "+" + s
	}
	s = strings.TrimSpace(in.Name() + " " + s + " " + in.Unit)
	switch f := in.Field; {
	case f == dim.Wire && words.Under(class, "SPR") && want > 0:
		// The rate of a spring goes with the fourth power of its wire.
		pct := (math.Pow(float64(n)/float64(want), 4) - 1) * 100
		s += fmt.Sprintf(" (rate %+.0f %%)", pct)
	case (f == dim.LegA || f == dim.LegB) && n-want > in.SamePlus:
		s += " (can be cut)"
	case f == dim.Angle && (n-want > in.SamePlus || want-n > in.Same):
		s += " (can be bent)"
	case f == dim.Length && words.Under(class, "SCR") && n-want > in.SamePlus:
		s += " (can be shortened)"
	}
	return s
}

// mark compares what is told in words. Another hand is never near.
func (f *finder) mark(p store.Part, d dim.Field, want string, out *FoundPart) (closeTo, error) {
	has, in := p.Marks[d], dim.Of(d)
	if has == "" {
		out.Difference = append(out.Difference, in.Name()+" not recorded")
		return near, nil
	}
	switch d {
	case dim.Hand:
		if hand(has) != hand(want) {
			f.trap("%s %s is %s-hand: not the other way round", p.Code, p.Name, hand(has))
			return far, nil
		}
		return same, nil
	case dim.Thread:
		return f.markThread(p, want)
	}
	for _, tok := range words.Tokens(want) {
		if !slices.Contains(words.Tokens(has), tok) {
			return far, nil
		}
	}
	return same, nil
}

func (f *finder) markThread(p store.Part, want string) (closeTo, error) {
	t, err := thread.Parse(want)
	if err != nil {
		return far, fmt.Errorf("%w: %w", store.ErrUsage, err)
	}
	has, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		return far, nil
	}
	apart, pitch := max(t.Major-has.Major, has.Major-t.Major), max(t.Pitch-has.Pitch, has.Pitch-t.Pitch)
	if apart > nearMajor || pitch > nearPitch {
		return far, nil
	}
	if thread.Differs(t.Form, has.Form) || t.Left != has.Left {
		f.trap("%s %s reads the same and is another thread: %s", p.Code, p.Name, has)
		return far, nil
	}
	if apart == 0 && pitch == 0 && has.Form != thread.Unknown {
		return same, nil
	}
	return near, nil
}

// hand reads left or right in any of its spellings.
func hand(s string) string {
	switch w := words.Fold(s); {
	case strings.HasPrefix(w, "l"):
		return "left"
	case strings.HasPrefix(w, "r"):
		return "right"
	default:
		return w
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

// stock adds what the part has, and its own bags in the answer.
func (f *finder) stock(out *FoundPart) error {
	fig, err := f.v.Figure(out.Part)
	if err != nil {
		return err
	}
	out.OnHand, out.Free = fig.OnHand(), fig.Free()
	if f.bags != nil {
		out.Bags = append(out.Bags, f.bags[out.Part]...)
	} else if out.OnHand != 0 && f.byBag() {
		if err := f.lines(out); err != nil {
			return err
		}
	}
	slices.SortFunc(out.Bags, bestBag)
	return nil
}

func bestBag(a, b BagLine) int {
	return cmp.Or(cmp.Compare(min(b.Free, 1), min(a.Free, 1)), cmp.Compare(ways.Grade(a.Grade), ways.Grade(b.Grade)), cmp.Compare(a.Bag, b.Bag))
}

// lines reads the bags of a part that hold something.
func (f *finder) lines(out *FoundPart) error {
	list, err := linesOf(f.v, out.Part, f.shows)
	out.Bags = append(out.Bags, list...)
	return err
}

// linesOf reads those bags of a part that are shown, without looking into a
// bag that has no note.
func linesOf(v *store.View, part code.Code, shows func(BagLine) bool) ([]BagLine, error) {
	all, err := v.LinesOf(part)
	var out []BagLine
	for _, l := range all {
		b := BagLine{Bag: l.Bag, OnHand: l.OnHand, Free: l.Free(), Held: l.Held, Lent: l.Lent, Unit: l.Unit, Grade: l.Grade,
			Place: l.Place, Origin: l.Origin, Owner: l.Owner, About: l.About}
		if !shows(b) {
			continue
		}
		if l.Noted {
			rec, err := v.Bag(l.Bag)
			if err != nil {
				return out, err
			}
			b.Note = rec.Note
		}
		out = append(out, b)
	}
	return out, err
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

// dimsOf is a part's measures for JSON: millimetres, degrees, turns, grams, or
// words.
func dimsOf(p store.Part) map[string]any {
	out := make(map[string]any, len(p.Dims)+len(p.Marks))
	for d, n := range p.Dims {
		out[dim.Of(d).Key] = dim.Number(d, n)
	}
	for d, s := range p.Marks {
		out[dim.Of(d).Key] = s
	}
	return out
}
