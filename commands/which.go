package commands

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store/ask"
	"tinful/store/code"
)

func which(c *call) error {
	if len(c.Args()) == 0 && !anyFlag(c) {
		return line.Usagef("what is seen of it? tinful which --number 47731 --shutter ORV-00 --scale ft")
	}
	var out ask.Whichs
	err := c.looks(func(l *lookup) {
		args := c.Args()
		if len(args) == 1 && !anyFlag(c) && len(l.Resolve(args[0], "model")) == 1 {
			out = asked(l, ask.Sisters, l.code(args[0], "model"))
			return
		}
		m := marks(l, c.String)
		m.Number = bodyNo(c.String("number"))
		if rest, model := modelAmong(l.View, args); model != "" {
			if args, m.Said = rest, model; m.Kind == "" {
				m.Kind = cmp.Or(got(l, l.Model, model).Kind, "camera")
			}
		}
		switch {
		case l.Err != nil:
			return
		case len(args) == 1 && (strings.HasPrefix(args[0], ":") || len(l.Resolve(args[0], "donor", "job")) > 0):
			if ref := l.thing(c.Args()[0], "donor", "job"); l.Err == nil {
				m, l.Err = ask.MarksOn(l.View, ref, m)
			}
		case len(args) > 0 && m.Number == "":
			m.Number = bodyNo(strings.Join(args, " "))
		case len(args) > 0:
			l.Err = line.Usagef("the number is said twice: %s and %s", m.Number, strings.Join(args, " "))
		}
		out = asked(l, ask.Which, m)
	})
	if err != nil {
		return err
	}
	if err := printWhich(c, out); err != nil {
		return err
	}
	if len(out.Hypotheses) == 0 {
		return silentError(exitNotFound)
	}
	return nil
}

// printWhich prints the models that a camera may be. Those against which as much
// speaks are named in one line, unless there are no others.
func printWhich(c *call, out ask.Whichs) error {
	var answer, weak []string
	for i, h := range out.Hypotheses {
		if h.Weak() && i > 0 && !c.JSON() {
			weak = append(weak, string(h.Model))
			continue
		}
		answer = append(answer, "model:"+string(h.Model))
	}
	c.keepAnswer(answer)
	return c.Answer(out, func() {
		for i, h := range out.Hypotheses[:len(answer)] {
			tell.Hypothesis(c.Screen, ":"+strconv.Itoa(i+1)+" ", h)
		}
		if len(weak) > 0 {
			c.Notef("as much speaks against as for: %s (--json says what)", strings.Join(weak, ", "))
		}
		if len(out.Hypotheses) == 0 {
			c.Println("nothing speaks for any model that is recorded")
		}
		for _, n := range out.Notes {
			c.Notef("%s", n)
		}
	})
}

// marks reads what is seen of a camera but its number.
func marks(l *lookup, text func(word string) string) ask.Marks {
	m := ask.Marks{ShutterNo: text("shutter-no"), LensNo: text("lens-no"), Scale: strings.ToLower(text("scale")), Told: text("told")}
	if m.Scale != "" && !slices.Contains([]string{"m", "ft"}, m.Scale) {
		l.Keep(line.Usagef("a scale is in m or ft, not %q", m.Scale))
	}
	m.Shutter, m.Lens = carried(l, "shutter", text("shutter")), carried(l, "lens", text("lens"))
	return m
}

// carried is the shutter or lens that a text names, "" for no text.
func carried(l *lookup, kind, text string) (model code.Code) {
	if meant := l.meant(text); meant != "" {
		model, l.Err = l.ModelOfKind(meant, kind)
	}
	return model
}
