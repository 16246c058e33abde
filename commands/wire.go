package commands

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/dim"
	"tinful/store/spring"
)

// wireCommand turns gauge numbers into diameters and back.
func wireCommand() *command {
	return &command{
		Name: "wire", Usage: "gauge numbers of a wire, or the diameter of a number",
		ArgsUsage: "DIAMETER | TABLE NUMBER",
		UsageText: "tinful wire 0.20\ntinful wire .014in\ntinful wire music 5\ntinful wire swg 36",
		Description: "Tables: music (American music wire), swg (Imperial), bwg (Birmingham), metric\n" +
			"(preferred steps). A music number rises with the wire, SWG and BWG fall. A bare\nnumber is millimetres; one that no wire is as thick as is a number of every table\nthat has it. A number that a table lacks exits 3. No store is needed.",
		Action: wire,
	}
}

// A gaugeLine is one size of one table in JSON.
type gaugeLine struct {
	Table      string   `json:"table"`
	Number     string   `json:"number"`
	Diameter   float64  `json:"diameter"` // mm
	Inch       *float64 `json:"inch,omitempty"`
	Difference *float64 `json:"difference,omitempty"` // mm from the diameter asked for; without one there is none
	Exact      *bool    `json:"exact,omitempty"`
	Nearest    bool     `json:"nearest"` // the nearest of its table
}

// A wireAnswer is the answer of wire in JSON.
type wireAnswer struct {
	Diameter *float64    `json:"diameter,omitempty"` // mm; a number without its table has none
	Inch     *float64    `json:"inch,omitempty"`
	Table    string      `json:"table,omitempty"` // of the number asked for
	Number   string      `json:"number,omitempty"`
	Gauges   []gaugeLine `json:"gauges"`
	Traps    []string    `json:"traps,omitempty"`
}

func wire(c *call) error {
	if err := c.Want(1, 2); err != nil {
		return err
	}
	table, number, err := gaugeAsked(c.Args())
	if err != nil {
		return err
	}
	if table == "" && gaugeAlone(number) {
		return numberAlone(c, number)
	}
	if table == "" {
		n, err := diameter(c, number)
		if err != nil {
			return err
		}
		return toldWire(c, wireFor(n, bareNumber(number)))
	}
	g, ok := spring.GaugeNo(table, number)
	if !ok {
		return store.Absent("%s has no %s in the table here, which goes from %s", spring.TableName(table), number, tableSpan(table))
	}
	a := wireFor(g.Wire, "")
	a.Table, a.Number, a.Traps = g.Table, g.Number, gaugeTraps(g.Number)
	return toldWire(c, a)
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
	if bareNumber(text) == "" || len(gaugeTraps(text)) == 0 {
		return false
	}
	n, odd, err := readOdd(dim.Wire, "RAW-WIRE", text)
	return err == nil && odd != "" && n >= 0
}

// numberAlone says what a gauge number is in every table that has it.
func numberAlone(c *call, number string) error {
	a := wireAnswer{Number: number, Gauges: []gaugeLine{}, Traps: gaugeTraps(number)}
	for _, table := range spring.GaugeTables() {
		if g, ok := spring.GaugeNo(table, number); ok {
			a.Gauges = append(a.Gauges, gaugeLineOf(g, table))
		}
	}
	if c.JSON() {
		return c.PrintJSON(a)
	}
	c.Printf("no wire is %s mm thick; as the number of a gauge it is\n", number)
	t := c.Table("table", "number", ">mm", ">in")
	for _, g := range a.Gauges {
		t.Row(spring.TableName(g.Table), g.Number, strconv.FormatFloat(g.Diameter, 'f', 3, 64), g.inches())
	}
	if err := t.Print(c.Out); err != nil {
		return err
	}
	c.Lines("trap", a.Traps, true)
	return nil
}

// gaugeLineOf is one size of a table.
func gaugeLineOf(g spring.Gauge, table string) gaugeLine {
	l := gaugeLine{Table: table, Number: g.Number, Diameter: dim.Number(dim.Wire, g.Wire)}
	if g.Inch != "" {
		v, _ := strconv.ParseFloat(g.Inch, 64)
		l.Inch = &v
	}
	return l
}

// inches is a size in inches as its table prints it, empty for a metric step.
func (g gaugeLine) inches() string {
	if g.Inch == nil {
		return ""
	}
	return strconv.FormatFloat(*g.Inch, 'f', 4, 64)
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
		return 0, line.UsageError{Err: err}
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

// wireFor lists the nearest sizes of every table. number is what may have been
// meant as a gauge.
func wireFor(n int64, number string) wireAnswer {
	mm, inch := dim.Number(dim.Wire, n), inches(n)
	a := wireAnswer{Diameter: &mm, Inch: &inch, Gauges: []gaugeLine{}}
	for _, table := range spring.GaugeTables() {
		for i, g := range spring.NearestGauges(table, n) {
			l := gaugeLineOf(g, table)
			away, exact := dim.Number(dim.Wire, g.Wire-n), g.Wire == n
			l.Difference, l.Exact, l.Nearest = &away, &exact, i == 0
			a.Gauges = append(a.Gauges, l)
		}
	}
	if traps := gaugeTraps(number); len(traps) > 0 {
		a.Traps = append([]string{number + " is read as millimetres: a gauge number needs its table before it"}, traps...)
	}
	return a
}

// inches is a wire in inches, to the tenth of a thousandth: a micrometer shows no more.
func inches(n int64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(float64(n)/25_400, 'f', 4, 64), 64)
	return v
}

// gaugeTraps says what a number is where several tables have it, and which way
// numbers go.
func gaugeTraps(number string) []string {
	var bits []string
	for _, table := range []string{spring.Music, spring.SWG, spring.BWG} {
		if g, ok := spring.GaugeNo(table, number); ok {
			bits = append(bits, fmt.Sprintf("%s %s is %s mm", spring.TableName(table), g.Number, dim.Format(dim.Wire, g.Wire)))
		}
	}
	way := "a music number rises with the wire, SWG and BWG fall"
	switch len(bits) {
	case 0:
		return nil
	case 1:
		return []string{way}
	}
	return []string{strings.Join(bits, ", "), way + ": say which table"}
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

func toldWire(c *call, a wireAnswer) error {
	if c.JSON() {
		return c.PrintJSON(a)
	}
	head := fmt.Sprintf("%s mm, %s in", strconv.FormatFloat(*a.Diameter, 'f', -1, 64), strconv.FormatFloat(*a.Inch, 'f', -1, 64))
	if a.Table != "" {
		head = fmt.Sprintf("%s %s is %s", spring.TableName(a.Table), a.Number, head)
	}
	c.Println(head)
	t := c.Table("table", "number", ">mm", ">in", "")
	for _, g := range a.Gauges {
		what := "next"
		if g.Nearest {
			what = "nearest"
		}
		if *g.Exact {
			what = "is it"
		} else {
			what += ", " + fmt.Sprintf("%+.3f", *g.Difference)
		}
		t.Row(spring.TableName(g.Table), g.Number, strconv.FormatFloat(g.Diameter, 'f', 3, 64), g.inches(), what)
	}
	if err := t.Print(c.Out); err != nil {
		return err
	}
	c.Lines("trap", a.Traps, true)
	return nil
}
