package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func refusef(format string, values ...any) error { return refused(fmt.Sprintf(format, values...)) }

// sayLow says of each part that was taken from how likely it runs out, in the
// sentence of low. What cannot be read is left out: it is booked all the same.
func sayLow(c *call, s *store.Store, res *store.Result) {
	parts := takenFrom(res.Bags)
	if len(parts) == 0 || res.Booking.Kind == "undo" || c.JSON() || c.Quiet {
		return
	}
	say := func(format string, values ...any) {
		res.Said = append(res.Said, store.Say(store.RunsLow, format, values...))
	}
	err := s.View(func(v *store.View) error {
		low, err := ask.Nudges(v, parts, c.dayNow(v))
		for _, l := range low {
			what := "runs short"
			if !l.Short {
				what = "is likely to be missed"
			}
			say("%s %s %s: %s", l.Part, l.Name, what, strings.Join(store.Texts(l.Why), " "))
		}
		return err
	})
	if err != nil {
		say("what runs short is left out: %v", err)
	}
}

// takenFrom are the parts of which fewer are free than before.
func takenFrom(bags []store.Change) []code.Code {
	var order []code.Code
	less := map[code.Code]int64{}
	for _, ch := range bags {
		if ch.Bag.Part == "" {
			continue
		}
		if !slices.Contains(order, ch.Bag.Part) {
			order = append(order, ch.Bag.Part)
		}
		less[ch.Bag.Part] += ch.Before.Free() - ch.After.Free()
	}
	return slices.DeleteFunc(order, func(p code.Code) bool { return less[p] <= 0 })
}
