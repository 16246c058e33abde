package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// An accepting is which differences are booked.
type accepting struct {
	all  bool
	bags []code.Code
	lots []code.Code // parts whose loose pieces are booked in
}

// closes is a count with what closing it would book.
type closes struct {
	id     store.CountID
	count  ask.Count
	accept accepting
}

func countClose(c *call) error {
	var k closes
	read := func(v *store.View) error { return readClose(c, v, &k) }
	asked := len(c.List("accept")) == 0 && c.env.Terminal
	if asked {
		if err := c.view(read); err != nil {
			return err
		}
		if err := askClose(c, &k); err != nil {
			return err
		}
	}
	var out closed
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if !asked {
			if err := read(&t.View); err != nil {
				return err
			}
		}
		if k.count, err = ask.CountOf(&t.View, k.id); err != nil {
			return err
		}
		if out.Settling, err = t.CloseCount(k.id, k.accepts(c.String("why")), k.acceptsLoose); err != nil {
			return err
		}
		if err := k.empty(c, out.Settling); err != nil {
			return err
		}
		if out.now, err = ask.CountOf(&t.View, k.id); err == nil {
			out.trend, err = ask.Trend(&t.View, out.now, 4)
		}
		out.now.Missed = k.count.Missed
		return err
	})
	if err != nil {
		return err
	}
	return printClosed(c, res, k, out)
}

// A closed is what closing a count did, and the count as it is then.
type closed struct {
	store.Settling
	now   ask.Count
	trend []ask.CountHead
}

// readClose reads which count is meant and what is accepted.
func readClose(c *call, v *store.View, k *closes) error {
	args, tokens := c.Args(), c.List("accept")
	for len(args) > 0 && len(v.Resolve(args[len(args)-1], "bag")) == 1 && len(tokens) > 0 && line.IsCode(args[len(args)-1]) && !line.IsNumber(args[len(args)-1]) {
		tokens, args = append(tokens, args[len(args)-1]), args[:len(args)-1]
	}
	if len(args) > 1 {
		return line.Usagef("count close does not know what %q is for: bags are named behind --accept", args[1])
	}
	id, others, err := countNamed(c, v, args)
	if err != nil {
		return err
	}
	if len(others) == 0 {
		return readAccepted(c, v, k, id, tokens)
	}
	return pickClose(c, v, k, append(others, ask.CountHead{ID: id, Count: id.String()}), tokens)
}

// pickClose reads which of several open counts is meant: the one in which all that
// is accepted is open.
func pickClose(c *call, v *store.View, k *closes, open []ask.CountHead, tokens []string) error {
	var meant []closes
	for _, h := range open {
		try := closes{}
		if err := readAccepted(c, v, &try, h.ID, tokens); err == nil && len(tokens) > 0 {
			meant = append(meant, try)
		}
	}
	if len(meant) != 1 {
		names := tell.Each(open, func(h ask.CountHead) string { return h.Count })
		return fmt.Errorf("%w: the counts %s are open: say which, tinful count close %s", store.ErrSeveral, strings.Join(names, ", "), names[0])
	}
	*k = meant[0]
	return nil
}

// readAccepted reads a count and what of it is accepted.
func readAccepted(c *call, v *store.View, k *closes, id store.CountID, tokens []string) (err error) {
	k.id = id
	if k.count, err = ask.CountOf(v, id); err != nil {
		return err
	}
	if k.count.Closed != "" {
		return refusef("count %s was closed on %s", k.id, k.count.Closed)
	}
	for _, token := range tokens {
		if strings.EqualFold(token, "all") {
			k.accept.all = true
			continue
		}
		ref, err := c.thing(v, token, "bag", "part")
		if err != nil {
			return err
		}
		if err := k.named(ref); err != nil {
			return err
		}
	}
	return nil
}

// named accepts what a code names, which must be open.
func (k *closes) named(ref store.Ref) error {
	if ref.Kind == "part" {
		if !slices.ContainsFunc(k.count.Loose, func(l ask.LoosePart) bool { return l.Part == ref.Code && l.Bag == "" }) {
			return refusef("no pieces of %s without a bag are open in count %s: name the bags", ref.Code, k.id)
		}
		k.accept.lots = append(k.accept.lots, ref.Code)
		return nil
	}
	i := slices.IndexFunc(k.count.Lines, func(l ask.CountLine) bool { return l.Bag == ref.Code })
	switch {
	case i < 0:
		return refusef("%s was not counted in count %s", ref.Code, k.id)
	case !k.count.Lines[i].Open:
		return refusef("%s has no open difference in count %s: it %s", ref.Code, k.id, stateWords(k.count.Lines[i].State))
	}
	k.accept.bags = append(k.accept.bags, ref.Code)
	return nil
}

func stateWords(state string) string {
	switch state {
	case "booked":
		return "is booked already"
	case "counted again":
		return "was counted again since"
	}
	return state
}

// accepts returns the choice of lines to book, each with its reason.
func (k *closes) accepts(why string) func(store.CountLine) (string, bool) {
	return func(l store.CountLine) (string, bool) {
		if !k.accept.all && !slices.Contains(k.accept.bags, l.Bag.Code) {
			return "", false
		}
		for _, n := range k.count.Lines {
			if n.Bag == l.Bag.Code && why == "" && len(n.Likely) > 0 {
				return n.Likely[0].Text, true
			}
		}
		return cmp.Or(why, "no reason is known"), true
	}
}

func (k *closes) acceptsLoose(l store.Loose) bool {
	return k.accept.all || slices.Contains(k.accept.lots, l.Part)
}

// empty refuses a closing that books nothing while something is open.
func (k *closes) empty(c *call, done store.Settling) error {
	if done.Closed || k.accept.all || len(k.accept.bags)+len(k.accept.lots) > 0 || c.env.Terminal {
		return nil
	}
	open := tell.Each(done.Open, func(l store.CountLine) string { return string(l.Bag.Code) })
	for _, l := range done.Loose {
		open = append(open, string(l.Part))
	}
	return refusef("%s open: accept with --accept %s or --accept all, or count again; tinful count show %s has the likely reasons",
		strings.Join(open, ", ")+map[bool]string{true: " is", false: " are"}[len(open) == 1], open[0], k.id)
}

// askClose asks for every open difference.
func askClose(c *call, k *closes) error {
	yes := func(question string) (bool, error) {
		k, err := c.key(question+" accept? y(es), Enter no:", "yn\r")
		return k == 'y', err
	}
	for _, l := range openLines(k.count) {
		ok, err := yes(fmt.Sprintf("%s  %s: book %s, counted %s (%s); %s:", l.Bag, l.Name, store.Amount(l.Book, l.Unit, l.Line.BookAbout),
			store.Amount(l.Counted, l.Unit, l.Line.Reading.About), byWords(l), likelyWords(l)))
		if err != nil {
			return err
		}
		if ok {
			k.accept.bags = append(k.accept.bags, l.Bag)
		}
	}
	for _, l := range k.count.Loose {
		if l.Bag != "" {
			continue
		}
		ok, err := yes(fmt.Sprintf("%s %s, %s without a bag in %s: a new bag?", l.Part, l.Name, store.Amount(l.N, "", l.About), l.Place))
		if err != nil {
			return err
		}
		if ok {
			k.accept.lots = append(k.accept.lots, l.Part)
		}
	}
	return nil
}

// printClosed says what was booked, what is left open, and how right the book was.
func printClosed(c *call, res store.Result, k closes, done closed) error {
	now, trend := done.now, done.trend
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
		text := fmt.Sprintf("open: %s %s, book %s, counted %s, %s: %s", l.Bag, l.Name, store.Amount(l.Book, l.Unit, l.Line.BookAbout),
			store.Amount(l.Counted, l.Unit, l.Line.Reading.About), byWords(l), likelyWords(l))
		c.Println(strings.Join(tell.Wrap(text, c.Wide-6), "\n      ")) // one line where there is no terminal
		if mixed := l.MixedWith(); slices.ContainsFunc(mixed, func(b code.Code) bool { return slices.Contains(k.accept.bags, b) }) {
			c.Notef("%s was booked and %s was not: a mix is in both or in none", tell.Commas(mixed), l.Bag)
		}
	}
	for _, l := range done.Loose {
		c.Printf("open: %s of %s without a bag in %s\n", store.Amount(l.N, "", l.About), l.Part, l.Place)
	}
	printMissed(c, now)
	if done.Closed {
		c.Printf("count %s is closed\n", k.id)
	} else {
		c.Printf("count %s stays open\n", k.id)
	}
	printRight(c, now, trend)
	return nil
}
