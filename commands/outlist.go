package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// outList tells who had what on a day, or what somebody has to sign for.
func outList(c *call) error {
	var answer any
	var shop store.Shop
	var day code.Day
	var r tell.Report
	err := c.view(func(v *store.View) (err error) {
		day = c.dayNow(v)
		if shop, err = v.Shop(); err != nil {
			return err
		}
		if c.IsSet("slip") {
			answer, r, err = slipFor(v, c.String("slip"))
			return err
		}
		on, err := code.ParseDay(c.String("on"), day)
		if err != nil {
			return line.AsUsage(err)
		}
		had, err := ask.CustodyOn(v, on)
		answer, r = had, tell.Custody(had)
		return err
	})
	if err != nil {
		return err
	}
	return toldReport(c, answer, shop, day, r)
}

// slipFor is what somebody has of the workshop's, to sign for: no value stands on it.
func slipFor(v *store.View, name string) (answer any, r tell.Report, err error) {
	o, err := ask.OutOfHouse(v, false)
	if err != nil {
		return nil, r, err
	}
	var who []string
	var lent []ask.Away
	for a := range o.Lent.All() {
		who = append(who, a.Who)
		if strings.EqualFold(a.Who, strings.TrimSpace(name)) {
			lent = append(lent, a)
		}
	}
	if who = slices.Compact(who); len(lent) == 0 && len(who) > 0 {
		return nil, r, store.Absent("nothing is lent to %s; something is with %s", name, words.And(who))
	}
	if len(lent) == 0 {
		return nil, r, store.Absent("nothing is lent to %s, nor to anybody", name)
	}
	s := newShelf(v)
	r = tell.Report{Title: "Lent to " + lent[0].Who, Sign: "I have what stands here and give it back", Tables: []tell.ReportTable{{Sheet: "Lent", Title: "what was lent",
		Heads: []string{">pieces", "what", "bag", "since", "back by"}}}}
	for _, a := range lent {
		r.Tables[0].Rows = append(r.Tables[0].Rows, []string{fmt.Sprint(a.N), strings.TrimSpace(s.name(a.Part) + " " + string(a.Part)), string(a.Bag), a.Since.String(), a.Due.String()})
	}
	return map[string]any{"to": lent[0].Who, "lent": awayAnswers(slices.Values(lent), "to")}, r, nil
}
