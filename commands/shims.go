package commands

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/stack"
	"tinful/store/tally"
	"tinful/store/words"
)

func shims(c *call) error {
	q := ask.ShimQuery{}
	var err error
	if q.Want, _, err = dim.Parse(dim.Thick, "", c.Args()[0]); err != nil {
		return line.AsUsage(err)
	}
	if q.Want > stack.Thickest {
		return line.Usagef("%s mm is no pack of shims (to %s)", dim.Format(dim.Thick, q.Want), dim.Format(dim.Thick, stack.Thickest))
	}
	for _, m := range []struct {
		f  dim.Field
		at **int64
	}{{dim.OD, &q.OD}, {dim.ID, &q.ID}} {
		if text := c.String(dim.Of(m.f).Flag); text != "" {
			n, _, err := dim.Parse(m.f, "SHM", text)
			if err != nil {
				return line.AsUsage(err)
			}
			*m.at = &n
		}
	}
	var found ask.Shims
	err = c.looks(func(l *lookup) {
		q.Model = l.flag("model")
		found = asked(l, ask.FindShims, q)
	})
	if err != nil {
		return err
	}
	return toldShims(c, found, q.Want)
}

func toldShims(c *call, found ask.Shims, want int64) error {
	var answer []string
	for _, s := range found.Stacks {
		for _, p := range s.Pieces {
			answer = append(answer, "bag:"+string(p.Bag))
		}
	}
	if err := c.told(answer, found, func() { printShims(c, found, want) }); err != nil {
		return err
	}
	return c.orNothing(found.Looked > 0, "no shim of that kind is free here")
}

func printShims(c *call, found ask.Shims, want int64) {
	if !found.Exact && found.Looked > 0 {
		text := fmt.Sprintf("nothing here adds up to %s mm", hundredths(want))
		if len(found.Stacks) == 1 && found.Stacks[0].Off < 0 {
			text += "; all that is free makes less"
		}
		c.Println(text)
	}
	line := 0
	for _, s := range found.Stacks {
		c.Para("", stackWords(s, want), false)
		for _, p := range s.Pieces {
			line++
			ring := ""
			if s.OD != nil && s.ID != nil {
				ring = fmt.Sprintf(", ring %v x %v", *s.OD, *s.ID)
			}
			c.Para("  ", fmt.Sprintf(":%d %s %d of %s %s %s in %s%s", line, p.Bag, p.N, p.Part, p.Name, hundredths(p.Micro), cmp.Or(string(p.Place), "no place"), ring), false)
		}
	}
	c.Lines("traps", store.Texts(found.Traps), true)
	tell.Care(c.Screen, found.Cautions)
}

// stackWords is a stack in one sentence, with how far it is off.
func stackWords(s ask.ShimStack, want int64) string {
	var parts []string
	var total int64
	said := map[code.Code]bool{}
	for _, p := range s.Pieces {
		total += p.N * p.Micro
		if said[p.Part] {
			continue
		}
		said[p.Part] = true
		n := int64(0)
		for _, o := range s.Pieces {
			if o.Part == p.Part {
				n += o.N
			}
		}
		parts = append(parts, fmt.Sprintf("%s %s %s", p.Part, hundredths(p.Micro), tally.Times(n)))
	}
	text := words.And(parts)
	text += map[bool]string{true: " makes ", false: " make "}[len(parts) == 1] + hundredths(total)
	switch {
	case total < want:
		return fmt.Sprintf("nearest below, %s short: %s", hundredths(want-total), text)
	case total > want:
		return fmt.Sprintf("nearest above, %s too thick: %s", hundredths(total-want), text)
	}
	return text
}

// hundredths prints micrometres as millimetres with two decimals at least.
func hundredths(um int64) string {
	return strings.TrimSuffix(fmt.Sprintf("%d.%03d", um/1000, um%1000), "0")
}
