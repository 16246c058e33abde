package commands

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/odds"
)

func countShow(c *call) error {
	return c.looks(func(l *lookup) {
		id, others := countNamed(l, c.Args())
		if l.Err != nil {
			return
		}
		if len(others) > 0 {
			c.Notef("open too: %s; tinful count show %s", ask.SayCounts(others), others[0].Count)
		}
		l.Err = showCount(c, l.View, id, c.Bool("all"))
	})
}

// countNamed is the count that at most one argument names. Others are further open
// counts that may be meant.
func countNamed(l *lookup, args []string) (id store.CountID, others []ask.CountHead) {
	var place code.Code
	if len(args) > 0 {
		if n, err := strconv.ParseUint(args[0], 10, 64); err == nil && n > 0 {
			return store.CountID{Number: n}, nil
		}
		if len(l.Resolve(args[0], "place")) == 0 {
			if day, err := code.ParseDay(args[0], l.LastDay()); err == nil {
				return got(l, l.CountOn, day), nil
			}
		}
		if place = l.code(args[0], "place"); l.Err != nil {
			l.Err = fmt.Errorf("%w; a count is named by its number, its day or its place: tinful count list", l.Err)
			return id, nil
		}
	}
	id, others, l.Err = ask.PickCount(l.View, place)
	if errors.Is(l.Err, store.ErrNotFound) {
		l.Err = fmt.Errorf("%w; tinful count PLACE begins one", l.Err)
	}
	return id, others
}

// showCount prints a count against the book.
func showCount(c *call, v *store.View, id store.CountID, all bool) error {
	n, err := ask.CountOf(v, id)
	if err != nil {
		return err
	}
	trend, err := ask.Trend(v, n, 4)
	if err != nil {
		return err
	}
	return c.Answer(map[string]any{"count": n, "trend": append([]ask.CountHead{}, trend...)}, func() { printCount(c, n, trend, all) })
}

func printCount(c *call, n ask.Count, trend []ask.CountHead, all bool) {
	c.Println(countTitle(n))
	printCountLines(c, n, all)
	for _, l := range n.Loose {
		what := fmt.Sprintf("%s %s without a bag in %s: %s", l.Part, l.Called(), l.Place, store.Amount(l.N, "", l.About))
		if l.Bag != "" {
			what += ", booked in as " + string(l.Bag)
		}
		c.Println(what)
	}
	for _, l := range n.Lines {
		for _, m := range l.Moved {
			c.Printf("%s  set apart: %s\n", l.Bag, m)
		}
		if l.Line.AtCut && len(l.Moved) > 0 {
			c.Printf("%s  agrees with the book as it was meanwhile\n", l.Bag)
		}
	}
	printMissed(c, n)
	printRight(c, n, trend)
	if n.Open && len(openLines(n)) > 0 {
		c.Printf("accept what you believe: tinful count close %s --accept %s\n", n.Count, openLines(n)[0].Bag)
	}
}

// printMissed names the bags of a count's places that were not read.
func printMissed(c *call, n ask.Count) {
	if len(n.Missed) > 0 {
		c.Printf("not counted: %s\n", strings.Join(tell.Wrap(tell.Commas(n.Missed), c.Columns()-13), "\n             "))
	}
}

func countTitle(n ask.Count) string {
	title := fmt.Sprintf("count %s of %s", n.Count, tell.Commas(n.Places))
	if n.ID.Number != 0 {
		title += ", begun " + n.Day
	}
	if n.By != "" {
		title += " by " + n.By
	}
	switch {
	case n.Open:
		return title + ", open"
	case n.Closed != "":
		return title + ", closed " + n.Closed
	}
	return title + ", settled"
}

func openLines(n ask.Count) (out []ask.CountLine) {
	for _, l := range n.Lines {
		if l.Open {
			out = append(out, l)
		}
	}
	return out
}

// printCountLines prints the lines that differ or were met elsewhere, with all set
// all of them.
func printCountLines(c *call, n ask.Count, all bool) {
	t := c.Table("bag", "part", ">book", ">counted", "")
	var likely []string
	for _, l := range n.Lines {
		if l.Difference != 0 || l.Seen != "" || len(l.Likely) > 0 || all {
			t.Row(countRow(l)...)
			likely = append(likely, likelyWords(l))
		}
	}
	if len(likely) > 0 {
		c.Beneath(t, "likely", likely)
	}
	if agree := len(n.Lines) - len(likely); agree > 0 && !all {
		c.Printf("%s %s\n", tell.Many(agree, "bag"), map[bool]string{true: "agrees", false: "agree"}[agree == 1])
	}
}

func countRow(l ask.CountLine) []string {
	name := l.Called()
	if l.Part == "" {
		name = "unsorted"
	}
	if l.Seen != "" {
		name += ", met in " + string(l.Seen)
	}
	return []string{string(l.Bag), name, store.Amount(l.Book, l.Unit, l.Line.BookAbout), store.Amount(l.Counted, l.Unit, l.Line.Reading.About), byWords(l)}
}

// byWords is a difference as people say it: short 1, over 2.
func byWords(l ask.CountLine) string {
	word, state := "", ""
	switch {
	case l.Difference < 0:
		word = "short " + store.Amount(-l.Difference, l.Unit, false)
	case l.Difference > 0:
		word = "over " + store.Amount(l.Difference, l.Unit, false)
	}
	if l.State == "booked" || l.State == "counted again" {
		state = l.State
	}
	return strings.Join(tell.Filled(word, state), ", ")
}

func likelyWords(l ask.CountLine) string {
	out := store.Texts(l.Likely)
	if len(l.Earlier) > 0 {
		before := tell.Each(l.Earlier, func(n int64) string { return store.Amount(n, l.Unit, false) })
		out = append(out, "counted before as "+strings.Join(before, ", "))
	}
	if l.Open && len(l.Likely) == 0 {
		out = append(out, "nothing in the book explains it: count it again")
	}
	return strings.Join(out, "; ")
}

// printRight says how much of the count was right, and how former counts were.
func printRight(c *call, n ask.Count, trend []ask.CountHead) {
	if n.Counted == 0 {
		return
	}
	c.Println(odds.SayRight(n.Right, n.Counted, map[bool]string{true: "bag", false: "bags"}[n.Counted == 1]))
	if len(trend) == 0 {
		return
	}
	out := tell.Each(trend, func(h ask.CountHead) string {
		return fmt.Sprintf("%s %d of %d", h.Day, h.Right, h.Counted)
	})
	c.Printf("before: %s\n", strings.Join(out, ", "))
}

func countList(c *call) error {
	return c.view(func(v *store.View) error {
		all, err := ask.Counts(v)
		switch {
		case err != nil:
			return err
		case c.JSON():
			return c.PrintJSON(map[string]any{"counts": all})
		case len(all) == 0:
			c.Println("nothing was counted yet: tinful count PLACE begins")
		}
		t := c.Table("count", "day", "places", ">bags", ">right", "by", "state")
		for _, h := range all {
			state := h.State
			switch {
			case h.Differences > 0:
				state += ", " + tell.Many(h.Differences, "difference")
			case h.Closed != "":
				state += " " + h.Closed
			}
			t.Row(h.Count, h.Day, tell.Commas(h.Places), fmt.Sprint(h.Bags), fmt.Sprintf("%d of %d", h.Right, h.Counted), h.By, state)
		}
		c.Show(t)
		return nil
	})
}
