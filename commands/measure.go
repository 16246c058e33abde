package commands

import (
	"cmp"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
)

// measureFlags are those of the measures that are numbers.
func measureFlags() []*line.Flag {
	var flags []*line.Flag
	for _, in := range dim.Table() {
		if in.Kind != dim.KindWord {
			flags = append(flags, line.ValueFlag(in.Flag, in.Name()+" in `"+strings.ToUpper(cmp.Or(in.Unit, in.Name()))+"`"))
		}
	}
	return flags
}

func measure(c *call) error {
	var ref store.Ref
	var remarks store.Reasons
	name := ""
	res, err := c.books(func(l *lookup, t *store.Tx) {
		ref = l.thing(c.Args()[0], "part", "bag")
		class := got(l, l.ClassOf, ref)
		if l.Err != nil {
			return
		}
		read, err := readings(c, class)
		if err == nil {
			remarks, err = t.Measure(ref, read)
		}
		l.Err, name = err, ask.Title(&t.View, ref)
	})
	if err != nil {
		return err
	}
	for _, r := range remarks {
		c.Warnf("%s", r.Text)
	}
	return toldOf(c, res, ref, name, "measured")
}

// readings reads the measures of the line, each with how it was taken.
func readings(c *call, class string) (map[dim.Field]store.Reading, error) {
	tool, err := flagWord(c, "tool", dim.Tools)
	if err != nil {
		return nil, err
	}
	how := store.Reading{Tool: tool, From: c.String("from")}
	if text := c.String("readings"); text != "" {
		n, err := code.ParseQty(text, "pc")
		if err != nil || n.About || n.N < 1 {
			return nil, line.Usagef("--readings %q is no number of readings", text)
		}
		how.Times = n.N
	}
	read := map[dim.Field]store.Reading{}
	for _, in := range dim.Table() {
		text := c.String(in.Flag)
		if text == "" || in.Kind == dim.KindWord {
			continue
		}
		r, err := readingOf(in.Field, class, text)
		if err != nil {
			return nil, line.AsUsage(err)
		}
		if r.Times > 1 && how.Times > 1 {
			return nil, line.Usagef("--readings %d and %d of %s say two numbers: write one", how.Times, r.Times, in.Name())
		}
		r.Tool, r.From, r.Times = how.Tool, how.From, max(how.Times, r.Times)
		if r.Tool == "" && in.Kind == dim.KindLength {
			r.Tool = dim.ToolOf(in.Field)
		}
		read[in.Field] = r
	}
	if len(read) == 0 {
		return nil, line.Usagef("what was measured? write it as a flag: tinful measure p3 --wire 0.153 --tool micrometer")
	}
	return read, nil
}

// readingOf reads one measure, or several readings of it parted by semicolons or
// blanks: "0.48 0.52 0.50".
func readingOf(f dim.Field, class, text string) (store.Reading, error) {
	n, _, err := dim.Parse(f, class, text)
	if err == nil {
		return store.Reading{Value: n}, nil
	}
	all := strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == ' ' })
	if len(all) < 2 {
		return store.Reading{}, err
	}
	var each []int64
	for _, one := range all {
		n, _, err := dim.Parse(f, class, one)
		if err != nil {
			return store.Reading{}, err
		}
		each = append(each, n)
	}
	return store.MeanOf(each), nil
}
