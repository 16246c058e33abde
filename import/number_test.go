package sheet

import (
	"strings"
	"testing"
)

// What a text shows of its decimals, by hand.
func TestPointsAlone(t *testing.T) {
	for text, want := range map[string]bool{
		"Wire;Mass\n0.25;1.000\n":             true,
		"Wire;Name\n\"2.60\";spring 1,5 mm\n": true,
		"Wire;Mass\r\n12.5;\r\n":              true,
		"Wire;Mass\n1.000;2.345\n":            false, // nothing shows it
		"Wire;Mass\n0.25;0,3\n":               false, // both
		"Wire;Mass\n0.25;ca. 0,3 mm\n":        false,
		"Wire;Mass\n0.25;1.234,50\n":          false,
		"Wire;Seen\n;03.04\n":                 false, // a day
		"Wire;Seen\n;03.04.2031\n":            false,
		"":                                    false,
	} {
		if got, err := pointsAlone(strings.NewReader(text), ';'); got != want || err != nil {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
}
