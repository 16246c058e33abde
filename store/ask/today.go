package ask

import (
	"cmp"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// A Today is the workshop on one day.
type Today struct {
	Day    code.Day
	Jobs   []InHouse // by tray
	Others []Foreign // what belongs to others, by owner
	Lent   []LentOut // what is due first
	Short  []ShortFor
	Idle   []store.Donor // sketches of own parts cameras that may still give something and gave nothing for a year
	Due    []DueBag      // what to count this week
	few    int           // see TodayBrief
}

// An InHouse is a customer's camera that is here.
type InHouse struct {
	Job   store.Job
	Waits []WaitsFor
}

// A WaitsFor is a part that a job's camera lacks: it was wanted and is not held, or
// seen missing and neither fitted nor held.
type WaitsFor struct {
	Part code.Code
	Here string // the bag that could end the wait, in words, empty where there is none
}

// A Foreign is a thing in the house that is not the workshop's.
type Foreign struct {
	Code  code.Code // of the parts camera or bag, or the closed job whose old piece it is
	What  string    // an old piece in words
	Part  code.Code
	Model code.Code
	Owner string // a customer, or held
	Since code.Day
	Value *code.Cents // that a camera is insured for, nil where nobody said
}

// A LentOut is pieces that somebody has.
type LentOut struct {
	Bag   code.Code
	Part  code.Code
	Unit  string
	Name  string // of its part
	N     int64
	To    string
	Since code.Day // when the last of them went
	Due   code.Day // when it should be back, 0 where nobody said
}

// A ShortFor is a part that jobs wait for and that no bag can give them.
type ShortFor struct {
	Part store.Part
	Free int64
	Jobs []code.Code
}

// TodayOn reads the workshop on a day.
func TodayOn(view *store.View, day code.Day) (Today, error) { return TodayBrief(view, day, 0) }

// TodayBrief is TodayOn where of what belongs to others and of what is lent the first few
// are told whole, 0 for all; the others have owner or borrower and code.
func TodayBrief(view *store.View, day code.Day, few int) (Today, error) {
	v, out := read(view), Today{Day: day, few: few}
	due := UsualRules
	due.Brief = few > 0
	met := make(chan *lentBags, 1)
	due.lent = func(bags *lentBags) { met <- bags }
	wait := v.Aside(func(view *store.View) error {
		defer close(met)
		d, err := DueOn(view, day, due)
		out.Due = d.Bags
		return err
	})
	for _, read := range []func(*reader){out.jobs, out.short, out.others, out.idle} {
		read(v)
	}
	if bags := <-met; bags != nil {
		out.lent(v, bags)
	}
	err := wait()
	return out, cmp.Or(err, v.err)
}

// whole says whether the nth of a list is told whole.
func (t *Today) whole(n int) bool { return t.few == 0 || n < t.few }

// jobs reads the cameras in the house, those without a tray last.
func (t *Today) jobs(v *reader) {
	for j := range each(v, v.EachInHouse) {
		t.Jobs = append(t.Jobs, InHouse{j, waitsOf(v, j)})
	}
	last := func(h InHouse) string { return cmp.Or(string(h.Job.Tray), "\xff") }
	slices.SortStableFunc(t.Jobs, func(a, b InHouse) int { return cmp.Compare(last(a), last(b)) })
}

// waitsOf lists what the camera of a job lacks; nothing once it is closed.
func waitsOf(v *reader, j store.Job) (out []WaitsFor) {
	if j.Closed != 0 {
		return nil
	}
	pieces := got(v, v.PiecesOf, j.Code)
	wants := slices.DeleteFunc(got(v, v.WantsFor, j.Code), func(w store.Want) bool {
		return w.Met != 0 || slices.ContainsFunc(pieces, func(p store.Piece) bool { return p.Held && p.Bag.Part == w.Part })
	})
	for _, s := range got(v, v.SeenOnJob, j.Code) {
		has := slices.ContainsFunc(pieces, func(p store.Piece) bool { return p.Bag.Part == s.Part })
		if s.Seen == "missing" && !has {
			wants = append(wants, store.Want{Part: s.Part, Job: j.Code, Model: j.Model})
		}
	}
	for _, w := range wants {
		if !slices.ContainsFunc(out, func(x WaitsFor) bool { return x.Part == w.Part }) {
			out = append(out, WaitsFor{w.Part, waitOver(v, w)})
		}
	}
	return out
}

// short gathers what the jobs wait for by part.
func (t *Today) short(v *reader) {
	for _, h := range t.Jobs {
		for _, w := range h.Waits {
			if w.Here != "" {
				continue
			}
			i := slices.IndexFunc(t.Short, func(s ShortFor) bool { return s.Part.Code == w.Part })
			if i < 0 {
				i, t.Short = len(t.Short), append(t.Short, ShortFor{Part: v.part(w.Part), Free: v.figure(w.Part).Free()})
			}
			t.Short[i].Jobs = append(t.Short[i].Jobs, h.Job.Code)
		}
	}
	slices.SortFunc(t.Short, func(a, b ShortFor) int { return cmp.Compare(a.Part.Code, b.Part.Code) })
}

// others reads what belongs to others: parts cameras, pieces in bags, and old pieces of
// closed jobs that were not handed back.
func (t *Today) others(v *reader) {
	type other struct {
		owned
		old *Foreign
	}
	var all []other
	for _, o := range ownedByOthers(v) {
		all = append(all, other{o, nil})
	}
	oldsLeft(v, func(j store.Job, o store.Old) {
		all = append(all, other{owned{owner: j.Owner}, &Foreign{Code: v.Typed("job", j.Code), What: "old " + cmp.Or(o.Piece, "piece"), Part: o.Part, Owner: j.Owner, Since: o.Day}})
	})
	slices.SortStableFunc(all, func(a, b other) int { return cmp.Compare(a.owner, b.owner) })
	for i, o := range all {
		switch {
		case o.old != nil:
			t.Others = append(t.Others, *o.old)
		case t.whole(i):
			t.Others = append(t.Others, o.foreign(v))
		default:
			t.Others = append(t.Others, Foreign{Code: o.code, Owner: o.owner})
		}
	}
}

// foreign is what the day says of a thing that belongs to somebody else.
func (o owned) foreign(v *reader) Foreign {
	b := o.borrow(v)
	x := Foreign{Code: v.Typed(o.kind, o.code), Part: b.Part, Model: b.Model, Owner: o.owner, Since: b.Since}
	if o.kind == "donor" {
		x.Value = v.donor(o.code).Worth
	}
	return x
}

// lent reads who has what of the workshop's pieces, of bags of which something is lent.
func (t *Today) lent(v *reader, bags *lentBags) {
	slices.SortFunc(bags.list, func(a, b lentBag) int { return bags.tags.compare(a.bag, b.bag) }) // as they lie in the file
	var asked loans
	var texts strings.Builder
	all, balance := make([]LentOut, 0, len(bags.list)), v.LentAndHeld()
	for _, b := range bags.list {
		bag, part := bags.tags.within(&texts, b.bag), bags.tags.within(&texts, b.part)
		out := got(v, balance, []byte(bag))
		for _, o := range out.LentTo {
			to := string(o.Who)
			all = append(all, LentOut{Bag: bag, Part: part, Unit: b.unit, N: o.N, To: to})
			asked.add(out.Book, to)
		}
	}
	order := make([]code.Ranked, len(all)) // what is due first, nothing said last, then the longest lent
	for i, l := range asked.find(v) {
		all[i].Since, all[i].Due = l.since, l.due
		order[i] = code.Ranked{By: uint64(uint32(l.due-1))<<32 | uint64(uint32(l.since)), At: int32(i)}
	}
	code.Rank(order)
	t.Lent = slices.Grow(t.Lent, len(all))
	for _, x := range order {
		t.Lent = append(t.Lent, all[x.At])
	}
	for i := range t.Lent {
		if !t.whole(i) {
			return
		}
		p, _ := v.PartSketch(t.Lent[i].Part) // without one the pieces have no name
		t.Lent[i].Name = p.Called()
	}
}

// idle reads the own parts cameras that are not stripped and gave nothing for a year,
// the earliest bought first.
func (t *Today) idle(v *reader) {
	for d := range each(v, v.EachDonorSketch) {
		if d.Owner != store.Own || !unstripped(d) {
			continue
		}
		if given := v.CameFrom(string(d.Code)); given == 0 || t.Day-given > aYear {
			t.Idle = append(t.Idle, d)
		}
	}
	slices.SortStableFunc(t.Idle, func(a, b store.Donor) int { return cmp.Compare(a.Bought, b.Bought) })
}

// StandIn lists the parts cameras that stand in a place.
func StandIn(view *store.View, place code.Code) (out []store.Donor, err error) {
	v := read(view)
	for d := range each(v, v.EachDonor) {
		if d.Place == place {
			out = append(out, d)
		}
	}
	return out, v.err
}

// oldsLeft calls fn for every old piece of a closed job that was not handed back.
func oldsLeft(v *reader, fn func(store.Job, store.Old)) {
	for o := range each(v, v.EachOldOpen) {
		if j := got(v, v.Job, o.Job); j.Closed != 0 {
			fn(j, o)
		}
	}
}

// Jobs lists the jobs of one state or, for no state, those in the house or all, by state.
// gone is how many are not in the house.
func Jobs(v *store.View, state string, all bool) (list []store.Job, gone int, err error) {
	err = v.EachJob(func(j store.Job) error {
		if !j.InHouse() {
			gone++
		}
		if state == j.State || state == "" && (all || j.InHouse()) {
			list = append(list, j)
		}
		return nil
	})
	slices.SortStableFunc(list, func(a, b store.Job) int {
		return slices.Index(store.JobStates, a.State) - slices.Index(store.JobStates, b.State)
	})
	return list, gone, err
}
