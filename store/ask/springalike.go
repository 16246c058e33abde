package ask

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
)

// Kinds of what is said of two springs.
const (
	HandUnknown store.ReasonKind = "hand-unknown" // of one or both the hand is not recorded
	PostTooBig  store.ReasonKind = "post"         // it does not go over the post
	LegsUnknown store.ReasonKind = "legs-unknown" // the legs were not measured
	Stiffness   store.ReasonKind = "stiffness"    // how its rate differs, all measures together
)

// SpringTraps says why o, a spring s, does not take the place of p whatever their
// rates, or may not: the other hand, a hand that is not known, a post it does not go
// over.
func SpringTraps(p, o store.Part, s spring.Spring) store.Reasons {
	var out store.Reasons
	a, b := springHand(p), springHand(o)
	switch unknown := handUnknown(p, o); {
	case unknown.Kind != "":
		out = append(out, unknown)
	case a != b:
		out = append(out, store.Say(OtherHand, "%s is wound %s-hand and %s %s-hand: neither takes the other's place", p.Code, a, o.Code, b).Of(p.Code, o.Code))
	}
	if post := p.Dims[dim.Post]; !overPost(s, post) {
		out = append(out, store.Say(PostTooBig, "%s does not go over the post of %s, %s: its inside is %s",
			o.Code, p.Code, dim.Format(dim.Post, post), dim.Format(dim.ID, s.OD-2*s.Wire)).Of(o.Code, p.Code))
	}
	return out
}

// springHand is the hand of a spring that is turned; others have none.
func springHand(p store.Part) string {
	if !spring.Turned(p.Class) {
		return ""
	}
	return hand(p.Marks[dim.Hand])
}

// handUnknown says of which of two springs the hand is not recorded, and is no reason
// where it is known of both or does not matter.
func handUnknown(p, o store.Part) store.Reason {
	return unknownOf(HandUnknown, "the hand of %s is not recorded: look", p, o, func(x store.Part) bool {
		return spring.Turned(x.Class) && springHand(x) == ""
	})
}

// legsUnknown is that for legs.
func legsUnknown(p, o store.Part) store.Reason {
	return unknownOf(LegsUnknown, "legs of %s not measured", p, o, func(x store.Part) bool {
		_, a := x.Dims[dim.LegA]
		_, b := x.Dims[dim.LegB]
		return x.Class == spring.Torsion && !(a && b)
	})
}

// unknownOf says of which of two parts something is not known.
func unknownOf(kind store.ReasonKind, format string, p, o store.Part, lacks func(store.Part) bool) store.Reason {
	var of []code.Code
	var names []string
	for _, x := range []store.Part{p, o} {
		if lacks(x) {
			of, names = append(of, x.Code), append(names, string(x.Code))
		}
	}
	if len(of) == 0 {
		return store.Reason{}
	}
	return store.Say(kind, format, strings.Join(names, " and ")).Of(of...)
}

// springAgainst says of a spring o in place of p what single measures do not: how the
// rate differs, all of them together, and that the hand of p is not known. It says
// nothing of what is no spring or cannot be reckoned.
func springAgainst(p, o store.Part) store.Reasons {
	var out store.Reasons
	s, lacks, err := SpringOf(p)
	os, olacks, oerr := SpringOf(o)
	if err == nil && oerr == nil && len(lacks)+len(olacks) == 0 {
		if d, err := spring.Compare(s, os); err == nil {
			out = append(out, store.Say(Stiffness, "in all %s", d.Words()).Of(o.Code, p.Code))
		}
	}
	if spring.Turned(p.Class) && springHand(p) == "" {
		out = append(out, handUnknown(p, o))
	}
	return out
}

// An Alike is a part whose spring behaves like another.
type Alike struct {
	Part       code.Code     `json:"part"`
	Name       string        `json:"name"`
	Class      string        `json:"class"`
	OnHand     int64         `json:"on_hand"`
	Free       int64         `json:"free"`
	Rate       float64       `json:"rate"`
	RateLow    float64       `json:"rate_low"`
	RateHigh   float64       `json:"rate_high"`
	RateUnit   string        `json:"rate_unit"`
	Percent    float64       `json:"percent"` // of the rate, against the part asked for
	Low        float64       `json:"low"`     // it may be anything between
	High       float64       `json:"high"`
	Sure       bool          `json:"sure"` // false: what is open in the two can be all the difference
	Hand       string        `json:"hand,omitempty"`
	Inside     *float64      `json:"inside,omitempty"` // mm
	Difference store.Reasons `json:"difference,omitempty"`
}

// MarshalJSON writes the part with the kinds of its differences beside them.
func (a Alike) MarshalJSON() ([]byte, error) {
	type plain Alike
	return store.JSON(struct {
		plain
		DifferenceKind []store.ReasonKind `json:"difference_kind,omitempty"`
	}{plain(a), store.ReasonKinds(a.Difference)})
}

// Alikes is the answer of [LikeSpring], nearest rate first.
type Alikes struct {
	Within    float64            `json:"within"`         // per cent
	Post      *float64           `json:"post,omitempty"` // mm, over which the part goes
	Like      []Alike            `json:"like"`
	Traps     store.Reasons      `json:"traps,omitempty"`
	TrapsKind []store.ReasonKind `json:"traps_kind,omitempty"`
	Lacking   []string           `json:"lacking,omitempty"` // parts that could not be reckoned, with what they lack
}

// LikeSpring looks for the parts of the same class whose total rate is within so many
// per cent of the part's and that go over the same post. The opposite hand is a trap
// and never a hit. It returns a [SpringLacks], or an error that wraps
// [store.ErrRefused].
func LikeSpring(view *store.View, p store.Part, within float64) (Alikes, error) {
	out := Alikes{Within: within, Like: []Alike{}}
	s, err := mustSpring(p)
	if err != nil {
		return out, err
	}
	if post := p.Dims[dim.Post]; post > 0 {
		mm := dim.Number(dim.Post, post)
		out.Post = &mm
	}
	v := read(view)
	for _, c := range v.PartsOfClass(p.Class, true) {
		if o := v.part(c); o.Code != p.Code && o.Code == c { // not itself, nor a second name
			out.consider(v, p, s, o)
		}
	}
	slices.SortFunc(out.Like, func(a, b Alike) int {
		return cmp.Or(cmp.Compare(math.Abs(a.Percent), math.Abs(b.Percent)), cmp.Compare(a.Part, b.Part))
	})
	out.TrapsKind = store.ReasonKinds(out.Traps)
	return out, v.err
}

// mustSpring is [SpringOf] for a question that needs the rate.
func mustSpring(p store.Part) (spring.Spring, error) {
	s, missing, err := SpringOf(p)
	if err == nil && len(missing) > 0 {
		err = &SpringLacks{p.Code, p.Name, missing}
	}
	if err == nil {
		err = s.Check()
	}
	if errors.Is(err, spring.ErrShape) {
		err = noSpring(fmt.Sprintf("%s: %v", p.Code, err))
	}
	return s, err
}

// consider adds a part to the answer where it belongs there.
func (out *Alikes) consider(v *reader, p store.Part, s spring.Spring, o store.Part) {
	os, missing, err := SpringOf(o)
	if err != nil {
		return // of a class below that is not reckoned
	}
	if len(missing) > 0 {
		out.Lacking = append(out.Lacking, fmt.Sprintf("%s (%s)", o.Code, strings.Join(missing, ", ")))
		return
	}
	d, err := spring.Compare(s, os)
	a, b := springHand(p), springHand(o)
	switch {
	case errors.Is(err, spring.ErrShape):
		out.Lacking = append(out.Lacking, fmt.Sprintf("%s (measures that cannot be)", o.Code))
	case err != nil:
		v.keep(err)
	case math.Abs(d.Percent) > out.Within || !overPost(os, p.Dims[dim.Post]):
	case a != "" && b != "" && a != b:
		out.Traps = append(out.Traps, store.Say(OtherHand, "%s %s behaves alike and is wound %s-hand: never in its place", o.Code, o.Name, b).Of(o.Code))
	default:
		out.add(v, p, o, os, d)
	}
}

// add adds a hit.
func (out *Alikes) add(v *reader, p, o store.Part, s spring.Spring, d spring.Difference) {
	f := v.figure(o.Code)
	r, err := spring.Reckon(s, spring.Load{})
	v.keep(err)
	hit := Alike{Part: o.Code, Name: o.Name, Class: o.Class, OnHand: f.OnHand(), Free: f.Free(), Rate: r.Rate, RateLow: r.RateLow, RateHigh: r.RateHigh,
		RateUnit: r.RateUnit, Percent: d.Percent, Low: d.Low, High: d.High, Sure: d.Sure, Hand: springHand(o), Difference: springDifferences(p, o)}
	for _, unknown := range []store.Reason{legsUnknown(p, o), handUnknown(p, o)} {
		if unknown.Kind != "" {
			hit.Difference = append(hit.Difference, unknown)
		}
	}
	if spring.Wound(p.Class) {
		in := dim.Number(dim.ID, s.OD-2*s.Wire)
		hit.Inside = &in
	}
	out.Like = append(out.Like, hit)
}

// overPost tells whether a spring goes over a post, in micrometres, 0 for none.
func overPost(s spring.Spring, post int64) bool {
	return !spring.Wound(s.Class) || post == 0 || s.OD-2*s.Wire >= post
}

// springDifferences says by which measures o differs from p.
func springDifferences(p, o store.Part) store.Reasons {
	var out store.Reasons
	for _, f := range []dim.Field{dim.Wire, dim.OD, dim.Coils, dim.LegA, dim.LegB, dim.Angle, dim.FreeLength, dim.InsideHooks, dim.Thick, dim.Width, dim.Length} {
		want, asked := p.Dims[f]
		n, measured := o.Dims[f]
		switch {
		case asked && !measured && f != dim.LegA && f != dim.LegB: // said of both legs at once
			out = append(out, store.Say(Unmeasured, "%s not recorded", dim.Of(f).Name()))
		case asked && measured && n != want:
			differs, _ := difference(dim.Of(f).For(p.Class), "", want, n)
			out = append(out, differs)
		}
	}
	return out
}
