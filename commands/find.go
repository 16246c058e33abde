package commands

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// findCommand looks for parts and their bags.
func findCommand(a *app) *cli.Command {
	flags := []cli.Flag{
		valueFlag("class", "a `CLASS` in trade words, torsion spring, or its code"), valueFlag("model", "what goes into a `MODEL`, by code, name or alias"),
		valueFlag("place", "what lies in a `PLACE`"), valueFlag("donor", "what came from a `DONOR`"), valueFlag("grade", "bags of a `GRADE`: "+strings.Join(store.Grades, ", ")),
		boolFlag("all", "print every part, be they many"),
	}
	for _, in := range dim.Table() {
		usage := "`" + strings.ToUpper(in.Name()) + "`"
		if in.Unit != "" {
			usage = in.Name() + " in `" + strings.ToUpper(in.Unit) + "`"
		}
		flags = append(flags, valueFlag(in.Flag, usage))
	}
	return &cli.Command{
		Name: "find", Usage: "find parts and their bags by words, measures, model, place",
		ArgsUsage: "[WORDS] [MEASURES]",
		UsageText: "tinful find counter pawl spring\ntinful find --class \"torsion spring\" --wire 0.20 --od 2\n" +
			"tinful find torsion .20 2 3 left 5\ntinful find screw --model W2-B --place K7",
		Description: "Behind the trade word of a spring its measures may stand in their order:\n" +
			"torsion springs wire, outside, coils, hand, leg, leg, angle; extension and\n" +
			"compression springs wire, outside, coils, free length; _ skips one. Lengths are\n" +
			"mm, .014in and 1/4in are understood. Without a hit it exits 3.\n" +
			":1 stands for the first part in the next command.",
		Flags: flags, Action: a.do(find),
	}
}

// mostFound is how many parts are printed without --all.
const mostFound = 40

func find(c *call) error {
	var found ask.Found
	err := c.view(func(v *store.View) error {
		q, err := c.query(v)
		if err != nil {
			return err
		}
		if !c.JSON() && !c.Bool("all") {
			q.Detail = mostFound
		}
		found, err = ask.Find(v, q)
		return err
	})
	if err != nil {
		return err
	}
	for _, f := range found.Fuzzy {
		c.notef("%s", f)
	}
	if len(found.Clash) > 0 && len(c.Args()) > 0 {
		c.notef("%s is also %s: show says more", strings.Join(c.Args(), " "), strings.Join(found.Clash, " and "))
	}
	c.keepFound(found)
	if c.JSON() {
		if err := c.printJSON(found); err != nil {
			return err
		}
	} else {
		c.printFound(found)
	}
	if len(found.Parts) == 0 {
		if c.JSON() {
			return silentError(exitNotFound)
		}
		return fmt.Errorf("nothing of that kind is here: %w", store.ErrNotFound)
	}
	return nil
}

// keepFound keeps the parts as the last answer.
func (c *call) keepFound(found ask.Found) {
	var answer []string
	for _, p := range found.Parts {
		answer = append(answer, "part:"+string(p.Part))
	}
	c.keepAnswer(answer)
}

// keepAnswer keeps numbered lines as the last answer, with the job that is in hand.
// Where there is no folder for it, that is said.
func (c *call) keepAnswer(answer []string) {
	h, err := c.loadHand()
	if err == nil {
		h.Answer = answer
		err = c.saveHand(h)
	}
	if err != nil {
		c.notef("the list is not kept, :1 will not stand for its first line: %v", err)
	}
}

func (c *call) printFound(found ask.Found) {
	for i, p := range found.Parts {
		if i == mostFound && !c.Bool("all") {
			c.printf("and %d more: --all prints them\n", len(found.Parts)-i)
			break
		}
		c.printPart(i+1, p)
	}
	for _, trap := range found.Traps {
		c.println(c.warning(strings.Join(wrap("trap: "+trap, c.width()), "\n      ")))
	}
}

func (c *call) printPart(n int, p ask.FoundPart) {
	name := strings.Join(filledIn(p.Name, words.ClassName(p.Class)), ", ")
	head := fmt.Sprintf(":%d %s %s  %s free", n, p.Part, name, strconv.FormatInt(p.Free, 10))
	if p.OnHand != p.Free {
		head += fmt.Sprintf(", %d on hand", p.OnHand)
	}
	c.println(strings.Join(wrap(head, c.width()), "\n      "))
	say := func(text string, warn bool) {
		text = strings.Join(wrap(text, c.width()-6), "\n        ")
		if warn {
			text = c.warning(text)
		}
		c.println("     " + text)
	}
	if p.Goes != "" {
		say(p.Goes, false)
	}
	if len(p.Difference) > 0 {
		say(p.Match+": "+strings.Join(p.Difference, ", "), false)
	}
	for _, b := range p.Bags {
		say(foundBagWords(b), false)
	}
	for _, trap := range p.Traps {
		say("trap: "+trap, true)
	}
}

// foundBagWords is a bag on one line: B239 usable in K1 from PC-03, 1 free.
func foundBagWords(b ask.BagLine) string {
	text := string(b.Bag)
	if b.Grade != "" {
		text += " " + b.Grade
	}
	if b.Place != "" {
		text += " in " + string(b.Place)
	}
	if b.Origin != "" {
		text += " from " + b.Origin
	}
	text += ", " + store.Amount(b.Free, b.Unit, b.About) + " free"
	if b.OnHand != b.Free {
		text += " of " + store.Amount(b.OnHand, b.Unit, b.About)
	}
	return text
}

// query reads words and flags. The job in hand has no say: it is asked for parts,
// not for a camera's part.
func (c *call) query(v *store.View) (ask.Query, error) {
	q := ask.Query{Words: c.Args(), Grade: strings.ToLower(c.String("grade")), Dims: map[dim.Field]ask.Range{}, Marks: map[dim.Field]string{}}
	if q.Grade != "" && !slices.Contains(store.Grades, q.Grade) {
		return q, usagef("--grade %q is none of %s", q.Grade, strings.Join(store.Grades, ", "))
	}
	if text := c.String("class"); text != "" {
		var ok bool
		if q.Class, ok = words.ClassOf(text); !ok || len(q.Class) == 0 {
			return q, usagef("no class is called %q: write a trade word such as torsion spring", text)
		}
	}
	for _, x := range []struct {
		kind string
		at   *code.Code
	}{{"model", &q.Camera.Model}, {"place", &q.Place}, {"donor", &q.Donor}} {
		if token := c.String(x.kind); token != "" {
			ref, err := c.thing(v, token, x.kind)
			if err != nil {
				return q, err
			}
			*x.at = ref.Code
		}
	}
	if err := inOrder(&q); err != nil {
		return q, err
	}
	for _, in := range dim.Table() {
		if text := c.String(in.Flag); text != "" {
			if err := measureTo(&q, in, text); err != nil {
				return q, err
			}
		}
	}
	return q, nil
}

// measureTo reads one measure into a query. A thread may be told without its form.
func measureTo(q *ask.Query, in dim.Info, text string) error {
	if in.Field == dim.Thread {
		t, err := thread.Parse(text)
		if err != nil {
			if t, err = thread.Parse(thread.Unknown + " " + text); err != nil {
				return usageError{err}
			}
		}
		q.Marks[in.Field] = t.String()
		return nil
	}
	class := ""
	if len(q.Class) == 1 {
		class = q.Class[0]
	}
	n, word, err := dim.Parse(in.Field, class, text)
	switch {
	case err != nil:
		return usageError{err}
	case in.Kind == dim.KindWord:
		q.Marks[in.Field] = word
	default:
		q.Dims[in.Field] = ask.Range{Want: n}
	}
	return nil
}

// measureOrder is the order in which the measures of a spring may be typed.
var measureOrder = map[string][]dim.Field{
	"SPR-TOR": {dim.Wire, dim.OD, dim.Coils, dim.Hand, dim.LegA, dim.LegB, dim.Angle},
	"SPR-EXT": {dim.Wire, dim.OD, dim.Coils, dim.FreeLength, dim.InsideHooks},
	"SPR-CMP": {dim.Wire, dim.OD, dim.Coils, dim.FreeLength},
}

// inOrder takes measures behind the trade word of a spring out of the words: the
// word, then only numbers, _ and hands.
func inOrder(q *ask.Query) error {
	at := slices.IndexFunc(q.Words, func(w string) bool { return w == "_" || isMeasure(w) })
	if at < 1 {
		return nil
	}
	class, ok := words.ClassOf(strings.Join(q.Words[:at], " "))
	if !ok || len(class) != 1 || measureOrder[class[0]] == nil {
		return nil
	}
	order, typed := measureOrder[class[0]], q.Words[at:]
	if len(typed) > len(order) {
		return usagef("%s has %d measures in order, %d are typed", words.ClassName(class[0]), len(order), len(typed))
	}
	q.Class, q.Words = class, nil
	for i, text := range typed {
		if text == "_" {
			continue
		}
		if err := measureTo(q, dim.Of(order[i]), text); err != nil {
			return err
		}
	}
	return nil
}

// isMeasure tells whether a word is a number, perhaps with its unit.
func isMeasure(w string) bool {
	w = strings.ToLower(w)
	for _, unit := range []string{"mm", "in", "thou"} {
		w = strings.TrimSuffix(w, unit)
	}
	return isNumber(w) || isNumber(strings.Replace(w, "/", "", 1))
}
