package dim

import "testing"

// The order of torsion springs and of countersunk screws as a bench says them:
// "0.20 wire, about 2 outside, three coils, left-hand, legs at least 5" and
// "1.7 x 0.35, 3 long, head 2.9" (common practice, no source).
func TestOrder(t *testing.T) {
	tests := []struct {
		class string
		want  []Field
	}{
		{"SPR-TOR", []Field{Wire, OD, Coils, Hand, LegA, LegB, Angle}},
		// An extension spring is told by its length inside the hooks, which a bench's cards have.
		{"SPR-EXT", []Field{Wire, OD, Coils, InsideHooks, FreeLength}},
		// The strip of a clock spring is told by its thickness and width, as the demo's P019 is.
		{"SPR-SPI", []Field{Thick, Width, OD, Hand}},
		{"SCR-CSK", []Field{Thread, Length, Head, HeadHeight}},
		{"SCR-SHD", []Field{Thread, Length, Head, Shoulder, ShoulderLength}},
		{"COV-NEW", []Field{Length, Width, Thick}},
		{"ASM", nil},
		{"SPR", nil},
	}
	for _, tt := range tests {
		got := Order(tt.class)
		if len(got) != len(tt.want) {
			t.Errorf("%s: %v, want %v", tt.class, got, tt.want)
			continue
		}
		for i, f := range tt.want {
			if got[i] != f {
				t.Errorf("%s: measure %d is %s, want %s", tt.class, i+1, Of(got[i]).Key, Of(f).Key)
			}
		}
	}
}

// Every order names measures that the table has, none twice.
func TestOrdersAreOfTheTable(t *testing.T) {
	for _, class := range Ordered() {
		seen := map[Field]bool{}
		for _, f := range Order(class) {
			if Of(f).Key == "" || seen[f] {
				t.Errorf("%s: %d is no measure, or stands twice", class, f)
			}
			seen[f] = true
		}
	}
}
