package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

func made(c *call) error {
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
