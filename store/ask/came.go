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
func CameOf(view *store.View, d store.Donor, m Marks) (Came, error) {
	v := read(view)
	model := v.model(d.Model)
	out := Came{Donor: d, Twin: sameBody(v, d), Model: weighModel(v, model, m), Late: outOfStep(v, model, MarksOf(d))}
	m.Kind = cmp.Or(model.Kind, "camera")
	for _, h := range which(v, m).Hypotheses {
		if h.Model != d.Model && h.weight >= out.Model.weight {
			out.Others = append(out.Others, h)
		}
	}
	return out, v.err
}

// sameBody is another parts camera of the model with the same body number.
func sameBody(v *reader, d store.Donor) code.Code {
	for _, c := range v.DonorsOf(d.Model) {
		if c != d.Code && store.SameBody(v.donor(c).BodyNo, d.BodyNo) {
			return c
		}
	}
	return ""
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
