package ask

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"

	"tinful/store"
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

// scopeMeasure reads one window of the index; the other indexed measures and
// the class stand beside each value, so that no part is looked at. Parts on which
// one of the measures was not taken are told only where no other is left: each
// may be the one, and there are many.
func (f *finder) scopeMeasure() error {
	d := f.indexed()
	if d == 0 {
		return nil
	}
	lo, hi := window(d, f.q.Dims[d])
	s, maybe := set{}, set{}
	err := f.v.Measured(d, lo, hi, func(m store.Measured) error {
		class := m.Class()
		if !underAny(class, f.q.Class) {
			return nil
		}
		into := s
		for g, r := range f.q.Dims {
			if in := dim.Of(g); in.Indexed {
				n, ok := m.Dim(g)
				if !ok && !ofKind(class, g) || ok && closeness(in.For(class), r, n) == far {
					return nil
				}
				if !ok {
					into = maybe
				}
			}
		}
		into[m.Part()] = true
		return nil
	})
	if f.untold {
		maps.Copy(s, maybe)
	} else {
		f.left = f.leaves(maybe)
	}
	f.narrow(s)
	return err
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
// and the hand of any coil spring may be told too.
func mayHave(class string, d dim.Field) bool {
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
	od, wire := p.Dims[dim.OD], p.Dims[dim.Wire]
	if !ok && d == dim.ID && words.Under(p.Class, "SPR") && od > 2*wire && wire > 0 {
		return od - 2*wire, true
	}
	return n, ok
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
	return r.Want - minus - r.Spread, r.Want + plus + r.Spread
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
		return store.Misread("%w", err)
	}
	s := set{}
	lo, hi := t.Major-nearMajor-f.threadSpread(), t.Major+nearMajor+f.threadSpread()
	if t.Form == thread.Unknown {
		lo2, hi2 := f.reading(t).Window()
		lo, hi = min(lo, lo2), max(hi, hi2)
	}
	err = f.v.Measured(fieldMajor, lo, hi, func(m store.Measured) error {
		s[m.Part()] = true
		return nil
	})
	f.narrow(s)
	return err
}

// How close a part's measure is to one asked for.
type closeTo uint8

const (
	far closeTo = iota
	near
	same
)

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

// unknownOff is how far from what was asked a measure counts that is not
// recorded: behind all that are near.
const unknownOff = 4

// measure compares a part with the measures and words asked for. What is not
// recorded is near at best, and must be where it does not tell such parts apart.
func (f *finder) measure(p store.Part, out *FoundPart) (bool, error) {
	if len(f.q.Dims) == 0 && len(f.q.Marks) == 0 {
		return true, nil
	}
	all, off := same, 0.0
	if legs, turned := f.turned(p); turned {
		p, all = legs, near
		out.Difference = append(out.Difference, "its legs the other way about")
	}
	for _, d := range slices.Sorted(maps.Keys(f.q.Dims)) {
		in, r := dim.Of(d).For(p.Class), f.q.Dims[d]
		n, ok := measured(p, d)
		if !ok {
			if !mayHave(p.Class, d) || d == f.indexed() {
				return false, nil
			}
			all, off = near, off+unknownOff
			out.Difference = append(out.Difference, in.Name()+" not recorded")
			continue
		}
		how := closeness(in, r, n)
		if how == far {
			return false, nil
		}
		all = min(all, how)
		if n != r.Want && r.Want != 0 {
			wide := widened(in, r)
			out.Difference = append(out.Difference, difference(in, p.Class, r.Want, n))
			off += math.Pow(float64(n-r.Want)/float64(max(min(wide.NearMinus, wide.NearPlus), 1)), 2)
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

// turned is a torsion spring with its legs exchanged, where they come near what
// was asked only so: turned over it keeps its hand, and which leg is A is a matter
// of how it lay.
func (f *finder) turned(p store.Part) (store.Part, bool) {
	a, okA := p.Dims[dim.LegA]
	b, okB := p.Dims[dim.LegB]
	if !okA || !okB || !words.Under(p.Class, "SPR-TOR") {
		return p, false
	}
	comesNear := func(legs map[dim.Field]int64) bool {
		for d, n := range legs {
			if r, ok := f.q.Dims[d]; ok && closeness(dim.Of(d).For(p.Class), r, n) == far {
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
	s = strings.TrimSpace(in.Name() + " " + s + " " + strings.TrimPrefix(in.Unit, "mm")) // a bare number is millimetres
	switch f := in.Field; {
	case words.Under(class, "SPR") && stiffer(in.Field, want, n) != "":
		s += ", " + stiffer(in.Field, want, n)
	case (f == dim.LegA || f == dim.LegB) && n-want > in.SamePlus:
		s += ", can be cut"
	case f == dim.Angle && (n-want > in.SamePlus || want-n > in.Same):
		s += ", can be bent"
	case f == dim.Length && words.Under(class, "SCR") && n-want > in.SamePlus:
		s += ", can be shortened"
	case (f == dim.Shoulder || f == dim.ShoulderLength) && (n-want > in.SamePlus || want-n > in.Same):
		s += ", with rework"
	}
	return s
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

// mark compares what is told in words. Another hand is never near.
func (f *finder) mark(p store.Part, d dim.Field, want string, out *FoundPart) (closeTo, error) {
	has, in := p.Marks[d], dim.Of(d)
	if has == "" {
		if !mayHave(p.Class, d) {
			return far, nil
		}
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
		return f.markThread(p, want, out)
	}
	for _, tok := range words.Tokens(want) {
		if !slices.Contains(words.Tokens(has), tok) {
			return far, nil
		}
	}
	return same, nil
}

// markThread compares threads. Without a form the parts are told apart by
// theirs: what reads the same is the same only within one form.
func (f *finder) markThread(p store.Part, want string, out *FoundPart) (closeTo, error) {
	t, err := thread.Parse(want)
	if err != nil {
		return far, store.Misread("%w", err)
	}
	has, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		return far, nil
	}
	how, apart := f.threadClose(t, has)
	if how == far {
		return far, nil
	}
	told := t.Left || t.Form != thread.Unknown // where nothing is told of it, both hands come apart
	if thread.Differs(t.Form, has.Form) || told && t.Left != has.Left {
		f.trap("%s %s reads the same and is another thread: %s", p.Code, p.Name, loud(has))
		return far, nil
	}
	if t.Form == thread.Unknown {
		out.Form = thread.FormName(has.Form)
		if has.Left && !t.Left {
			out.Form += ", LEFT-HAND"
		}
	}
	if apart != "" {
		out.Difference = append(out.Difference, apart)
	}
	return how, nil
}

// threadClose says how close a thread comes to the one asked for, and in words
// what differs. A size with its form is taken by its name. Without a form it is
// what was read of a screw, and a screw measures less than it is called.
func (f *finder) threadClose(t, has thread.Thread) (how closeTo, apart string) {
	major, pitch := max(t.Major-has.Major, has.Major-t.Major), max(t.Pitch-has.Pitch, has.Pitch-t.Pitch)
	switch {
	case major == 0 && pitch == 0 && has.Form != thread.Unknown:
		return same, ""
	case major == 0 && pitch == 0:
		return near, ""
	case major <= nearMajor+f.threadSpread() && pitch <= nearPitch:
	case t.Form != thread.Unknown:
		return far, ""
	default:
		if _, ok := f.reading(t).Match(has); !ok {
			return far, ""
		}
	}
	l := has.Screw().Major
	return near, fmt.Sprintf("thread %s: a new one measures %s to %s", has, thread.Micro(l.Min), thread.Micro(l.Max))
}

// reading is a thread without a form as it was read.
func (f *finder) reading(t thread.Thread) thread.Reading {
	return thread.Reading{Diameter: t.Major, Spread: nearMajor + f.threadSpread(), Pitch: t.Pitch, PitchSpread: nearPitch}
}

// loud is a thread with a left hand that cannot be overlooked.
func loud(t thread.Thread) string {
	if left, ok := strings.CutSuffix(t.String(), " LH"); ok {
		return left + " LEFT-HAND"
	}
	return t.String()
}

// threadSpread widens the diameter of a thread by what the tool may be off, in
// nanometres.
func (f *finder) threadSpread() int64 { return dim.Wider(f.q.Tool, dim.Thread) * 1000 }

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
