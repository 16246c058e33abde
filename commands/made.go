package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// madeCommand books pieces in that were made at the bench.
func madeCommand() *command {
	return &command{
		Name: "made", Usage: "book pieces in that were made here, with material, pattern and time",
		ArgsUsage: "PART [N]",
		UsageText: "tinful made p6 2 --from wire --minutes 40 --like b239\ntinful made P051 --from \"0.8 sheet\" --like P051",
		Description: "One piece where no number is given. The origin is made and the grade made; the place is where other bags of the part lie, " +
			"else --place. Pieces of the same material and pattern go into the bag that is there, and their minutes are added. What was made " +
			"is never sold as original. Exit code 4 when the place is not known or the words fit several parts, 3 when there is no such part.",
		Flags: []*line.Flag{
			line.ValueFlag("from", "made from this `MATERIAL`"), line.ValueFlag("like", "made after this `BAG` or part"),
			line.ValueFlag("minutes", "`MINUTES` that all of them took"), line.ValueFlag("cost", "`AMOUNT` paid for the material of all of them"),
			line.ValueFlag("place", "they lie in this `PLACE`"), line.ValueFlag("looks", "`LOOKS`: "+strings.Join(store.Looks, ", ")),
			line.ValueFlag("number", "`NUMBER` engraved on it"), line.ValueFlag("goes-with", "`BAG` or thing it is paired with"),
			line.ValueFlag("note", "`WORDS` to keep with the bag"), line.ValueFlag("bag", "a new bag of this `CODE`"),
		},
		Action: made,
	}
}

func made(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	p := store.Putting{Quantity: "1", Part: c.Args(), Origin: "made"}
	if n := len(p.Part); n > 1 {
		if _, used := line.QuantityAt(p.Part[1:]); used == n-1 || n == 2 && used > 0 {
			p.Quantity, p.Part = strings.Join(p.Part[1:], " "), p.Part[:1]
		} else if _, used := line.QuantityAt(p.Part[n-1:]); used > 0 {
			p.Quantity, p.Part = p.Part[n-1], p.Part[:n-1]
		}
	}
	if err := putFlags(c, &p); err != nil {
		return err
	}
	p.Bag.Material = c.String("from")
	if text := c.String("minutes"); text != "" {
		q, err := code.ParseQty(text, "pc")
		if err != nil || q.About || q.N <= 0 {
			return line.Usagef("--minutes %s is no number of minutes", text)
		}
		p.Bag.Minutes = q.N
	}
	return putNow(c, p)
}
