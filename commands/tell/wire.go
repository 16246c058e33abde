package tell

import (
	"fmt"
	"strconv"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/spring"
)

// Wire prints the gauges of a wire, or what a number is in every table that has it.
func Wire(s *Screen, a ask.Wire) {
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
		t.Row(spring.TableName(g.Table), g.Number, strconv.FormatFloat(g.Diameter, 'f', 3, 64), gaugeInches(g), gaugeAway(g))
	}
	s.Show(t)
	s.Lines("trap", store.Texts(a.Traps), true)
}

func plainly(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// inches is a size in inches as its table prints it, empty for a metric step.
func gaugeInches(g ask.WireGauge) string {
	if g.Inch == nil {
		return ""
	}
	return strconv.FormatFloat(*g.Inch, 'f', 4, 64)
}

// away says how far a size is from the diameter asked for.
func gaugeAway(g ask.WireGauge) string {
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
