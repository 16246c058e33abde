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
	Asks                        []asked // nil as long as the camera is not known
	Flaw                        string
	Models                      []string
}

// An asked is a question of a form.
type asked struct {
	Name, Words string
	Known       []string // answers to choose from
	Kind        string   // of the field: text or date
}

// askedWords are the questions of an arrival.
var askedWords = map[store.QuestionKind]string{
	store.AskShutter: "which shutter does it carry", store.AskLens: "which lens does it carry", store.AskAccessories: "what came with it",
	store.AskAgreed: "are used or made parts agreed to", store.AskPromised: "promised for which day",
}

func showArrive(v *visit) error {
	if v.ReadOnly {
		return errReadOnly
	}
	a := arrivePage{Model: v.given("model"), Number: v.given("number"), Owner: v.given("owner"), Fault: v.given("fault")}
	v.screen, v.Title = "arrive", "a camera arrives"
	var err error
	if a.Models, err = v.models(); err != nil {
		return err
	}
	if a.Model != "" {
		in, err := v.arrival(v.view)
		var questions []store.Question
		if err == nil {
			questions, err = v.view.ArrivalAsks(in)
		}
		r, _ := errors.AsType[*store.Refusal](err)
		switch {
		case r != nil && r.Kind == store.HereAlready: // said again where it is booked, with what helps
			a.Flaw, a.Asks = v.page.bench.Says(err), []asked{}
		case errors.Is(err, store.ErrDamaged):
			return err
		case err != nil:
			a.Flaw = v.page.bench.Says(err)
		}
		for _, q := range questions {
			x := asked{Name: string(q.What), Words: askedWords[q.What], Known: q.Words, Kind: "text"}
			if q.What == store.AskPromised {
				x.Kind = "date"
			}
			a.Asks = append(a.Asks, x)
		}
	}
	v.Body = a
	return nil
}

// arrival reads the form of an arrival.
func (v *visit) arrival(view *store.View) (store.Arrival, error) {
	in := store.Arrival{Anyway: v.given("anyway") == "yes"}
	j := &in.Job
	ref, err := view.Thing(v.given("model"), "model")
	if err != nil {
		return in, err
	}
	j.Model, j.BodyNo = ref.Code, v.given("number")
	for _, text := range []struct {
		name string
		to   *string
	}{{"owner", &j.Owner}, {"fault", &j.Fault}, {"note", &j.Note}, {"number", &j.BodyNo}} {
		if *text.to, err = store.CleanText(v.given(text.name)); err != nil {
			return in, err
		}
	}
	for what := range askedWords {
		if text := v.given(string(what)); text != "" {
			if err := view.AnswerArrival(j, what, text, v.page.bench.Day(view)); err != nil {
				return in, err
			}
		}
	}
	if text := v.given("value"); text != "" {
		value, err := code.ParseCents(text)
		if err != nil || value < 0 {
			return in, store.Misread("%s is no amount: write it like 140.00", text)
		}
		j.Value = &value
	}
	return in, nil
}

// bookArrive books an arrival, and takes its job in hand.
func bookArrive(v *visit) (string, error) {
	typed := []string{"arrived", v.given("model"), v.given("number"), v.given("owner"), v.given("fault")}
	var out store.Arrived
	res, err := v.book(typed, func(t *store.Tx) error {
		in, err := v.arrival(&t.View)
		if err != nil {
			return err
		}
		out, err = t.Arrive(in)
		return err
	})
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
