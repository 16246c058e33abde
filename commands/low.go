package commands

import (
	"runtime/debug"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// lowCommand lists what runs short.
func lowCommand() *command {
	return &command{
		Name: "low", Usage: "what runs short and why, worst first",
		UsageText: "tinful low\ntinful low --place K1\ntinful low --model W2-B\ntinful low -o buy.xlsx\ntinful low --check --quiet\ntinful low --csv > buy.csv",
		Description: "The first line says what to do now: which drawer, which parts camera, or buy.\n" +
			"Parts with less free than to keep come first. Then come those that were asked for\n" +
			"in vain and are not there, those that are likely to run out before another is\n" +
			"found (more than 5 %), and those of which the cameras in the house and those to\n" +
			"come lack more than is free, more likely than not. The risk follows from the jobs\n" +
			"that used the part, and from open wants, since the book began; how long it takes to\n" +
			"find another is Weeks to find, 26 unless said. What to keep is never more than was\n" +
			"ever wanted. -o writes the worst into a list to buy and strip by.\n" +
			"The worst 40 are told whole and the rest in one line each. Where more than 40 have\n" +
			"less than to keep, nothing else is looked for; --all, -o, --csv and --json tell all\n" +
			"and look for all. :1 stands for the first part in the next command. With --check it\n" +
			"exits 4 when a part has less than to keep.",
		Flags: []*line.Flag{
			line.SwitchFlag("check", "exit 4 when a part has less than to keep"), line.SwitchFlag("all", "tell every part whole"), line.SwitchFlag("csv", "print CSV"),
			line.ValueFlag("place", "only parts that lie in `PLACE`"), line.ValueFlag("model", "only parts that go into `MODEL`, by code, name or alias"),
			outputFlag(), line.SwitchFlag("replace", "write over a file that is there"),
		},
		Action: low,
	}
}

func low(c *call) error {
	if err := c.Want(0, 0); err != nil {
		return err
	}
	if c.JSON() && c.Bool("csv") {
		return line.Usagef("--json and --csv say two things: write one")
	}
	q, file := ask.LowQuery{}, c.String("output")
	if !c.JSON() && !c.Bool("csv") && !c.Bool("all") && file == "" {
		q.Detail = mostFound
	}
	// The list may have thousands of lines and is printed once: collecting in between
	// would cost as much as the list.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	var out ask.LowAnswer
	err := c.view(func(v *store.View) (err error) {
		for _, x := range []struct {
			kind string
			at   *code.Code
		}{{"place", &q.Place}, {"model", &q.Model}} {
			if token := c.String(x.kind); token != "" {
				ref, err := c.thing(v, token, x.kind)
				if err != nil {
					return err
				}
				*x.at = ref.Code
			}
		}
		q.Today = c.dayNow(v)
		out, err = ask.Low(v, q)
		return err
	})
	if err != nil {
		return err
	}
	if err := toldLow(c, out, file); err != nil {
		return err
	}
	if c.Bool("check") && out.Short > 0 {
		return silentError(exitRefused)
	}
	return nil
}

func toldLow(c *call, out ask.LowAnswer, file string) error {
	var answer []string
	for _, l := range out.Low {
		if l.Whole {
			answer = append(answer, "part:"+string(l.Part))
		}
	}
	c.keepAnswer(answer)
	if file != "" {
		if err := sheet.WriteShopping(file, shoppingList(out), c.Bool("replace")); err != nil {
			return err
		}
	}
	switch {
	case c.JSON():
		return c.PrintJSON(out)
	case c.Bool("csv"):
		return tell.LowCSV(c.Screen, out)
	case file != "":
		c.Printf("%s to buy or strip by: %s\n", tell.Many(len(out.Low), "part"), file)
		return nil
	}
	return tell.Low(c.Screen, out)
}

// shoppingList is what runs short as a list to buy and strip by.
func shoppingList(out ask.LowAnswer) (rows []sheet.ShoppingRow) {
	for _, l := range out.Low {
		r := sheet.ShoppingRow{Part: string(l.Part), Name: l.Name, Why: strings.Join(store.Texts(l.Why), " ")}
		if d := l.Do; d != nil {
			r.For, r.Pieces, r.Do = tell.Commas(d.For), d.Pieces, d.Text
			r.From = strings.Join(tell.Filled(string(d.Bag), string(d.Donor), string(d.Place), d.Dealer), ", ")
		}
		rows = append(rows, r)
	}
	return rows
}
