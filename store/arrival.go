package store

import (
	"cmp"
	"strings"

	"tinful/store/code"
)

// An Arrival is a customer's camera that comes in.
type Arrival struct {
	Job    Job  // what is known of it; without a code it gets the next number, without a tray a free one
	NoTray bool // it lies in none
	Anyway bool // though an open job has that camera already
}

// An Arrived is what an arrival booked.
type Arrived struct {
	Job   Job
	Tray  Tray   // the free one it was given, if it was given one
	Taken []Tray // where none was free, all there are
	Full  bool   // none was free
}

// ArrivalAsks lists what an arrival wants to know of its camera. It refuses what
// [Tx.Arrive] refuses, so that nobody answers in vain.
func (v *View) ArrivalAsks(a Arrival) ([]Question, error) {
	if err := v.mayArrive(a); err != nil {
		return nil, err
	}
	m, err := v.Model(a.Job.Model)
	if err != nil {
		return nil, err
	}
	out := []Question{{What: AskAccessories}, {What: AskAgreed, Words: []string{"yes", "no"}}, {What: AskPromised}}
	if m.Kind != "" && m.Kind != "camera" {
		return out, nil // a shutter or lens by itself carries nothing
	}
	out = append([]Question{{What: AskShutter}, {What: AskLens}}, out...)
	for i, q := range out[:2] {
		may, err := v.Carried(m, string(q.What))
		if err != nil {
			return nil, err
		}
		for _, c := range may {
			out[i].Words = append(out[i].Words, string(c))
		}
	}
	return out, nil
}

// AnswerArrival reads the answer to a question of an arrival into the job, as it was
// typed on that day. It returns [ErrUsage] for what is no answer.
func (v *View) AnswerArrival(j *Job, what QuestionKind, text string, today code.Day) (err error) {
	switch what {
	case AskShutter:
		j.Shutter, err = v.ModelOfKind(text, "shutter")
	case AskLens:
		j.Lens, err = v.ModelOfKind(text, "lens")
	case AskAccessories:
		j.Accessories, err = CleanText(text)
	case AskPromised:
		if j.Promised, err = code.ParseDayAhead(text, today); err != nil {
			err = Misread("%w", err)
		}
	case AskAgreed:
		full := map[string]string{"y": "yes", "yes": "yes", "n": "no", "no": "no"}
		if j.Agreed = full[strings.ToLower(text)]; j.Agreed == "" {
			err = Misread("agreed is yes or no, not %q", text)
		}
	}
	return err
}

// ModelOfKind is the model that a text names, which is of that kind.
func (v *View) ModelOfKind(text, kind string) (code.Code, error) {
	ref, err := v.Thing(text, "model")
	if err == nil {
		err = v.IsKind(ref.Code, kind)
	}
	return ref.Code, err
}

// mayArrive refuses an arrival without an owner, with a number that a job has, and of
// a camera that an open job has already.
func (v *View) mayArrive(a Arrival) error {
	j := a.Job
	if j.Owner == "" || j.Owner == Own || j.Owner == OwnerHeld {
		return refuse("whose camera is it? a customer's needs the customer's name")
	}
	var here error
	err := v.EachJob(func(o Job) error {
		switch {
		case o.Code == j.Code:
			here = cmp.Or(here, refuse("job %s is there already", o.Code))
		case j.Tray != "" && j.Tray == o.Tray && o.Closed != 0 && o.InHouse() && v.IsTray(j.Tray):
			here = cmp.Or(here, refuse("tray %s has job %s, which is %s and not fetched: a tray holds one camera", j.Tray, o.Code, o.State))
		case o.Closed == 0 && !a.Anyway && o.Model == j.Model && SameBody(o.BodyNo, j.BodyNo):
			here = cmp.Or[error](here, refuseAs(HereAlready, "%s %s is here already as job %s", o.Model, o.BodyNo, o.Code).of(o.Code))
		}
		return nil
	})
	return cmp.Or(err, here)
}

// Arrive makes the job of a customer's camera, and finds it a tray unless one is
// named. It refuses what mayArrive refuses, beside what rules of jobs forbid.
func (t *Tx) Arrive(a Arrival) (Arrived, error) {
	out := Arrived{Job: a.Job}
	j := &out.Job
	if err := t.mayArrive(a); err != nil {
		return out, err
	}
	if j.Tray == "" && !a.NoTray {
		trays, err := t.Trays()
		if err != nil {
			return out, err
		}
		free, ok := FreeTray(trays)
		if out.Tray, j.Tray = free, free.Place.Code; !ok {
			out.Full, out.Taken = true, trays
		}
	}
	Begin(j, t.head.Day)
	if j.Code != "" { // a number that was not made up is nobody's but this job's
		return out, cmp.Or(t.Put(*j), t.Sound())
	}
	var err error
	if j.Code, err = t.NextCode("job"); err != nil {
		return out, err
	}
	return out, cmp.Or(t.Put(*j), t.Used("job", j.Code), t.Sound())
}
