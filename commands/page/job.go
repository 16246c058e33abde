package page

import (
	"net/url"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// A jobPage is a customer's camera: its tray, what it waits for, what was fitted.
type jobPage struct {
	Job, Model, Owner, Fault, State string
	Tray                            string
	InHand, Open                    bool
	Facts                           tell.Facts
	Fitted, Held                    []piece
	Wants                           []link
	Old                             []string
	Seen                            []link
	ToDo, Before, Lacks, Tools      []string
	Lent, Noted, Traps, Care        []string
	Take, Done                      string
	Look, Strip, Back               string
	Album                           *album
	Papers                          []link
	Labels                          *labelForm
}

// A piece is fitted or held.
type piece struct {
	Bag, Name, Amount, To string
	N                     int64
}

func showJob(v *visit) {
	ref := v.thing("job")
	f := asked(v, ask.JobFileOf, ref.Code)
	j := f.Job
	if v.view.Err != nil {
		return
	}
	out := jobPage{Job: string(j.Code), Model: strings.Join(tell.Filled(string(j.Model), f.ModelName), ", "), Owner: j.Owner, Fault: j.Fault, State: j.State,
		Tray: strings.Join(tell.Filled(string(j.Tray), f.Tray.Where), ", "), InHand: v.On == j.Code, Open: j.Closed == 0, Facts: tell.JobFacts(f),
		ToDo: tell.Hinted(f.ToDo), Before: tell.EarlierWords(f.Notes.Before), Lacks: tell.LackWords(f.Notes.Lacks), Tools: f.Notes.Tools,
		Lent: tell.Lent(f.Name, f.Notes.Lent), Noted: tell.RemarkLines(f.Remarks), Traps: tell.Hinted(f.Notes.Traps), Care: f.Notes.Cautions,
		Take: v.Thing("job", j.Code, "on", string(j.Code)), Done: v.Thing("done", j.Code), Look: v.Link(cameraPath("look", ref)), Strip: v.Link(cameraPath("strip", ref)),
		Labels: v.labels(ref), Album: v.album(ref, 0)}
	if len(f.Steps) > 0 {
		out.Back = v.Link(cameraPath("back", ref))
	}
	for _, p := range f.Pieces {
		x := piece{string(p.Bag.Code), f.Name(p.Bag.Part), store.Amount(p.N, p.Bag.Unit, false), v.Thing("bag", p.Bag.Code), p.N}
		if p.Held {
			out.Held = append(out.Held, x)
		} else {
			out.Fitted = append(out.Fitted, x)
		}
	}
	for _, w := range f.Wants {
		more := "wanted since " + w.Date.String()
		if w.Met != 0 {
			more += ", met " + w.Met.String()
		}
		out.Wants = append(out.Wants, link{v.Link("/need/"+string(w.Part), "on", string(j.Code)), string(w.Part) + " " + f.Name(w.Part), more})
	}
	for _, x := range f.Seen {
		out.Seen = append(out.Seen, link{v.Link("/need/"+string(x.Part), "on", string(j.Code)), string(x.Part) + " " + f.Name(x.Part), x.Seen})
	}
	out.Old = tell.Each(f.Olds, func(o store.Old) string {
		return strings.Join(tell.Filled(tell.OldName(f.Name, o), o.Why, tell.FateWords(o)), ", ")
	})
	for _, p := range []link{{"arrival", "what came in", "for the owner"}, {"estimate", "an estimate", ""}, {"done", "what was done", ""}} {
		out.Papers = append(out.Papers, link{"/paper/" + p.To + "/" + url.PathEscape(string(j.Code)), p.Words, p.More})
	}
	v.screen, v.Title, v.Body = "job", "job "+string(j.Code)+" "+string(j.Model), out
}

// A jobsPage are the cameras one of which is taken in hand.
type jobsPage struct {
	Jobs []link
	Off  string
}

func showJobs(v *visit) {
	list, _, err := ask.Jobs(v.view.View, "", false)
	v.view.Keep(err)
	out := jobsPage{Off: v.Link("/", "on", "-")}
	for _, j := range list {
		words := strings.Join(tell.Filled(string(j.Code), string(j.Model), j.Owner), "  ")
		out.Jobs = append(out.Jobs, link{v.Thing("job", j.Code, "on", string(j.Code)), words, strings.Join(tell.Filled(j.State, string(j.Tray)), ", ")})
	}
	v.screen, v.Title, v.Body = "jobs", "jobs", out
}
