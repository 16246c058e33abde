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
	Lent   []LentOut // the longest first
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
}

// A LentOut is pieces that somebody has.
type LentOut struct {
	Bag   store.Bag
	Name  string // of its part
	N     int64
	To    string
	Since code.Day // when the last of them went
}

// A ShortFor is a part that jobs wait for and that no bag can give them.
type ShortFor struct {
	Part store.Part
	Free int64
	Jobs []code.Code
}

// TodayOn reads the workshop on a day.
func TodayOn(v *store.View, day code.Day) (Today, error) {
	out := Today{Day: day}
	due, err := DueOn(v, day, UsualRules)
	out.Due = due.Bags
	for _, read := range []func(*store.View) error{out.jobs, out.short, out.others, out.lent, out.idle} {
		err = cmp.Or(err, read(v))
	}
	return out, err
}

// jobs reads the cameras in the house, those without a tray last.
func (t *Today) jobs(v *store.View) error {
	err := v.EachJob(func(j store.Job) error {
		if !j.InHouse() {
			return nil
		}
		waits, err := waitsOf(v, j)
		t.Jobs = append(t.Jobs, InHouse{j, waits})
		return err
	})
	last := func(h InHouse) string { return cmp.Or(string(h.Job.Tray), "\xff") }
	slices.SortStableFunc(t.Jobs, func(a, b InHouse) int { return cmp.Compare(last(a), last(b)) })
	return err
}

// waitsOf lists what the camera of a job lacks; nothing once it is closed.
func waitsOf(v *store.View, j store.Job) (out []WaitsFor, err error) {
	if j.Closed != 0 {
		return nil, nil
	}
	wants, err := v.WantsFor(j.Code)
	if err != nil {
		return nil, err
	}
	pieces, err := v.PiecesOf(j.Code)
	if err != nil {
		return nil, err
	}
	wants = slices.DeleteFunc(wants, func(w store.Want) bool {
		return w.Met != 0 || slices.ContainsFunc(pieces, func(p store.Piece) bool { return p.Held && p.Bag.Part == w.Part })
	})
	seen, err := v.SeenOnJob(j.Code)
	if err != nil {
		return nil, err
	}
	for _, s := range seen {
		has := slices.ContainsFunc(pieces, func(p store.Piece) bool { return p.Bag.Part == s.Part })
		if s.Seen == "missing" && !has {
			wants = append(wants, store.Want{Part: s.Part, Job: j.Code, Model: j.Model})
		}
	}
	for _, w := range wants {
		if slices.ContainsFunc(out, func(x WaitsFor) bool { return x.Part == w.Part }) {
			continue
		}
		here, err := waitOver(v, w)
		if err != nil {
			return nil, err
		}
		out = append(out, WaitsFor{w.Part, here})
	}
	return out, nil
}

// short gathers what the jobs wait for by part.
func (t *Today) short(v *store.View) error {
	for _, h := range t.Jobs {
		for _, w := range h.Waits {
			if w.Here != "" {
				continue
			}
			i := slices.IndexFunc(t.Short, func(s ShortFor) bool { return s.Part.Code == w.Part })
			if i < 0 {
				p, err := v.Part(w.Part)
				if err != nil {
					return err
				}
				f, err := v.Figure(w.Part)
				if err != nil {
					return err
				}
				i, t.Short = len(t.Short), append(t.Short, ShortFor{Part: p, Free: f.Free()})
			}
			t.Short[i].Jobs = append(t.Short[i].Jobs, h.Job.Code)
		}
	}
	slices.SortFunc(t.Short, func(a, b ShortFor) int { return cmp.Compare(a.Part.Code, b.Part.Code) })
	return nil
}

// others reads what belongs to others: parts cameras, pieces in bags, and old pieces of
// closed jobs that were not handed back.
func (t *Today) others(v *store.View) error {
	all, err := NotOurs(v)
	for _, b := range all {
		t.Others = append(t.Others, Foreign{Code: v.Typed(b.kind(), cmp.Or(b.Donor, b.Bag)), Part: b.Part, Model: b.Model, Owner: b.Owner, Since: b.Since})
	}
	err = cmp.Or(err, OldsLeft(v, func(j store.Job, o store.Old) {
		t.Others = append(t.Others, Foreign{Code: v.Typed("job", j.Code), What: "old " + cmp.Or(o.Piece, "piece"), Part: o.Part, Owner: j.Owner, Since: o.Day})
	}))
	slices.SortStableFunc(t.Others, func(a, b Foreign) int { return cmp.Compare(a.Owner, b.Owner) })
	return err
}

// OldsLeft calls fn for every old piece of a closed job that was not handed back.
func OldsLeft(v *store.View, fn func(store.Job, store.Old)) error {
	return v.EachJob(func(j store.Job) error {
		if j.Closed == 0 {
			return nil
		}
		olds, err := v.OldOf(j.Code)
		for _, o := range olds {
			if o.Open() {
				fn(j, o)
			}
		}
		return err
	})
}

// lent reads who has what of the workshop's pieces.
func (t *Today) lent(v *store.View) error {
	for _, c := range v.BagsOut() {
		st, err := v.State(c)
		if err != nil {
			return err
		}
		if len(st.LentTo) == 0 {
			continue
		}
		b, err := v.Bag(c)
		if err != nil {
			return err
		}
		book, err := v.EntriesOf(c)
		if err != nil {
			return err
		}
		p, _ := v.Part(b.Part) // without one the pieces have no name
		for _, o := range st.LentTo {
			out := LentOut{Bag: b, Name: p.Name, N: o.N, To: o.Who}
			for _, e := range standing(book) {
				if e.What == store.Lent && e.To == o.Who {
					out.Since = e.Day
				}
			}
			t.Lent = append(t.Lent, out)
		}
	}
	slices.SortStableFunc(t.Lent, func(a, b LentOut) int { return cmp.Compare(a.Since, b.Since) })
	return nil
}

// idle reads the own parts cameras that are not stripped and gave nothing for a year,
// the earliest bought first.
func (t *Today) idle(v *store.View) error {
	err := v.EachDonor(func(d store.Donor) error {
		if d.Owner != store.Own || !unstripped(d) {
			return nil
		}
		given, err := lastGiven(v, d)
		if given == 0 || t.Day-given > aYear {
			t.Idle = append(t.Idle, d)
		}
		return err
	})
	slices.SortStableFunc(t.Idle, func(a, b store.Donor) int { return cmp.Compare(a.Bought, b.Bought) })
	return err
}

// StandIn lists the parts cameras that stand in a place.
func StandIn(v *store.View, place code.Code) (out []store.Donor, err error) {
	err = v.EachDonor(func(d store.Donor) error {
		if d.Place == place {
			out = append(out, d)
		}
		return nil
	})
	return out, err
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
