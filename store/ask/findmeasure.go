package ask

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A Range is one measure asked for, in the unit of its field. With Lo and Hi
// both zero, what is accepted follows from Want by the table of dimensions;
// otherwise the part's value must lie from Lo to Hi, bounds inclusive, and Want
// is what differences are told from. Spread widens what the table accepts, by
// what the tool of the reading may be off.
type Range struct{ Lo, Hi, Want, Spread int64 }

func (r Range) bounded() bool { return r.Lo != 0 || r.Hi != 0 }

// spread widens measures by what the tool they were read with may be off.
func spread(dims map[dim.Field]Range, tool string) map[dim.Field]Range {
	if tool == "" {
		return dims
	}
	out := make(map[dim.Field]Range, len(dims))
	for d, r := range dims {
		r.Spread = dim.Wider(tool, d)
		out[d] = r
	}
	return out
}

// indexed is the measure that a part has to have, and by which the index is read for
// those that lack another: the outside first.
func (q Query) indexed() dim.Field {
	if all := q.allIndexed(); len(all) > 0 {
		return all[0]
	}
	return 0
}

func (q Query) allIndexed() []dim.Field {
	all := []dim.Field{dim.OD, dim.FreeLength, dim.Length, dim.Wire, dim.Thick}
	return slices.DeleteFunc(all, func(d dim.Field) bool { _, ok := q.Dims[d]; return !ok })
}

// scopeMeasure reads one window of the index; the other indexed measures and
// the class stand beside each value, so that no part is looked at. Parts on which
// one of the measures was not taken are told only where no other is left: each
// may be the one, and there are many. They are looked for then: those that have all of
// the measures lie in the window of each.
func (f *finder) scopeMeasure() {
	all := f.q.allIndexed()
	if len(all) == 0 {
		return
	}
	in := make([]store.Window, len(all))
	for i, d := range all {
		lo, hi := window(d, f.q.Dims[d])
		in[i] = store.Window{Field: d, Lo: lo, Hi: hi}
	}
	some := len(all) > 1 && !f.untold
	s, maybe := set{}, set{}
	asked := func(class string) bool { return class == "" || underAny(class, f.q.Class) }
	f.v.keep(f.v.MeasuredIn(in, some, asked, func(m store.Measured) error {
		switch found, missing := admit(f.gauges(m.Class()), m); {
		case !found:
		case missing:
			maybe[m.Part()] = true
		default:
			s[m.Part()] = true
		}
		return nil
	}))
	switch {
	case f.untold:
		maps.Copy(s, maybe)
	case some:
		f.left = true // there may be
	default:
		f.left = f.leaves(maybe)
	}
	f.narrow(s)
}

// A gauge is what a part of one class is held against: one measure that was asked for.
type gauge struct {
	in, wide dim.Info // wide has the spread of what was asked
	r        Range
	must     bool // a part of the class that lacks the measure is another one
	sure     bool // so is one that is found without it, by what else is asked for
}

// gauges are the measures that parts of a class are held against, in the order of their
// fields.
func (q Query) gauges(class string) (list []gauge) {
	for _, field := range slices.Sorted(maps.Keys(q.Dims)) {
		in, r := dim.Of(field).For(class), q.Dims[field]
		list = append(list, gauge{in: in, wide: widened(in, r), r: r, must: class != "" && !ofKind(class, field),
			sure: !mayHave(class, field) || field == q.indexed()})
	}
	return list
}

// gauges are made once for a class.
func (f *finder) gauges(class string) []gauge {
	list, ok := f.held[class]
	if !ok {
		list = f.q.gauges(class)
		f.held[class] = list
	}
	return list
}

// admit says whether a part may be meant by its indexed measures, and whether one of them
// is missing.
func admit(held []gauge, m store.Measured) (found, missing bool) {
	for i := range held {
		g := &held[i]
		if !g.in.Indexed {
			continue
		}
		n, ok := m.Dim(g.in.Field)
		if !ok && g.must || ok && within(&g.wide, g.r, n) == far {
			return false, false
		}
		missing = missing || !ok
	}
	return true, missing
}

// leaves says whether anything of the base is in s.
func (f *finder) leaves(s set) bool {
	if f.base == nil {
		return len(s) > 0
	}
	for c := range s {
		if f.base[c] {
			return true
		}
	}
	return false
}

// ofKind says whether a measure tells parts of a class from each other, so that
// one whose measure is not recorded may be the part asked for.
func ofKind(class string, d dim.Field) bool { return slices.Contains(dim.Order(class), d) }

// mayHave says whether a part of a class may have a measure that is not recorded
// of it: one that tells its kind, or one that tells none. The inside of a coil
// and the hand of any coil spring may be told too, and the hand of a thread.
func mayHave(class string, d dim.Field) bool {
	if class == "" || d == dim.Hand && ofKind(class, dim.Thread) {
		return true
	}
	if words.Under(class, "SPR-EXT") || words.Under(class, "SPR-CMP") || words.Under(class, "SPR-TOR") {
		if d == dim.Hand || d == dim.ID {
			return true
		}
	}
	return ofKind(class, d) || !kindMeasures()[d]
}

// kindMeasures are the measures by which some kind is told.
var kindMeasures = sync.OnceValue(func() map[dim.Field]bool {
	out := map[dim.Field]bool{}
	for _, class := range dim.Ordered() {
		for _, d := range dim.Order(class) {
			out[d] = true
		}
	}
	return out
})

// measured is a measure of a part. The inside of a coil that is not recorded is
// its outside less the wire on either side.
func measured(p store.Part, d dim.Field) (int64, bool) {
	n, ok := p.Dims[d]
	if ok || d != dim.ID || !words.Under(p.Class, "SPR") {
		return n, ok
	}
	od, wire := p.Dims[dim.OD], p.Dims[dim.Wire]
	return od - 2*wire, od > 2*wire && wire > 0
}

// window is the widest that any class allows.
func window(d dim.Field, r Range) (lo, hi int64) {
	if r.bounded() {
		return r.Lo, r.Hi
	}
	in := widest()[d]
	return r.Want - in.NearMinus - r.Spread, r.Want + in.NearPlus + r.Spread
}

// widest are the indexed measures with the most that any class allows.
var widest = sync.OnceValue(func() map[dim.Field]dim.Info {
	out, classes := map[dim.Field]dim.Info{}, words.Classes()
	for _, in := range dim.Table() {
		if !in.Indexed {
			continue
		}
		for _, c := range classes {
			x := in.For(c)
			in.NearMinus, in.NearPlus = max(in.NearMinus, x.NearMinus), max(in.NearPlus, x.NearPlus)
		}
		out[in.Field] = in
	}
	return out
})

// fieldMajor is the thread's diameter in the store's index of measures, in
// nanometres.
const fieldMajor = dim.Field(200)

// nearMajor and nearPitch are how far apart two threads may be read and still
// be one, in nanometres: see [thread.LookAlike].
const (
	nearMajor = 30_000
	nearPitch = 12_000
)

func (f *finder) scopeThread() {
	cell := f.q.Marks[dim.Thread]
	if cell == "" {
		return
	}
	t, err := thread.Parse(cell)
	if err != nil {
		f.v.keep(store.Misread("%w", err))
		return
	}
	s := set{}
	lo, hi := t.Major-nearMajor-f.q.threadSpread(), t.Major+nearMajor+f.q.threadSpread()
	if t.Form == thread.Unknown {
		lo2, hi2 := f.q.reading(t).Window()
		lo, hi = min(lo, lo2), max(hi, hi2)
	}
	f.v.keep(f.v.Measured(fieldMajor, lo, hi, func(m store.Measured) error {
		s[m.Part()] = true
		return nil
	}))
	f.narrow(s)
}

// A weight is the same within a twentieth and near within a fifth: two pieces
// of one drawing differ by plating, oil and wear (common practice, no source).
const (
	sameMass = 20
	nearMass = 5
)

// balanceDigit is the last digit of the balance that showed a weight, in micrograms:
// what reads 0.01 g weighs 5 to 15 mg, what reads 0.007 g was on a finer one.
func balanceDigit(want int64) int64 {
	for _, digit := range []int64{10_000, 1_000} {
		if want%digit == 0 {
			return digit
		}
	}
	return 0
}

// widened is a measure with the tolerances that hold for one reading.
func widened(in dim.Info, r Range) dim.Info {
	if in.Kind == dim.KindMass {
		digit := balanceDigit(r.Want)
		in.Same, in.NearMinus = max(r.Want/sameMass, digit/2), max(r.Want/nearMass, digit)
		in.SamePlus, in.NearPlus = in.Same, in.NearMinus
	}
	in.Same, in.SamePlus = in.Same+r.Spread, in.SamePlus+r.Spread
	in.NearMinus, in.NearPlus = in.NearMinus+r.Spread, in.NearPlus+r.Spread
	return in
}

// closeness compares one measure, bounds inclusive.
func closeness(in dim.Info, r Range, n int64) closeTo {
	in = widened(in, r)
	return within(&in, r, n)
}

// within is closeness by limits that have the spread already.
func within(in *dim.Info, r Range, n int64) closeTo {
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

// measure leaves out what does not measure as was asked, and says of the rest how
// it differs.
func (f *finder) measure(p store.Part, out *FoundPart) bool {
	if !f.q.measures() {
		return true
	}
	x, err := f.q.against(p, f.gauges(p.Class))
	f.v.keep(err)
	if x.trap.Kind != "" {
		f.trap(x.trap)
	}
	if err != nil || x.how == far {
		return false
	}
	if len(f.q.Dims) == 0 && len(f.q.Marks) == 1 && f.q.Marks[dim.Hand] != "" && f.q.Seat == nil {
		return true // the hand alone measures nothing
	}
	out.Match, out.tier = x.how.match(), map[closeTo]int{same: tierSame, near: tierNear}[x.how]
	out.Difference, out.Work, out.Form, out.left = x.differences, strings.Join(x.work, ", "), x.form, x.left
	if x.left {
		out.Form += ", LEFT-HAND"
	}
	out.Score = round(out.Score + 1/(1+x.off))
	return true
}

// turned is a torsion spring with its legs exchanged, where they come near what
// was asked only so: turned over it keeps its hand, and which leg is A is a matter
// of how it lay.
func (q Query) turned(p store.Part) (store.Part, bool) {
	if !words.Under(p.Class, "SPR-TOR") {
		return p, false
	}
	a, okA := p.Dims[dim.LegA]
	b, okB := p.Dims[dim.LegB]
	if !okA || !okB {
		return p, false
	}
	comesNear := func(legs map[dim.Field]int64) bool {
		for d, n := range legs {
			if r, ok := q.Dims[d]; ok && closeness(dim.Of(d).For(p.Class), r, n) == far {
				return false
			}
		}
		return true
	}
	other := map[dim.Field]int64{dim.LegA: b, dim.LegB: a}
	if comesNear(map[dim.Field]int64{dim.LegA: a, dim.LegB: b}) || !comesNear(other) {
		return p, false
	}
	p.Dims = maps.Clone(p.Dims)
	maps.Copy(p.Dims, other)
	return p, true
}

// stiffer says how much more or less force a spring gives for one measure that
// differs: the rate goes with the fourth power of the wire and falls with the
// number of coils (k = G d^4 / (8 D^3 n), published in every handbook of
// springs; torsion springs alike). It is empty below one per cent.
func stiffer(f dim.Field, want, n int64) string {
	if want <= 0 || n <= 0 {
		return ""
	}
	ratio := 1.0
	switch f {
	case dim.Wire, dim.Thick:
		ratio = math.Pow(float64(n)/float64(want), 4)
		if f == dim.Thick { // strip bends with the third power
			ratio = math.Pow(float64(n)/float64(want), 3)
		}
	case dim.Coils:
		ratio = float64(want) / float64(n)
	}
	switch pct := math.Round((ratio - 1) * 100); {
	case pct >= 1:
		return fmt.Sprintf("about %.0f %% stiffer", pct)
	case pct <= -1:
		return fmt.Sprintf("about %.0f %% softer", -pct)
	}
	return ""
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

// handOf is the hand of a part: of its coil or teeth, else of its thread; empty where
// it is not known.
func handOf(p store.Part) string {
	switch {
	case p.Marks[dim.Hand] != "":
		return hand(p.Marks[dim.Hand])
	case leftThread(p):
		return "left"
	case p.Marks[dim.Thread] != "":
		return "right"
	}
	return ""
}

// leftThread says whether a part has a left-hand thread, by its record or its name.
func leftThread(p store.Part) bool {
	return store.LeftHand(p) != "" || p.Marks[dim.Thread] == "" && !words.Under(p.Class, "SPR") && called(p, leftNames())
}

var leftNames = sync.OnceValue(func() [][]string { return words.NamesOf([]string{"SCR-LH"}) })

// leftHand takes the words for a left-hand thread out of a question: whatever else it
// asks for, it asks for the hand. "left-hand" alone may be that of a coil too.
func (f *finder) leftHand() {
	isLeft := func(t words.Term) bool { return slices.Contains(t.Class, "SCR-LH") }
	byClass := len(f.q.Class) == 1 && f.q.Class[0] == "SCR-LH"
	if !byClass && !slices.ContainsFunc(f.terms, isLeft) || f.q.Marks[dim.Hand] != "" {
		return
	}
	if byClass {
		f.q.Class, f.thread = nil, true
	}
	f.q.Marks = maps.Clone(f.q.Marks)
	if f.q.Marks == nil {
		f.q.Marks = map[dim.Field]string{}
	}
	f.q.Marks[dim.Hand] = "left"
	for _, t := range f.terms {
		f.thread = f.thread || isLeft(t) && words.Fold(t.Text) != "left hand"
	}
	f.terms = slices.DeleteFunc(f.terms, isLeft)
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

// FindByAny finds the parts that have a length nobody named, by every measure that parts
// are looked up by. as asks for it as a measure, and tells whether it can be one.
func FindByAny(v *store.View, q Query, as func(*Query, dim.Info) bool) (Found, error) {
	found := Found{Parts: []FoundPart{}}
	seen := map[code.Code]bool{}
	for _, in := range dim.Table() {
		by := q
		by.Words, by.Dims = nil, map[dim.Field]Range{}
		if !in.Indexed || !as(&by, in) {
			continue
		}
		more, err := Find(v, by)
		if err != nil {
			return found, err
		}
		for _, p := range more.Parts {
			if !seen[p.Part] {
				seen[p.Part] = true
				p.Difference = append(store.Reasons{{Kind: ByMeasure, Text: "by its " + in.Name()}}, p.Difference...)
				found.Parts = append(found.Parts, p)
			}
		}
		found.Traps = append(found.Traps, more.Traps...)
	}
	slices.SortStableFunc(found.Parts, func(a, b FoundPart) int { return cmp.Compare(b.Match, a.Match) }) // same before near
	return found, nil
}
