package ask

import (
	"errors"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A Pick says which part of the store is wanted. Everything given must be met.
type Pick struct {
	Low   bool      // the parts that [Low] lists
	Today code.Day  // with Low
	Place code.Code // what lies there
	Donor code.Code // what came from there, or was looked for in it
	Model code.Code // what goes into it, or into a shutter or lens it carries
}

// Picked is the part of a store that was picked: parts, their bags, statements,
// observations, wants and movements, and every record that one of these names, so
// that it makes a workshop by itself. It is good as long as its View is.
type Picked struct {
	*store.View
	v       *reader
	picked  set // parts
	bags    set
	into    set // models whose statements are wanted; nil: of all
	models  set
	places  set
	parts   set // picked, and those that these name
	donors  set
	jobs    set
	pending []func() error
}

// PickFrom picks a part of the store.
func PickFrom(view *store.View, p Pick) (*Picked, error) {
	k := &Picked{View: view, v: read(view), bags: set{}, models: set{}, places: set{}, parts: set{}, donors: set{}, jobs: set{}}
	k.model(p.Model)
	k.place(p.Place)
	k.donor(p.Donor)
	if p.Model != "" {
		k.into = set{p.Model: true}
		k.into.add(k.v.model(p.Model).Carries...)
	}
	bags := k.choose(p)
	for part := range k.picked {
		k.part(part)
		for _, bag := range view.BagsOf(part) {
			if bags == nil || bags[bag] {
				k.bag(bag)
			}
		}
	}
	if !p.Low && p.Model == "" { // a bag may be without a part
		for bag := range bags {
			k.bag(bag)
		}
	}
	k.follow()
	// Statements and wants name models and jobs too.
	k.v.keep(k.EachGoes(func(g store.Goes) error { k.model(g.Model); return nil }))
	k.v.keep(k.EachWant(func(w store.Want) error { k.model(w.Model); k.job(w.Job); return nil }))
	k.follow()
	return k, k.v.err
}

// choose fills the parts that meet everything, and returns the bags that a place or
// donor leaves, nil for all.
func (k *Picked) choose(p Pick) (bags set) {
	var among []set
	if p.Low {
		s := set{}
		low, err := Low(k.View, LowQuery{Today: p.Today})
		k.v.keep(err)
		for _, l := range low.Low {
			s.add(l.Part)
		}
		among = append(among, s)
	}
	if k.into != nil {
		s := set{}
		for m := range k.into {
			s.add(k.PartsInto(m)...)
		}
		among = append(among, s)
	}
	narrow := func(with []code.Code, more ...store.Seen) {
		these, parts := set{}, set{}
		for _, c := range with {
			if bags == nil || bags[c] {
				these.add(c)
			}
			parts.add(k.v.bag(c).Part)
		}
		for _, s := range more {
			parts.add(s.Part)
		}
		delete(parts, "") // what is not sorted
		bags, among = these, append(among, parts)
	}
	if p.Place != "" {
		narrow(k.BagsAt(p.Place))
	}
	if p.Donor != "" {
		narrow(k.BagsFrom(string(p.Donor)), got(k.v, k.SeenOn, p.Donor)...)
	}
	k.picked = set{}
	if len(among) > 0 {
		for part := range among[0] {
			if !slices.ContainsFunc(among, func(s set) bool { return !s[part] }) {
				k.picked.add(part)
			}
		}
	}
	return bags
}

// follow looks up what was noted until nothing new is named.
func (k *Picked) follow() {
	for len(k.pending) > 0 {
		look := k.pending[len(k.pending)-1]
		k.pending = k.pending[:len(k.pending)-1]
		if err := look(); !errors.Is(err, store.ErrNotFound) {
			k.v.keep(err)
		}
	}
}

func (k *Picked) place(c code.Code) { k.names(k.places, c, func() error { return nil }) }

func (k *Picked) model(c code.Code) {
	k.names(k.models, c, func() error {
		m, err := k.Model(c)
		for _, carried := range m.Carries {
			k.model(carried)
		}
		return err
	})
}

func (k *Picked) part(c code.Code) {
	k.names(k.parts, c, func() error {
		p, err := k.Part(c)
		for _, named := range append(p.Holds, p.Code, p.Twin) {
			k.part(named)
		}
		return err
	})
}

func (k *Picked) donor(c code.Code) {
	k.names(k.donors, c, func() error {
		d, err := k.Donor(c)
		k.camera(d.Camera(), d.Place)
		return err
	})
}

func (k *Picked) job(c code.Code) {
	k.names(k.jobs, c, func() error {
		j, err := k.Job(c)
		k.camera(j.Camera(), j.Tray)
		return err
	})
}

// bag picks a bag with all that happened to it: where pieces went over into another
// bag, that too.
func (k *Picked) bag(c code.Code) {
	k.names(k.bags, c, func() error {
		b, err := k.Bag(c)
		k.part(b.Part)
		k.place(b.Place)
		k.donor(code.Code(b.Origin))
		if b.Cut != "" {
			k.bag(b.Cut)
		}
		if err != nil {
			return err
		}
		entries, err := k.EntriesOf(c)
		for _, e := range entries {
			k.job(e.Job)
			switch e.What {
			case store.Moved:
				k.place(code.Code(e.To))
			case store.Split, store.Joined, store.Cut:
				k.bag(e.Bag)
				for _, other := range e.Into() {
					k.bag(other)
				}
			}
			k.model(e.Model)
		}
		return err
	})
}

// only is fn for the records that are wanted.
func only[R any](wanted func(R) bool, fn func(R) error) func(R) error {
	return func(r R) error {
		if !wanted(r) {
			return nil
		}
		return fn(r)
	}
}

// EachModel calls fn for the models that were picked or are named.
func (k *Picked) EachModel(fn func(store.Model) error) error {
	return k.View.EachModel(only(func(m store.Model) bool { return k.models[m.Code] }, fn))
}

// EachPlace calls fn for the places that were picked or are named.
func (k *Picked) EachPlace(fn func(store.Place) error) error {
	return k.View.EachPlace(only(func(p store.Place) bool { return k.places[p.Code] }, fn))
}

// EachPart calls fn for the parts that were picked or are named.
func (k *Picked) EachPart(fn func(store.Part) error) error {
	return k.View.EachPart(only(func(p store.Part) bool { return k.parts[p.Code] }, fn))
}

// EachGoes calls fn for the statements about the parts that were picked.
func (k *Picked) EachGoes(fn func(store.Goes) error) error {
	return k.View.EachGoes(only(func(g store.Goes) bool { return k.picked[g.Part] && (k.into == nil || k.into[g.Model]) }, fn))
}

// EachDonor calls fn for the donors that were picked or are named.
func (k *Picked) EachDonor(fn func(store.Donor) error) error {
	return k.View.EachDonor(only(func(d store.Donor) bool { return k.donors[d.Code] }, fn))
}

// EachLook calls fn for what was seen of the parts that were picked, on those donors and
// the cameras of those jobs.
func (k *Picked) EachLook(fn func(store.Seen) error) error {
	return k.View.EachLook(only(func(s store.Seen) bool { return k.picked[s.Part] && (k.donors[s.Donor] || k.jobs[s.Job]) }, fn))
}

// EachBag calls fn for the bags that were picked, and those that share pieces with
// them.
func (k *Picked) EachBag(fn func(store.Bag) error) error {
	return k.View.EachBag(only(func(b store.Bag) bool { return k.bags[b.Code] }, fn))
}

// EachJob calls fn for the jobs that are named.
func (k *Picked) EachJob(fn func(store.Job) error) error {
	return k.View.EachJob(only(func(j store.Job) bool { return k.jobs[j.Code] }, fn))
}

// EachMove calls fn for the movements of those bags.
func (k *Picked) EachMove(fn func(store.Entry) error) error {
	return k.View.EachMove(only(func(e store.Entry) bool { return k.bags[e.Bag] }, fn))
}

// EachWant calls fn for the wants of the parts that were picked.
func (k *Picked) EachWant(fn func(store.Want) error) error {
	return k.View.EachWant(only(func(w store.Want) bool { return k.picked[w.Part] }, fn))
}

// EachNote calls fn for the remarks on what was picked or is named.
func (k *Picked) EachNote(fn func(store.Remark) error) error {
	return k.View.EachNote(only(func(n store.Remark) bool { return k.of(n.Kind, n.Code) }, fn))
}

// EachPictureRow calls fn for the pictures of what was picked or is named.
func (k *Picked) EachPictureRow(fn func(store.PictureRow) error) error {
	return store.PictureRows(func(fn func(store.Picture) error) error {
		return k.View.EachPicture(only(func(p store.Picture) bool { return k.of(p.Kind, p.Code) }, fn))
	})(fn)
}

// of tells whether a thing was picked or is named.
func (k *Picked) of(kind string, c code.Code) bool {
	return map[string]set{"part": k.parts, "bag": k.bags, "donor": k.donors, "job": k.jobs, "place": k.places}[kind][c]
}

// EachStepRow calls fn for the steps of the cameras that are named.
func (k *Picked) EachStepRow(fn func(store.Step) error) error {
	return k.View.EachStepRow(only(func(s store.Step) bool {
		return s.Kind == "donor" && k.donors[s.Camera] || s.Kind == "job" && k.jobs[s.Camera]
	}, fn))
}

// EachSign calls fn for the signs of the donors that are named.
func (k *Picked) EachSign(fn func(store.SignRow) error) error {
	return k.View.EachSign(only(func(s store.SignRow) bool { return k.donors[s.Donor] }, fn))
}

// EachOld calls fn for the customers' pieces of the jobs and parts that are named.
func (k *Picked) EachOld(fn func(store.Old) error) error {
	return k.View.EachOld(only(func(o store.Old) bool { return k.jobs[o.Job] && (o.Part == "" || k.parts[o.Part]) }, fn))
}

// EachCountRow calls fn for nothing: a count is of whole places.
func (k *Picked) EachCountRow(func(store.Count) error) error { return nil }

// EachMeasured calls fn for the readings of what was picked or is named.
func (k *Picked) EachMeasured(fn func(store.MeasuredRow) error) error {
	return k.View.EachMeasured(only(func(m store.MeasuredRow) bool { return k.parts[m.Part] || k.bags[m.Bag] }, fn))
}

// EachMaking calls fn for the bags that were picked.
func (k *Picked) EachMaking(fn func(store.MakingRow) error) error {
	return k.View.EachMaking(only(func(m store.MakingRow) bool { return k.bags[m.Bag] }, fn))
}

// EachPaperRow calls fn for nothing: the workshop's papers are of the whole of it.
func (k *Picked) EachPaperRow(func(store.PaperRow) error) error { return nil }

// names notes a code that a record names: where it is new, look reads what the record
// of it names in turn.
func (k *Picked) names(in set, c code.Code, look func() error) {
	if c != "" && !in[c] {
		in[c] = true
		k.pending = append(k.pending, look)
	}
}

// camera picks what a camera is and carries, and where it stands.
func (k *Picked) camera(cam store.Camera, place code.Code) {
	k.model(cam.Model)
	k.model(cam.Shutter)
	k.model(cam.Lens)
	k.place(place)
}
