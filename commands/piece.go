package commands

import (
	"errors"
	"slices"

	"tinful/commands/tell"
	"tinful/store"
)

// bookPieces books every piece of the line as a request says, together or not at
// all, and prints what changed.
func bookPieces(c *call, r store.Request) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
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
	for _, p := range pairs {
		r.Items = append(r.Items, store.Item(p))
	}
	return bookItems(c, r, inHand)
}

// bookItems books a request, its reason and what it goes against taken from the
// flags, and prints what changed.
func bookItems(c *call, r store.Request, inHand string) error {
	typed := slices.Clone(r.Items)
	for i := range r.Items {
		var err error
		if r.Items[i].Token, err = c.answerLine(typed[i].Token); err != nil {
			return err
		}
	}
	var err error
	if r.To, err = c.answerLine(r.To); err != nil {
		return err
	}
	r.Why, r.Any, r.Anyway = c.String("why"), c.Bool("any"), c.Bool("anyway")
	res, err := c.book(false, func(t *store.Tx) error {
		j, err := c.jobOf(&t.View, inHand)
		if err != nil {
			return err
		}
		r.Job = string(j.Code)
		return chosen(c, &t.View, typed, t.Pieces(r))
	})
	if err != nil {
		return c.offer(err)
	}
	return tell.Booked(c.Screen, res)
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
