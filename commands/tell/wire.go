package tell

import (
	"fmt"
	"strconv"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/spring"
)

// A WireAnswer is what is said of a wire or the number of a gauge. Its JSON names are
// for scripts.
type WireAnswer struct {
	Diameter  *float64           `json:"diameter,omitempty"` // mm; a number without its table has none
	Inch      *float64           `json:"inch,omitempty"`
	Table     string             `json:"table,omitempty"` // of the number asked for
	Number    string             `json:"number,omitempty"`
	Gauges    []Gauge            `json:"gauges"`
	Traps     store.Reasons      `json:"traps,omitempty"`
	TrapsKind []store.ReasonKind `json:"traps_kind,omitempty"`
}

// A Gauge is one size of one table.
type Gauge struct {
	Table      string   `json:"table"`
	Number     string   `json:"number"`
	Diameter   float64  `json:"diameter"` // mm
	Inch       *float64 `json:"inch,omitempty"`
	Difference *float64 `json:"difference,omitempty"` // mm from the diameter asked for; without one there is none
	Exact      *bool    `json:"exact,omitempty"`
	Nearest    bool     `json:"nearest"` // the nearest of its table
}

// GaugeOf is a size of a table.
func GaugeOf(g spring.Gauge, table string) Gauge {
	l := Gauge{Table: table, Number: g.Number, Diameter: dim.Number(dim.Wire, g.Wire)}
	if v, err := strconv.ParseFloat(g.Inch, 64); err == nil {
		l.Inch = &v
	}
	return l
}

// Wire prints the gauges of a wire, or what a number is in every table that has it.
func Wire(s *Screen, a WireAnswer) {
	switch {
	case a.Diameter == nil:
		s.Printf("no wire is %s mm thick; as the number of a gauge it is\n", a.Number)
	case a.Table != "":
		s.Printf("%s %s is %s mm, %s in\n", spring.TableName(a.Table), a.Number, plainly(*a.Diameter), plainly(*a.Inch))
	default:
		s.Printf("%s mm, %s in\n", plainly(*a.Diameter), plainly(*a.Inch))
	}
	t := s.Table("table", "number", ">mm", ">in", "")
	for _, g := range a.Gauges {
		t.Row(spring.TableName(g.Table), g.Number, strconv.FormatFloat(g.Diameter, 'f', 3, 64), g.inches(), g.away())
	}
	s.Show(t)
	s.Lines("trap", store.Texts(a.Traps), true)
}

func plainly(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// inches is a size in inches as its table prints it, empty for a metric step.
func (g Gauge) inches() string {
	if g.Inch == nil {
		return ""
	}
	return strconv.FormatFloat(*g.Inch, 'f', 4, 64)
}

// away says how far a size is from the diameter asked for.
func (g Gauge) away() string {
	switch {
	case g.Exact == nil:
		return ""
	case *g.Exact:
		return "is it"
	case g.Nearest:
		return fmt.Sprintf("nearest, %+.3f", *g.Difference)
	}
	return fmt.Sprintf("next, %+.3f", *g.Difference)
}
