package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func low(c *call) error {
	if c.JSON() && c.Bool("csv") {
		return line.Usagef("--json and --csv say two things: write one")
	}
	q, file := ask.LowQuery{}, c.String("output")
	if !c.JSON() && !c.Bool("csv") && !c.Bool("all") && file == "" {
		q.Detail = mostFound
	}
	garbage := 50 // lines that are told whole leave much behind
	if q.Detail > 0 {
		// The list may have thousands of lines and is printed once: collecting in between
		// would cost as much as the list.
		garbage = 400
	}
	defer store.Collect(garbage, 0)()
	var out ask.LowAnswer
	err := c.looks(func(l *lookup) {
		q.Place, q.Model, q.Today = l.flag("place"), l.flag("model"), c.dayNow(l.View)
		out = asked(l, ask.Low, q)
	})
	if err != nil {
		return err
	}
	if err := toldLow(c, out, file, q.Today); err != nil {
		return err
	}
	if c.Bool("check") && out.Short > 0 {
		return silentError(exitRefused)
	}
	return nil
}

func toldLow(c *call, out ask.LowAnswer, file string, day code.Day) error {
	var answer []string
	for _, l := range out.Low {
		if l.Whole {
			answer = append(answer, "part:"+string(l.Part))
		}
	}
	c.keepAnswer(answer)
	if file != "" {
		if err := sheet.WriteShopping(file, "To buy and to strip by, the worst first, "+day.String(), shoppingList(out), c.Bool("replace")); err != nil {
			return err
		}
	}
	switch {
	case c.JSON():
		return c.PrintJSON(out)
	case c.Bool("csv"):
		return tell.LowCSV(c.env.Stdout, out)
	case file != "":
		c.Printf("%s to buy or strip by: %s\n", tell.Many(len(out.Low), "part"), file)
		return nil
	}
	return tell.Low(c.Screen, out)
}

// shoppingList is what runs short as a list to buy and strip by.
func shoppingList(out ask.LowAnswer) (rows []sheet.ShoppingRow) {
	for _, l := range out.Low {
		r := sheet.ShoppingRow{Part: string(l.Part), Name: l.Called(), Why: strings.Join(store.Texts(l.Why), " ")}
		if d := l.Do; d != nil {
			r.For, r.Pieces, r.Do = tell.Commas(d.For), d.Pieces, d.Text
			r.From = strings.Join(tell.Filled(string(d.Bag), string(d.Donor), string(d.Place), d.Dealer), ", ")
		}
		rows = append(rows, r)
	}
	return rows
}
