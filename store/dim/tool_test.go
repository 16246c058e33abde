package dim

import "testing"

func TestSpread(t *testing.T) {
	tests := []struct {
		tool string
		f    Field
		want int64
		ok   bool
		from string
	}{
		{"micrometer", Wire, 5, true, "trade notes, tools: micrometer 0.005"},
		{"calliper", Wire, 30, true, "trade notes, tools: calliper 0.03"},
		{"", Wire, 5, true, "as agreed: a micrometer for wire"},
		{"", Thick, 5, true, "the same, for a shim"},
		{"", Shoulder, 5, true, "the same, for a shoulder"},
		{"", OD, 30, true, "the same: else calliper"},
		{"", Thread, 30, true, "the same: a thread's diameter"},
		{"", Angle, 5000, true, "trade notes, tools: a protractor card, 2 to 5 degrees"},
		{"yardstick", Wire, 0, false, "no such tool"},
		{"", Hand, 0, false, "told in words"},
		{"", Teeth, 0, false, "counted"},
	}
	for _, tt := range tests {
		if got, ok := Spread(tt.tool, tt.f); got != tt.want || ok != tt.ok {
			t.Errorf("Spread(%q, %s) = %d, %v, want %d, %v (%s)", tt.tool, Of(tt.f).Key, got, ok, tt.want, tt.ok, tt.from)
		}
	}
	if len(Tools) != len(spreads) {
		t.Errorf("%d tools, %d spreads", len(Tools), len(spreads))
	}
	for i, tool := range Tools {
		if _, ok := Spread(tool, OD); !ok {
			t.Errorf("tool %d, %s, has no spread", i, tool)
		}
	}
}
