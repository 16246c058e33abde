package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func countClose(c *call) error {
	var k ask.Closing
	var out ask.Closed
	asks := len(c.List("accept")) == 0 && c.env.Terminal
	res, err := bookAsked(c, asks, func(l *lookup) { k = readClose(l) }, func() error { return askClose(c, &k) },
		func(t *store.Tx) (err error) {
			if out, err = k.Close(t, c.String("why")); err == nil {
				err = openStill(c, k, out)
			}
			return err
		})
	if err != nil {
		return err
	}
	return printClosed(c, res, k, out)
}

// readClose reads which count is meant and what is accepted.
func readClose(l *lookup) (k ask.Closing) {
	args, tokens := l.Args(), l.List("accept")
	for len(args) > 0 && len(l.Resolve(args[len(args)-1], "bag")) == 1 && len(tokens) > 0 && line.IsCode(args[len(args)-1]) && !line.IsNumber(args[len(args)-1]) {
		tokens, args = append(tokens, args[len(args)-1]), args[:len(args)-1]
	}
	if len(args) > 1 {
		l.Keep(line.Usagef("count close does not know what %q is for: bags are named behind --accept", args[1]))
		return k
	}
	switch id, others := countNamed(l, args); {
	case l.Err != nil:
		return k
	case len(others) == 0:
		return readAccepted(l, id, tokens)
	default:
		return pickClose(l, append(others, ask.CountHead{ID: id, Count: id.String()}), tokens)
	}
}

// pickClose reads which of several open counts is meant: the one in which all that
// is accepted is open.
func pickClose(l *lookup, open []ask.CountHead, tokens []string) ask.Closing {
	var meant []ask.Closing
	for _, h := range open {
		var k ask.Closing
		if l.over(l.View, func(l *lookup) { k = readAccepted(l, h.ID, tokens) }) == nil && len(tokens) > 0 {
			meant = append(meant, k)
		}
	}
	if len(meant) == 1 {
		return meant[0]
	}
	names := tell.Each(open, func(h ask.CountHead) string { return h.Count })
	l.Keep(fmt.Errorf("%w: the counts %s are open: say which, tinful count close %s", store.ErrSeveral, strings.Join(names, ", "), names[0]))
	return ask.Closing{}
}

// readAccepted is the closing of a count, of which the tokens say what is accepted.
func readAccepted(l *lookup, id store.CountID, tokens []string) ask.Closing {
	k := asked(l, ask.ClosingOf, id)
	for _, token := range tokens {
		if strings.EqualFold(token, "all") {
			k.All = true
		} else if ref := l.thing(token, "bag", "part"); l.Err == nil {
			l.Err = k.Accept(ref)
		}
	}
	return k
}

// openStill refuses a closing that books nothing while something is open.
func openStill(c *call, k ask.Closing, done ask.Closed) error {
	if done.Closed || !k.None() || c.env.Terminal {
		return nil
	}
	open := tell.Each(done.Open, func(l store.CountLine) string { return string(l.Bag.Code) })
	for _, l := range done.Loose {
		open = append(open, string(l.Part))
	}
	return refusef("%s open: accept with --accept %s or --accept all, or count again; tinful count show %s has the likely reasons",
		strings.Join(open, ", ")+map[bool]string{true: " is", false: " are"}[len(open) == 1], open[0], k.Count.ID)
}

// askClose asks for every open difference.
func askClose(c *call, k *ask.Closing) error {
	yes := func(question string) (bool, error) {
		k, err := c.key(question+" accept? y(es), Enter no:", "yn\r")
		return k == 'y', err
	}
	for _, l := range openLines(k.Count) {
		ok, err := yes(fmt.Sprintf("%s  %s: book %s, counted %s (%s); %s:", l.Bag, l.Called(), store.Amount(l.Book, l.Unit, l.Line.BookAbout),
			store.Amount(l.Counted, l.Unit, l.Line.Reading.About), byWords(l), likelyWords(l)))
		if err != nil {
			return err
		}
		if ok {
			k.Bags = append(k.Bags, l.Bag)
		}
	}
	for _, l := range k.Count.Loose {
		if l.Bag != "" {
			continue
		}
		ok, err := yes(fmt.Sprintf("%s %s, %s without a bag in %s: a new bag?", l.Part, l.Called(), store.Amount(l.N, "", l.About), l.Place))
		if err != nil {
			return err
		}
		if ok {
			k.Lots = append(k.Lots, l.Part)
		}
	}
	return nil
}

// printClosed says what was booked, what is left open, and how right the book was.
func printClosed(c *call, res store.Result, k ask.Closing, done ask.Closed) error {
	now, trend := done.Now, done.Trend
	if c.JSON() {
		return c.PrintJSON(struct {
			tell.BookedJSON
			Count ask.Count       `json:"count"`
			Trend []ask.CountHead `json:"trend"`
		}{tell.BookedAnswer(res), now, append([]ask.CountHead{}, trend...)})
	}
	if res.Booking.Number != 0 {
		if err := tell.Booked(c.Screen, res); err != nil {
			return err
		}
	}
	open := openLines(now)
	for _, l := range open {
		text := fmt.Sprintf("open: %s %s, book %s, counted %s, %s: %s", l.Bag, l.Called(), store.Amount(l.Book, l.Unit, l.Line.BookAbout),
			store.Amount(l.Counted, l.Unit, l.Line.Reading.About), byWords(l), likelyWords(l))
		c.Println(strings.Join(tell.Wrap(text, c.Wide-6), "\n      ")) // one line where there is no terminal
		if mixed := l.MixedWith(); slices.ContainsFunc(mixed, func(b code.Code) bool { return slices.Contains(k.Bags, b) }) {
			c.Notef("%s was booked and %s was not: a mix is in both or in none", tell.Commas(mixed), l.Bag)
		}
	}
	for _, l := range done.Loose {
		c.Printf("open: %s of %s without a bag in %s\n", store.Amount(l.N, "", l.About), l.Part, l.Place)
	}
	printMissed(c, now)
	if done.Closed {
		c.Printf("count %s is closed\n", k.Count.ID)
	} else {
		c.Printf("count %s stays open\n", k.Count.ID)
	}
	printRight(c, now, trend)
	return nil
}
