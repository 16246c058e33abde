package commands

import (
	"errors"
	"fmt"
	"slices"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/dim"
	"tinful/store/thread"
)

// goesCommand states that a part goes, or does not go, into models.
func goesCommand() *command {
	return &command{
		Name: "goes", Usage: "state into which models a part goes, or say what is known",
		ArgsUsage: "PART [MODEL...]",
		UsageText: "tinful goes P003 W1-A W1-B --evidence tried\ntinful goes P057 W3-B --degree rework --operation \"file the end by 0.2\"\ntinful goes P003",
		Description: "Without --degree the part goes in as it is (direct), without --evidence the two\n" +
			"were compared. A later statement on the same part, model and numbers replaces\n" +
			"the earlier one: what has no flag stays as it was said. A thread form that differs\n" +
			"from the model's, what is recorded as never going in, and the twin of a part that\n" +
			"goes in are refused unless --degree is typed.",
		Flags:  flagsFor[store.Goes]("Part", "Model", "By", "Date"),
		Action: goesInto,
	}
}

func goesInto(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	if len(c.Args()) == 1 {
		return showGoes(c)
	}
	var part store.Part
	var said, before []store.Goes
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if part, err = c.partOf(&t.View, c.Args()[:1]); err != nil {
			return err
		}
		for _, token := range c.Args()[1:] {
			ref, err := c.thing(&t.View, token, "model")
			if err != nil {
				return err
			}
			m, err := t.Model(ref.Code)
			if err != nil {
				return err
			}
			was, g, err := stateOf(c, t, part, m)
			if err != nil {
				return err
			}
			if err := t.Put(g); err != nil {
				return err
			}
			said, before = append(said, g), append(before, was)
		}
		return nil
	})
	if err != nil {
		return c.offer(err)
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"part": part.Code, "goes": tell.GoesAnswers(said)}))
	}
	tell.Goes(c.Screen, res, part, said, before)
	return nil
}

// stateOf is the statement about a part and a model that the flags make, and what was
// said of them before.
func stateOf(c *call, t *store.Tx, p store.Part, m store.Model) (was, g store.Goes, err error) {
	if was, err = statedBefore(c, t, p, m); err != nil {
		return was, was, err
	}
	again := len(was.Degrees) > 0 && !c.IsSet("degree")
	switch {
	case again && (store.Verdict{Degrees: was.Degrees}).Never():
		return was, was, refusef("of %s in %s it is recorded: %s; write --degree, be it the same, if you know better", p.Code, m.Code, tell.GoesWords(was))
	case again && !slices.ContainsFunc([]string{"per-body", "where", "operation", "evidence", "note"}, c.IsSet):
		return was, was, nil
	}
	preset := map[string]string{"By": c.By(), "Date": t.Day().String()}
	if !again {
		preset["Degree"], preset["Evidence"] = "direct", "compared"
	}
	if g, err = filled(c, t, "Part", was, preset); err != nil {
		return was, g, err
	}
	if !c.IsSet("evidence") && was.Evidence != "" && slices.Equal(g.Degrees, was.Degrees) {
		g.Evidence = was.Evidence
	}
	if !slices.Contains(g.Degrees, "rework") && !c.IsSet("operation") {
		g.Operation = ""
	}
	if !c.IsSet("degree") && !again {
		if err := notNever(t, p, m); err != nil {
			return was, g, err
		}
	}
	return was, g, nil
}

// notNever refuses to turn into "direct", unsaid, what follows from the thread or the
// twin: that a part never goes in.
func notNever(t *store.Tx, p store.Part, m store.Model) error {
	if store.ThreadDiffers(p, m) {
		return refusef("the thread of %s is %s and that of %s is %s: it binds after a few turns and ruins the hole; write --degree if you know better",
			p.Code, p.Marks[dim.Thread], m.Code, thread.FormName(m.Form))
	}
	said, err := t.GoesOn(p.Code, m.Code)
	if err != nil || len(said) > 0 {
		return err
	}
	verdicts, err := t.Verdicts(p, store.Camera{Model: m.Code})
	for _, d := range verdicts {
		if d.Never() && d.If == "" {
			return refusef("%s does not go into %s: %s; write --degree if you know better", p.Code, m.Code, d.Words())
		}
	}
	return err
}

// statedBefore is what was said of a part, a model and the same numbers, or a new
// statement that says nothing yet.
func statedBefore(c *call, t *store.Tx, p store.Part, m store.Model) (store.Goes, error) {
	was := store.Goes{Part: p.Code, Model: m.Code, From: c.String("from-no"), To: c.String("to-no")}
	said, err := t.GoesOn(p.Code, m.Code)
	for _, g := range said {
		if g.From == was.From && g.To == was.To {
			return g, err
		}
	}
	return was, err
}

// showGoes says what is stated of a part.
func showGoes(c *call) error {
	var p store.Part
	var said []store.Goes
	err := c.view(func(v *store.View) (err error) {
		if p, err = c.partOf(v, c.Args()); err == nil {
			said, err = v.GoesOf(p.Code)
		}
		return err
	})
	switch {
	case err != nil:
		return c.offer(err)
	case c.JSON():
		return c.PrintJSON(map[string]any{"part": p.Code, "goes": tell.GoesAnswers(said)})
	}
	return tell.GoesOf(c.Screen, p, said)
}

// sameCommand makes two names one part.
func sameCommand() *command {
	return &command{
		Name: "same", Usage: "make one part a second name of another",
		ArgsUsage: "PART PART",
		UsageText: "tinful same P091 P003\ntinful same P091 P003 --anyway --why \"measured again: both are right-hand\"",
		Description: "What is booked, said, seen and wanted of the first is the second's from then on;\n" +
			"code and names of the first lead to the second, and measures and cautions that only the first has are kept. Twins are\nrefused; so are another class, the other hand and measures that differ by more than readings of one part do, unless --anyway and --why say otherwise.",
		Flags:  []*line.Flag{line.SwitchFlag("anyway", "though class, hand or measures differ, with --why"), whyFlag()},
		Action: samePart,
	}
}

func samePart(c *call) error {
	if err := c.Want(2, 2); err != nil {
		return err
	}
	why, err := store.CleanText(c.String("why"))
	switch {
	case err != nil:
		return line.UsageError{Err: err}
	case c.Bool("anyway") != (why != ""):
		return line.Usagef("--anyway and --why \"...\" go together")
	}
	var from, to store.Ref
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if from, err = c.thing(&t.View, c.Args()[0], "part"); err != nil {
			return err
		}
		if to, err = c.thing(&t.View, c.Args()[1], "part"); err != nil {
			return err
		}
		return t.Same(from.Code, to.Code, why)
	})
	if errors.Is(err, store.ErrApart) {
		return fmt.Errorf("%w; --anyway --why \"...\" makes them one all the same", err)
	}
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"part": to.Code, "second_name": from.Code}))
	}
	c.Printf("%s is a second name of %s%s   undo: tinful undo %d\n", from.Code, to.Code, nameOf(c, "part", to.Code), res.Booking.Number)
	return nil
}
