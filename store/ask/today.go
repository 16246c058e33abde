package ask

import (
	"cmp"
	"slices"

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
	Idle   []store.Donor // own parts cameras that may still give something and gave nothing for a year
	Due    []DueBag      // what to count this week
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
func TodayOn(view *store.View, day code.Day) (Today, error) {
	v, out := read(view), Today{Day: day}
	due, err := DueOn(view, day, UsualRules)
	out.Due = due.Bags
	for _, read := range []func(*reader){out.jobs, out.short, out.others, out.lent, out.idle} {
		read(v)
	}
	return out, cmp.Or(err, v.err)
}

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
	for _, b := range notOurs(v) {
		x := Foreign{Code: v.Typed(b.kind(), cmp.Or(b.Donor, b.Bag)), Part: b.Part, Model: b.Model, Owner: b.Owner, Since: b.Since}
		if b.Donor != "" {
			x.Value = v.donor(b.Donor).Worth
		}
		t.Others = append(t.Others, x)
	}
	oldsLeft(v, func(j store.Job, o store.Old) {
		t.Others = append(t.Others, Foreign{Code: v.Typed("job", j.Code), What: "old " + cmp.Or(o.Piece, "piece"), Part: o.Part, Owner: j.Owner, Since: o.Day})
	})
	slices.SortStableFunc(t.Others, func(a, b Foreign) int { return cmp.Compare(a.Owner, b.Owner) })
}

// lent reads who has what of the workshop's pieces.
func (t *Today) lent(v *reader) {
	for b := range each(v, v.EachOutside) {
		for _, o := range b.LentTo {
			p, _ := v.NamedPart(b.Part) // without one the pieces have no name
			out := LentOut{Bag: b.Bag, Part: b.Part, Unit: b.Unit, Name: p.Name, N: o.N, To: o.Who}
			out.Since, out.Due = loan(v, b.Book, o.Who)
			t.Lent = append(t.Lent, out)
		}
	}
	slices.SortStableFunc(t.Lent, func(a, b LentOut) int {
		return cmp.Or(cmp.Compare(uint32(a.Due-1), uint32(b.Due-1)), cmp.Compare(a.Since, b.Since))
	})
}

// loan is since when somebody has pieces of a bag with such a book, and when they should
// be back: 0 where nobody said.
func loan(v *reader, book []uint64, who string) (since, due code.Day) {
	for _, seq := range slices.Backward(book) {
		e := got(v, v.MomentNo, seq)
		if e.What == store.Lent && e.To == who && e.Undoes == 0 && !v.Undone(e.Booking) {
			return e.Day, e.Due
		}
	}
	return 0, 0
}

// idle reads the own parts cameras that are not stripped and gave nothing for a year,
// the earliest bought first.
func (t *Today) idle(v *reader) {
	for d := range each(v, v.EachDonorSketch) {
		if d.Owner != store.Own || !unstripped(d) {
			continue
		}
		if given := v.CameFrom(string(d.Code)); given == 0 || t.Day-given > aYear {
			t.Idle = append(t.Idle, v.donor(d.Code))
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
