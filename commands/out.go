package commands

import (
	"cmp"
	"iter"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func out(c *call) error {
	switch {
	case c.IsSet("on") && c.IsSet("slip"):
		return line.Usagef("--on and --slip say two things: write one")
	case c.IsSet("on") || c.IsSet("slip"):
		return outList(c)
	case c.IsSet("output"):
		return line.Usagef("-o writes what --on or --slip says")
	}
	return c.view(func(v *store.View) error { return outOfHouse(c, v) })
}

// outMemory is what a list of few lines may take, beside an eighth of the store.
const outMemory = 28 << 20

func outOfHouse(c *call, v *store.View) error {
	// The list may have a hundred thousand lines, and what they are made of should not come
	// to several times of them.
	defer store.Collect(0, outMemory+v.Size()/8)()
	o, err := ask.OutOfHouse(v, !c.JSON())
	switch {
	case err != nil:
		return err
	case c.JSON():
		return c.PrintJSON(map[string]any{"held": awayAnswers(o.Held.All(), "job"), "lent": awayAnswers(o.Lent.All(), "to"), "trays": awayAnswers(o.Trays.All(), "job"),
			"borrowed": tell.Each(o.Borrowed, borrowAnswer), "uncollected": tell.Each(o.Left, borrowAnswer), "old": leftAnswers(o.Olds), "waits": waitAnswers(o.Waits)})
	case o.Empty():
		c.Println("nothing is out")
	}
	s := newShelf(v)
	day := c.dayNow(v)
	printAway(c, "held", "job ", &o.Held, day)
	printAway(c, "lent", "", &o.Lent, day)
	printAway(c, "in job trays", "job ", &o.Trays, day)
	printEvening(c, s, o)
	return nil
}

// printEvening prints what else is to be looked after before the light is put out.
func printEvening(c *call, s *shelf, o ask.Out) {
	borrowed, left, olds, waits := c.WideTable(), c.WideTable(), c.WideTable(), c.WideTable()
	name := func(part code.Code) string { // mostly something of it is held or lent as well
		if called, ok := o.Held.Called(part); ok {
			return called
		}
		return s.name(part)
	}
	for _, b := range o.Borrowed {
		borrowed.Row(b.Owner, strings.Join(tell.Lent(name, []ask.Lent{b.Lent}), ""))
	}
	for _, b := range o.Left {
		left.Row(strings.Join(tell.Lent(name, []ask.Lent{b.Lent}), ""))
	}
	for _, x := range o.Olds {
		olds.Row("job "+string(x.Job), tell.OldName(name, x), x.Why, tell.FateWords(x))
	}
	for _, w := range o.Waits {
		waits.Row(strings.TrimPrefix(tell.WantFor(w.Want), "for "), string(w.Want.Part), name(w.Want.Part), w.Bag)
	}
	c.Headed("borrowed", borrowed)
	c.Headed("held, of repairs that nobody fetched", left)
	c.Headed("not handed back, of closed jobs", olds)
	c.Headed("the wait is over", waits)
}

func borrowAnswer(b ask.Borrow) map[string]any {
	a := tell.Known(map[string]any{"owner": b.Owner, "donor": b.Donor, "bag": b.Bag, "part": b.Part, "model": b.Model, "place": b.Place, "note": b.Note})
	if b.Bag != "" {
		a["quantity"] = b.Quantity
	}
	return a
}

// leftAnswers are old pieces with their jobs.
func leftAnswers(olds []store.Old) []map[string]any {
	out := tell.OldAnswers(olds)
	for i, o := range olds {
		delete(out[i], "line") // out numbers nothing
		out[i]["job"] = o.Job
	}
	return out
}

func waitAnswers(list []ask.Wait) []map[string]any {
	return tell.Each(list, func(w ask.Wait) map[string]any {
		a := tell.WantAnswer(w.Want)
		a["found"] = w.Bag
		return a
	})
}

func printAway(c *call, title, who string, list *ask.Aways, day code.Day) {
	if list.Len() == 0 {
		return
	}
	var texts tell.Pieces
	var last ask.Away
	var state string
	var row []tell.Cell
	cells := func(a ask.Away) []tell.Cell {
		first := row == nil
		if first {
			row = make([]tell.Cell, 5)
		}
		if first || a.Who != last.Who {
			row[0] = tell.OneLine(texts.Join(who, a.Who))
		}
		if first || a.N != last.N || a.Unit != last.Unit || a.About != last.About {
			row[1] = tell.OneLine(store.Amount(a.N, a.Unit, a.About))
		}
		if first || a.State != last.State || a.Closed != last.Closed || a.Since != last.Since || a.Due != last.Due {
			state = awayState(c, &texts, a, day)
		}
		last = a
		row[2], row[3], row[4] = tell.OneLine(string(a.Bag)), tell.OneLine(a.Name), tell.OneLine(texts.Once("in ", string(a.Place), state))
		return row
	}
	t := c.WideTable()
	t.Long(cells(list.Widest(tell.Across)), func(yield func([]tell.Cell) bool) {
		for a := range list.All() {
			if !yield(cells(a)) {
				return
			}
		}
	})
	c.Headed(title, t)
}

// awayState is how what is out stands, behind its place.
func awayState(c *call, texts *tell.Pieces, a ask.Away, day code.Day) string {
	state := a.State
	switch {
	case a.Since != 0:
		state = tell.Lending(a.Since, a.Due, day)
	case a.Closed != 0:
		state = c.Warning(texts.Join(cmp.Or(state, "done"), ", closed on ", a.Closed.String()))
	case state == "":
		return ""
	}
	return texts.Join("; ", state)
}

func awayAnswers(list iter.Seq[ask.Away], who string) []map[string]any {
	out := []map[string]any{}
	for a := range list {
		m := tell.Known(map[string]any{"bag": a.Bag, "part": a.Part, "quantity": a.N, "unit": a.Unit, "about": a.About, "place": a.Place, who: a.Who})
		if who == "job" {
			m["closed"], m["state"] = a.Closed != 0, a.State
		} else {
			m["since"], m["due"] = a.Since, a.Due
		}
		out = append(out, tell.Known(m))
	}
	return out
}
