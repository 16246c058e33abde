package page

import (
	"errors"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// An arrivePage is a customer's camera that comes in, as a form: first which camera and
// whose, then what it is asked beside.
type arrivePage struct {
	Model, Number, Owner, Fault string
	Value, Note                 string
	Asks                        []question // nil as long as the camera is not known
	Flaw                        string
	Models                      []string
}

// A question is a question of a form.
type question struct {
	Name, Words string
	Known       []string // answers to choose from
	Kind        string   // of the field: text or date
}

// askedWords are the questions of an arrival.
var askedWords = map[store.QuestionKind]string{
	store.AskShutter: "which shutter does it carry", store.AskLens: "which lens does it carry", store.AskAccessories: "what came with it",
	store.AskAgreed: "are used or made parts agreed to", store.AskPromised: "promised for which day",
}

func showArrive(v *visit) {
	v.mayBook()
	a := arrivePage{Model: v.given("model"), Number: v.given("number"), Owner: v.given("owner"), Fault: v.given("fault")}
	v.screen, v.Title = "arrive", "a camera arrives"
	a.Models = v.models()
	if a.Model != "" && v.view.Err == nil {
		// what the arrival lacks stands on the screen
		l := &store.Lookup{View: v.view.View}
		questions := store.Got(l, l.ArrivalAsks, v.arrival(l))
		r, _ := errors.AsType[*store.Refusal](l.Err)
		switch {
		case r != nil && r.Kind == store.HereAlready: // said again where it is booked, with what helps
			a.Flaw, a.Asks = v.page.bench.Says(l.Err), []question{}
		case errors.Is(l.Err, store.ErrDamaged):
			v.view.Keep(l.Err)
		case l.Err != nil:
			a.Flaw = v.page.bench.Says(l.Err)
		}
		for _, q := range questions {
			x := question{Name: string(q.What), Words: askedWords[q.What], Known: q.Words, Kind: "text"}
			if q.What == store.AskPromised {
				x.Kind = "date"
			}
			a.Asks = append(a.Asks, x)
		}
	}
	v.Body = a
}

// arrival reads the form of an arrival.
func (v *visit) arrival(l *store.Lookup) store.Arrival {
	in := store.Arrival{Anyway: v.given("anyway") == "yes"}
	j := &in.Job
	j.Model = look(l, v.given("model"), "model").Code
	clean := func(name string) string { return store.Got(l, store.CleanText, v.given(name)) }
	j.Owner, j.Fault, j.Note, j.BodyNo = clean("owner"), clean("fault"), clean("note"), clean("number")
	for what := range askedWords {
		if text := v.given(string(what)); text != "" && l.Err == nil {
			l.Err = l.AnswerArrival(j, what, text, v.page.bench.Day(l.View))
		}
	}
	if text := v.given("value"); text != "" {
		value, err := code.ParseCents(text)
		if err != nil || value < 0 {
			l.Keep(store.Misread("%s is no amount: write it like 140.00", text))
		}
		j.Value = &value
	}
	return in
}

// bookArrive books an arrival, and takes its job in hand.
func bookArrive(v *visit) (string, error) {
	typed := []string{"arrived", v.given("model"), v.given("number"), v.given("owner"), v.given("fault")}
	var out store.Arrived
	res, err := v.book(typed, func(l *store.Lookup, t *store.Tx) { out = store.Got(l, t.Arrive, v.arrival(l)) })
	if err != nil {
		return "", err
	}
	head := out.Job.Words() + " arrived"
	if out.Job.Tray != "" {
		head += ", tray " + string(out.Job.Tray)
	}
	v.page.said.keep(res, append([]string{head}, tell.TrayWords(out)...)...)
	v.On = out.Job.Code
	return v.after(v.Thing("job", out.Job.Code), res), nil
}
