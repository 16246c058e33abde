package page

import (
	"fmt"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A day is the first screen: five short lists, each with its number first.
type day struct {
	Head   string
	Jobs   []dayJob
	Short  []link
	Others []link
	Lent   []link
	Idle   []link
	Due    []link
	Copied string
	Count  map[string]int // of the lists
}

// A dayJob is a camera in the house.
type dayJob struct {
	Job, Model, Owner, State, Tray string
	Promised                       string
	Late                           bool
	Waits                          []link
	To, Hand                       string
}

// A link leads to a thing, and says more of it.
type link struct{ To, Words, More string }

func showToday(v *visit) {
	b := v.page.bench
	t := asked(v, ask.TodayOn, b.Day(v.view.View))
	d := day{Head: tell.TodayHead(t), Copied: b.Copied(v.view.View)}
	for _, h := range t.Jobs {
		d.Jobs = append(d.Jobs, v.dayJob(t.Day, h))
	}
	d.Short = tell.Each(t.Short, func(x ask.ShortFor) link {
		return link{v.Thing("part", x.Part.Code), string(x.Part.Code) + " " + x.Part.Called(), fmt.Sprintf("job %s, %d free", tell.Commas(x.Jobs), x.Free)}
	})
	d.Others = tell.Each(t.Others, v.foreign)
	d.Lent = tell.Each(t.Lent, func(l ask.LentOut) link {
		words := strings.Join(tell.Filled(string(l.Bag), store.Amount(l.N, l.Unit, false), l.Name), " ")
		return link{v.Thing("bag", l.Bag), words, strings.Join(tell.Filled("to "+l.To, tell.Lending(l.Since, l.Due, t.Day)), ", ")}
	})
	d.Idle = tell.Each(t.Idle, func(x store.Donor) link {
		return link{v.Thing("donor", x.Code), string(x.Code), strings.Join(tell.Filled(string(x.Model), x.State, string(x.Place)), ", ")}
	})
	d.Due = tell.Each(t.Due, func(x ask.DueBag) link {
		return link{v.Thing("count", x.Place), strings.TrimSpace(string(x.Bag) + " " + x.Called()), string(x.Place)}
	})
	v.screen, v.Title, v.Body = "today", "today", d
}

func (v *visit) dayJob(today code.Day, h ask.InHouse) dayJob {
	j := h.Job
	d := dayJob{Job: string(j.Code), Model: string(j.Model), Owner: j.Owner, State: j.State, Tray: string(j.Tray), Promised: j.Promised.String(), Late: tell.Late(today, j),
		To: v.Thing("job", j.Code), Hand: v.Thing("job", j.Code, "on", string(j.Code))}
	for _, w := range h.Waits {
		d.Waits = append(d.Waits, link{v.Link("/need/"+string(w.Part), "on", string(j.Code)), string(w.Part), w.Here})
	}
	return d
}

func (v *visit) foreign(o ask.Foreign) link {
	thing := string(o.Code)
	l := link{Words: strings.Join(tell.Filled(thing, string(o.Model), string(o.Part)), " "), More: strings.Join(tell.Filled(tell.OwnerWords(o.Owner), "since "+o.Since.String()), ", ")}
	kind := "donor"
	switch {
	case o.What != "":
		kind, o.Code = "job", code.Code(strings.TrimPrefix(thing, "job:"))
		l.Words = "job " + string(o.Code) + ": " + o.What
	case o.Part != "":
		kind = "bag"
	}
	l.To = v.Thing(kind, o.Code)
	return l
}
