package ask

import (
	"cmp"
	"slices"

	"tinful/store"
	"tinful/store/code"
)

// A MonthProperty is a thing in the house that belongs to somebody else, or one of the
// workshop's that somebody else has.
type MonthProperty struct {
	Thing code.Code   `json:"thing"` // as it is typed: a parts camera, a bag, a job
	Part  code.Code   `json:"part,omitempty"`
	Model code.Code   `json:"model,omitempty"`
	What  string      `json:"what,omitempty"` // in words
	N     int64       `json:"pieces"`
	Owner string      `json:"owner,omitempty"` // who owns it, or has it
	Since string      `json:"since,omitempty"`
	Value *code.Cents `json:"value_cents,omitempty"` // nil where nobody said
}

// A Custody is who has what on a day.
type Custody struct {
	Day    string          `json:"day"`
	Others []MonthProperty `json:"others"` // in the house and not the workshop's
	Lent   []MonthProperty `json:"lent"`   // the workshop's, and with others
}

// CustodyOn reads who had what at the end of a day, by the book of today.
func CustodyOn(view *store.View, day code.Day) (Custody, error) {
	v := read(view)
	out := Custody{Day: day.String(), Others: propertyOn(v, day), Lent: []MonthProperty{}}
	for b := range each(v, v.EachBag) {
		if b.Owner != store.Own {
			continue
		}
		st, entries := stateOn(v, b, day)
		for _, o := range st.LentTo {
			x := MonthProperty{Thing: v.Typed("bag", b.Code), Part: b.Part, N: o.N, Owner: o.Who}
			for _, e := range entries {
				if e.What == store.Lent && e.To == o.Who {
					x.Since = e.Day.String()
				}
			}
			if b.Part != "" {
				p := v.part(b.Part)
				x.What = p.Called()
				if p.Value != nil && b.Unit != "mm" {
					c := *p.Value * code.Cents(o.N)
					x.Value = &c
				}
			}
			out.Lent = append(out.Lent, x)
		}
	}
	sortByOwner(out.Lent)
	return out, v.err
}

// stateOn is how a bag stood at the end of a day, without what was taken back since.
func stateOn(v *reader, b store.Bag, day code.Day) (store.State, []store.Entry) {
	entries := slices.DeleteFunc(standing(got(v, v.EntriesOf, b.Code)), func(e store.Entry) bool { return e.Day > day })
	if len(entries) == 0 {
		return store.State{}, nil
	}
	return store.StateAfter(b, entries), entries
}

// propertyOn lists what was in the house on a day and belongs to others: the cameras of
// jobs, parts cameras and pieces that were lent or left here, old pieces. Nobody notes
// when a camera was fetched: one that is collected counts as gone when it was closed.
func propertyOn(v *reader, day code.Day) []MonthProperty {
	out := []MonthProperty{}
	for j := range each(v, v.EachJob) {
		if (j.Closed == 0 || j.Closed > day || j.InHouse()) && j.Opened <= day {
			out = append(out, MonthProperty{Thing: v.Typed("job", j.Code), Model: j.Model, What: "camera", N: 1, Owner: j.Owner, Since: j.Opened.String(), Value: j.Value})
		}
		for _, o := range got(v, v.OldOf, j.Code) {
			if o.Day <= day && (o.Open() || o.Settled > day) {
				name := o.Piece
				if o.Part != "" {
					name = v.part(o.Part).Called()
				}
				out = append(out, MonthProperty{Thing: v.Typed("job", j.Code), Part: o.Part, What: "old " + name, N: max(o.Quantity, 1), Owner: j.Owner, Since: o.Day.String()})
			}
		}
	}
	for d := range each(v, v.EachDonor) {
		if came := cmp.Or(d.Bought, d.Booked); d.Owner != "" && d.Owner != store.Own && came <= day {
			out = append(out, MonthProperty{Thing: v.Typed("donor", d.Code), Model: d.Model, What: "parts camera", N: 1, Owner: d.Owner, Since: came.String(), Value: d.Worth})
		}
	}
	for b := range each(v, v.EachBag) {
		if b.Owner == "" || b.Owner == store.Own {
			continue
		}
		if st, _ := stateOn(v, b, day); st.OnHand() > 0 {
			x := MonthProperty{Thing: v.Typed("bag", b.Code), Part: b.Part, N: st.OnHand(), Owner: b.Owner, Since: b.Booked.String()}
			if b.Part != "" {
				x.What = v.part(b.Part).Called()
			}
			out = append(out, x)
		}
	}
	sortByOwner(out)
	return out
}

func sortByOwner(list []MonthProperty) {
	slices.SortStableFunc(list, func(a, b MonthProperty) int { return cmp.Compare(a.Owner, b.Owner) })
}
