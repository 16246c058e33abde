package dim

import "testing"

func TestGears(t *testing.T) {
	tests := []struct {
		name      string
		got, want int64
		source    string
	}{
		{"19 teeth on 4.5", GearModule(4500, 19), 214, "trade notes: 4.5 / 21 = 0.214, not 4.5 / 19 = 0.237"},
		{"40 teeth on 10.5", GearModule(10_500, 40), 250, "10.5 / 42"},
		{"outside of 40 at 0.25", GearOutside(250, 40), 10_500, "0.25 x 42"},
		{"outside of 9 at 0.3", GearOutside(300, 9), 3300, "0.3 x 11"},
		{"pitch circle of 18 at 0.25", GearPitchCircle(250, 18), 4500, "0.25 x 18"},
		{"pitch circle of 19 on 4.5", GearCircle(4500, 19), 4071, "4.5 x 19 / 21 = 4.0714"},
		{"a mate of 18 to it", GearShare(4071, 18, 19), 3857, "4.5 x 18 / 21 = 3.8571"},
		{"pitch at 0.3", GearPitch(300), 942, "pi x 0.3 = 0.9425; the demo's racks have 0.94"},
		{"ten pitches of 9.42", RackModule(10, 9420), 300, "0.942 / pi = 0.29985"},
		{"centres of 40 and 18 at 0.25", GearCentres(10_000, 4500), 7250, "0.25 x 58 / 2"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("%s: %d, want %d (%s)", tt.name, tt.got, tt.want, tt.source)
		}
	}
}
