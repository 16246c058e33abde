package commands

import (
	"cmp"
	"errors"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

func lendCommand() *command {
	return ofPieces(&command{
		Name: "lend", Usage: "give pieces to another bench; they stay owned",
		UsageText: "tinful lend b224 --to \"another bench\" --why \"as a pattern\"",
		Flags: []*line.Flag{
			line.ValueFlag("to", "lent to this `NAME`"),
			anyBagFlag(),
			whyFlag(),
		},
	}, func(c *call) error { return bookPieces(c, store.Request{What: store.Lent, To: c.String("to")}) })
}

func lostCommand() *command {
	return ofPieces(&command{
		Name: "lost", Usage: "book pieces that cannot be found: stock, or a piece of a customer's camera",
		UsageText: "tinful lost b248 --why \"jumped off the bench\"\ntinful lost p6 --job 105\ntinful job 105\ntinful old :1 --settled",
		Description: "With a job, named or in hand, a part that is named without a bag is a piece of that customer's camera: it is no " +
			"stock, and it stands on the job until old settles it. A bag is stock always.",
		Flags: []*line.Flag{
			line.ValueFlag("job", "the part was lost out of the camera of this `JOB`"),
			anyBagFlag(),
			line.SwitchFlag("anyway", "though the job is closed"),
			whyFlag(),
		},
	}, lost)
}

func scrapCommand() *command {
	return ofPieces(&command{
		Name: "scrap", Usage: "book pieces that were thrown away, with the reason",
		UsageText: "tinful scrap b208 1 --why \"slot beyond use\"",
		Flags: []*line.Flag{
			anyBagFlag(),
			line.ValueFlag("why", "`WORDS` that say why; scrapping needs them"),
		},
	}, func(c *call) error { return bookPieces(c, store.Request{What: store.Scrapped}) })
}

func foundCommand() *command {
	return ofPieces(&command{
		Name: "found", Usage: "book pieces that turned up again",
		UsageText: "tinful found b248 1 --why \"under the mat\"",
		Flags: []*line.Flag{
			line.SwitchFlag("any", "of several bags of a part take the one that holds most, and note that it is unsure"),
			whyFlag(),
		},
	}, func(c *call) error { return bookPieces(c, store.Request{What: store.Found}) })
}

func sellCommand() *command {
	return ofPieces(&command{
		Name: "sell", Usage: "book pieces that were sold",
		ArgsUsage: "PIECE [N]",
		UsageText: "tinful sell b209 2 --for 1.00 --to \"another bench\"",
		Description: "The amount is for all pieces of the line, 0 for a gift. " +
			"What was made is never sold as original: the book says so, and so does the line.",
		Flags: []*line.Flag{
			line.ValueFlag("for", "sold for this `AMOUNT`, all pieces together"),
			line.ValueFlag("to", "sold to this `NAME`"),
			anyBagFlag(),
			line.SwitchFlag("anyway", "though the unit is not complete, with --why"),
			whyFlag(),
		},
	}, sell)
}

func sell(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	amount, err := amountOf(c)
	if err != nil {
		return err
	}
	r := store.Request{What: store.Sold, Amount: amount, To: c.String("to")}
	err = bookPieces(c, r)
	if no, ok := errors.AsType[*store.Refusal](err); ok && no.Kind == store.Incomplete && c.env.Terminal {
		why, aerr := c.ask(no.Error() + "; why is it sold all the same? (Enter: it is not)")
		if why == "" || aerr != nil {
			return cmp.Or(aerr, err)
		}
		c.Set("anyway", "true")
		c.Set("why", why)
		return bookPieces(c, r)
	}
	return err
}

// amountOf is what pieces were sold for.
func amountOf(c *call) (code.Cents, error) {
	if c.String("for") == "" || c.String("to") == "" {
		return 0, refusef("selling needs the amount and to whom: --for 22.00 --to NAME")
	}
	amount, err := code.ParseCents(c.String("for"))
	if err != nil {
		return 0, line.UsageError{Err: err}
	}
	if amount < 0 {
		return 0, line.Usagef("--for %s: an amount is not below zero", c.String("for"))
	}
	return amount, nil
}
