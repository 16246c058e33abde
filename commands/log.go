package commands

import (
	"fmt"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func showLog(c *call) error {
	most := 20
	if c.JSON() {
		most = -1
	}
	if text := c.String("n"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			return line.Usagef("-n %s is no number of bookings", text)
		}
		most = n
	}
	return c.looks(func(l *lookup) {
		q := logQuery(l)
		if q.Most = most; l.Err != nil {
			return
		}
		list, more, err := ask.Log(l.View, q)
		switch {
		case err != nil:
			l.Err = err
		case c.JSON():
			l.Err = c.PrintJSON(map[string]any{"bookings": logAnswers(l.View, list)})
		default:
			printLog(c, l.View, list, more)
		}
	})
}

// logQuery is which bookings the line asks for. Of a part or a parts camera they are
// those of its bags.
func logQuery(l *lookup) ask.LogQuery {
	bag := l.flag("bag")
	q := ask.LogQuery{By: l.String("by"), Job: l.flag("job")}
	if bag != "" {
		q.Bags = []code.Code{bag}
	}
	if len(l.Args()) == 0 {
		return q
	}
	ref := l.thing(l.Args()[0], "bag", "job", "part", "donor")
	if at := map[string]code.Code{"bag": bag, "job": q.Job}[ref.Kind]; at != "" && at != ref.Code {
		l.Keep(line.Usagef("%s and --%s %s are two: write one", l.Args()[0], ref.Kind, at))
	}
	switch ref.Kind {
	case "job":
		q.Job = ref.Code
	case "bag":
		q.Bags = []code.Code{ref.Code}
	case "part":
		q.Bags = append([]code.Code{}, l.BagsOf(ref.Code)...)
	case "donor":
		q.Bags = append([]code.Code{}, l.BagsFrom(string(ref.Code))...)
	}
	return q
}

func logAnswers(v *store.View, list []ask.Logged) []map[string]any {
	out := []map[string]any{}
	parts := map[code.Code]code.Code{}
	for _, l := range list {
		b := l.Booking
		entries := []tell.EntryJSON{}
		for _, e := range l.Entries {
			if _, known := parts[e.Bag]; !known {
				bag, _ := v.Bag(e.Bag) // gone when its booking in was taken back
				parts[e.Bag] = bag.Part
			}
			entries = append(entries, tell.EntryAnswer(e, parts[e.Bag]))
		}
		a := tell.Known(map[string]any{"booking": b.Number, "day": b.Day, "at": tell.Instant(b.At), "by": b.By, "command": b.Command, "kind": b.Kind, "file": b.File, "hash": b.Hash, "entries": entries})
		for name, n := range map[string]uint64{"undone_by": b.Undone, "undoes": b.Undoes} {
			if n != 0 {
				a[name] = n
			}
		}
		out = append(out, a)
	}
	return out
}

func printLog(c *call, v *store.View, list []ask.Logged, more bool) {
	if len(list) == 0 {
		c.Println("nothing is booked")
		return
	}
	s := newShelf(v)
	for _, l := range list {
		b := l.Booking
		head := fmt.Sprintf("%d  %s  %s  %s", b.Number, b.Day, b.By, b.Command)
		switch {
		case b.Undone != 0:
			head += fmt.Sprintf("   (taken back by %d)", b.Undone)
		case b.Undoes != 0:
			head += fmt.Sprintf("   (takes %d back)", b.Undoes)
		}
		c.Println(tell.Hang(head, c.Columns(), 4))
		printEntries(c, s, l.Asked)
	}
	if more {
		c.Notef("there are more: -n 100 shows them")
	}
}

// logLines is how many entries of one booking are printed: an import has thousands.
const logLines = 20

func printEntries(c *call, s *shelf, entries []store.Entry) {
	for i, e := range entries {
		if i == logLines {
			c.Printf("    and %d more entries\n", len(entries)-i)
			return
		}
		b, _, err := s.v.BagState(e.Bag)
		name := s.name(b.Part)
		if err != nil {
			name = ""
		}
		text := strings.Join(tell.Filled(e.What.String(), entryAmount(e, b.Unit), string(e.Bag), name, entryWhere(e)), " ")
		if why := entryWhy(e); why != "" {
			text += ": " + why
		}
		c.Println(tell.Indented(text, c.Columns(), 4, 2))
	}
}
