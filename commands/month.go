package commands

import (
	"fmt"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// month tells the sheet of a month, and freezes it with --hand-over.
func month(c *call) error {
	var m ask.Month
	var shop store.Shop
	var day code.Day
	err := c.view(func(v *store.View) (err error) {
		day = c.dayNow(v)
		name := store.MonthName(day)
		if args := c.Args(); len(args) > 0 {
			name = args[0]
		}
		first, _, err := store.PeriodDays(name)
		if err != nil {
			return line.AsUsage(err)
		}
		if first > day {
			return line.Usagef("%s has not begun: today is %s", name, day)
		}
		if shop, err = v.Shop(); err != nil {
			return err
		}
		m, err = ask.MonthOf(v, name)
		return err
	})
	if err != nil {
		return err
	}
	if !c.Bool("hand-over") {
		return toldReport(c, m, shop, day, tell.Month(m))
	}
	// What cannot be written is not handed over.
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if m, err = ask.HandOver(t, m.Month, day); err != nil || c.String("output") == "" {
			return err
		}
		return writeReport(c, c.String("output"), shop, day, tell.Month(m))
	})
	switch {
	case err != nil || c.String("output") == fromLines:
		return err
	case c.JSON():
		return c.PrintJSON(struct {
			ask.Month
			tell.BookedJSON
		}{m, tell.BookedAnswer(res)})
	case c.String("output") == "":
		tell.Month(m).Show(c.Screen)
		c.Println()
	}
	text := fmt.Sprintf("%s is handed over: what is booked into it from now on stands in the next month, after the sheet", m.Month)
	c.Println(strings.Join(tell.WithUndo([]string{text}, res), "\n"))
	return nil
}
