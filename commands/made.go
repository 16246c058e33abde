package commands

import (
	"cmp"
	"fmt"
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
	p := &putting{qty: "1", part: c.Args(), origin: "made", place: c.String("place")}
	if n := len(p.part); n > 1 {
		if _, used := line.QuantityAt(p.part[1:]); used == n-1 || n == 2 && used > 0 {
			p.qty, p.part = strings.Join(p.part[1:], " "), p.part[:1]
		} else if _, used := line.QuantityAt(p.part[n-1:]); used > 0 {
			p.qty, p.part = p.part[n-1], p.part[:n-1]
		}
	}
	if err := putFlags(c, p); err != nil {
		return err
	}
	p.material = c.String("from")
	if text := c.String("minutes"); text != "" {
		q, err := code.ParseQty(text, "pc")
		if err != nil || q.About || q.N <= 0 {
			return line.Usagef("--minutes %s is no number of minutes", text)
		}
		p.minutes = q.N
	}
	return putNow(c, p)
}

// patternOf is the bag or part that pieces were made after. One that is another
// part is noted.
func patternOf(c *call, v *store.View, p *putting, part code.Code) (code.Code, error) {
	if c.String("like") == "" || p.origin != "made" {
		return "", nil
	}
	ref, err := c.thing(v, c.String("like"), "bag", "part")
	if err != nil {
		return "", err
	}
	like := ref.Code
	if ref.Kind == "bag" {
		b, err := v.Bag(ref.Code)
		if err != nil {
			return "", err
		}
		like = b.Part
	}
	if like != part {
		p.notes = append(p.notes, fmt.Sprintf("%s is %s, and this is %s: it was made after another part", ref.Code, cmp.Or(string(like), "no known part"), part))
	}
	return ref.Code, nil
}
