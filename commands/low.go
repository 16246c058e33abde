package commands

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"runtime/debug"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// lowCommand lists what runs short.
func lowCommand() *command {
	return &command{
		Name: "low", Usage: "what runs short and why, worst first",
		UsageText: "tinful low\ntinful low --place K1\ntinful low --model W2-B\ntinful low --check --quiet\ntinful low --csv > buy.csv",
		Description: "Parts with less free than to keep come first. Then come those that were asked for\n" +
			"in vain and are not there, those that are likely to run out before another is\n" +
			"found (more than 5 %), and those that the cameras of open jobs are likely to lack.\n" +
			"The risk follows from the jobs that used the part, and from open wants, since the\n" +
			"book began; how long it takes to find another is Weeks to find, 26 unless said.\n" +
			"The worst 40 are told whole and the rest in one line each. Where more than 40 have\n" +
			"less than to keep, nothing else is looked for; --all, --csv and --json tell all and\n" +
			"look for all. :1 stands for the first part in the next command. With --check it\n" +
			"exits 4 when a part has less than to keep.",
		Flags: []*line.Flag{
			line.SwitchFlag("check", "exit 4 when a part has less than to keep"), line.SwitchFlag("all", "tell every part whole"), line.SwitchFlag("csv", "print CSV"),
			line.ValueFlag("place", "only parts that lie in `PLACE`"), line.ValueFlag("model", "only parts that go into `MODEL`, by code, name or alias"),
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
	q := ask.LowQuery{}
	if !c.JSON() && !c.Bool("csv") && !c.Bool("all") {
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
	if err := toldLow(c, out); err != nil {
		return err
	}
	if c.Bool("check") && out.Short > 0 {
		return silentError(exitRefused)
	}
	return nil
}

func toldLow(c *call, out ask.LowAnswer) error {
	var answer []string
	for _, l := range out.Low {
		if l.Whole {
			answer = append(answer, "part:"+string(l.Part))
		}
	}
	c.keepAnswer(answer)
	switch {
	case c.JSON():
		return c.PrintJSON(out)
	case c.Bool("csv"):
		return lowCSV(c, out)
	}
	w := bufio.NewWriterSize(c.Out, 64<<10)
	for i, l := range out.Low {
		if i == out.Short {
			fmt.Fprintln(w, lowOthers)
		}
		lowLine(c, w, i, l)
	}
	switch more := len(out.Low) - out.Short; {
	case out.Only:
		fmt.Fprintf(w, "%d with less than to keep: --all looks for more that is likely to be missed\n", out.Short)
	case len(out.Low) == 0:
		fmt.Fprintln(w, "nothing runs short")
	case out.Short == 0:
		fmt.Fprintf(w, "none with less than to keep, %d more\n", more)
	case more > 0:
		fmt.Fprintf(w, "%d with less than to keep, %d more\n", out.Short, more)
	default:
		fmt.Fprintf(w, "%d with less than to keep\n", out.Short)
	}
	return w.Flush()
}

// lowOthers stands above the lines of what is not below its number.
const lowOthers = "not less than to keep, but likely to be missed:"

// lowLine prints a part: whole with its reasons, else on one line without number.
func lowLine(c *call, w *bufio.Writer, i int, l ask.LowLine) {
	n, keep := strconv.FormatInt(l.Free, 10), ""
	if l.Keep != nil {
		keep = ", keep " + strconv.FormatInt(*l.Keep, 10)
	}
	if !l.Whole {
		for _, text := range [...]string{string(l.Part), " ", l.Name, "  ", n, " free", keep, "\n"} {
			w.WriteString(text) // a bufio.Writer keeps its error for Flush
		}
		return
	}
	head := fmt.Sprintf(":%d %s %s  %s free%s", i+1, l.Part, l.Name, n, keep)
	fmt.Fprintln(w, tell.Hang(head, c.Wide, 6))
	if why := strings.Join(l.Why[1:], " "); why != "" {
		fmt.Fprintln(w, "     "+strings.Join(tell.Wrap(why, c.Wide-5), "\n     "))
	}
}

// lowCSV prints the list as CSV, one part a row.
func lowCSV(c *call, out ask.LowAnswer) error {
	w := csv.NewWriter(c.Out)
	w.UseCRLF = true // RFC 4180, as the other sheets
	if err := w.Write([]string{"Part", "Name", "Free", "Keep", "Buy when", "Risk", "Held", "Wants", "Why"}); err != nil {
		return err
	}
	number := func(n int64) string { return strconv.FormatInt(n, 10) }
	for _, l := range out.Low {
		known := func(n *int64) string {
			if n == nil {
				return ""
			}
			return number(*n)
		}
		risk := ""
		if l.Risk != nil {
			risk = strconv.FormatFloat(*l.Risk, 'f', 4, 64)
		}
		row := []string{string(l.Part), l.Name, number(l.Free), known(l.Keep), known(l.BuyWhen), risk, number(l.Held), number(l.Wants), strings.Join(l.Why, " ")}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
