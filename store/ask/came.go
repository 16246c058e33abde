package ask

import (
	"cmp"
	"fmt"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// HistoryAsked is the question what a parts camera went through; what its signs point
// to is taken without an answer.
func HistoryAsked(signs []string) store.Question {
	return store.Question{What: store.AskHistory, Words: store.Histories, Known: cmp.Or(Pointed(signs), "unknown")}
}

// A Came is a parts camera that came in, with what it may be.
type Came struct {
	Donor  store.Donor
	Model  Hypothesis   // what speaks for and against the model it was booked as
	Others []Hypothesis // models of its kind for which more speaks
	Late   string       // why its shutter is not its own, empty where nothing says so
	Twin   code.Code    // a parts camera of the model that has its body number already
}

// CameOf holds a parts camera that came in against its model and all others.
func CameOf(v *store.View, d store.Donor, m Marks) (Came, error) {
	out := Came{Donor: d}
	var err error
	if out.Twin, err = sameBody(v, d); err != nil {
		return out, err
	}
	if out.Model, err = Weigh(v, d.Model, m); err != nil {
		return out, err
	}
	model, err := v.Model(d.Model)
	if err != nil {
		return out, err
	}
	m.Kind = model.Kind
	all, err := Which(v, m)
	if err != nil {
		return out, err
	}
	for _, h := range all.Hypotheses {
		if h.Model != d.Model && h.Better(out.Model) {
			out.Others = append(out.Others, h)
		}
	}
	out.Late, err = ShutterOutOfStep(v, d)
	return out, err
}

// sameBody is another parts camera of the model with the same body number.
func sameBody(v *store.View, d store.Donor) (code.Code, error) {
	for _, c := range v.DonorsOf(d.Model) {
		other, err := v.Donor(c)
		if err != nil {
			return "", err
		}
		if c != d.Code && store.SameBody(other.BodyNo, d.BodyNo) {
			return c, nil
		}
	}
	return "", nil
}

// LotWords says what a lot was, and that its shares are no valuation.
func LotWords(v *store.View, d store.Donor) (string, error) {
	all, err := v.InLot(d.Lot)
	if err != nil || len(all) < 2 {
		return "", err
	}
	var with []code.Code
	var price, post code.Cents
	equal := true
	for _, o := range all {
		if o.Code != d.Code {
			with = append(with, o.Code)
		}
		if o.Price == nil || d.Price == nil || max(*o.Price-*d.Price, *d.Price-*o.Price) > 1 {
			equal = false
		}
		if o.Price != nil {
			price += *o.Price
		}
		if o.Post != nil {
			post += *o.Post
		}
	}
	text := fmt.Sprintf("%s with %s: %s and %s post", d.Lot, words.List(with, ", "), price, post)
	if equal {
		text += ", in equal shares: a start, no valuation"
	}
	return text, nil
}
