package commands

import (
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// dueRules reads the flags.
func dueRules(c *call) (ask.DueRules, error) {
	r := ask.UsualRules
	for _, f := range []struct {
		name  string
		least int64
		into  []*int64
	}{
		{"most", 1, []*int64{&r.Most}},
		{"times", 0, []*int64{&r.Times[0], &r.Times[1], &r.Times[2]}},
		{"weeks", 1, []*int64{&r.Weeks}},
		{"shares", 1, []*int64{&r.Cuts.A, &r.Cuts.B}},
		{"wrong", 1, []*int64{&r.Wrong}},
	} {
		text := c.String(f.name)
		if text == "" {
			continue
		}
		parts := strings.Split(text, ",")
		if len(parts) != len(f.into) {
			return r, line.Usagef("--%s %s: write %s", f.name, text, []string{"one number", "two numbers such as 70,95", "three numbers such as 4,2,1"}[len(f.into)-1])
		}
		for i, p := range parts {
			n, err := strconv.ParseInt(strings.TrimSpace(p), 10, 32)
			if err != nil || n < f.least {
				return r, line.Usagef("--%s: %q is no number from %d on", f.name, p, f.least)
			}
			*f.into[i] = n
		}
	}
	switch {
	case r.Cuts.A > r.Cuts.B || r.Cuts.B > 100:
		return r, line.Usagef("--shares: A ends before B, and both within 100")
	case r.Weeks > 53:
		return r, line.Usagef("--weeks: a year has 52 weeks")
	}
	return r, nil
}

func countDue(c *call) error {
	rules, err := dueRules(c)
	if err != nil {
		return err
	}
	var d ask.Due
	var cut uint64
	var day code.Day
	err = c.view(func(v *store.View) (err error) {
		cut, day = v.LastEntry(), c.dayNow(v)
		d, err = ask.DueOn(v, day, rules)
		return err
	})
	if err != nil {
		return err
	}
	if c.String("output") != "" {
		bags := tell.Each(d.Bags, func(b ask.DueBag) ask.CountBag { return b.CountBag })
		return writeCountSheet(c, countTop("what is due", day), bags, cut)
	}
	return c.Answer(d, func() {
		t := c.Table("place", "bag", "class", "part", "why")
		for _, b := range d.Bags {
			t.Row(string(b.Place), string(b.Bag), b.Class, b.Called(), b.Why)
		}
		c.Show(t)
		for _, s := range d.Said() {
			c.Println(strings.Join(tell.Wrap(s, c.Wide-2), "\n  ")) // one line where there is no terminal
		}
	})
}
