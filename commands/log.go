package commands

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// A logged is a booking with its entries.
type logged struct {
	booking store.Booking
	entries []store.Entry
	asked   []store.Entry // those of the bag or job asked for, else all
}

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
	return c.view(func(v *store.View) error {
		list, more, err := bookings(c, v, most)
		if err != nil {
			return err
		}
		if c.JSON() {
			return c.PrintJSON(map[string]any{"bookings": logAnswers(v, list)})
		}
		return printLog(c, v, list, more)
	})
}

// bookings lists at most so many bookings that the flags ask for, and says whether
// there are more; most -1 is no limit.
func bookings(c *call, v *store.View, most int) (list []logged, more bool, err error) {
	keep, err := logFilter(c, v)
	if err != nil {
		return nil, false, err
	}
	berr := v.Bookings(func(b store.Booking) bool {
		entries, e := v.EntriesIn(b)
		if e != nil {
			err = e
			return false
		}
		asked, ok := keep(b, entries)
		if !ok {
			return true
		}
		if most >= 0 && len(list) == most {
			more = true
			return false
		}
		list = append(list, logged{b, entries, asked})
		return true
	})
	if err == nil {
		err = berr
	}
	return list, more, err
}

// logFilter tells of a booking and its entries which entries the flags ask for,
// and whether the booking is asked for at all.
func logFilter(c *call, v *store.View) (func(store.Booking, []store.Entry) ([]store.Entry, bool), error) {
	var bag, job code.Code
	for flag, at := range map[string]*code.Code{"bag": &bag, "job": &job} {
		var err error
		if *at, err = c.code(v, c.String(flag), flag); err != nil {
			return nil, err
		}
	}
	if args := c.Args(); len(args) == 1 {
		ref, err := c.thing(v, args[0], "bag", "job")
		if err != nil {
			return nil, err
		}
		if at := map[string]*code.Code{"bag": &bag, "job": &job}[ref.Kind]; *at == "" || *at == ref.Code {
			*at = ref.Code
		} else {
			return nil, line.Usagef("%s and --%s %s are two: write one", args[0], ref.Kind, *at)
		}
	}
	by := c.String("by")
	return func(b store.Booking, entries []store.Entry) ([]store.Entry, bool) {
		if by != "" && b.By != by && !slices.ContainsFunc(entries, func(e store.Entry) bool { return e.By == by }) {
			return nil, false
		}
		if bag == "" && job == "" {
			return entries, true
		}
		var asked []store.Entry
		for _, e := range entries {
			other := (e.What == store.Split || e.What == store.Joined) && e.To == string(bag)
			if (bag == "" || e.Bag == bag || other) && (job == "" || e.Job == job) {
				asked = append(asked, e)
			}
		}
		return asked, len(asked) > 0
	}, nil
}

func logAnswers(v *store.View, list []logged) []map[string]any {
	out := []map[string]any{}
	parts := map[code.Code]code.Code{}
	for _, l := range list {
		b := l.booking
		entries := []tell.EntryJSON{}
		for _, e := range l.entries {
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

func printLog(c *call, v *store.View, list []logged, more bool) error {
	if len(list) == 0 {
		c.Println("nothing is booked")
		return nil
	}
	s := newShelf(v)
	for _, l := range list {
		b := l.booking
		head := fmt.Sprintf("%d  %s  %s  %s", b.Number, b.Day, b.By, b.Command)
		switch {
		case b.Undone != 0:
			head += fmt.Sprintf("   (taken back by %d)", b.Undone)
		case b.Undoes != 0:
			head += fmt.Sprintf("   (takes %d back)", b.Undoes)
		}
		c.Println(tell.Hang(head, c.Columns(), 4))
		printEntries(c, s, l.asked)
	}
	if more {
		c.Notef("there are more: -n 100 shows them")
	}
	return nil
}

// logLines is how many entries of one booking are printed: an import has thousands.
const logLines = 20

func printEntries(c *call, s *shelf, entries []store.Entry) {
	for i, e := range entries {
		if i == logLines {
			c.Printf("    and %d more entries\n", len(entries)-i)
			return
		}
		b, _, err := s.bag(e.Bag)
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
