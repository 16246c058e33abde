package commands

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

func refusef(format string, values ...any) error { return refused(fmt.Sprintf(format, values...)) }

// sayLow says of each part that was taken from how likely it runs out, in the
// sentence of low. What cannot be read is left out: it is booked all the same.
func sayLow(c *call, s *store.Store, res *store.Result) {
	parts := res.Fewer()
	if len(parts) == 0 || res.Booking.Kind == "undo" || c.JSON() || c.Quiet {
		return
	}
	say := func(format string, values ...any) {
		res.Said = append(res.Said, store.Say(store.RunsLow, format, values...))
	}
	err := s.View(func(v *store.View) error {
		low, err := ask.Nudges(v, parts, c.dayNow(v))
		for _, l := range low {
			if l.Short { // how many are free and to keep stands in a line of its own
				say("%s %s: %s", l.Part, l.Called(), strings.Join(store.Texts(l.Why[1:]), " "))
			} else {
				say("%s %s is likely to be missed: %s", l.Part, l.Called(), strings.Join(store.Texts(l.Why), " "))
			}
		}
		return err
	})
	if err != nil {
		say("what runs short is left out: %v", err)
	}
}
