package ask

import (
	"cmp"
	"maps"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// An Out is what is not in its drawer, and what else is to be looked after before the
// light is put out.
type Out struct {
	Held, Lent, Trays []*Away     // by job, by borrower, by job
	Borrowed          []Borrow    // what belongs to somebody else
	Left              []Borrow    // of repairs that nobody fetched
	Olds              []store.Old // of closed jobs, not handed back
	Waits             []Wait
}

// An Away is a number of pieces of a bag that stand with a job or a person.
type Away struct {
	Bag, Part, Place code.Code
	Name             string // of the part, where it was asked for
	Unit             string
	About            bool
	N                int64
	Who              string

	State      string   // of the job, of what is held or in a tray
	Closed     code.Day // likewise
	Since, Due code.Day // of what is lent: since when, and when it should be back
}

// OutOfHouse reads what is out. Where called is not nil the parts of what is held, lent or
// in a tray are named by it: it is given a part, or the error of reading it.
func OutOfHouse(view *store.View, called Called) (out Out, err error) {
	v := read(view)
	wait := v.Aside(func(view *store.View) error {
		v := read(view)
		for _, b := range notOurs(v) {
			if b.Owner == store.OwnerHeld {
				out.Left = append(out.Left, b)
			} else {
				out.Borrowed = append(out.Borrowed, b)
			}
		}
		out.Waits = waitsOver(v)
		return v.err
	})
	out.trays(v)
	out.away(v, called)
	oldsLeft(v, func(_ store.Job, x store.Old) { out.Olds = append(out.Olds, x) })
	err = wait()
	return out, cmp.Or(v.err, err)
}

// A Called is what a part is called.
type Called func(c code.Code, p store.Part, err error) string

// Empty tells whether nothing is out.
func (o Out) Empty() bool {
	return len(o.Held)+len(o.Lent)+len(o.Trays)+len(o.Borrowed)+len(o.Left)+len(o.Olds)+len(o.Waits) == 0
}

// away reads what is held, by job, and what is lent, by borrower.
func (o *Out) away(v *reader, called Called) {
	var asked loans
	var held, lent pile[Away]
	for b := range each(v, v.EachOutside) {
		a := Away{Bag: b.Bag, Part: b.Part, Place: b.Place, Unit: b.Unit, About: b.About}
		for _, x := range b.HeldFor {
			a.N, a.Who = x.N, x.Who
			held.add(a)
		}
		for _, x := range b.LentTo {
			a.N, a.Who = x.N, x.Who
			asked.add(b.Book, x.Who)
			lent.add(a)
		}
	}
	named := v.Aside(func(view *store.View) error {
		if called != nil {
			nameAways(view, called, &held, &lent, o.Trays)
		}
		return nil
	})
	wait := v.Aside(func(view *store.View) error {
		v := read(view)
		for i, l := range asked.find(v) {
			a := lent.at(i)
			a.Since, a.Due = l.since, l.due
		}
		o.Lent = byWho(&lent)
		return v.err
	})
	o.Held = byWho(&held)
	stands := v.JobStands()
	for i, a := range o.Held {
		if i > 0 && o.Held[i-1].Who == a.Who {
			a.State, a.Closed = o.Held[i-1].State, o.Held[i-1].Closed
			continue
		}
		var err error
		a.State, a.Closed, err = stands(code.Code(a.Who))
		v.keep(err)
	}
	v.keep(wait())
	v.keep(named())
}

// byWho puts what is in order of bags in that of jobs or people.
func byWho(list *pile[Away]) []*Away {
	order, names := make([]code.Ranked, list.len()), map[string]uint64{} // names: too long for a number
	for i, a := range list.all() {
		order[i].At = int32(i)
		var short bool
		if order[i].By, short = code.Packed(a.Who); !short {
			names[a.Who] = 0
		}
	}
	if len(names) > 0 {
		for _, a := range list.all() {
			names[a.Who] = 0
		}
		for n, who := range slices.Sorted(maps.Keys(names)) {
			names[who] = uint64(n)
		}
		for i, a := range list.all() {
			order[i].By = names[a.Who]
		}
	}
	code.Rank(order)
	out := make([]*Away, len(order))
	for i, x := range order {
		out[i] = list.at(int(x.At))
	}
	return out
}

// nameAways reads what parts are called, in the order in which they lie in the file.
func nameAways(v *store.View, called Called, held, lent *pile[Away], trays []*Away) {
	all := slices.Clip(trays)
	for _, list := range []*pile[Away]{held, lent} {
		for _, a := range list.all() {
			all = append(all, a)
		}
	}
	var parts tags
	order := make([]code.Ranked, len(all))
	for i, a := range all {
		order[i] = code.Ranked{By: tagged(&parts, a.Part), At: int32(i)}
	}
	code.Rank(order)
	var codes []code.Code
	for i, x := range order {
		if i == 0 || order[i-1].By != x.By {
			codes = append(codes, all[x.At].Part)
		}
	}
	next := 0
	v.NamedParts(codes, func(c code.Code, p store.Part, err error) {
		name := called(c, p, err)
		for ; next < len(order) && all[order[next].At].Part == c; next++ {
			all[order[next].At].Name = name
		}
	})
}

func (a *Away) order(b *Away) int {
	return cmp.Or(cmp.Compare(a.Who, b.Who), cmp.Compare(a.Bag, b.Bag))
}

// trays reads the workshop's own bags that lie in the tray of a job. Of two jobs with
// one tray the one that is open has it.
func (o *Out) trays(v *reader) {
	for tray, job := range v.JobOfTray() {
		for _, c := range v.BagsAt(tray) {
			if b, st := v.bag(c), v.state(c); b.Owner == store.Own && st.OnHand() > 0 {
				j := got(v, v.Job, job)
				o.Trays = append(o.Trays, &Away{Bag: c, Part: b.Part, Place: st.Place, Unit: b.Unit, About: st.About, N: st.OnHand(), Who: string(job), State: j.State, Closed: j.Closed})
			}
		}
	}
	slices.SortFunc(o.Trays, (*Away).order)
}
