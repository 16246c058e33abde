package commands

import (
	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// costCommand shares what a parts camera cost.
func costCommand() *command {
	return &command{
		Name: "cost", Usage: "what each part from a parts camera cost",
		ArgsUsage: "DONOR",
		UsageText: "tinful cost PC-03\ntinful cost PC-03 --freeze",
		Description: "Price and post are shared by what the parts should fetch: value of a piece, times the pieces booked in, times the chance of its grade " +
			"(ready, new, made 100 %, usable 90 %, rework and unknown 50 %, pattern and scrap 0: ours, common practice, no source). " +
			"Parts of which a piece should fetch 1.00 or less, as screws and washers, come off the price first at their value. " +
			"What stays in the body is a line too. Cents go by largest remainder, so that the shares add up.\n" +
			"--freeze writes the shares into the bags' cost as one booking: do it when the body is broken; what turns out bad later keeps its share.\n" +
			"Exit code 3 when there is no such parts camera, 4 when it is not yours, has no price or is frozen already.",
		Flags:  []*line.Flag{line.SwitchFlag("freeze", "write the shares into the bags for good; undo takes it back")},
		Action: costShares,
	}
}

// frozenJSON is the answer of cost --freeze: the split and the booking.
type frozenJSON struct {
	ask.Costing
	tell.BookedJSON
}

func costShares(c *call) error {
	if err := c.Want(1, 1); err != nil {
		return err
	}
	var split ask.Costing
	read := func(v *store.View) error {
		ref, err := c.thing(v, c.Args()[0], "donor")
		if err != nil {
			return err
		}
		split, err = ask.Cost(v, ref.Code)
		return err
	}
	if !c.Bool("freeze") {
		if err := c.view(read); err != nil {
			return err
		}
		if c.JSON() {
			return c.PrintJSON(split)
		}
		return tell.Cost(c.Screen, split)
	}
	res, err := c.book(false, func(t *store.Tx) error {
		if err := read(&t.View); err != nil {
			return err
		}
		var shares []store.Share
		for _, s := range split.Shares {
			shares = append(shares, store.Share{Bag: s.Bag, Cost: s.Share})
		}
		return t.Freeze(split.Donor, shares, split.Carcass)
	})
	if err != nil {
		return err
	}
	split.Frozen = res.Booking.Day.String()
	if c.JSON() {
		return c.PrintJSON(frozenJSON{split, tell.BookedAnswer(res)})
	}
	if err := tell.Cost(c.Screen, split); err != nil {
		return err
	}
	c.Printf("written into %s   undo: tinful undo %d\n", tell.Many(len(split.Shares), "bag"), res.Booking.Number)
	return nil
}
