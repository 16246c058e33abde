package store

import (
	"testing"

	"tinful/store/dim"
)

// A left-hand thread loosens clockwise: common practice, no source.
func TestLeftHand(t *testing.T) {
	cell := func(s string) map[dim.Field]string { return map[dim.Field]string{dim.Thread: s} }
	for _, tt := range []struct {
		name string
		p    Part
		want bool
	}{
		{"by its thread", Part{Class: "SCR-CHS", Marks: cell("metric 2.0x0.40 LH")}, true},
		{"by its class", Part{Class: "SCR-LH"}, true},
		{"a nut too", Part{Class: "NUT", Marks: cell("loewenherz 2.3x0.40 LH")}, true},
		{"right-hand", Part{Class: "SCR-CHS", Marks: cell("metric 2.0x0.40")}, false},
		{"a spring wound to the left has no thread", Part{Class: "SPR-TOR", Marks: map[dim.Field]string{dim.Hand: "left"}}, false},
	} {
		if got := LeftHand(tt.p); got != map[bool]string{true: "LEFT-HAND, loosens clockwise"}[tt.want] {
			t.Errorf("%s: %q", tt.name, got)
		}
	}
}
