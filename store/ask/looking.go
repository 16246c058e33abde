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
	v       *reader
	skip    store.Ref // this camera is left out
	of      map[code.Code]*looks
	kins    map[code.Code]*kin
	parts   map[code.Code]store.Part
	cameras map[store.Ref]*lookedAt // nil: not recorded
	donors  map[code.Code]*bodies   // that have a model
	bodies  map[code.Code]*store.Donor
	said    map[code.Code][]store.Statement
	there   map[likelihood]fromLooks     // of a part in the bodies of a group
	mids    map[likelihood]float64       // see mid
	inner   map[store.Camera][]code.Code // shutters and lenses that are certain, see certain
	seen    []store.Seen                 // of the part that was asked for last, see seenOf
	seenFor code.Code
}

// A looks is what was seen of one part.
type looks struct {
	by     small[group, looked]
	family small[familyKey, odds.Count]
	all    small[familyKey, odds.Count] // of all cameras, and of all that have it in shutter or lens
	sits   small[code.Code, bool]       // into these shutters and lenses the part belongs
}

// A small is a map of so few keys that looking through them is quickest, and that takes
// little room.
type small[K comparable, V any] []struct {
	key   K
	value V
}

// get is what lies under a key, nothing for none.
func (s small[K, V]) get(key K) (value V) {
	for i := range s {
		if s[i].key == key {
			return s[i].value
		}
	}
	return value
}

// at is where the value of a key lies until another key is added.
func (s *small[K, V]) at(key K) (at *V, had bool) {
	for i := range *s {
		if (*s)[i].key == key {
			return &(*s)[i].value, true
		}
	}
	var value V
	*s = append(*s, struct {
		key   K
		value V
	}{key, value})
	return &(*s)[len(*s)-1].value, false
}

func count[K comparable](s *small[K, odds.Count], key K, seen string) {
	n, _ := s.at(key)
	*n = n.Add(one(seen))
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
	cameras    []*lookedAt
	lacking    []*lookedAt // of these
	alone      *looked     // of a shutter or lens: those in no camera; nil: there are none
}

// A lookedAt is a camera that was looked at: a donor or a customer's.
type lookedAt struct {
	ref     store.Ref
	cam     store.Camera
	history string
	marks   Marks
	kin     *kin
	inside  []*kin // its shutter and lens, where they are certain
	odd     *bool  // its shutter is out of step; nil: not asked yet
	counted bool   // among the bodies of a sum over all
}

// A kin is a model, its folded family, and whether it is a shutter or lens.
type kin struct {
	code   code.Code
	family string // empty for one that has no sisters
	inside bool
}

// kinOf is the kin of a model, made once.
func (o *looking) kinOf(model code.Code) *kin {
	k := o.kins[model]
	if k == nil {
		m := o.v.known(model)
		k = &kin{model, words.Fold(m.Family), m.Kind == "shutter" || m.Kind == "lens"}
		o.kins[model] = k
	}
	return k
}

func newLooking(v *reader) *looking {
	return &looking{v: v, of: map[code.Code]*looks{}, kins: map[code.Code]*kin{}, parts: map[code.Code]store.Part{},
		cameras: map[store.Ref]*lookedAt{}, donors: map[code.Code]*bodies{},
		bodies: map[code.Code]*store.Donor{}, said: map[code.Code][]store.Statement{}, there: map[likelihood]fromLooks{}, mids: map[likelihood]float64{}, inner: map[store.Camera][]code.Code{}}
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

// donor is a parts camera, read once.
func (o *looking) donor(c code.Code) (*store.Donor, error) {
	d := o.bodies[c]
	if d != nil {
		return d, nil
	}
	read, err := o.v.Donor(c)
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

// eachLooked calls fn for every observation and its camera, in order of parts.
func (o *looking) eachLooked(fn func(b *lookedAt, part code.Code, seen string)) {
	for d := range each(o.v, o.v.EachDonor) { // most of them will be asked for
		o.bodies[d.Code] = &d
	}
	cameras := map[string]*lookedAt{} // as keys have them
	o.v.keep(o.v.EachLookedAt(func(part code.Code, camera []byte, seen string) error {
		b, had := cameras[string(camera)]
		if !had {
			var s store.Seen
			s.Donor, s.Job = store.CameraSeen(string(camera))
			if b = o.camera(refSeen(s)); b != nil && b.ref == o.skip {
				b = nil
			}
			cameras[string(camera)] = b
		}
		if b != nil {
			fn(b, part, seen)
		}
		return o.v.err
	}))
}

// read is what was seen of a part, read once.
func (o *looking) read(part code.Code) *looks {
	if l, ok := o.of[part]; ok {
		return l
	}
	l := o.looksOf(part)
	for _, s := range o.seenOf(part) {
		o.see(l, s)
	}
	return l
}

// forget lets go of what was read of a part: of many parts it would take much memory.
func (o *looking) forget(part code.Code) {
	delete(o.of, part)
	delete(o.said, part)
	delete(o.parts, part)
	clear(o.there)
	clear(o.mids)
}

// seenOf is where a part was looked for, read once as long as no other part is asked for.
func (o *looking) seenOf(part code.Code) []store.Seen {
	if o.seenFor != part {
		o.seenFor, o.seen = part, o.v.LooksOf(part)
	}
	return o.seen
}

func (o *looking) looksOf(part code.Code) *looks {
	l := o.of[part]
	if l == nil {
		l = &looks{}
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
		if j, err := o.v.Job(ref.Code); err == nil {
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
	b.history, b.kin = cmp.Or(b.history, "unknown"), o.kinOf(b.cam.Model)
	for _, m := range o.certain(b.cam) {
		b.inside = append(b.inside, o.kinOf(m))
	}
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
	noted := cam.Shutter != "" && cam.Lens != "" && o.v.known(cam.Model).Code != ""
	in := []code.Code{cam.Shutter, cam.Lens}
	if !noted {
		var err error
		if in, err = o.v.Within(cam); !errors.Is(err, store.ErrNotFound) {
			o.v.keep(err)
		}
	}
	for _, m := range in {
		if m != cam.Model && (noted || sure(o.v, cam, m)) {
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
	l.add(b, b.kin, s.Seen, !exchanged)
	if !exchanged {
		count(&l.all, familyKey{allCameras, b.history}, s.Seen)
	}
	inside := b.kin.inside // it came by itself
	for _, m := range b.inside {
		if o.belongs(l, s.Part, m.code) {
			l.add(b, m, s.Seen, true)
			inside = true
		}
	}
	if inside {
		count(&l.all, familyKey{allInside, b.history}, s.Seen)
	}
}

func one(seen string) odds.Count {
	c := odds.Count{Looked: 1}
	if seen == "missing" {
		c.Missing = 1
	}
	return c
}

func (l *looks) add(b *lookedAt, model *kin, seen string, fair bool) {
	n, _ := l.by.at(group{model.code, b.history})
	n.add(b, seen, fair)
	if model == b.kin && model.inside {
		n.alone = cmp.Or(n.alone, &looked{})
		n.alone.add(b, seen, fair)
	}
	if fair && model.family != "" {
		count(&l.family, familyKey{model.family, b.history}, seen)
	}
}

func (n *looked) add(on *lookedAt, seen string, fair bool) {
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
	in, had := l.sits.at(model)
	if !had {
		*in = o.v.BelongsInto(part, model)
	}
	return *in
}

// exchanged says whether a part sat in a shutter or lens that is not the body's
// own: it was seen replaced, or the shutter is out of step with the body. What is
// there or not says nothing then about what the maker put into that model. Of a
// shutter or lens that came by itself it says what that one holds.
func (o *looking) exchanged(b *lookedAt, s store.Seen) bool {
	if !o.mayBeExchanged(b, s.Seen) {
		return false // the part is not read for it
	}
	p, err := o.part(s.Part)
	return err == nil && seatExchanged(p.Seat, s.Seen) // or seen before it was catalogued
}

// mayBeExchanged says whether that depends on where the part sits.
func (o *looking) mayBeExchanged(b *lookedAt, seen string) bool {
	return !b.kin.inside && (seen == "replaced" || o.outOfStep(b))
}

// seatExchanged says whether a part that sits there was exchanged with what it sits in.
func seatExchanged(seat, seen string) bool {
	return seat == "shutter" || seat == "lens" && seen == "replaced"
}

// outOfStep says whether the shutter of a camera is out of step with its body.
func (o *looking) outOfStep(b *lookedAt) bool {
	if b.odd == nil {
		odd := outOfStep(o.v, o.v.known(b.cam.Model), b.marks) != ""
		b.odd = &odd
	}
	return *b.odd
}

// inside says whether a model is a shutter or lens.
func (o *looking) inside(model code.Code) bool { return o.kinOf(model).inside }

// counts is what a chance for a part in a group rests on.
func (o *looking) counts(part code.Code, k group) odds.Counts {
	l := o.read(part)
	own, kin := l.by.get(k).fair, o.kinOf(k.model)
	near := own
	if kin.family != "" {
		near = l.family.get(familyKey{kin.family, k.history})
	}
	all := l.all.get(familyKey{allCameras, k.history})
	if kin.inside {
		all = l.all.get(familyKey{allInside, k.history})
	}
	return odds.Counts{Own: own, Sisters: near.Less(own), Others: all.Less(near)}
}
