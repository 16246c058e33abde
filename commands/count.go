package commands

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// withoutAgain refuses --again, which is for counting on the terminal.
func withoutAgain(do func(*call) error) func(*call) error {
	return func(c *call) error {
		if c.IsSet("again") {
			return line.Usagef("--again is for counting on the terminal: tinful count PLACE --again")
		}
		return do(c)
	}
}

// count asks bag by bag on the terminal.
func count(c *call) error {
	if !c.env.Terminal {
		if err := c.looks(func(l *lookup) { placesNamed(l, c.Args()) }); err != nil {
			return err
		}
		return refusef("count asks bag by bag, and this is no terminal: print a sheet with tinful count sheet %s -o count.xlsx, or enter readings with tinful count enter B208=2",
			strings.Join(c.Args(), " "))
	}
	if empty, err := nothingToCount(c); empty || err != nil {
		return err
	}
	var n store.Count
	_, err := c.books(func(l *lookup, t *store.Tx) {
		if places := placesNamed(l, c.Args()); l.Err == nil {
			n, l.Err = t.BeginCount(places, 0)
		}
	})
	if err != nil {
		return err
	}
	stopped, err := askBags(c, n.Number)
	if err != nil {
		return err
	}
	if stopped {
		c.Notef("stopped: tinful count %s goes on where it stopped", strings.Join(c.Args(), " "))
	}
	return c.view(func(v *store.View) error { return showCount(c, v, store.CountID{Number: n.Number}, false) })
}

// nothingToCount says so of places that hold nothing by the book: no count is begun.
func nothingToCount(c *call) (empty bool, err error) {
	err = c.looks(func(l *lookup) {
		places := placesNamed(l, c.Args())
		for _, place := range places {
			if len(got(l, l.Countable, place)) > 0 || l.Err != nil {
				return
			}
		}
		if empty = l.Err == nil; empty {
			l.Err = c.Answer(map[string]any{"bags": []ask.CountBag{}}, func() {
				c.Printf("nothing to count there; what lies there all the same: tinful count enter BAG=N --place %s\n", places[0])
			})
		}
	})
	return empty, err
}

// askBags asks for every bag and books each answer. It tells whether it was
// stopped before the last.
func askBags(c *call, number uint64) (stopped bool, err error) {
	var bags []ask.CountBag
	if err := c.view(func(v *store.View) (err error) { bags, err = ask.LeftToCount(v, number, c.Bool("again")); return err }); err != nil {
		return false, err
	}
	if len(bags) == 0 {
		c.Notef("every bag is counted: --again counts anew")
		return false, nil
	}
	c.Notef("%d bags; Enter: not found, c20: about 20, -: pass over, .: stop, +b230 2: a bag that should not be here, +p21 3: pieces without a bag", len(bags))
	for _, b := range bags {
		for done := false; !done; {
			answer, err := askLine(c, fmt.Sprintf("%s  %s:", b.Bag, strings.Join(tell.Filled(b.Called(), b.Tells, from(b.Origin)), ", ")))
			if errors.Is(err, io.EOF) || errors.Is(err, errStopped{}) || answer == "." {
				return true, nil
			}
			if err != nil {
				return false, err
			}
			if done, err = answerCount(c, number, b, answer); err != nil {
				if code := exitCode(err); code != exitUsage && code != exitRefused && code != exitNotFound {
					return false, err
				}
				c.Warnf("%v", err)
				done = false
			}
		}
	}
	return false, nil
}

func from(origin string) string {
	if origin == "" {
		return ""
	}
	return "from " + origin
}

// answerCount books one answer. done is false where the bag is to be asked for
// again: the answer was about another one.
func answerCount(c *call, number uint64, b ask.CountBag, answer string) (done bool, err error) {
	switch {
	case answer == "-":
		return true, nil
	case strings.HasPrefix(answer, "+"):
		return false, bookOther(c, number, b.Place, strings.TrimPrefix(answer, "+"), true)
	case strings.Contains(answer, "="):
		return false, bookOther(c, number, b.Place, answer, false)
	}
	q := code.Qty{}
	if answer != "" {
		if q, err = countQty(answer, b.Unit); err != nil {
			return false, err
		}
	}
	_, err = c.book(false, func(t *store.Tx) error {
		return t.ReadIn(number, store.Given{Bag: b.Bag, Qty: q, Seen: b.Place})
	})
	return true, err
}

// countQty reads what was counted. A bare number of what is sold by length is in
// the bag's own unit only on a sheet that says so.
func countQty(text, unit string) (code.Qty, error) {
	q, err := code.ParseQty(text, unit)
	return q, line.AsUsage(err)
}

// bookOther books what was met beside the bag that is asked for: another bag, or
// with plus set pieces of a part without a bag.
func bookOther(c *call, number uint64, place code.Code, text string, plus bool) error {
	pairs, err := line.ParsePairs(strings.Fields(text))
	if err != nil {
		return err
	}
	_, err = c.books(func(l *lookup, t *store.Tx) {
		for _, p := range pairs {
			g := reading(l, p, place, "bag", "part")
			if l.Err == nil && !plus && g.Bag == "" {
				l.Err = line.Usagef("%s is a part: pieces without a bag are written +%s", p.Token, text)
			}
			if l.Err == nil {
				l.Err = t.ReadIn(number, g)
			}
		}
	})
	if err == nil {
		c.Notef("noted: %s", text)
	}
	return err
}

// placesNamed reads places, each once.
func placesNamed(l *lookup, tokens []string) (out []code.Code) {
	for _, place := range l.codes(tokens, "place") {
		if !slices.Contains(out, place) {
			out = append(out, place)
		}
	}
	return out
}
