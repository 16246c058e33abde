package ask

import (
	"cmp"
	"errors"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/odds"
	"tinful/store/words"
)

// A looking is what was seen on cameras, and how likely parts are to be missing or
// there by it: one for a question. Every chance of the program comes from it.
type looking struct {
	v        *reader
	skip     store.Ref // this camera is left out
	of       map[code.Code]*looks
	families map[code.Code]string // folded, by model
	parts    map[code.Code]store.Part
	cameras  map[store.Ref]*lookedAt      // nil: not recorded
	donors   map[code.Code][]*store.Donor // that have a model
	bodies   map[code.Code]*store.Donor   // as they were sketched
	said     map[code.Code][]store.Statement
	there    map[likelihood]fromLooks     // of a part in the bodies of a group
	inner    map[store.Camera][]code.Code // shutters and lenses that are certain, see certain
}

// A looks is what was seen of one part.
type looks struct {
	by     map[group]looked
	family map[familyKey]odds.Count
	all    map[familyKey]odds.Count // of all cameras, and of all that have it in shutter or lens
	sits   map[code.Code]bool       // into these shutters and lenses the part belongs
}

// A group is the bodies of one model and history: for a part they share one rate. The
// model is a camera; or a shutter or lens, for the bodies that have it for certain.
type group struct {
	model   code.Code
	history string
}

type familyKey struct{ family, history string }

// Keys of looks.all.
const allCameras, allInside = "camera", "inside"

// A looked is what was seen of one part in one group.
type looked struct {
	odds.Count            // all of it
	fair       odds.Count // without what sat in an exchanged shutter or lens
	replaced   int64
	cameras    []store.Ref
	lacking    []store.Ref // of these
	alone      *looked     // of a shutter or lens: those in no camera; nil: there are none
}

// A lookedAt is a camera that was looked at: a donor or a customer's.
type lookedAt struct {
	ref     store.Ref
	cam     store.Camera
	history string
	marks   Marks
	inside  []code.Code // its shutter and lens, where they are certain
	odd     *bool       // its shutter is out of step; nil: not asked yet
}

func newLooking(v *reader) *looking {
	return &looking{v: v, of: map[code.Code]*looks{}, families: map[code.Code]string{}, parts: map[code.Code]store.Part{},
		cameras: map[store.Ref]*lookedAt{}, donors: map[code.Code][]*store.Donor{},
		bodies: map[code.Code]*store.Donor{}, said: map[code.Code][]store.Statement{}, there: map[likelihood]fromLooks{}, inner: map[store.Camera][]code.Code{}}
}

// part is the sketch of a part, read once.
func (o *looking) part(c code.Code) (store.Part, error) {
	p, ok := o.parts[c]
	if ok {
		return p, nil
	}
	p, err := o.v.PartSketch(c)
	if err == nil {
		o.parts[c] = p
	}
	return p, err
}

// donor is the sketch of a parts camera, read once.
func (o *looking) donor(c code.Code) (*store.Donor, error) {
	d := o.bodies[c]
	if d != nil {
		return d, nil
	}
	read, err := o.v.DonorSketch(c)
	if err == nil {
		d = &read
		o.bodies[c] = d
	}
	return d, err
}

// belonging are the statements that a part sits in a model, read once.
func (o *looking) belonging(part code.Code) []store.Statement {
	list, ok := o.said[part]
	if !ok {
		list = got(o.v, o.v.BelongingOf, part)
		o.said[part] = list
	}
	return list
}

// all reads what was seen of every part.
func (o *looking) all() {
	for s := range each(o.v, o.v.EachLooked) {
		o.see(o.looksOf(s.Part), s)
	}
}

// read is what was seen of a part, read once.
func (o *looking) read(part code.Code) *looks {
	if l, ok := o.of[part]; ok {
		return l
	}
	l := o.looksOf(part)
	for _, s := range o.v.LooksOf(part) {
		o.see(l, s)
	}
	return l
}

func (o *looking) looksOf(part code.Code) *looks {
	l := o.of[part]
	if l == nil {
		l = &looks{map[group]looked{}, map[familyKey]odds.Count{}, map[familyKey]odds.Count{}, map[code.Code]bool{}}
		o.of[part] = l
	}
	return l
}

// refSeen is the camera of an observation.
func refSeen(s store.Seen) store.Ref {
	if s.Job != "" {
		return store.Ref{Kind: "job", Code: s.Job}
	}
	return store.Ref{Kind: "donor", Code: s.Donor}
}

// camera reads a camera once, nil for one that is not recorded or has no model.
func (o *looking) camera(ref store.Ref) *lookedAt {
	b, ok := o.cameras[ref]
	if ok {
		return b
	}
	if ref.Kind == "job" {
		if j, err := o.v.JobSketch(ref.Code); err == nil {
			b = &lookedAt{ref: ref, cam: j.Camera(), history: j.History, marks: Marks{Number: j.BodyNo, Shutter: j.Shutter, Lens: j.Lens}}
		}
	} else if d, err := o.donor(ref.Code); err == nil {
		b = &lookedAt{ref: ref, cam: d.Camera(), history: d.History, marks: MarksOf(*d)}
	}
	if b != nil && b.cam.Model == "" {
		b = nil
	}
	o.cameras[ref] = b
	if b == nil {
		return nil
	}
	b.history, b.inside = cmp.Or(b.history, "unknown"), o.certain(b.cam)
	return b
}

// certain are the shutter and lens of a camera, as far as they are certain; nothing where
// its model is not recorded.
func (o *looking) certain(cam store.Camera) (inside []code.Code) {
	cam.BodyNo = ""
	inside, ok := o.inner[cam]
	if ok {
		return inside
	}
	in, err := o.v.Within(cam)
	if !errors.Is(err, store.ErrNotFound) {
		o.v.keep(err)
	}
	for _, m := range in {
		if m != cam.Model && sure(o.v, cam, m) {
			inside = append(inside, m)
		}
	}
	o.inner[cam] = inside
	return inside
}

// see counts one observation, for the camera's model and for its shutter and lens
// where the part belongs there. One on a camera that is not recorded has no model
// and no history: it is left out.
func (o *looking) see(l *looks, s store.Seen) {
	b := o.camera(refSeen(s))
	if b == nil || b.ref == o.skip {
		return
	}
	exchanged := o.exchanged(b, s)
	l.add(o, b, b.cam.Model, s.Seen, !exchanged)
	if !exchanged {
		l.all[familyKey{allCameras, b.history}] = l.all[familyKey{allCameras, b.history}].Add(one(s.Seen))
	}
	inside := o.inside(b.cam.Model) // it came by itself
	for _, m := range b.inside {
		if o.belongs(l, s.Part, m) {
			l.add(o, b, m, s.Seen, true)
			inside = true
		}
	}
	if inside {
		l.all[familyKey{allInside, b.history}] = l.all[familyKey{allInside, b.history}].Add(one(s.Seen))
	}
}

func one(seen string) odds.Count {
	c := odds.Count{Looked: 1}
	if seen == "missing" {
		c.Missing = 1
	}
	return c
}

func (l *looks) add(o *looking, b *lookedAt, model code.Code, seen string, fair bool) {
	k := group{model, b.history}
	n := l.by[k]
	n.add(b.ref, seen, fair)
	if model == b.cam.Model && o.inside(model) {
		n.alone = cmp.Or(n.alone, &looked{})
		n.alone.add(b.ref, seen, fair)
	}
	if f := o.familyOf(model); fair && f != "" {
		l.family[familyKey{f, k.history}] = l.family[familyKey{f, k.history}].Add(one(seen))
	}
	l.by[k] = n
}

func (n *looked) add(on store.Ref, seen string, fair bool) {
	c := one(seen)
	n.Count = n.Count.Add(c)
	n.cameras = append(n.cameras, on)
	if c.Missing > 0 {
		n.lacking = append(n.lacking, on)
	}
	if seen == "replaced" {
		n.replaced++
	}
	if fair {
		n.fair = n.fair.Add(c)
	}
}

// belongs says whether a part is said to belong into a shutter or lens.
func (o *looking) belongs(l *looks, part, model code.Code) bool {
	in, ok := l.sits[model]
	if !ok {
		in = o.v.BelongsInto(part, model)
		l.sits[model] = in
	}
	return in
}

// exchanged says whether a part sat in a shutter or lens that is not the body's
// own: it was seen replaced, or the shutter is out of step with the body. What is
// there or not says nothing then about what the maker put into that model. Of a
// shutter or lens that came by itself it says what that one holds.
func (o *looking) exchanged(b *lookedAt, s store.Seen) bool {
	if o.inside(b.cam.Model) {
		return false
	}
	if s.Seen != "replaced" && !o.outOfStep(b) {
		return false // the part is not read for it
	}
	p, err := o.part(s.Part)
	if err != nil {
		return false // seen before it was catalogued
	}
	return p.Seat == "shutter" || p.Seat == "lens" && s.Seen == "replaced"
}

// outOfStep says whether the shutter of a camera is out of step with its body.
func (o *looking) outOfStep(b *lookedAt) bool {
	if b.odd == nil {
		odd := outOfStep(o.v, o.v.known(b.cam.Model), b.marks) != ""
		b.odd = &odd
	}
	return *b.odd
}

// familyOf is the folded family of a model, empty for one that has no sisters.
func (o *looking) familyOf(model code.Code) string {
	f, ok := o.families[model]
	if !ok {
		f = words.Fold(o.v.known(model).Family)
		o.families[model] = f
	}
	return f
}

// inside says whether a model is a shutter or lens.
func (o *looking) inside(model code.Code) bool {
	m := o.v.known(model)
	return m.Kind == "shutter" || m.Kind == "lens"
}

// counts is what a chance for a part in a group rests on.
func (o *looking) counts(part code.Code, k group) odds.Counts {
	l := o.read(part)
	own := l.by[k].fair
	near := own
	if f := o.familyOf(k.model); f != "" {
		near = l.family[familyKey{f, k.history}]
	}
	all := l.all[familyKey{allCameras, k.history}]
	if o.inside(k.model) {
		all = l.all[familyKey{allInside, k.history}]
	}
	return odds.Counts{Own: own, Sisters: near.Less(own), Others: all.Less(near)}
}
