package commands

import (
	"tinful/commands/line"
	"tinful/store"
)

// booking books pieces.
func booking(what store.What) func(*call) error {
	return func(c *call) error { return bookPieces(c, store.Request{What: what, To: c.String("to")}) }
}

func giveBack(c *call) error {
	if c.String("job") != "" && c.String("from") != "" {
		return line.Usagef("it comes back from a job or from a borrower: --job or --from, not both")
	}
	return bookPieces(c, store.Request{What: store.Returned, To: c.String("from"), InHand: c.handJobToday()})
}

func unhold(c *call) error {
	return bookPieces(c, store.Request{What: store.Unheld, InHand: c.handJobToday()})
}
