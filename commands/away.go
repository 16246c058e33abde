package commands

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

func sell(c *call) error {
	amount, err := amountOf(c)
	if err != nil {
		return err
	}
	r := store.Request{What: store.Sold, Amount: amount, To: c.String("to")}
	err = bookPieces(c, r)
	if no, ok := errors.AsType[*store.Refusal](err); ok && no.Kind == store.Incomplete && c.env.Terminal {
		why, aerr := c.ask(no.Error() + "; why is it sold all the same? (Enter: it is not)")
		if aerr != nil || slices.Contains([]string{"", "n", "no"}, strings.ToLower(why)) {
			return cmp.Or(aerr, err)
		}
		c.Set("anyway", "true")
		c.Set("why", why)
		return bookPieces(c, r)
	}
	return err
}

// lend gives pieces to another bench, until a day where one is said.
func lend(c *call) error {
	r := store.Request{What: store.Lent, To: c.String("to")}
	if text := c.String("due"); text != "" {
		err := c.view(func(v *store.View) (err error) {
			r.Due, err = code.ParseDayAhead(text, c.dayNow(v))
			return line.AsUsage(err)
		})
		if err != nil {
			return err
		}
	}
	return bookPieces(c, r)
}

// amountOf is what pieces were sold for.
func amountOf(c *call) (code.Cents, error) {
	if c.String("for") == "" || c.String("to") == "" {
		return 0, refusef("selling needs the amount and to whom: --for 22.00 --to NAME")
	}
	amount, err := code.ParseCents(c.String("for"))
	if err != nil {
		return 0, line.AsUsage(err)
	}
	if amount < 0 {
		return 0, line.Usagef("--for %s: an amount is not below zero", c.String("for"))
	}
	return amount, nil
}
