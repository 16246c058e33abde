package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// unitTexts are what cells of a row of units hold, by the unit they mean. Common
// practice, no source.
func unitTexts() map[string]string {
	return map[string]string{"mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", "zoll": "in", `"`: "in", "″": "in", "thou": "thou",
		"g": "g", "mg": "mg", "kg": "kg", "deg": "deg", "°": "deg", "grad": "deg",
		"st": "pc", "stk": "pc", "stück": "pc", "pc": "pc", "pcs": "pc", "pieces": "pc",
		"cr": "money", "eur": "money", "euro": "money", "€": "money", "$": "money", "£": "money", "chf": "money", "-": "none", "–": "none"}
}

// unitText is the unit that a cell names, and holds nothing else.
func unitText(s string) string {
	s = strings.ToLower(strings.TrimSpace(strings.Trim(strings.TrimSpace(s), "[]().")))
	return unitTexts()[s]
}

// isUnitRow says that a row names units, and nothing else stands in it.
func isUnitRow(r row) bool {
	some := false
	for _, c := range r.cells {
		unit := unitText(c.text)
		if c.kind != cellText || unit == "" {
			return false
		}
		some = some || unit != "none"
	}
	return some
}

// units holds a row of units against the map: what is measured in another unit than
// it is read in is a problem.
func (m *mapped) units(r row) {
	measured := []string{"mm", "cm", "m", "in", "thou", "g", "mg", "kg", "deg"}
	for _, a := range m.areas() {
		for _, c := range r.cells {
			i := a.under(c.col)
			if i < 0 {
				continue
			}
			name, is := a.reads(i)
			if unit := unitText(c.text); slices.Contains(measured, unit) && is != "" && unit != is {
				a.problem(r.number, c.col, c.text, fmt.Sprintf(whichUnit, unit, name))
			}
		}
	}
}

// whichUnit is said of a column whose unit is another than that of the map.
const whichUnit = "says %s and is to be read as %s: which is right?"

// reads is the heading that a column is read by, and its unit.
func (a *area) reads(i int) (name, unit string) {
	name = a.heads[i].name
	if a.inch[i] {
		name = a.heads[i].inch
	}
	if a.heads[i].name == "Quantity" {
		return name, "pc"
	}
	last := name[strings.LastIndex(name, " ")+1:]
	return name, map[string]string{"mm": "mm", "in": "in", "deg": "deg", "g": "g"}[last]
}
