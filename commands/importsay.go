package commands

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/code"
)

// How many changes and cells of one kind are shown; JSON tells all of them.
const (
	fewChanges = 20
	fewAlike   = 5
)

// whatToSay say what to type where something was not said that would help.
var whatToSay = map[string]string{
	sheet.AskDates:    "--dates dmy, mdy or ymd says which of day and month comes first",
	sheet.AskEncoding: "--encoding windows-1252, shift-jis, ... says how the file is written",
	sheet.AskFill:     "--map 'fill place' goes on from above in that column",
	sheet.AskMap:      "a list with headings of its own is read with --as and --map 'Heading=column', which --suggest proposes",
	sheet.AskStruck:   "--struck reads rows that are struck through like the others",
}

// printImport prints the plan, what is wrong, and what came of it.
func printImport(c *call, a imported) error {
	if a.Problems == nil {
		a.Problems = []store.Problem{}
	}
	if c.JSON() {
		if err := c.PrintJSON(a); err != nil {
			return err
		}
	} else {
		printPlan(c, a)
	}
	for _, name := range a.Ignored[:min(fewChanges, len(a.Ignored))] {
		c.Notef("not understood and kept out: %s", name)
	}
	if more := len(a.Ignored) - fewChanges; more > 0 {
		c.Notef("and %s more; --json tells all of them", tell.Many(more, "column"))
	}
	for _, n := range a.Notes {
		c.Notef("%s", n)
	}
	for _, ask := range a.report.Asks {
		c.Notef("%s", whatToSay[ask])
	}
	if len(a.missing) > 0 && !a.Applied {
		c.Notef("--make %s makes what is not here: %s", strings.Join(slices.Sorted(maps.Keys(a.missing)), ","), missingWords(a.missing))
	}
	if !c.JSON() {
		sayLost(c, a)
	}
	if len(a.Problems) == 0 {
		return nil
	}
	if !c.JSON() {
		printProblems(c, a.Problems)
	}
	return fmt.Errorf("%s cannot be taken in, nothing is changed: %w", tell.Many(len(a.Problems)+a.Unlisted, "cell"), store.ErrBadInput)
}

func printPlan(c *call, a imported) {
	t := c.Table("sheet", ">new", ">changed", ">same", ">refused")
	news, changed := 0, 0
	var said []string
	for _, name := range store.Sheets {
		n := a.Plan[name]
		if n == nil || *n == (store.Tally{}) {
			continue
		}
		t.Row(name, fmt.Sprint(n.New), fmt.Sprint(n.Changed), fmt.Sprint(n.Same), fmt.Sprint(n.Refused))
		news, changed = news+n.New, changed+n.Changed
		if n.New > 0 {
			said = append(said, rowWord(name, n.New))
		}
	}
	c.Show(t)
	printChanges(c, a.Changes)
	printMade(c, a.Made)
	would := "came in"
	if !a.Applied {
		would = "would come in"
	}
	if len(said) > 0 {
		c.Printf("%s %s\n", strings.Join(said, ", "), would)
	}
	switch {
	case a.Booking > 0:
		c.Printf("booking %d   undo: tinful undo %d\n", a.Booking, a.Booking)
		if c.Bool("as-count") {
			c.Println("tinful count list shows the counts they are part of; count close books what differs")
		}
	case a.Rows == 0:
		c.Println("no rows stand in it; nothing is booked")
	case news+changed == 0 && len(a.Problems) == 0 && len(a.Derived)+len(a.Cleared)+len(a.Gone) > 0:
		c.Println("nothing is booked; what differs is named below")
	case news+changed == 0 && len(a.Problems) == 0:
		c.Println("everything is in the store already; nothing is booked")
	}
}

// sayLost says what the workbook has that taking it in passes over.
func sayLost(c *call, a imported) {
	onHand := false
	for i, d := range a.Derived {
		if onHand = onHand || d.Heading == "In the drawer"; i < fewChanges {
			c.Warnf("%s: %s of %s is %s here, and %s in the book, which stays", d.Cell, d.Heading, d.Code, d.Says, d.Book)
		}
	}
	if more := len(a.Derived) - fewChanges; more > 0 {
		c.Warnf("and %s more; --json tells all of them", tell.Many(more, "cell"))
	}
	if onHand {
		c.Notef("--as-count reads In the drawer, where it differs, as what was counted")
	}
	if len(a.Cleared) > 0 {
		c.Warnf("cleared here, and stays in the store; edit clears it: %s", few(a.Cleared))
	}
	if len(a.Gone) > 0 {
		c.Warnf("not in it any more, and stays in the store: %s", few(a.Gone))
	}
	if a.since > 0 && len(a.Cleared)+len(a.Gone) > 0 {
		c.Notef("the store has %s since it was exported: what differs may be of these", tell.Many(int(a.since), "booking"))
	}
}

// few names the first of a list and how many more there are.
func few(list []string) string {
	text := strings.Join(list[:min(fewAlike, len(list))], ", ")
	if more := len(list) - fewAlike; more > 0 {
		text += fmt.Sprintf(" and %d more (--json)", more)
	}
	return text
}

// missingWords names what is not here, by what it is.
func missingWords(missing map[string][]string) string {
	kinds := slices.Sorted(maps.Keys(missing))
	return strings.Join(tell.Each(kinds, func(kind string) string { return kind + " " + few(missing[kind]) }), "; ")
}

// printMade says which codes were made up, in runs, and what was made with them.
func printMade(c *call, made []store.Made) {
	for _, name := range []string{"Models", "Places", "Donors", "Jobs"} {
		var all []string
		made = slices.DeleteFunc(slices.Clone(made), func(m store.Made) bool {
			if m.Sheet != name || m.Row != "" {
				return false
			}
			text := string(m.Code)
			if m.Name != "" {
				text += " (" + m.Name + ")"
			}
			all = append(all, text)
			return true
		})
		if len(all) > 0 {
			c.Printf("%s made: %s\n", strings.ToLower(name), few(all))
		}
	}
	var runs []string
	for i := 0; i < len(made); {
		j := i
		for j+1 < len(made) && follows(made[j].Code, made[j+1].Code) {
			j++
		}
		run := string(made[i].Code)
		if j > i {
			run += " to " + string(made[j].Code)
		}
		runs, i = append(runs, run), j+1
	}
	if len(runs) > 0 {
		c.Printf("codes made up: %s\n", strings.Join(runs, ", "))
	}
}

// follows says that b is the next code after a.
func follows(a, b code.Code) bool {
	pa, na, _, ok := code.Split(a)
	pb, nb, _, ok2 := code.Split(b)
	return ok && ok2 && pa == pb && nb == na+1
}

// printChanges shows the first changes, field by field.
func printChanges(c *call, all []sheet.Change) {
	t := c.Table("", "", "", "")
	for _, x := range all[:min(fewChanges, len(all))] {
		old := x.Old
		if old == "" {
			old = "(empty)"
		}
		t.Row(x.Sheet, x.Key, x.Field, old+" -> "+x.New)
	}
	c.Show(t)
	if more := len(all) - fewChanges; more > 0 {
		c.Printf("and %s more; --json tells all of them\n", tell.Many(more, "field"))
	}
}

// printProblems names the first cell of each kind of problem, and a few of those
// that have the same.
func printProblems(c *call, all []store.Problem) {
	alike := map[string][]store.Problem{}
	var kinds []string
	for _, p := range all {
		k := problemKind(p)
		if alike[k] == nil {
			kinds = append(kinds, k)
		}
		alike[k] = append(alike[k], p)
	}
	for _, k := range kinds {
		p := alike[k][0]
		c.Warnf("%s!%s: %q: %s", p.Sheet, p.Cell, p.Value, p.Problem)
		rest := alike[k][1:]
		if len(rest) == 0 {
			continue
		}
		cells := tell.Each(rest[:min(fewAlike, len(rest))], func(q store.Problem) string {
			return fmt.Sprintf("%s %q", q.Cell, q.Value)
		})
		more := ""
		if n := len(rest) - fewAlike; n > 0 {
			more = fmt.Sprintf(" and %d more (--problems FILE.csv, --json)", n)
		}
		c.Warnf("  likewise %s%s", strings.Join(cells, ", "), more)
	}
}

// problemKind tells problems of one kind: of one column, and the same but for what the
// cell holds and for numbers.
func problemKind(p store.Problem) string {
	text := p.Problem
	if p.Value != "" {
		text = strings.ReplaceAll(text, p.Value, "")
	}
	digit := func(r rune) rune {
		if r >= '0' && r <= '9' {
			return -1
		}
		return r
	}
	return p.Sheet + "!" + strings.TrimRight(p.Cell, "0123456789") + " " + strings.Map(digit, text)
}

// writeProblems writes the file of problems that was asked for.
func writeProblems(c *call, all []store.Problem) error {
	file := c.String("problems")
	if file == "" {
		return nil
	}
	if err := sheet.WriteProblems(file, all); err != nil {
		return err
	}
	c.Notef("%s written to %s", tell.Many(len(all), "problem"), file)
	return nil
}
