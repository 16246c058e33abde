package commands

import (
	"errors"
	"slices"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
)

// bookPieces books every piece of the line as a request says, together or not at
// all, and prints what changed.
func bookPieces(c *call, r store.Request) error {
	inHand := ""
	var err error
	if r.What == store.Fitted || r.What == store.Held {
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	pairs, err := c.pairs() // before the store is opened: lines may be long in coming
	if err != nil {
		return err
	}
	r.Items = typedItems(pairs)
	return bookItems(c, r, inHand)
}

// bookItems books a request, its reason and what it goes against taken from the
// flags, and prints what changed.
func bookItems(c *call, r store.Request, inHand string) error {
	typed := r.Items
	var err error
	if r.Items, err = meantItems(c, typed); err != nil {
		return err
	}
	if r.To, err = c.answerLine(r.To); err != nil {
		return err
	}
	r.Why, r.Any, r.Anyway = c.String("why"), c.Bool("any"), c.Bool("anyway")
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if r.Job = string(l.job(inHand).Code); l.Err == nil {
			l.Err = chosen(c, l.View, typed, t.Pieces(r))
		}
	})
	if err != nil {
		return err
	}
	return tell.Booked(c.Screen, res)
}

// typedItems are the things of a line as the store takes them.
func typedItems(pairs []line.Pair) (out []store.Item) {
	for _, p := range pairs {
		out = append(out, store.Item(p))
	}
	return out
}

// meantItems are items with what lines of the last answer stand for.
func meantItems(c *call, typed []store.Item) ([]store.Item, error) {
	out := slices.Clone(typed)
	for i := range out {
		var err error
		if out[i].Token, err = c.answerLine(typed[i].Token); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// chosen is an error of a request in the words that were typed, with a list where one
// of several things must be chosen.
func chosen(c *call, v *store.View, typed []store.Item, err error) error {
	e, ok := errors.AsType[*store.ItemError](err)
	if !ok {
		return err
	}
	p := typed[e.Nth]
	if u, ok := errors.AsType[*store.UnknownError](err); ok && p.Token[0] == ':' {
		u.Name = p.Token
	}
	asked := []string{p.Token}
	if choice, ok := errors.AsType[*store.ChoiceError](err); ok && choice.Rows[0].Kind == "part" {
		asked = slices.Concat(asked, p.Check)
	}
	return listed(c, v, asked, err)
}
