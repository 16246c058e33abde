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

func showNeed(v *visit) {
	q := ask.Request{Part: v.thing("part").Code}
	if v.On != "" {
		j := found(v, v.view.Job, v.On)
		q.Camera, q.Job, q.Owner = j.Camera(), j.Code, j.Owner
	}
	n := asked(v, ask.Need, q)
	if v.view.Err != nil {
		return
	}
	out := needPage{Part: string(n.Part), Name: strings.Join(tell.Filled(n.Name, n.Tells), ", "), Goes: n.Goes, To: v.Thing("part", n.Part), Care: n.Cautions}
	for _, w := range tell.Shown(n) {
		out.Ways = append(out.Ways, v.way(w, n.Part))
	}
	if nothing := tell.NothingFor(n); nothing != "" {
		out.Nothing = []string{nothing}
		out.Want = v.On != "" && n.ToWant() && !v.ReadOnly
		since, err := v.view.WantedSince(n.Part, v.On)
		if v.view.Keep(err); out.Want && since != 0 {
			out.Nothing, out.Want = append(out.Nothing, "wanted for job "+string(v.On)+" since "+since.String()), false
		}
	}
	out.Traps = append(tell.Hinted(n.Traps), tell.Hinted(n.WhyNot)...)
	v.screen, v.Title, v.Body = "need", "need "+string(n.Part)+" "+n.Name, out
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
	res, err := v.book([]string{"want", part, "--job", string(v.On)}, func(l *store.Lookup, t *store.Tx) {
		ref := look(l, part, "part")
		j := store.Got(l, t.Job, look(l, string(v.On), "job").Code)
		store.Got(l, t.NoteWant, store.Want{Date: t.Day(), Part: ref.Code, Model: j.Model, Job: j.Code})
	})
	return v.after(v.given("back"), res), err
}
