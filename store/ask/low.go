package ask

import (
	"cmp"
	"errors"
	"maps"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/reorder"
)

// A LowQuery asks what runs short.
type LowQuery struct {
	Place code.Code // only parts that have a bag there
	Model code.Code // only parts that go into it or into what it may carry
	Today code.Day
	// Detail is how many lines are told whole, the worst ones: the book of a part is
	// read for these alone. 0 is all.
	Detail int
}

// A LowAnswer is the answer of [Low].
type LowAnswer struct {
	Low   []LowLine `json:"low"`
	Rest  ShortList `json:"-"`           // what is short and no line of Low, where some are told whole alone
	Short int       `json:"short_parts"` // lines that have less than to keep
	// Only says that there are so many of these that nothing else was looked for.
	Only bool `json:"-"`
	// Last are parts of which one is left that take longer to find than usual and are in
	// no line: nobody said how many to keep.
	Last []LastOne `json:"last"`
}

// A LastOne is a part of which one is left.
type LastOne struct {
	Part  code.Code `json:"part"`
	Name  string    `json:"name"`
	Left  string    `json:"left_hand,omitempty"`
	Weeks int64     `json:"weeks"` // to find another
}

// A LowLine is a part that runs short, or is likely to.
type LowLine struct {
	Part    code.Code `json:"part"`
	Name    string    `json:"name"`
	Left    string    `json:"left_hand,omitempty"` // LEFT-HAND, loosens clockwise
	Free    int64     `json:"free"`
	Keep    *int64    `json:"keep,omitempty"`
	Level   *int64    `json:"level,omitempty"`    // so many last with 95 %, by the jobs as they were
	Jobs    int64     `json:"jobs"`               // that took it or asked for it in vain
	Pieces  int64     `json:"pieces"`             // that all of them wanted
	BuyWhen *int64    `json:"buy_when,omitempty"` // look for the next when so many are left: the level, at most what was ever wanted; nil is not known
	Risk    *float64  `json:"risk,omitempty"`
	Lacking *float64  `json:"lacking,omitempty"` // chance that more cameras lack it than are free
	Held    int64     `json:"held"`
	Wants   int64     `json:"wants"` // open ones
	Short   bool      `json:"short"` // less free than to keep
	Do      *LowStep  `json:"do,omitempty"`

	Why   store.Reasons `json:"why"`
	Whole bool          `json:"-"` // all but the name, the hand, what is free and to keep is filled in
}

// MarshalJSON has the kinds of the reasons beside them.
func (l LowLine) MarshalJSON() ([]byte, error) {
	type plain LowLine
	return store.JSON(struct {
		plain
		Kinds []store.ReasonKind `json:"why_kind"`
	}{plain(l), store.ReasonKinds(l.Why)})
}

const (
	lasting    = 0.95 // the chance with which a part should last until another is found
	usualWeeks = 26   // to find another, where the part says nothing
)

// Low lists what runs short, worst first: parts with less free than to keep, in
// order of the share that is left; then parts that somebody asked for in vain, that
// are likely to run out before another is found, or of which the cameras in the
// house and those to come lack more than is free, more likely than not, in order of
// that chance. Where the first fill all lines that are
// told whole, the others are not looked for: a list of thousands costs one scan.
func Low(v *store.View, q LowQuery) (LowAnswer, error) {
	v.AtLength()
	l := newLower(v, q)
	l.out.Last = []LastOne{}
	l.scope()
	l.short()
	if l.v.err != nil {
		return l.out, l.v.err
	}
	l.wants()
	if !l.out.Only {
		l.jobs()
		l.others()
		l.lastOnes()
	}
	l.readBodies()
	for i := range l.out.Low {
		if !l.whole(i) {
			break
		}
		line := &l.out.Low[i]
		l.told(line)
		line.Do = l.step(l.part(line.Part), line)
		l.forget(line.Part)
	}
	return l.out, l.v.err
}

// Nudges are the lines of [Low] of some parts that were just taken from: those that
// have less than to keep, or are likely to run out before another is found. What
// the cameras of jobs may lack is left out: that takes reading all jobs.
func Nudges(v *store.View, parts []code.Code, today code.Day) ([]LowLine, error) {
	l := newLower(v, LowQuery{Today: today})
	for _, part := range parts {
		l.wanted[part] = v.OpenWants(part)
		if line, ok := l.nudge(part); ok {
			l.told(&line)
			l.out.Low = append(l.out.Low, line)
		}
	}
	return l.out.Low, l.v.err
}

// nudge is the line of one part, false where nothing is to be said.
func (l *lower) nudge(part code.Code) (LowLine, bool) {
	p, f := l.v.part(part), l.v.figure(part)
	if p.Keep == nil || f.Free() >= *p.Keep {
		return l.other(part, true)
	}
	return LowLine{Part: p.Code, Name: p.Name, Left: store.LeftHand(p), Free: f.Free(), Keep: p.Keep, Held: f.Held, Wants: l.wanted[part], Short: true}, true
}

// part is a part, read once.
func (l *lower) part(c code.Code) store.Part { return got(l.v, l.looks.part, c) }

type lower struct {
	v      *reader
	looks  *looking
	q      LowQuery
	begun  code.Day
	only   set // nil: every part
	wanted map[code.Code]int64
	flows  flows
	last   intakeOf
	out    LowAnswer
}

// whole says whether line i is told whole.
func (l *lower) whole(i int) bool { return l.q.Detail <= 0 || i < l.q.Detail }

// scope reads which parts are asked for.
func (l *lower) scope() {
	if l.q.Model != "" {
		l.only = l.into(l.q.Model, func(degrees []string) bool { return store.Verdict{Degrees: degrees}.Usable() })
	}
	if l.q.Place == "" {
		return
	}
	there := set{}
	for _, c := range l.v.BagsAt(l.q.Place) {
		part := l.v.bag(c).Part
		there[part] = l.asked(part)
	}
	l.only = there
}

func (l *lower) asked(part code.Code) bool { return l.only == nil || l.only[part] }

// short reads the list of what is below to keep, worst first. It may have tens of
// thousands of parts: where only some are told whole, the others are no lines.
func (l *lower) short() {
	all, hand := &l.out.Rest, l.v.PartHands()
	l.v.keep(l.v.Short(func(part, name []byte, free, keep, held int64) error {
		if l.only != nil && !l.only[code.Code(part)] {
			return nil
		}
		left, err := hand(part)
		all.add(ShortPart{part, name, []byte(left), free, keep, held})
		return err
	}))
	all.rank()
	l.out.Short = all.Len()
	whole := l.out.Short
	if l.out.Only = !l.whole(l.out.Short); l.out.Only {
		whole = l.q.Detail
	}
	first := all.cut(whole)
	l.out.Low = make([]LowLine, 0, whole)
	keeps := make([]int64, 0, whole)
	for p := range first.All() {
		keeps = append(keeps, p.Keep)
		l.out.Low = append(l.out.Low, LowLine{Part: code.Code(p.Part), Name: string(p.Name), Left: string(p.Left), Free: p.Free, Keep: &keeps[len(keeps)-1], Held: p.held, Short: true})
	}
}

// wants reads what was asked for in vain: where nothing but what is short is looked for,
// of its lines alone.
func (l *lower) wants() {
	if !l.out.Only {
		l.v.EachOpenWant(func(part code.Code) { l.wanted[part]++ })
	}
	for i := range l.out.Low {
		line := &l.out.Low[i]
		if line.Wants = l.wanted[line.Part]; l.out.Only {
			line.Wants = l.v.OpenWants(line.Part)
		}
	}
}

// others adds what is not below to keep and likely to be missed all the same.
func (l *lower) others() {
	var more []LowLine
	short := l.listed()
	for _, part := range l.candidates() {
		if !l.asked(part) || short[part] {
			continue
		}
		used := l.v.Used(part)
		if !used && l.wanted[part] == 0 && l.intake(part) == nil {
			continue
		}
		if line, ok := l.other(part, used); ok {
			more = append(more, line)
		}
		l.forget(part)
	}
	slices.SortFunc(more, func(a, b LowLine) int {
		return cmp.Or(cmp.Compare(b.urge(), a.urge()), cmp.Compare(a.Free, b.Free), cmp.Compare(a.Part, b.Part))
	})
	l.out.Low = append(l.out.Low, more...)
}

// listed are the parts that have a line.
func (l *lower) listed() set {
	has := make(set, len(l.out.Low))
	for i := range l.out.Low {
		has[l.out.Low[i].Part] = true
	}
	return has
}

// candidates are the parts that may be missed, in order: those that are asked for, or all
// that were wanted, used or looked for.
func (l *lower) candidates() []code.Code {
	if l.only != nil {
		return slices.Sorted(maps.Keys(l.only))
	}
	some := set{}
	for part := range l.wanted {
		some[part] = true
	}
	l.v.EachDrawer(func(part code.Code, d store.Drawer) {
		if d.Used > 0 {
			some[part] = true
		}
	})
	l.v.keep(l.v.EachLookedAt(func(part code.Code, _ []byte, _ string) error {
		some[part] = true
		return nil
	}))
	return slices.Sorted(maps.Keys(some))
}

// lastOnes lists the last ones of parts that are hard to find, the hardest first.
func (l *lower) lastOnes() {
	told := l.listed()
	look := func(p store.Part) {
		if p.Weeks > usualWeeks && p.Keep == nil && p.Same == "" && l.asked(p.Code) && !told[p.Code] && l.v.figure(p.Code).Free() == 1 {
			l.out.Last = append(l.out.Last, LastOne{p.Code, p.Name, store.LeftHand(p), p.Weeks})
		}
	}
	if l.only == nil {
		for p := range each(l.v, l.v.EachPart) {
			look(p)
		}
	}
	for _, c := range slices.Sorted(maps.Keys(l.only)) {
		switch p, err := l.v.Part(c); {
		case err == nil && p.Code == c:
			look(p)
		case !errors.Is(err, store.ErrNotFound):
			l.v.keep(err)
		}
	}
	slices.SortStableFunc(l.out.Last, func(a, b LastOne) int { return cmp.Compare(b.Weeks, a.Weeks) })
}

// urge is what lines are put in order by: the greater of the chance that cameras lack
// more than is free and of the risk of running out.
func (a LowLine) urge() float64 {
	urge := -1.0
	for _, p := range []*float64{a.Risk, a.Lacking} {
		if p != nil {
			urge = max(urge, *p)
		}
	}
	return urge
}

// other makes the line of a part that is not below to keep, and says whether it
// belongs into the list: more is asked for in vain than is free, the cameras of open
// jobs will lack more, or it is used and its risk is too high.
func (l *lower) other(part code.Code, used bool) (LowLine, bool) {
	f := l.v.figure(part)
	line := LowLine{Part: part, Free: f.Free(), Held: f.Held, Wants: l.wanted[part]}
	lacks := l.lacks(&line)
	vain := line.Wants > f.Free()
	if !vain && !lacks && (!used || l.lasts(f)) {
		return LowLine{}, false
	}
	p := l.v.part(part)
	line.Part, line.Name, line.Left, line.Keep = p.Code, p.Name, store.LeftHand(p), p.Keep
	l.risk(&line, l.demand(p, l.use(p, f, line.Wants)))
	runsOut := line.Risk != nil && *line.Risk > 1-lasting && line.Free < *line.BuyWhen
	return line, vain || lacks || runsOut
}

// lacks fills in the chance that cameras lack more of a part than is free, and says
// whether that is more likely than not.
func (l *lower) lacks(line *LowLine) bool {
	i := l.intake(line.Part)
	if i == nil || !i.mayBe(line.Free) {
		return false
	}
	more := i.more(line.Free)
	line.Lacking = &more
	return more >= likely
}

// lasts says, from the figure alone, that a part lasts: even if every piece had gone
// into a job of its own, and with a margin for jobs that took several.
func (l *lower) lasts(f store.Figure) bool {
	d := reorder.Demand{Jobs: f.Fitted, Years: l.years(), Wait: 1}
	return f.Fitted == 0 || d.Years > 0 && d.Risk(f.Free()) < (1-lasting)/5
}

// years is how long the book has been kept.
func (l *lower) years() float64 {
	if l.begun == 0 {
		return 0
	}
	return float64(l.q.Today-l.begun) / 365.25
}

func newLower(v *store.View, q LowQuery) *lower {
	r := read(v)
	return &lower{v: r, looks: newLooking(r), q: q, begun: v.FirstDay(), wanted: map[code.Code]int64{}, out: LowAnswer{Low: []LowLine{}}}
}

// into are the parts of which something is said, to such degrees, about a model or what
// it may carry.
func (l *lower) into(model code.Code, such func(degrees []string) bool) set {
	out := set{}
	for _, m := range got(l.v, l.v.Within, store.Camera{Model: model}) {
		l.v.keep(l.v.GoesInto(m, func(part code.Code, degrees []string) error {
			if such(degrees) {
				out[part] = true
			}
			return nil
		}))
	}
	return out
}
