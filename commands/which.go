package commands

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func which(c *call) error {
	if len(c.Args()) == 0 && !anyFlag(c) {
		return line.Usagef("what is seen of it? tinful which --number 47731 --shutter ORV-00 --scale ft")
	}
	var out ask.Whichs
	err := c.view(func(v *store.View) error {
		if args := c.Args(); len(args) == 1 && !anyFlag(c) && len(v.Resolve(args[0], "model")) == 1 {
			model, err := c.code(v, args[0], "model")
			if err == nil {
				out, err = ask.Sisters(v, model)
			}
			return err
		}
		m, err := marks(c, v, c.String)
		if err != nil {
			return err
		}
		m.Number = bodyNo(c.String("number"))
		args := c.Args()
		if rest, model := modelAmong(v, args); model != "" {
			if args, m.Said = rest, model; m.Kind == "" {
				rec, err := v.Model(model)
				if err != nil {
					return err
				}
				m.Kind = cmp.Or(rec.Kind, "camera")
			}
		}
		switch {
		case len(args) == 1 && (strings.HasPrefix(args[0], ":") || len(v.Resolve(args[0], "donor", "job")) > 0):
			m, err = recordedMarks(c, v, m)
		case len(args) > 0 && m.Number == "":
			m.Number = bodyNo(strings.Join(args, " "))
		case len(args) > 0:
			err = line.Usagef("the number is said twice: %s and %s", m.Number, strings.Join(args, " "))
		}
		if err != nil {
			return err
		}
		out, err = ask.Which(v, m)
		return err
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
	if c.JSON() {
		return c.PrintJSON(out)
	}
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
	return nil
}

// marks reads what is seen of a camera but its number.
func marks(c *call, v *store.View, text func(word string) string) (ask.Marks, error) {
	m := ask.Marks{ShutterNo: text("shutter-no"), LensNo: text("lens-no"), Scale: strings.ToLower(text("scale")), Told: text("told")}
	if m.Scale != "" && !slices.Contains([]string{"m", "ft"}, m.Scale) {
		return m, line.Usagef("a scale is in m or ft, not %q", m.Scale)
	}
	var err error
	if m.Shutter, err = carried(c, v, "shutter", text("shutter")); err == nil {
		m.Lens, err = carried(c, v, "lens", text("lens"))
	}
	return m, err
}

// recordedMarks are the marks of a donor or job, those that flags give kept.
func recordedMarks(c *call, v *store.View, m ask.Marks) (ask.Marks, error) {
	ref, err := c.thing(v, c.Args()[0], "donor", "job")
	if err != nil {
		return m, err
	}
	return ask.MarksOn(v, ref, m)
}

// carried is the shutter or lens that a text names, "" for no text.
func carried(c *call, v *store.View, kind, text string) (code.Code, error) {
	meant, err := c.answerLine(text)
	if err != nil || meant == "" {
		return "", err
	}
	return v.ModelOfKind(meant, kind)
}
