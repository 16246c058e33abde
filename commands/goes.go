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
	res, err := c.books(func(l *lookup, t *store.Tx) {
		part = l.part(c.Args()[0])
		for _, token := range c.Args()[1:] {
			if in.Goes.Part, in.Goes.Model = part.Code, l.code(token, "model"); l.Err != nil {
				return
			}
			var was, g store.Goes
			was, g, l.Err = t.SayGoes(in)
			said, before = append(said, g), append(before, was)
		}
	})
	if err != nil {
		return err
	}
	return c.Answer(catalogueAnswer(res, map[string]any{"part": part.Code, "goes": tell.GoesAnswers(said)}), func() {
		tell.Goes(c.Screen, res, part, said, before)
	})
}

// goesTyped is what the flags state.
func goesTyped(c *call) (s store.Stating, err error) {
	s = store.Stating{HasDegree: c.IsSet("degree"), HasPerBody: c.IsSet("per-body"), HasWhere: c.IsSet("where"),
		HasOperation: c.IsSet("operation"), HasEvidence: c.IsSet("evidence"), HasNote: c.IsSet("note")}
	err = c.over(nil, func(l *lookup) { s.Goes = filled(l, "Part", store.Goes{}, nil) })
	return s, err
}

// showGoes says what is stated of a part.
func showGoes(c *call) error {
	var p store.Part
	var said []store.Goes
	err := c.looks(func(l *lookup) {
		p = l.part(c.Args()...)
		said = got(l, l.GoesOf, p.Code)
	})
	if err != nil {
		return err
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
	res, err := c.books(func(l *lookup, t *store.Tx) {
		from, to = l.thing(c.Args()[0], "part"), l.thing(c.Args()[1], "part")
		if l.Err == nil {
			l.Err = t.Same(from.Code, to.Code, why)
		}
		name = ask.Title(&t.View, to)
	})
	if err != nil {
		return err
	}
	return c.Answer(catalogueAnswer(res, map[string]any{"part": to.Code, "second_name": from.Code}), func() {
		c.Printf("%s is a second name of %s   undo: tinful undo %d\n", from.Code, strings.TrimSpace(string(to.Code)+" "+name), res.Booking.Number)
	})
}
