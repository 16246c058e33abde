package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func out(c *call) error {
	return c.view(func(v *store.View) error { return outOfHouse(c, v) })
}

// An away is a number of pieces of a bag that stand with a job or a person.
type away struct {
	bag store.Bag
	st  store.State
	n   int64
	who string
	job store.Job // of what is held or in a tray
}

func outOfHouse(c *call, v *store.View) error {
	s := newShelf(v)
	held, lent, err := awayBags(s)
	if err != nil {
		return err
	}
	trays, err := trayBags(s)
	if err != nil {
		return err
	}
	e, err := eveningOf(v)
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(map[string]any{"held": awayAnswers(held, "job"), "lent": awayAnswers(lent, "to"), "trays": awayAnswers(trays, "job"),
			"borrowed": borrowAnswers(e.borrowed), "uncollected": borrowAnswers(e.left), "old": e.oldAnswers(), "waits": waitAnswers(e.waits)})
	}
	if len(held)+len(lent)+len(trays)+len(e.borrowed)+len(e.left)+len(e.olds)+len(e.waits) == 0 {
		c.Println("nothing is out")
		return nil
	}
	for _, list := range []struct {
		title, who string
		rows       []away
	}{{"held", "job ", held}, {"lent", "", lent}, {"in job trays", "job ", trays}} {
		printAway(c, s, list.title, list.who, list.rows)
	}
	printEvening(c, s, e)
	return nil
}

// An evening is what else is to be looked after before the light is put out.
type evening struct {
	borrowed []ask.Borrow
	left     []ask.Borrow // of repairs that nobody fetched
	olds     []store.Old  // of closed jobs, not handed back
	waits    []ask.Wait
}

func eveningOf(v *store.View) (e evening, err error) {
	all, err := ask.NotOurs(v)
	if err != nil {
		return e, err
	}
	for _, b := range all {
		if b.Owner == store.OwnerHeld {
			e.left = append(e.left, b)
		} else {
			e.borrowed = append(e.borrowed, b)
		}
	}
	if e.waits, err = ask.WaitsOver(v); err != nil {
		return e, err
	}
	err = ask.OldsLeft(v, func(_ store.Job, o store.Old) { e.olds = append(e.olds, o) })
	return e, err
}

func printEvening(c *call, s *shelf, e evening) {
	t, left := c.WideTable(), c.WideTable()
	for _, b := range slices.Concat(e.borrowed, e.left) {
		words := strings.Join(tell.Lent(s.name, []ask.Lent{b.Lent}), "")
		if b.Owner == store.OwnerHeld {
			left.Row("  " + words)
		} else {
			t.Row("  "+b.Owner, words)
		}
	}
	olds := c.WideTable()
	for _, o := range e.olds {
		olds.Row("  job "+string(o.Job), tell.OldName(s.name, o), o.Why, tell.FateWords(o))
	}
	waits := c.WideTable()
	for _, w := range e.waits {
		waits.Row("  "+strings.TrimPrefix(tell.WantFor(w.Want), "for "), string(w.Want.Part), s.name(w.Want.Part), w.Bag)
	}
	for _, list := range []struct {
		title string
		t     *tell.Table
	}{{"borrowed", t}, {"held, of repairs that nobody fetched", left}, {"not handed back, of closed jobs", olds}, {"the wait is over", waits}} {
		if list.t.Empty() {
			continue
		}
		c.Println(list.title + ":")
		c.Show(list.t)
	}
}

func borrowAnswers(list []ask.Borrow) []map[string]any {
	out := []map[string]any{}
	for _, b := range list {
		a := tell.Known(map[string]any{"owner": b.Owner, "donor": b.Donor, "bag": b.Bag, "part": b.Part, "model": b.Model, "place": b.Place, "note": b.Note})
		if b.Bag != "" {
			a["quantity"] = b.Quantity
		}
		out = append(out, a)
	}
	return out
}

// oldAnswers are the old pieces with their jobs.
func (e evening) oldAnswers() []map[string]any {
	out := tell.OldAnswers(e.olds)
	for i, o := range e.olds {
		delete(out[i], "line") // out numbers nothing
		out[i]["job"] = o.Job
	}
	return out
}

func waitAnswers(list []ask.Wait) []map[string]any {
	out := []map[string]any{}
	for _, w := range list {
		a := tell.WantAnswer(w.Want)
		a["found"] = w.Bag
		out = append(out, a)
	}
	return out
}

func printAway(c *call, s *shelf, title, who string, list []away) {
	if len(list) == 0 {
		return
	}
	c.Println(title + ":")
	t := c.WideTable()
	for _, a := range list {
		state := a.job.State
		if a.job.Closed != 0 {
			state = c.Warning(fmt.Sprintf("%s, closed on %s", cmp.Or(state, "done"), a.job.Closed))
		}
		t.Row("  "+who+a.who, store.Amount(a.n, a.bag.Unit, a.st.About), string(a.bag.Code), s.name(a.bag.Part), strings.Join(tell.Filled("in "+string(a.st.Place), state), "; "))
	}
	c.Show(t)
}

// awayBags lists what is held, by job, and what is lent, by borrower.
func awayBags(s *shelf) (held, lent []away, err error) {
	for _, c := range s.v.BagsOut() {
		b, st, err := s.bag(c)
		if err != nil {
			return nil, nil, err
		}
		for _, o := range st.HeldFor {
			j, err := s.v.Job(code.Code(o.Who))
			if err != nil && !notFound(err) {
				return nil, nil, err
			}
			held = append(held, away{b, st, o.N, o.Who, j})
		}
		for _, o := range st.LentTo {
			lent = append(lent, away{b, st, o.N, o.Who, store.Job{}})
		}
	}
	byWho := func(a, b away) int { return strings.Compare(a.who, b.who) }
	slices.SortStableFunc(held, byWho)
	slices.SortStableFunc(lent, byWho)
	return held, lent, nil
}

// trayBags lists the workshop's own bags that lie in the tray of a job. Of two jobs
// with one tray the one that is open has it.
func trayBags(s *shelf) ([]away, error) {
	trays := map[code.Code]store.Job{}
	err := s.v.EachJob(func(j store.Job) error {
		if was, ok := trays[j.Tray]; j.Tray != "" && (!ok || was.Closed != 0) {
			trays[j.Tray] = j
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	var out []away
	for tray, j := range trays {
		for _, c := range s.v.BagsAt(tray) {
			b, st, err := s.bag(c)
			if err != nil {
				return nil, err
			}
			if b.Owner == store.Own && st.OnHand() > 0 {
				out = append(out, away{b, st, st.OnHand(), string(j.Code), j})
			}
		}
	}
	slices.SortFunc(out, func(a, b away) int {
		return strings.Compare(a.who+"\x00"+string(a.bag.Code), b.who+"\x00"+string(b.bag.Code))
	})
	return out, nil
}

func awayAnswers(list []away, who string) []map[string]any {
	out := []map[string]any{}
	for _, a := range list {
		m := tell.Known(map[string]any{"bag": a.bag.Code, "part": a.bag.Part, "quantity": a.n, "unit": a.bag.Unit, "about": a.st.About, "place": a.st.Place, who: a.who})
		if who == "job" {
			m["closed"], m["state"] = a.job.Closed != 0, a.job.State
		}
		out = append(out, tell.Known(m))
	}
	return out
}
