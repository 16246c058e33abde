package ask

import (
	"fmt"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/spring"
)

// A Wire is what is said of a wire or the number of a gauge. Its JSON names are
// for scripts.
type Wire struct {
	Diameter  *float64           `json:"diameter,omitempty"` // mm; a number without its table has none
	Inch      *float64           `json:"inch,omitempty"`
	Table     string             `json:"table,omitempty"` // of the number asked for
	Number    string             `json:"number,omitempty"`
	Gauges    []WireGauge        `json:"gauges"`
	Traps     store.Reasons      `json:"traps,omitempty"`
	TrapsKind []store.ReasonKind `json:"traps_kind,omitempty"`
}

// A WireGauge is one size of one table.
type WireGauge struct {
	Table      string   `json:"table"`
	Number     string   `json:"number"`
	Diameter   float64  `json:"diameter"` // mm
	Inch       *float64 `json:"inch,omitempty"`
	Difference *float64 `json:"difference,omitempty"` // mm from the diameter asked for; without one there is none
	Exact      *bool    `json:"exact,omitempty"`
	Nearest    bool     `json:"nearest"` // the nearest of its table
}

// gaugeOf is a size of a table.
func gaugeOf(g spring.Gauge, table string) WireGauge {
	l := WireGauge{Table: table, Number: g.Number, Diameter: dim.Number(dim.Wire, g.Wire)}
	if v, err := strconv.ParseFloat(g.Inch, 64); err == nil {
		l.Inch = &v
	}
	return l
}

// GaugeNumber is what a gauge number is in every table that has it.
func GaugeNumber(number string) Wire {
	a := Wire{Number: number, Gauges: []WireGauge{}, Traps: GaugeTraps(number)}
	for _, table := range spring.GaugeTables() {
		if g, ok := spring.GaugeNo(table, number); ok {
			a.Gauges = append(a.Gauges, gaugeOf(g, table))
		}
	}
	return a
}

// WireOf lists the nearest sizes of every table. number is what may have been
// meant as a gauge.
func WireOf(n int64, number string) Wire {
	mm, inch := dim.Number(dim.Wire, n), inches(n)
	a := Wire{Diameter: &mm, Inch: &inch, Gauges: []WireGauge{}}
	for _, table := range spring.GaugeTables() {
		for i, g := range spring.NearestGauges(table, n) {
			l := gaugeOf(g, table)
			away, exact := dim.Number(dim.Wire, g.Wire-n), g.Wire == n
			l.Difference, l.Exact, l.Nearest = &away, &exact, i == 0
			a.Gauges = append(a.Gauges, l)
		}
	}
	if traps := GaugeTraps(number); len(traps) > 0 {
		a.Traps = append(store.Reasons{store.Say(readAsMM, "%s is read as millimetres: a gauge number needs its table before it", number)}, traps...)
	}
	return a
}

// inches is a wire in inches, to the tenth of a thousandth: a micrometer shows no more.
func inches(n int64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(float64(n)/25_400, 'f', 4, 64), 64)
	return v
}

// Kinds of what is easily mixed up about a wire; the doc of ask lists them.
const (
	readAsMM    store.ReasonKind = "millimetres"
	gaugeTables store.ReasonKind = "tables"
	gaugeWay    store.ReasonKind = "way"
)

// GaugeTraps says what a number is where several tables have it, and which way
// numbers go.
func GaugeTraps(number string) store.Reasons {
	var bits []string
	for _, table := range []string{spring.Music, spring.SWG, spring.BWG} {
		if g, ok := spring.GaugeNo(table, number); ok {
			bits = append(bits, fmt.Sprintf("%s %s is %s mm", spring.TableName(table), g.Number, dim.Format(dim.Wire, g.Wire)))
		}
	}
	const way = "a music number rises with the wire, SWG and BWG fall"
	switch len(bits) {
	case 0:
		return nil
	case 1:
		return store.Reasons{store.Say(gaugeWay, way)}
	}
	return store.Reasons{store.Say(gaugeTables, "%s", strings.Join(bits, ", ")), store.Say(gaugeWay, way+": say which table")}
}
