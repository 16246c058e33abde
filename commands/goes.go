package commands

import (
	"errors"
	"fmt"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
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
		Columns: flagsFor[store.Goes]("Part", "Model", "By", "Date"),
		Action:  goesInto,
	}
}

func goesInto(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	if len(c.Args()) == 1 {
		return showGoes(c)
	}
	in, err := goesTyped(c)
	if err != nil {
		return err
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
			in.Goes.Part, in.Goes.Model = part.Code, ref.Code
			was, g, err := t.SayGoes(in)
			if err != nil {
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

// goesTyped is what the flags state.
func goesTyped(c *call) (store.Stating, error) {
	g, err := filled(c, nil, "Part", store.Goes{}, nil)
	return store.Stating{Goes: g, HasDegree: c.IsSet("degree"), HasPerBody: c.IsSet("per-body"), HasWhere: c.IsSet("where"),
		HasOperation: c.IsSet("operation"), HasEvidence: c.IsSet("evidence"), HasNote: c.IsSet("note")}, err
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
	name := ""
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if from, err = c.thing(&t.View, c.Args()[0], "part"); err != nil {
			return err
		}
		if to, err = c.thing(&t.View, c.Args()[1], "part"); err != nil {
			return err
		}
		err = t.Same(from.Code, to.Code, why)
		name = title(&t.View, to)
		return err
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
	c.Printf("%s is a second name of %s   undo: tinful undo %d\n", from.Code, strings.TrimSpace(string(to.Code)+" "+name), res.Booking.Number)
	return nil
}
