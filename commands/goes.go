package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

func goesInto(c *call) error {
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
			if in.Goes.Model, err = c.code(&t.View, token, "model"); err != nil {
				return err
			}
			in.Goes.Part = part.Code
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
	return c.Answer(catalogueAnswer(res, map[string]any{"part": part.Code, "goes": tell.GoesAnswers(said)}), func() {
		tell.Goes(c.Screen, res, part, said, before)
	})
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
	if err != nil {
		return c.offer(err)
	}
	return c.Answer(map[string]any{"part": p.Code, "goes": tell.GoesAnswers(said)}, func() { tell.GoesOf(c.Screen, p, said) })
}

func samePart(c *call) error {
	why, err := store.CleanText(c.String("why"))
	switch {
	case err != nil:
		return line.AsUsage(err)
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
		name = ask.Title(&t.View, to)
		return err
	})
	if err != nil {
		return err
	}
	return c.Answer(catalogueAnswer(res, map[string]any{"part": to.Code, "second_name": from.Code}), func() {
		c.Printf("%s is a second name of %s   undo: tinful undo %d\n", from.Code, strings.TrimSpace(string(to.Code)+" "+name), res.Booking.Number)
	})
}
