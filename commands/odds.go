package commands

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/odds"
)

// oddsCommand says how often parts are missing.
func oddsCommand() *command {
	return &command{
		Name: "odds", Usage: "how often a part is missing, by model and history",
		UsageText: "tinful odds --part P014\ntinful odds --part \"counter pawl spring\" --model W3-B --history meddled\n" +
			"tinful odds --part P005 --model W1-B --next 2\ntinful odds --model ORV-00\ntinful odds --all",
		Description: "What was seen on every camera that came, x of n, with the range the rate likely\n" +
			"lies in. Each body of a sister model (one family, the same history) counts as a\n" +
			"quarter of a body, and all of them together never as more than two. Histories are\n" +
			"never mixed. Under three bodies it is too few to say, and for a part the usual\n" +
			"expectation is shown beside it: from memory, no count. The rates are of cameras\n" +
			"that came here. Without flags it sums up the histories and lists what was missing;\n" +
			"--all lists everything that was looked at.",
		Flags: []*line.Flag{
			line.ValueFlag("part", "of this `PART`, by code or words"),
			line.ValueFlag("model", "in this `MODEL`, by code, name or alias"),
			line.ValueFlag("history", "in bodies of this `HISTORY`: "+strings.Join(store.Histories, ", ")),
			line.ValueFlag("next", "also the chance that at least one of the next `N` bodies has it"),
			line.SwitchFlag("all", "print what was never missing too"),
		},
		Action: oddsOf,
	}
}

func oddsOf(c *call) error {
	if err := c.Want(0, 0); err != nil {
		return err
	}
	history, err := flagWord(c, "history", store.Histories)
	if err != nil {
		return err
	}
	q := ask.OddsQuery{History: history}
	next, err := nextBodies(c)
	if err != nil {
		return err
	}
	q.Next = next
	var p store.Part
	var out ask.OddsAnswer
	err = c.view(func(v *store.View) (err error) {
		if text := c.String("part"); text != "" {
			if p, err = c.partOf(v, strings.Fields(text)); err != nil {
				return err
			}
			q.Part = p.Code
		}
		if token := c.String("model"); token != "" {
			ref, err := c.thing(v, token, "model")
			if err != nil {
				return err
			}
			q.Model = ref.Code
		}
		q.Missing = q.Part == "" && !c.JSON() && !c.Bool("all")
		out, err = ask.Odds(v, q)
		return err
	})
	switch {
	case err != nil:
		return c.offer(err)
	case c.JSON():
		return c.PrintJSON(out)
	}
	printOdds(c, q, p, out)
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

// printOdds prints the histories where they say something, then the rows.
func printOdds(c *call, q ask.OddsQuery, p store.Part, out ask.OddsAnswer) {
	if q.Part == "" {
		printHistories(c, out.Histories)
	} else {
		c.Printf("%s %s\n", p.Code, p.Name)
	}
	for _, r := range out.Odds {
		head := fmt.Sprintf("%s, %s", r.Model, r.History)
		if q.Part == "" {
			head = fmt.Sprintf("%s %s, %s", r.Part, r.Name, head)
		}
		c.Println(tell.Hang(head+": "+r.Why, c.Wide, 4))
	}
	if out.Left > 0 {
		c.Printf("and %d more, none of them missing: --all prints them\n", out.Left)
	}
	if len(out.Odds)+out.Left == 0 {
		c.Println("Not looked at yet.")
	}
	if q.Part != "" {
		printExpected(c, q, p, out.Odds)
	}
	for _, n := range out.Notes {
		c.Notef("%s", n)
	}
}

// printHistories prints one line a history. Parts of one body are not independent,
// so the sum has no range.
func printHistories(c *call, list []ask.HistoryOdds) {
	t := c.Table()
	for _, h := range list {
		n := odds.Count{Missing: h.Missing, Looked: h.Looked}
		bodies := map[bool]string{true: "body", false: "bodies"}[h.Bodies == 1]
		t.Row(h.History, fmt.Sprintf("%d of %d looked at were missing: %s, in %d %s", h.Missing, h.Looked, sharePercent(n), h.Bodies, bodies))
	}
	_ = t.Print(c.Out) // as println
	if len(list) > 0 {
		c.Println()
	}
}

// sharePercent is a rate; what was only not yet seen is called none.
func sharePercent(n odds.Count) string {
	switch n.Missing {
	case 0:
		return "none yet"
	case n.Looked:
		return "all so far"
	}
	return odds.Percent(n.Rate())
}

// printExpected prints what experience expects of a part, apart, for each history
// that has not enough counts in any model.
func printExpected(c *call, q ask.OddsQuery, p store.Part, rows []ask.OddsRow) {
	var open []string
	for _, h := range store.Histories {
		enough := slices.ContainsFunc(rows, func(r ask.OddsRow) bool { return r.History == h && r.Enough })
		if !enough && (q.History == "" || q.History == h) {
			open = append(open, h)
		}
	}
	if text := odds.SayExpected(p.Seat, p.Class, p.Name, open); text != "" {
		c.Println(tell.Hang(text, c.Wide, 4))
	}
}
