package commands

import (
	"tinful/commands/tell"
	"tinful/store"
)

// orNothing is no error where something was found, else that nothing was, which
// JSON says by its empty list alone.
func (c *call) orNothing(found bool, sentence string) error {
	switch {
	case found:
		return nil
	case c.JSON():
		return silentError(exitNotFound)
	}
	return store.Absent("%s", sentence)
}

// told keeps the numbered things of an answer, if there are any, and prints it: as
// JSON, or by print.
func (c *call) told(numbered []string, answer any, print func()) error {
	if len(numbered) > 0 {
		c.keepAnswer(numbered)
	}
	return c.Answer(answer, print)
}

// bagAnswer is a bag as JSON: quantity is what is on hand.
func bagAnswer(b store.Bag, st store.State) map[string]any {
	a := tell.Known(map[string]any{
		"bag": b.Code, "part": b.Part, "origin": b.Origin, "quantity": st.OnHand(), "on_hand": st.OnHand(), "free": b.Free(st),
		"held": st.Held(), "lent": st.Lent(), "unit": b.Unit, "about": st.About, "grade": st.Grade, "place": st.Place,
		"owner": b.Owner, "looks": b.Looks, "number": b.Number, "goes_with": b.GoesWith, "cost_cents": b.Cost, "booked": b.Booked, "note": b.Note,
		"material": b.Material, "pattern": b.Pattern, "cut_from": b.Cut,
	})
	if b.Minutes != 0 {
		a["minutes"] = b.Minutes
	}
	return a
}
