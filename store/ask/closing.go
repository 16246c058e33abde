package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A Closing is an open count, and which of its differences are accepted.
type Closing struct {
	Count Count
	All   bool
	Bags  []code.Code
	Lots  []code.Code // parts whose pieces without a bag are booked in
}

// ClosingOf reads a count. One that is closed is refused with [store.ErrRefused].
func ClosingOf(v *store.View, id store.CountID) (Closing, error) {
	n, err := CountOf(v, id)
	if err == nil && n.Closed != "" {
		err = refusal("count %s was closed on %s", id, n.Closed)
	}
	return Closing{Count: n}, err
}

func refusal(format string, values ...any) error {
	return &store.Refusal{Reason: store.Reason{Text: fmt.Sprintf(format, values...)}}
}

// Accept accepts the difference of a bag, or the pieces of a part without a bag. It
// returns [store.ErrRefused] where nothing of it is open.
func (k *Closing) Accept(ref store.Ref) error {
	if ref.Kind == "part" {
		if !slices.ContainsFunc(k.Count.Loose, func(l LoosePart) bool { return l.Part == ref.Code && l.Bag == "" }) {
			return refusal("no pieces of %s without a bag are open in count %s: name the bags", ref.Code, k.Count.ID)
		}
		k.Lots = append(k.Lots, ref.Code)
		return nil
	}
	i := slices.IndexFunc(k.Count.Lines, func(l CountLine) bool { return l.Bag == ref.Code })
	if i < 0 {
		return refusal("%s was not counted in count %s", ref.Code, k.Count.ID)
	}
	if l := k.Count.Lines[i]; !l.Open {
		state := map[string]string{"booked": "is booked already", "counted again": "was counted again since"}[l.State]
		return refusal("%s has no open difference in count %s: it %s", ref.Code, k.Count.ID, cmp.Or(state, l.State))
	}
	k.Bags = append(k.Bags, ref.Code)
	return nil
}

// None tells whether nothing is accepted.
func (k *Closing) None() bool { return !k.All && len(k.Bags)+len(k.Lots) == 0 }

// A Closed is what closing a count did, and the count as it is then.
type Closed struct {
	store.Settling
	Now   Count
	Trend []CountHead // of counts of its places before
}

// Close books what is accepted, each bag with why or else its likely reason.
func (k *Closing) Close(t *store.Tx, why string) (out Closed, err error) {
	if k.Count, err = CountOf(&t.View, k.Count.ID); err != nil {
		return out, err
	}
	accept := func(l store.CountLine) (string, bool) {
		if !k.All && !slices.Contains(k.Bags, l.Bag.Code) {
			return "", false
		}
		for _, n := range k.Count.Lines {
			if n.Bag == l.Bag.Code && why == "" && len(n.Likely) > 0 {
				return n.Likely[0].Text, true
			}
		}
		return cmp.Or(why, "no reason is known"), true
	}
	loose := func(l store.Loose) bool { return k.All || slices.Contains(k.Lots, l.Part) }
	if out.Settling, err = t.CloseCount(k.Count.ID, accept, loose); err != nil {
		return out, err
	}
	if out.Now, err = CountOf(&t.View, k.Count.ID); err == nil {
		out.Trend, err = Trend(&t.View, out.Now, 4)
	}
	out.Now.Missed = k.Count.Missed
	return out, err
}

// LeftToCount lists the bags of an open count's places that are not counted, or all.
func LeftToCount(view *store.View, number uint64, all bool) (out []CountBag, err error) {
	v := read(view)
	rec := got(v, v.CountNo, number)
	left := got(v, v.Uncounted, rec)
	for _, place := range rec.Places {
		bags, err := CountBags(view, place)
		v.keep(err)
		for _, b := range bags {
			if all || slices.Contains(left, b.Bag) {
				out = append(out, b)
			}
		}
	}
	return out, v.err
}
