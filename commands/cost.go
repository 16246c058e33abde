package commands

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// frozenJSON is the answer of cost --freeze: the split and the booking.
type frozenJSON struct {
	ask.Costing
	tell.BookedJSON
}

func costShares(c *call) error {
	var split ask.Costing
	read := func(v *store.View) error {
		donor, err := c.code(v, c.Args()[0], "donor")
		if err == nil {
			split, err = ask.Cost(v, donor)
		}
		return err
	}
	if !c.Bool("freeze") {
		if err := c.view(read); err != nil {
			return err
		}
		return c.Answer(split, func() { tell.Cost(c.Screen, split) })
	}
	res, err := c.book(false, func(t *store.Tx) error {
		if err := read(&t.View); err != nil {
			return err
		}
		return split.Freeze(t)
	})
	if err != nil {
		return err
	}
	split.Frozen = res.Booking.Day.String()
	if c.JSON() {
		return c.PrintJSON(frozenJSON{split, tell.BookedAnswer(res)})
	}
	tell.Cost(c.Screen, split)
	c.Printf("written into %s   undo: tinful undo %d\n", tell.Many(len(split.Shares), "bag"), res.Booking.Number)
	return nil
}
