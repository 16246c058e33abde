package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

func put(c *call) error {
	p, err := readPut(c)
	if err != nil {
		return err
	}
	return putNow(c, p)
}

// putNow books, and asks on a terminal for what must be known. The store is closed
// while it asks.
func putNow(c *call, p store.Putting) error {
	typed := p.Part
	var err error
	if p.Part, err = c.answerLines(p.Part); err != nil {
		return err
	}
	for _, at := range []*string{&p.Origin, &p.Place, &p.Into, &p.Like} {
		if *at, err = c.answerLine(*at); err != nil {
			return err
		}
	}
	p.Asks = c.env.Terminal
	for {
		res, err := c.book(false, func(t *store.Tx) error {
			b, err := t.PutPieces(p)
			if err != nil {
				return listed(c, &t.View, typed, err)
			}
			return sayOverdrawn(t, b)
		})
		q, asked := errors.AsType[*store.QuestionError](err)
		switch {
		case asked && p.Asks:
			if err := askPut(c, q, &p); err != nil {
				return err
			}
		case err != nil:
			return err
		default:
			return tell.Booked(c.Screen, res)
		}
	}
}

// sayOverdrawn says what the parts camera of a bag cannot have given: a unit that
// cannot be complete because its parts came by themselves, and more than one camera
// has.
func sayOverdrawn(t *store.Tx, b store.Bag) error {
	list, err := ask.OverdrawnAt(&t.View, code.Code(b.Origin))
	for _, r := range list {
		if slices.Contains(r.Codes, b.Part) {
			t.Say(r)
		}
	}
	return err
}

// askPut asks on the terminal for place and grade where they are not known.
func askPut(c *call, q *store.QuestionError, p *store.Putting) (err error) {
	if q.ByWords {
		c.Notef("%s %s", q.Part.Code, q.Part.Name)
	}
	p.Part, p.Asks = []string{"part:" + string(q.Part.Code)}, false
	if q.Place {
		question := fmt.Sprintf("where does %s go? place:", q.Part.Code)
		switch {
		case len(q.Places) > 0:
			question = fmt.Sprintf("%s lies in %s: where does this go? [%s]", q.Part.Code, words.And(q.Places), q.Best)
		case q.Best != "":
			question = fmt.Sprintf("no bag of %s lies anywhere yet, others of its kind do: where does it go? [%s]", q.Part.Code, q.Best)
		}
		if p.Place, err = c.ask(question); err != nil {
			return err
		}
		p.Place = cmp.Or(p.Place, string(q.Best))
	}
	if q.Grade {
		text, err := c.ask("grade (ready, usable, rework, pattern, unknown) [unknown]:")
		if err != nil {
			return err
		}
		p.Bag.Grade, err = gradeWord(cmp.Or(text, "unknown"))
		return err
	}
	return nil
}

// readPut reads the line and the flags that need no store.
func readPut(c *call) (store.Putting, error) {
	var p store.Putting
	args := c.Args()
	qty, used := line.QuantityAt(args)
	from := len(args) - 1
	for from > used && !strings.EqualFold(args[from], "from") {
		from--
	}
	switch {
	case used == 0:
		return p, line.Usagef("%q is no number: say first how many, tinful put 2 P003 from PC-01", args[0])
	case from <= used || from+1 == len(args):
		return p, line.Usagef("say where it comes from at the end: tinful put 2 P003 from PC-01, from bought, from made or from unknown")
	}
	part, before := putBefore(args[used:from])
	if err := putWords(c, append(before, args[from+2:]...)); err != nil {
		return p, err
	}
	p = store.Putting{Quantity: qty, Part: part, Origin: args[from+1]}
	if grade := c.String("grade"); grade != "" {
		var err error
		if p.Bag.Grade, err = gradeWord(grade); err != nil {
			return p, err
		}
	}
	return p, putFlags(c, &p)
}

// putBefore parts what is named before from into the part and what was said of it
// early: a grade, to PLACE, as BAG.
func putBefore(args []string) (part, said []string) {
	for n := len(args); ; n = len(args) {
		switch {
		case n > 2 && slices.Contains([]string{"to", "as"}, strings.ToLower(args[n-2])):
			args, said = args[:n-2], append(slices.Clone(args[n-2:]), said...)
		case n > 1 && slices.Contains(store.Grades, strings.ToLower(args[n-1])):
			args, said = args[:n-1], append([]string{args[n-1]}, said...)
		default:
			return args, said
		}
	}
}

// putWords reads what stands behind the origin in place of flags: a grade, to PLACE,
// as BAG.
func putWords(c *call, rest []string) error {
	for len(rest) > 0 {
		word, used := strings.ToLower(rest[0]), 1
		flag, value := map[string]string{"to": "place", "as": "bag"}[word], word
		switch {
		case flag != "" && len(rest) > 1:
			value, used = rest[1], 2
		case slices.Contains(store.Grades, word):
			flag = "grade"
		default:
			return line.Usagef("put does not know what %q is for: beside part and origin stand a grade, to PLACE, as BAG", rest[0])
		}
		if c.IsSet(flag) && c.String(flag) != value {
			return line.Usagef("the %s is said twice: %s and %s", flag, c.String(flag), value)
		}
		c.Set(flag, value)
		rest = rest[used:]
	}
	return nil
}

// putFlags reads the flags that put and made share.
func putFlags(c *call, p *store.Putting) error {
	p.Place, p.Into, p.Like = c.String("place"), c.String("into"), c.String("like")
	b := &p.Bag
	b.Owner, b.Number, b.GoesWith, b.Note = c.String("owner"), c.String("number"), c.String("goes-with"), c.String("note")
	return c.over(nil, func(l *lookup) {
		b.Looks = l.word("looks", store.Looks)
		if c.String("bag") != "" && p.Into != "" {
			l.Keep(line.Usagef("--bag makes a new bag and --into takes one that is there: not both"))
		}
		b.Code = got(l, typedCode, c.String("bag"))
		if text := c.String("cost"); text != "" && l.Err == nil {
			cost, err := code.ParseCents(text)
			if l.Err = line.AsUsage(err); cost < 0 {
				l.Keep(line.Usagef("--cost %s: a cost is not below zero", text))
			}
			b.Cost = &cost
		}
	})
}
