package page

import (
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// needPage is every way to get a part into the camera of the job in hand.
type needPage struct {
	Part, Name, Goes string
	To               string
	Ways             []way
	Nothing          []string
	Traps, Care      []string
	Want             bool // it may be noted as wanted
}

// A way is one of them.
type way struct {
	Words, Why string
	Bag        string // to take or hold, empty for none
	To         string // the thing it is
}

// needLine asks for a part. With a job the line notes a want where nothing is found; the
// page asks first.
func needLine(v *visit) []string {
	typed := []string{"need", v.r.PathValue("code")}
	if v.On != "" {
		typed = append(typed, "--job", string(v.On))
	}
	return typed
}

func showNeed(v *visit) error {
	ref, err := v.thing("part")
	if err != nil {
		return err
	}
	q := ask.Request{Part: ref.Code}
	if v.On != "" {
		j, err := v.view.Job(v.On)
		if err != nil {
			return err
		}
		q.Camera, q.Job, q.Owner = j.Camera(), j.Code, j.Owner
	}
	n, err := ask.Need(v.view, q)
	if err != nil {
		return err
	}
	out := needPage{Part: string(n.Part), Name: strings.Join(tell.Filled(n.Name, n.Tells), ", "), Goes: n.Goes, To: v.Thing("part", n.Part), Care: n.Cautions}
	for _, w := range tell.Shown(n) {
		out.Ways = append(out.Ways, v.way(w, n.Part))
	}
	traps := n.Traps
	if nothing := tell.NothingFor(n); nothing != "" {
		out.Nothing = []string{nothing}
		out.Want = v.On != "" && n.ToWant() && !v.ReadOnly
		if since, err := v.view.WantedSince(n.Part, v.On); err != nil {
			return err
		} else if out.Want && since != 0 {
			out.Nothing, out.Want = append(out.Nothing, "wanted for job "+string(v.On)+" since "+since.String()), false
		}
	}
	out.Traps = append(tell.Hinted(traps), tell.Hinted(n.WhyNot)...)
	v.screen, v.Title, v.Body = "need", "need "+string(n.Part)+" "+n.Name, out
	return nil
}

func (v *visit) way(w ask.Way, asked code.Code) way {
	x := way{Words: tell.WayWords(w, asked), Why: strings.Join(store.Texts(w.Why), "; ")}
	switch {
	case w.Donor != "":
		x.To = v.Thing("donor", w.Donor)
	case w.Bag != "":
		if x.To = v.Thing("bag", w.Bag); w.Free > 0 {
			x.Bag = string(w.Bag)
		}
	case w.Part != "":
		x.To = v.Thing("part", w.Part)
	}
	return x
}

// bookWant notes a part as wanted for the job in hand.
func bookWant(v *visit) (string, error) {
	part := v.given("part")
	res, err := v.book([]string{"want", part, "--job", string(v.On)}, func(t *store.Tx) error {
		ref, err := t.Thing(part, "part")
		if err != nil {
			return err
		}
		job, err := t.Thing(string(v.On), "job")
		if err != nil {
			return err
		}
		j, err := t.Job(job.Code)
		if err != nil {
			return err
		}
		_, err = t.NoteWant(store.Want{Date: t.Day(), Part: ref.Code, Model: j.Model, Job: j.Code})
		return err
	})
	return v.after(v.given("back"), res), err
}
