package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// listOf makes a list to hang up, to look through or to go on with: what lies where, what
// is free by model, what was seen on parts cameras.
func listOf(c *call) error {
	what, of := strings.ToLower(c.Args()[0]), c.Args()[1:]
	kinds := map[string]struct {
		kind string
		make func(*call, *store.View, []code.Code) (any, tell.Report, error)
	}{"drawers": {"place", listDrawers}, "free": {"model", listFree}, "seen": {"model", listSeen}}
	k, ok := kinds[what]
	switch {
	case !ok:
		return line.Usagef("list %s: there are lists of drawers, free and seen", c.Args()[0])
	case k.kind == "model" && len(of) > 1:
		return line.Usagef("list %s takes one model, or none for all", what)
	}
	var answer any
	var r tell.Report
	var shop store.Shop
	var day code.Day
	err := c.looks(func(l *lookup) {
		day = c.dayNow(l.View)
		shop, l.Err = l.Shop()
		if codes := l.codes(of, k.kind); l.Err == nil {
			answer, r, l.Err = k.make(c, l.View, codes)
		}
	})
	if err != nil {
		return err
	}
	return toldReport(c, answer, shop, day, r)
}

func listDrawers(_ *call, v *store.View, places []code.Code) (any, tell.Report, error) {
	all, err := ask.LyingIn(v, places)
	title := "What lies where"
	if len(places) > 0 && err == nil {
		var names []string
		for _, c := range places {
			p, perr := v.Place(c)
			if err == nil {
				err = perr
			}
			names = append(names, strings.Join(tell.Filled(string(c), p.Where), ", "))
		}
		title = strings.Join(names, "; ")
	}
	return map[string]any{"lying": all}, tell.Lying(title, all), err
}

func listFree(_ *call, v *store.View, models []code.Code) (any, tell.Report, error) {
	all, err := ask.FreeByModel(v, first(models))
	return map[string]any{"free": all}, tell.FreeByModel(all), err
}

func listSeen(c *call, v *store.View, models []code.Code) (any, tell.Report, error) {
	g, err := ask.SeenOnDonors(v, first(models))
	if file := c.String("output"); strings.HasSuffix(strings.ToLower(file), ".xlsx") && err == nil {
		c.Notef("filled in, tinful import %s takes it back", file)
	}
	return g, tell.SeenGrid(g), err
}

func first(codes []code.Code) code.Code {
	if len(codes) == 0 {
		return ""
	}
	return codes[0]
}
