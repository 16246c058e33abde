package commands

import (
	"fmt"
	"strings"

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
		return toldCost(c, split)
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
	if err := toldCost(c, split); err != nil {
		return err
	}
	c.Printf("written into %s   undo: tinful undo %d\n", tell.Many(len(split.Shares), "bag"), res.Booking.Number)
	return nil
}

func toldCost(c *call, s ask.Costing) error {
	head := fmt.Sprintf("%s cost %s", s.Donor, s.Paid)
	if s.Frozen != "" {
		head += ", shared for good on " + s.Frozen
	}
	c.Println(head)
	t := c.WideTable("bag", ">pieces", "grade", ">value", ">works", ">share", "part")
	for _, x := range s.Shares {
		how := ""
		if x.ByProduct {
			how = ", small"
		}
		works := "0 %"
		if x.Chance > 0 {
			works = fmt.Sprintf("%.0f %%", 100*x.Chance)
		}
		t.Row(string(x.Bag), store.Amount(x.Quantity, x.Unit, false), x.Grade, x.Value.String(), works, x.Share.String(), strings.TrimSpace(string(x.Part)+" "+x.Name)+how)
	}
	t.Row("", "", "", s.Remains.String(), "", s.Carcass.String(), "stays in the body")
	if err := t.Print(c.Out); err != nil {
		return err
	}
	c.Println(tell.Hang(fetchWords(s), c.Wide, 2))
	for _, n := range s.Notes {
		c.Println(tell.Hang(n, c.Wide, 2))
	}
	c.Println("values and taxes: this is a record, the accountant decides")
	return nil
}

func smallWords(s ask.Costing) string {
	if s.Small == 0 {
		return ""
	}
	return fmt.Sprintf(", of which small things took %s off the price first", s.Small)
}

// fetchWords says what the shares follow from.
func fetchWords(s ask.Costing) string {
	switch {
	case s.ByPieces:
		return "no value is noted for any of it: shared by pieces, a physical measure"
	case s.Loss:
		return fmt.Sprintf("this body cost more than its parts should fetch: it cost %s, they should fetch %s", s.Paid, s.Fetch) + smallWords(s)
	}
	if len(s.Shares) == 0 {
		return fmt.Sprintf("nothing has come out of it: as it stands it should fetch %s", s.Fetch)
	}
	return fmt.Sprintf("by value: all of it should fetch %s", s.Fetch) + smallWords(s)
}
