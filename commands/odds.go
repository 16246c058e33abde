package commands

import (
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

func oddsOf(c *call) error {
	words := c.Args()
	if text := c.String("part"); text != "" {
		if len(words) > 0 {
			return line.Usagef("--part and %q name two parts: write one", strings.Join(words, " "))
		}
		words = strings.Fields(text)
	}
	history, err := flagWord(c, "history", store.Histories)
	if err != nil {
		return err
	}
	q := ask.OddsQuery{History: history}
	if q.Next, err = nextBodies(c); err != nil {
		return err
	}
	if q.Next > 0 && len(words) == 0 && c.String("model") == "" {
		return line.Usagef("--next says nothing without a part: odds P014 --next 2")
	}
	var p store.Part
	var out ask.OddsAnswer
	err = c.looks(func(l *lookup) {
		q.Model = l.flag("model")
		if rest, model := modelAmong(l.View, words); model != "" {
			if q.Model != "" {
				l.Keep(line.Usagef("%s names the model twice: leave --model out", strings.Join(words, " ")))
			}
			words, q.Model = rest, model
		}
		if len(words) > 0 {
			p = l.part(words...)
			q.Part = p.Code
		}
		q.Missing = q.Part == "" && !c.JSON() && !c.Bool("all")
		q.Brief = q.Missing && q.Model == ""
		out = asked(l, ask.Odds, q)
	})
	if err != nil {
		return err
	}
	return toldOdds(c, q, p, out)
}

func toldOdds(c *call, q ask.OddsQuery, p store.Part, out ask.OddsAnswer) error {
	common := q.Part == "" && q.Model == ""
	switch {
	case c.JSON():
		return c.PrintJSON(out)
	case common && !c.Bool("all"):
		tell.Common(c.Screen, out, false)
	case common:
		tell.Common(c.Screen, out, true)
		c.Println()
		tell.Odds(c.Screen, p, out)
	default:
		tell.Odds(c.Screen, p, out)
	}
	if q.Part != "" {
		tell.Expected(c.Screen, p, q.History, out.Odds)
	}
	for _, n := range out.Notes {
		c.Notef("%s", n)
	}
	return nil
}

// nextBodies reads --next, 0 where it is not given.
func nextBodies(c *call) (int64, error) {
	if !c.IsSet("next") {
		return 0, nil
	}
	n, err := strconv.ParseInt(c.String("next"), 10, 64)
	if err != nil || n < 1 || n > 100 {
		return 0, line.Usagef("--next %s: write how many bodies, 1 to 100", c.String("next"))
	}
	return n, nil
}
