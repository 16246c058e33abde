package commands

import (
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/weigh"
)

// weighAnswer is the answer as JSON.
type weighAnswer struct {
	ask.Weighing
	Bag              code.Code        `json:"bag,omitempty"`
	*tell.BookedJSON                  // as every booking tells it; nil where nothing was booked
	Booked           *tell.BookedJSON `json:"booked,omitempty"` // the same, by an older name
}

func weighing(c *call) error {
	p, err := pile(c)
	if err != nil {
		return err
	}
	bag, should, err := whatIsWeighed(c)
	if err != nil {
		return err
	}
	w, err := ask.ByWeight(p, should)
	if err != nil {
		return refusef("%v", err)
	}
	answer := weighAnswer{w, bag, nil, nil}
	if bag == "" {
		if err := printWeighed(c, answer); err != nil || !w.Mixed {
			return err
		}
		return silentError(exitRefused)
	}
	if w.Mixed {
		return refusef("the samples differ by more than weighing explains, so %s holds pieces of more than one kind or length: nothing is entered; sort them first, or count by hand", bag)
	}
	res, err := c.book(false, func(t *store.Tx) error {
		_, err := t.ReadAll([]store.Given{{Bag: bag, Qty: code.Qty{N: w.Pieces, About: !w.Sure}, Why: w.Books}}, 0)
		return err
	})
	if err != nil {
		return err
	}
	booked := tell.BookedAnswer(res)
	answer.BookedJSON, answer.Booked = &booked, &booked
	return printWeighed(c, answer)
}

func printWeighed(c *call, a weighAnswer) error {
	return c.Answer(a, func() {
		tell.Weighed(c.Screen, a.Weighing)
		if a.BookedJSON != nil {
			c.Printf("%s counted: %s   undo: tinful undo %d\n", a.Bag, store.Amount(a.Pieces, "", !a.Sure), a.Booking)
		}
	})
}

// pile reads the flags of what was weighed.
func pile(c *call) (weigh.Pile, error) {
	p := weigh.Pile{Spread: -1, Within: c.Bool("sample-in")}
	written := int64(1_000_000)
	mass := func(flag, text string, into *int64) error {
		n, err := weigh.ParseGrams(text)
		if err != nil {
			return line.Usagef("--%s: %w", flag, err)
		}
		*into = n
		return nil
	}
	for _, s := range c.List("sample") {
		n, text, ok := strings.Cut(s, "=")
		pieces, err := code.ParseQty(n, "pc")
		if !ok || err != nil || pieces.About || pieces.N == 0 {
			return p, line.Usagef("--sample %s: write pieces and grams, such as 20=0.94", s)
		}
		sample := weigh.Sample{Pieces: pieces.N}
		if err := mass("sample", text, &sample.Mass); err != nil {
			return p, err
		}
		p.Samples = append(p.Samples, sample)
		written = min(written, weigh.LastDigit(text))
	}
	if c.String("total") == "" {
		return p, line.Usagef("weigh needs --total, what the pile weighs in grams: tinful help weigh")
	}
	written = min(written, weigh.LastDigit(c.String("total")))
	for _, f := range []struct {
		flag string
		into *int64
	}{{"total", &p.Total}, {"tare", &p.Tare}, {"resolution", &p.Balance.Resolution}, {"worst", &p.Balance.Worst}} {
		if text := c.String(f.flag); text != "" {
			if err := mass(f.flag, text, f.into); err != nil {
				return p, err
			}
		}
	}
	if c.String("resolution") == "" && c.String("worst") == "" {
		p.Balance.Resolution = written
		c.Notef("the balance is taken to read %s g, as the weights are written", dim.Format(dim.Mass, written))
	}
	if text := c.String("cv"); text != "" {
		percent, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(strings.TrimSuffix(text, "%")), ",", ".", 1), 64)
		if err != nil || percent < 0 || percent > 100 {
			return p, line.Usagef("--cv %s: write per cent, such as 1%% or 1.5", text)
		}
		p.Spread = percent / 100
	}
	return p, nil
}

// whatIsWeighed is the bag of --bag and what a piece should weigh, by the part
// named, the bag's, or --like. It refuses pieces that are not alike.
func whatIsWeighed(c *call) (bag code.Code, e ask.PieceMass, err error) {
	if like := c.String("like"); like != "" {
		norm, size, length, err := weigh.ParseNorm(like)
		if err != nil {
			return "", e, line.AsUsage(err)
		}
		var known bool
		if e, known = ask.NormMass(norm, size, length, c.String("material"), like); !known {
			return "", e, line.Usagef("--material %s: the density here is known of steel, stainless, brass, nickel silver and bronze", c.String("material"))
		}
	}
	if c.String("bag") == "" && len(c.Args()) == 0 {
		if e.Micrograms == 0 && len(c.List("sample")) == 0 {
			return "", e, line.Usagef("weigh needs a counted sample, a part or --like: tinful help weigh")
		}
		return "", e, nil
	}
	err = c.looks(func(l *lookup) {
		var part store.Part
		bag, part = weighedOf(l)
		if why := ask.NotAlike(part); why != "" {
			l.Keep(refusef("%s", why))
		}
		if e.Micrograms == 0 {
			e = ask.MassOf(part)
		}
		if e.Micrograms == 0 && len(c.List("sample")) == 0 {
			l.Keep(refusef("nothing says what a piece of %s weighs: weigh a counted sample", part.Code))
		}
	})
	return bag, e, err
}

// weighedOf is the part that is weighed: that of --bag, else the one named.
func weighedOf(l *lookup) (bag code.Code, p store.Part) {
	if len(l.Args()) > 0 {
		if p = l.part(l.Args()...); l.String("bag") == "" {
			return "", p
		}
	}
	b := got(l, l.Bag, l.flag("bag"))
	switch why := asked(l, ask.NotWeighed, b); {
	case why != "":
		l.Keep(refusef("%s", why))
	case p.Code != "" && p.Code != b.Part:
		l.Keep(refusef("%s holds %s, not %s", b.Code, b.Part, p.Code))
	}
	return b.Code, got(l, l.Part, b.Part)
}
