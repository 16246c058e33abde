package tell

import (
	"strings"
	"testing"

	"tinful/store/ask"
)

// What is not proven is not said as if it were: a place that was not found, and how many
// panels have one at most.
func TestCutSaysWhatIsProven(t *testing.T) {
	sheet := ask.CutSheet{Bag: "B1", New: true, Placed: []ask.PlacedPanel{{Panel: "P1"}, {Panel: "P2"}}}
	cut := func(panels, most int, proven bool, unplaced ...string) ask.Cutting {
		c := ask.Cutting{Panels: panels, Most: most, Proven: proven, BestLeft: proven, Unplaced: unplaced, Needed: 500, There: 600, AreaWouldDo: true, Margin: 4}
		if panels > len(unplaced) {
			c.Sheets = []ask.CutSheet{sheet}
		}
		return c
	}
	for _, tt := range []struct {
		name string
		c    ask.Cutting
		want []string
	}{
		{"all, proven", cut(2, 2, true), []string{"All 2 panels can be cut from B1 (a new sheet); proven: no layout needs fewer sheets or pieces or leaves a larger rectangle."}},
		{"some, proven", cut(3, 2, true, "P3"), []string{"; proven: no layout places more.", "No place for P3.", "the area would do, the shape does not."}},
		{"some, by a bound", cut(3, 2, false, "P3"), []string{"; proven: no layout places more.", "No place for P3.", "the area would do, the shape does not."}},
		{"some, and perhaps one more", cut(4, 3, false, "P3", "P4"), []string{"; the best found; proven: no layout places more than 3.", "No place is found for P3 and P4.", "the area would do, the shape does not."}},
		{"some, and perhaps all", cut(3, 3, false, "P3"), []string{"; the best found; that the others have no place is not proven.", "No place is found for P3.", "the area would do, whether the shape does is not decided."}},
		{"none, proven", cut(1, 0, true, "P3"), []string{"No panel has a place on what is here.", "No place for P3."}},
		{"none is found", cut(1, 1, false, "P3"), []string{"No place is found for any panel on what is here; that there is none is not proven.", "No place is found for P3."}},
	} {
		got := strings.Join(cutAnswer(tt.c), "\n")
		for _, want := range tt.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %s\nlacks %q", tt.name, got, want)
			}
		}
	}
}
