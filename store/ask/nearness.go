package ask

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// How close a part's measure is to one asked for.
type closeTo uint8

const (
	far closeTo = iota
	near
	same
)

// Kinds of differences: what a part measures otherwise than was asked, and what
// would have to be done to it.
const (
	Measures   store.ReasonKind = "measure"      // it measures otherwise
	ByMeasure  store.ReasonKind = "by"           // which of its measures one number was
	Unmeasured store.ReasonKind = "not-recorded" // what was asked is not recorded of it
	Turned     store.ReasonKind = "turned"       // its legs the other way about
	ToCut      store.ReasonKind = "cut"          // a leg is to be cut
	ToBend     store.ReasonKind = "bend"
	ToShorten  store.ReasonKind = "shorten"
	ToRework   store.ReasonKind = "rework"
)

// A nearness is what comes out of one part held against the measures asked for.
type nearness struct {
	how         closeTo
	off         float64 // how far apart, 0 for equal; greater is farther
	form        string  // of its thread, where the form was not asked for
	left        bool    // that thread is left-hand, which was not asked for
	differences store.Reasons
	work        []string     // what is to be done to it: shorten by 0.8
	trap        store.Reason // why it does not answer though it measures so; without a kind, none
}

// match is the word for it in an answer.
func (c closeTo) match() string { return [...]string{far: "", near: "near", same: "same"}[c] }

// LikePart asks for what measures as a part does and has its class, seat, hand and
// thread. It is false for a part of which fewer than two of the measures that tell
// its kind are recorded: one alone leads to too much.
func LikePart(p store.Part) (Query, bool) {
	q := Query{Class: []string{p.Class}, Seat: &p.Seat, Dims: map[dim.Field]Range{}, Marks: map[dim.Field]string{}}
	for _, f := range append(slices.Clone(dim.Order(p.Class)), dim.Hand) {
		if x, ok := p.Dims[f]; ok {
			q.Dims[f] = Range{Want: x}
		}
		if w := p.Marks[f]; w != "" {
			q.Marks[f] = w
		}
	}
	return q, p.Class != "" && len(q.Dims)+len(q.Marks) > 1 && (len(q.Dims) > 0 || q.Marks[dim.Thread] != "")
}

// measures says whether anything is asked that a part is held against.
func (q Query) measures() bool { return len(q.Dims) > 0 || len(q.Marks) > 0 || q.Seat != nil }

// against holds a part against the measures, as its class has them, and words asked for.
// What is not recorded is near at best, and must be where it does not tell such parts
// apart. It is an error where the thread asked for cannot be read.
func (q Query) against(p store.Part, held []gauge) (nearness, error) {
	x := nearness{how: same}
	if q.Seat != nil && words.Fold(*q.Seat) != words.Fold(p.Seat) {
		return nearness{}, nil
	}
	if legs, turned := q.turned(p); turned {
		p = legs
		x.differs(near, Turned, "its legs the other way about")
	}
	for i := range held {
		if x.dimension(p, &held[i]); x.how == far {
			return x, nil
		}
	}
	for _, d := range slices.Sorted(maps.Keys(q.Marks)) {
		if err := q.mark(p, d, &x); err != nil || x.how == far {
			return x, err
		}
	}
	return x, nil
}

// differs notes what differs, and how close the part is at best.
func (x *nearness) differs(how closeTo, kind store.ReasonKind, text string) {
	x.how = min(x.how, how)
	x.differences = append(x.differences, store.Reason{Kind: kind, Text: text})
}

// misses is a part that does not answer though it measures so.
func (x *nearness) misses(kind store.ReasonKind, p store.Part, format string, args ...any) {
	x.how = far
	x.trap = store.Say(kind, "%s %s "+format, append([]any{p.Code, p.Name}, args...)...).Of(p.Code)
}

// unknownOff is how far from what was asked a measure counts that is not
// recorded: behind all that are near.
const unknownOff = 4

// dimension compares one measure.
func (x *nearness) dimension(p store.Part, g *gauge) {
	n, ok := measured(p, g.in.Field)
	switch {
	case !ok && g.sure:
		x.how = far
		return
	case !ok:
		x.off += unknownOff
		x.differs(near, Unmeasured, g.in.Name()+" not recorded")
		return
	}
	how, want := within(&g.wide, g.r, n), g.r.Want
	x.how = min(x.how, how)
	if how == far || n == want || want == 0 {
		return
	}
	x.off += math.Pow(float64(n-want)/float64(max(min(g.wide.NearMinus, g.wide.NearPlus), 1)), 2)
	differs, work := difference(g.in, p.Class, want, n)
	x.differences = append(x.differences, differs)
	if work != "" {
		x.work = append(x.work, work)
	}
}

// difference says how a measure differs from what was asked, and what can be done
// about it, if anything.
func difference(in dim.Info, class string, want, n int64) (differs store.Reason, work string) {
	by := strings.TrimSpace(dim.Format(in.Field, max(n-want, want-n)) + " " + strings.TrimPrefix(in.Unit, "mm")) // a bare number is millimetres
	text := in.Name() + " " + map[bool]string{true: "+", false: "-"}[n > want] + by
	if s := stiffer(in.Field, want, n); s != "" && words.Under(class, "SPR") {
		text += ", " + s
	}
	differs.Kind = Measures
	long, other := n-want > in.SamePlus, n-want > in.SamePlus || want-n > in.Same
	for _, can := range []struct {
		is   bool
		kind store.ReasonKind
		said string // of the part
		work string
	}{
		{long && (in.Field == dim.LegA || in.Field == dim.LegB), ToCut, "can be cut", "cut " + in.Name() + " by " + by},
		{other && in.Field == dim.Angle, ToBend, "can be bent", "bend its legs by " + by},
		{long && in.Field == dim.Length && words.Under(class, "SCR"), ToShorten, "can be shortened", "shorten by " + by},
		{other && (in.Field == dim.Shoulder || in.Field == dim.ShoulderLength), ToRework, "with rework", in.Name() + " to be reworked by " + by},
	} {
		if can.is {
			differs.Kind, text, work = can.kind, text+", "+can.said, can.work
		}
	}
	differs.Text = text
	return differs, work
}

// mark compares what is told in words. Another hand is never near.
func (q Query) mark(p store.Part, d dim.Field, x *nearness) error {
	want, has := q.Marks[d], p.Marks[d]
	if d == dim.Hand {
		has = handOf(p)
	}
	told := len(q.Dims) > 0 || q.Marks[dim.Thread] != "" // else it was not measured
	switch {
	case d == dim.Hand && !told:
		if has != hand(want) {
			x.how = far
		}
	case has == "" && !mayHave(p.Class, d):
		x.how = far
	case has == "":
		x.differs(near, Unmeasured, dim.Of(d).Name()+" not recorded")
	case d == dim.Hand && has != hand(want):
		x.misses(OtherHand, p, "is %s-hand: not the other way round", has)
	case d == dim.Hand:
	case d == dim.Thread:
		return q.thread(p, x)
	default:
		lacks := func(tok string) bool { return !slices.Contains(words.Tokens(has), tok) }
		if slices.ContainsFunc(words.Tokens(want), lacks) {
			x.how = far
		}
	}
	return nil
}

// thread compares threads. Without a form the parts are told apart by theirs: what
// reads the same is the same only within one form.
func (q Query) thread(p store.Part, x *nearness) error {
	t, err := thread.Parse(q.Marks[dim.Thread])
	if err != nil {
		return store.Misread("%w", err)
	}
	has, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		x.how = far
		return nil
	}
	how, apart := q.threadClose(t, has)
	if x.how = min(x.how, how); how == far {
		return nil
	}
	told := t.Left || t.Form != thread.Unknown // where nothing is told of it, both hands come apart
	if thread.Differs(t.Form, has.Form) || told && t.Left != has.Left {
		x.misses(OtherThread, p, "reads the same and is another thread: %s", loud(has))
		return nil
	}
	if t.Form == thread.Unknown {
		x.form, x.left = thread.FormName(has.Form), has.Left && !t.Left
	}
	if apart != "" {
		x.differs(how, Measures, apart)
	}
	return nil
}

// threadClose says how close a thread comes to the one asked for, and in words
// what differs. A size with its form is taken by its name. Without a form it is
// what was read of a screw, and a screw measures less than it is called.
func (q Query) threadClose(t, has thread.Thread) (how closeTo, apart string) {
	major, pitch := abs(t.Major-has.Major), abs(t.Pitch-has.Pitch)
	switch {
	case major == 0 && pitch == 0 && has.Form != thread.Unknown:
		return same, ""
	case major == 0 && pitch == 0:
		return near, ""
	case major <= nearMajor+q.threadSpread() && pitch <= nearPitch:
	case t.Form != thread.Unknown:
		return far, ""
	default:
		if _, ok := q.reading(t).Match(has); !ok {
			return far, ""
		}
	}
	return near, fmt.Sprintf("thread %s: %s", has, has.Outside())
}

// reading is a thread without a form as it was read.
func (q Query) reading(t thread.Thread) thread.Reading {
	return thread.Reading{Diameter: t.Major, Spread: nearMajor + q.threadSpread(), Pitch: t.Pitch, PitchSpread: nearPitch}
}

// threadSpread widens the diameter of a thread by what the tool may be off, in
// nanometres.
func (q Query) threadSpread() int64 { return dim.Wider(q.Tool, dim.Thread) * 1000 }

// loud is a thread with a left hand that cannot be overlooked.
func loud(t thread.Thread) string {
	if !t.Left {
		return t.String()
	}
	t.Left = false
	return t.String() + " LEFT-HAND"
}
