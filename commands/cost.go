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
	read := func(l *lookup) { split = asked(l, ask.Cost, l.code(c.Args()[0], "donor")) }
	if !c.Bool("freeze") {
		if err := c.looks(read); err != nil {
			return err
		}
		return c.Answer(split, func() { tell.Cost(c.Screen, split) })
	}
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if read(l); l.Err == nil {
			l.Err = split.Freeze(t)
		}
	})
	if err != nil {
		return err
	}
	split.Frozen = res.Booking.Day.String()
	return c.Answer(frozenJSON{split, tell.BookedAnswer(res)}, func() {
		tell.Cost(c.Screen, split)
		c.Printf("written into %s   undo: tinful undo %d\n", tell.Many(len(split.Shares), "bag"), res.Booking.Number)
	})
}
