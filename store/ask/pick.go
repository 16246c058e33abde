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
	picked  codeSet // parts
	bags    codeSet
	into    codeSet // models whose statements are wanted; nil: of all
	models  codeSet
	places  codeSet
	parts   codeSet // picked, and those that these name
	donors  codeSet
	jobs    codeSet
	pending []func() error
}

type codeSet map[code.Code]bool

// add adds a code that is one, and says whether it was new.
func (s codeSet) add(c code.Code) bool {
	if c == "" || s[c] {
		return false
	}
	s[c] = true
	return true
}

func setOf(codes ...code.Code) codeSet {
	s := codeSet{}
	for _, c := range codes {
		s.add(c)
	}
	return s
}

// PickFrom picks a part of the store.
func PickFrom(v *store.View, p Pick) (*Picked, error) {
	k := &Picked{View: v, bags: codeSet{}, models: codeSet{}, places: codeSet{}, parts: codeSet{}, donors: codeSet{}, jobs: codeSet{}}
	k.model(p.Model)
	k.place(p.Place)
	k.donor(p.Donor)
	if p.Model != "" {
		m, err := v.Model(p.Model)
		if err != nil {
			return nil, err
		}
		k.into = setOf(append(m.Carries, p.Model)...)
	}
	bags, err := k.choose(p)
	if err != nil {
		return nil, err
	}
	for part := range k.picked {
		k.part(part)
		for _, bag := range v.BagsOf(part) {
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
	return k, errors.Join(k.follow(), k.rows(), k.follow())
}

// choose fills the parts that meet everything, and returns the bags that a place or
// donor leaves, nil for all.
func (k *Picked) choose(p Pick) (bags codeSet, err error) {
	var among []codeSet
	if p.Low {
		s := codeSet{}
		low, missing := Low(k.View, LowQuery{Today: p.Today})
		for _, l := range low.Low {
			s.add(l.Part)
		}
		err, among = missing, append(among, s)
	}
	if k.into != nil {
		s := codeSet{}
		for m := range k.into {
			err = errors.Join(err, k.GoesInto(m, func(part code.Code, _ []string) error { s.add(part); return nil }))
		}
		among = append(among, s)
	}
	narrow := func(with []code.Code, more ...store.Seen) {
		these, parts := codeSet{}, codeSet{}
		for _, c := range with {
			if bags == nil || bags[c] {
				these.add(c)
			}
			b, missing := k.Bag(c)
			err = errors.Join(err, missing)
			parts.add(b.Part)
		}
		for _, s := range more {
			parts.add(s.Part)
		}
		bags, among = these, append(among, parts)
	}
	if p.Place != "" {
		narrow(k.BagsAt(p.Place))
	}
	if p.Donor != "" {
		seen, missing := k.SeenOn(p.Donor)
		err = errors.Join(err, missing)
		narrow(k.BagsFrom(string(p.Donor)), seen...)
	}
	k.picked = codeSet{}
	if len(among) == 0 {
		return bags, err
	}
	for part := range among[0] {
		if !slices.ContainsFunc(among, func(s codeSet) bool { return !s[part] }) {
			k.picked.add(part)
		}
	}
	return bags, err
}

// later notes a record to be looked up for what it names.
func (k *Picked) later(fn func() error) { k.pending = append(k.pending, fn) }

// follow looks up what was noted until nothing new is named.
func (k *Picked) follow() error {
	for len(k.pending) > 0 {
		fn := k.pending[len(k.pending)-1]
		k.pending = k.pending[:len(k.pending)-1]
		if err := fn(); err != nil && !errors.Is(err, store.ErrNotFound) {
			return err
		}
	}
	return nil
}

func (k *Picked) place(c code.Code) { k.places.add(c) }

func (k *Picked) model(c code.Code) {
	if !k.models.add(c) {
		return
	}
	k.later(func() error {
		m, err := k.Model(c)
		for _, carried := range m.Carries {
			k.model(carried)
		}
		return err
	})
}

func (k *Picked) part(c code.Code) {
	if !k.parts.add(c) {
		return
	}
	k.later(func() error {
		p, err := k.Part(c)
		k.part(p.Code)
		k.part(p.Twin)
		for _, held := range p.Holds {
			k.part(held)
		}
		return err
	})
}

func (k *Picked) donor(c code.Code) {
	if !k.donors.add(c) {
		return
	}
	k.later(func() error {
		d, err := k.Donor(c)
		k.model(d.Model)
		k.model(d.Shutter)
		k.model(d.Lens)
		k.place(d.Place)
		return err
	})
}

func (k *Picked) job(c code.Code) {
	if !k.jobs.add(c) {
		return
	}
	k.later(func() error {
		j, err := k.Job(c)
		k.model(j.Model)
		k.model(j.Shutter)
		k.model(j.Lens)
		k.place(j.Tray)
		return err
	})
}

// bag picks a bag with all that happened to it: where pieces went over into another
// bag, that too.
func (k *Picked) bag(c code.Code) {
	if !k.bags.add(c) {
		return
	}
	k.later(func() error {
		b, err := k.Bag(c)
		k.part(b.Part)
		k.place(b.Place)
		k.donor(code.Code(b.Origin))
		if err != nil {
			return err
		}
		entries, err := k.EntriesOf(c)
		for _, e := range entries {
			k.job(e.Job)
			switch e.What {
			case store.Moved:
				k.place(code.Code(e.To))
			case store.Split, store.Joined:
				k.bag(e.Bag)
				k.bag(code.Code(e.To))
			}
		}
		return err
	})
}

// rows picks what the rows of statements and wants name.
func (k *Picked) rows() error {
	return errors.Join(
		k.EachGoes(func(g store.Goes) error { k.model(g.Model); return nil }),
		k.EachWant(func(w store.Want) error { k.model(w.Model); k.job(w.Job); return nil }))
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

// EachSeen calls fn for what was seen of the parts that were picked, on those donors.
func (k *Picked) EachSeen(fn func(store.Seen) error) error {
	return k.View.EachSeen(only(func(s store.Seen) bool { return k.picked[s.Part] && k.donors[s.Donor] }, fn))
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
