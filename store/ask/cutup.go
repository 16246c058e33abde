package ask

import (
	"cmp"
	"math"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// BookCut books a layout that was found in the same booking: the pieces of covering it
// cuts into are used up, its panels and what is kept of the pieces are bags of their own.
// Panels are set aside for the job of the query, but for the spare one. With place they
// lie there, else where their sisters do.
func BookCut(t *store.Tx, q CutQuery, c Cutting, place code.Code, why string) error {
	r, shares := read(&t.View), costs{}
	for _, bag := range bagsOfLayout(c) {
		k := store.CutUp{Bag: bag, Job: q.Job.Code, Why: why, Anyway: q.Anyway}
		if k.Job == "" {
			k.Model = q.Camera.Model
		}
		for _, sh := range c.Sheets {
			if sh.Bag == bag {
				k.N++
				k.Into = intoPieces(k.Into, sh, q.Job.Code != "", place)
			}
		}
		k.Cost = costOfCut(r, shares, bag, k.N)
		if r.err != nil {
			return r.err
		}
		if _, err := t.CutUp(k); err != nil {
			return err
		}
	}
	return nil
}

// bagsOfLayout are the bags that a layout cuts into, each once.
func bagsOfLayout(c Cutting) (bags []code.Code) {
	for _, sh := range c.Sheets {
		if !slices.Contains(bags, sh.Bag) {
			bags = append(bags, sh.Bag)
		}
	}
	return bags
}

// intoPieces adds what arises from one piece of covering: panels of a kind together, each
// offcut by itself.
func intoPieces(list []store.CutPiece, sh CutSheet, forJob bool, place code.Code) []store.CutPiece {
	um := func(mm float64) int64 { return int64(math.Round(mm * 1000)) }
	for _, p := range sh.Placed {
		n := store.CutPiece{Part: p.Outline.Part, Width: p.Outline.Width, Length: p.Outline.Length, Turned: p.Turned, Place: place}
		i := slices.IndexFunc(list, func(o store.CutPiece) bool {
			return !o.Offcut && o.Part == n.Part && o.Width == n.Width && o.Length == n.Length && o.Turned == n.Turned
		})
		if i < 0 {
			list, i = append(list, n), len(list)
		}
		list[i].N++
		if forJob && !p.Spare {
			list[i].Held++
		}
	}
	for _, l := range sh.Left {
		list = append(list, store.CutPiece{Offcut: true, N: 1, X: um(l.X), Y: um(l.Y), Width: um(l.W), Length: um(l.H)})
	}
	return list
}

// costOfCut is what the next n pieces of a bag cost that are cut up, so that all of them
// together cost what the bag did.
func costOfCut(r *reader, shares costs, bag code.Code, n int64) *code.Cents {
	cut := r.state(bag).Cut
	all, before := shares.pieces(r, bag, cut+n), shares.pieces(r, bag, cut)
	if all == nil || before == nil {
		return nil
	}
	sum := *all - *before
	return &sum
}

// A Spoilt is a panel that was spoilt when it was cut, and where it can be cut again.
type Spoilt struct {
	Bag   code.Code `json:"bag"`
	Part  code.Code `json:"part"`
	Name  string    `json:"name"`
	Sheet code.Code `json:"sheet"` // the bag that it had been cut from
	CM2   float64   `json:"lost_cm2"`
	Job   code.Code `json:"job,omitempty"`  // for which it is to be cut again
	Left  int64     `json:"left"`           // pieces of it that are there all the same
	Size  string    `json:"size,omitempty"` // of a piece that is no part, as it is typed
	Again Cutting   `json:"again"`
}

// Spoil books one panel as spoilt: of a bag, or of a part the piece that was cut last,
// for the job of the query where it has one. Then it looks where the panel can be cut
// again.
func Spoil(t *store.Tx, ref store.Ref, why string, q CutQuery) (Spoilt, error) {
	r := read(&t.View)
	b, at, err := lastCut(r, ref, q.Job.Code)
	if err != nil {
		return Spoilt{}, err
	}
	st, sheet, p := r.state(b.Code), r.bag(b.Cut), r.part(b.Part)
	k := store.CutUp{Bag: b.Code, N: 1, Job: at.Job, Model: at.Model, Why: why}
	if st.Free() <= 0 && st.HeldForJob(at.Job) == 0 && len(st.HeldFor) == 1 {
		k.Job = code.Code(st.HeldFor[0].Who)
	}
	if r.err != nil {
		return Spoilt{}, r.err
	}
	if _, err := t.CutUp(k); err != nil {
		return Spoilt{}, err
	}
	w, l := store.OwnSize(p, b, dim.Width), store.OwnSize(p, b, dim.Length)
	out := Spoilt{Bag: b.Code, Part: b.Part, Name: p.Name, Sheet: b.Cut, CM2: places(dim.SquareCentimetres(w, l), 2), Left: st.OnHand() - 1}
	if held := st.HeldForJob(k.Job); held > 0 && st.Free() <= 0 {
		out.Job = k.Job
	}
	q.Camera, q.Panels, q.Sizes, q.From = store.Camera{}, nil, nil, nil
	if b.Part == sheet.Part {
		out.Size = CutSize{Width: w, Length: l}.Name()
		q.Sizes = []CutSize{{w, l, 1}}
	} else {
		q.Panels = []Wanted{{b.Part, 1}}
	}
	if q.Job.Code == "" && k.Job != "" {
		q.Job = r.job(k.Job)
	}
	out.Again, err = FindCut(&t.View, q)
	return out, cmp.Or(r.err, err)
}

// lastCut is the bag of what was cut here and is on hand, with the entry that it arose
// by; of several that which was cut last, one that is held for the job before others.
func lastCut(r *reader, ref store.Ref, job code.Code) (best store.Bag, by store.Entry, err error) {
	bags := []code.Code{ref.Code}
	if ref.Kind != "bag" {
		bags = r.BagsOf(ref.Code)
	}
	held := false
	for _, c := range bags {
		b, st := r.bag(c), r.state(c)
		e, cut := arose(r, b)
		if !cut || st.OnHand() <= 0 || b.Material == "" {
			continue
		}
		mine := job != "" && st.HeldForJob(job) > 0
		if best.Code == "" || mine && !held || mine == held && e.Seq >= by.Seq {
			best, by, held = b, e, mine
		}
	}
	switch {
	case best.Code != "" || r.err != nil:
	case ref.Kind == "bag":
		err = &store.Refusal{Reason: store.Say("", "%s is no panel that was cut here, or none of it is on hand", ref.Code)}
	default:
		err = &store.Refusal{Reason: store.Say(store.NotCut, "no %s that was cut here is on hand: book the cut first", ref.Code).Of(ref.Code)}
	}
	return best, by, cmp.Or(r.err, err)
}

// arose is the entry by which a bag arose from a cut.
func arose(r *reader, b store.Bag) (by store.Entry, ok bool) {
	if b.Cut == "" {
		return by, false
	}
	for _, e := range standing(got(r, r.EntriesOf, b.Cut)) {
		if slices.Contains(e.Into(), b.Code) && e.What == store.Cut {
			by, ok = e, true
		}
	}
	return by, ok
}
