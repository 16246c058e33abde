package commands

import (
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/spring"
)

func wire(c *call) error {
	table, number, err := gaugeAsked(c.Args())
	if err != nil {
		return err
	}
	if table == "" && gaugeAlone(number) {
		return answerWire(c, ask.GaugeNumber(number))
	}
	if table == "" {
		n, err := diameter(c, number)
		if err != nil {
			return err
		}
		return answerWire(c, ask.WireOf(n, bareNumber(number)))
	}
	g, ok := spring.GaugeNo(table, number)
	if !ok {
		return store.Absent("%s has no %s in the table here, which goes from %s", spring.TableName(table), number, tableSpan(table))
	}
	a := ask.WireOf(g.Wire, "")
	a.Table, a.Number, a.Traps = g.Table, g.Number, ask.GaugeTraps(g.Number)
	return answerWire(c, a)
}

func answerWire(c *call, a ask.Wire) error {
	a.TrapsKind = store.ReasonKinds(a.Traps)
	return c.Answer(a, func() { tell.Wire(c.Screen, a) })
}

// gaugeAsked parts the arguments: a table and a number, or no table and a
// diameter. swg36 is one word for both.
func gaugeAsked(args []string) (table, number string, err error) {
	if len(args) == 1 {
		word := args[0]
		if i := strings.IndexAny(word, "0123456789"); i > 0 {
			if t, ok := spring.TableOf(word[:i]); ok {
				return t, gaugeNumber(t, word[i:]), nil
			}
		}
		if whole, nought, ok := strings.Cut(word, "/"); ok && nought == "0" && line.IsNumber(whole) {
			return spring.Music, word, nil
		}
		return "", word, nil
	}
	name, number := args[0], args[1]
	if line.IsNumber(strings.Replace(name, "/", "", 1)) {
		name, number = number, name // 24 swg
	}
	t, ok := spring.TableOf(name)
	if !ok {
		return "", "", line.Usagef("no table of wires is called %q: write one of %s", name, strings.Join(spring.GaugeTables(), ", "))
	}
	return t, gaugeNumber(t, number), nil
}

// gaugeAlone tells whether a number without its table can only be that of a
// gauge: it stands in one, and no wire is as thick in millimetres.
func gaugeAlone(text string) bool {
	if bareNumber(text) == "" || len(ask.GaugeTraps(text)) == 0 {
		return false
	}
	n, odd, err := readOdd(dim.Wire, "RAW-WIRE", text)
	return err == nil && odd != "" && n >= 0
}

// gaugeNumber writes a number as its table does: a metric step with two decimals.
func gaugeNumber(table, text string) string {
	text = strings.TrimPrefix(strings.TrimPrefix(text, "#"), "no.")
	if v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64); table == spring.Metric && err == nil {
		return strconv.FormatFloat(v, 'f', 2, 64)
	}
	return text
}

// diameter reads a wire. One that is odd is remarked on and taken.
func diameter(c *call, text string) (int64, error) {
	n, odd, err := readOdd(dim.Wire, "RAW-WIRE", text)
	if err != nil {
		return 0, line.AsUsage(err)
	}
	if n <= 0 {
		return 0, line.Usagef("%s is no wire: write its thickness, 0.25 or .014in, or a table and a number, music 5", text)
	}
	if odd != "" {
		c.Notef("%s", odd)
	}
	return n, nil
}

// bareNumber is a whole number without a unit, which may be meant as a gauge.
func bareNumber(text string) string {
	if text != "" && strings.Trim(text, "0123456789") == "" {
		return text
	}
	return ""
}

// tableSpan is the first and last number of a table, thinnest first.
func tableSpan(table string) string {
	list := spring.Gauges(table)
	span := list[0].Number + " to " + list[len(list)-1].Number
	if slices.Contains([]string{spring.SWG, spring.BWG}, table) {
		span += ", not every number"
	}
	return span
}
