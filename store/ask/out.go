package ask

import (
	"cmp"
	"slices"

	"tinful/store"
)

// An Out is what is not in its drawer, and what else is to be looked after before the
// light is put out.
type Out struct {
	Held, Lent, Trays Aways       // by job, by borrower, by job
	Borrowed          []Borrow    // what belongs to somebody else
	Left              []Borrow    // of repairs that nobody fetched
	Olds              []store.Old // of closed jobs, not handed back
	Waits             []Wait
}

// OutOfHouse reads what is out, with the names of the parts of what is held, lent or in a
// tray where named is set.
func OutOfHouse(view *store.View, named bool) (out Out, err error) {
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
	all := newAways()
	out.Held.in, out.Lent.in, out.Trays.in = all, all, all
	out.trays(v)
	out.away(v, named)
	oldsLeft(v, func(_ store.Job, x store.Old) { out.Olds = append(out.Olds, x) })
	err = wait()
	return out, cmp.Or(v.err, err)
}

// Empty tells whether nothing is out.
func (o Out) Empty() bool {
	return o.Held.Len()+o.Lent.Len()+o.Trays.Len()+len(o.Borrowed)+len(o.Left)+len(o.Olds)+len(o.Waits) == 0
}

// away reads what is held, by job, and what is lent, by borrower.
func (o *Out) away(v *reader, named bool) {
	var asked loans
	all := o.Held.in
	t := &all.tags
	for b := range each(v, v.EachOutside) {
		r := awayRow{bag: tagged(t, b.Bag), part: all.partOf(b.Part), place: tagged(t, b.Place), unit: numberIn(&all.units, b.Unit), about: b.About}
		for _, x := range b.HeldFor {
			r.n, r.who = x.N, tagged(t, x.Who)
			o.Held.rows.add(r)
		}
		for _, x := range b.LentTo {
			r.n, r.who = x.N, tagged(t, x.Who)
			asked.add(b.Book, string(x.Who))
			o.Lent.rows.add(r)
		}
	}
	names := func() error { return nil }
	if named {
		names = v.Aside(func(view *store.View) error { all.name(view); return nil })
	}
	wait := v.Aside(func(view *store.View) error {
		v := read(view)
		for i, l := range asked.find(v) {
			r := o.Lent.rows.at(i)
			r.since, r.due = l.since, l.due
		}
		o.Lent.byWho()
		return v.err
	})
	o.Held.byWho()
	stands := v.JobStands()
	var last *awayRow
	for _, r := range o.Held.rows.all() {
		if last != nil && r.who == last.who {
			r.state, r.closed = last.state, last.closed
		} else {
			state, closed, err := stands(t.of(r.who))
			r.state, r.closed = numberIn(&all.states, state), closed
			v.keep(err)
		}
		last = r
	}
	v.keep(wait())
	v.keep(names())
}

// trays reads the workshop's own bags that lie in the tray of a job. Of two jobs with
// one tray the one that is open has it.
func (o *Out) trays(v *reader) {
	var found []awayRow
	all := o.Trays.in
	t := &all.tags
	for tray, job := range v.JobOfTray() {
		for _, c := range v.BagsAt(tray) {
			if b, st := v.bag(c), v.state(c); b.Owner == store.Own && st.OnHand() > 0 {
				j := got(v, v.Job, job)
				found = append(found, awayRow{bag: tagged(t, c), part: all.partOf([]byte(b.Part)), place: tagged(t, st.Place), unit: numberIn(&all.units, b.Unit), about: st.About,
					n: st.OnHand(), who: tagged(t, job), state: numberIn(&all.states, j.State), closed: j.Closed})
			}
		}
	}
	slices.SortFunc(found, func(a, b awayRow) int {
		return cmp.Or(cmp.Compare(t.of(a.who), t.of(b.who)), cmp.Compare(t.of(a.bag), t.of(b.bag)))
	})
	for _, r := range found {
		o.Trays.rows.add(r)
	}
}
