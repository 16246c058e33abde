package ask

import (
	"cmp"
	"errors"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// An Out is what is not in its drawer, and what else is to be looked after before the
// light is put out.
type Out struct {
	Held, Lent, Trays []Away      // by job, by borrower, by job
	Borrowed          []Borrow    // what belongs to somebody else
	Left              []Borrow    // of repairs that nobody fetched
	Olds              []store.Old // of closed jobs, not handed back
	Waits             []Wait
}

// An Away is a number of pieces of a bag that stand with a job or a person.
type Away struct {
	Bag store.Bag
	St  store.State
	N   int64
	Who string
	Job store.Job // of what is held or in a tray

	Since, Due code.Day // of what is lent: since when, and when it should be back
}

// OutOfHouse reads what is out.
func OutOfHouse(view *store.View) (out Out, err error) {
	v := read(view)
	for _, b := range notOurs(v) {
		if b.Owner == store.OwnerHeld {
			out.Left = append(out.Left, b)
		} else {
			out.Borrowed = append(out.Borrowed, b)
		}
	}
	out.away(v)
	out.trays(v)
	out.Waits = waitsOver(v)
	oldsLeft(v, func(_ store.Job, x store.Old) { out.Olds = append(out.Olds, x) })
	return out, v.err
}

// Empty tells whether nothing is out.
func (o Out) Empty() bool {
	return len(o.Held)+len(o.Lent)+len(o.Trays)+len(o.Borrowed)+len(o.Left)+len(o.Olds)+len(o.Waits) == 0
}

// away reads what is held, by job, and what is lent, by borrower.
func (o *Out) away(v *reader) {
	for _, c := range v.BagsOut() {
		b, st := v.bag(c), v.state(c)
		for _, x := range st.HeldFor {
			j, err := v.Job(code.Code(x.Who))
			if !errors.Is(err, store.ErrNotFound) {
				v.keep(err)
			}
			o.Held = append(o.Held, Away{Bag: b, St: st, N: x.N, Who: x.Who, Job: j})
		}
		for _, x := range st.LentTo {
			since, due := loan(v, c, x.Who)
			o.Lent = append(o.Lent, Away{Bag: b, St: st, N: x.N, Who: x.Who, Since: since, Due: due})
		}
	}
	byWho := func(a, b Away) int { return cmp.Compare(a.Who, b.Who) }
	slices.SortStableFunc(o.Held, byWho)
	slices.SortStableFunc(o.Lent, byWho)
}

// trays reads the workshop's own bags that lie in the tray of a job. Of two jobs with
// one tray the one that is open has it.
func (o *Out) trays(v *reader) {
	for tray, job := range v.JobOfTray() {
		for _, c := range v.BagsAt(tray) {
			if b, st := v.bag(c), v.state(c); b.Owner == store.Own && st.OnHand() > 0 {
				o.Trays = append(o.Trays, Away{Bag: b, St: st, N: st.OnHand(), Who: string(job), Job: got(v, v.Job, job)})
			}
		}
	}
	slices.SortFunc(o.Trays, func(a, b Away) int {
		return cmp.Or(cmp.Compare(a.Who, b.Who), cmp.Compare(a.Bag.Code, b.Bag.Code))
	})
}
