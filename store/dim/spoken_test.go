package dim

import "testing"

// How a bench calls measures: common practice, no source.
func TestSpoken(t *testing.T) {
	for _, tt := range []struct {
		class string
		said  []string
		want  Field
		n     int
	}{
		{"SPR-TOR", []string{"legs", "5"}, LegA, 1},
		{"SPR-TOR", []string{"Leg", "B", "5"}, LegB, 2},
		{"SPR-CMP", []string{"free", "length", "8"}, FreeLength, 2},
		{"SPR-CMP", []string{"length", "8"}, FreeLength, 1},
		{"SCR-CSK", []string{"length", "3"}, Length, 1},
		{"SCR-CSK", []string{"head", "height", "1"}, HeadHeight, 2},
		{"SCR-CSK", []string{"head", "2.9"}, Head, 1},
		{"WSH", []string{"bore", "2"}, ID, 1},
		{"GER", []string{"bore", "2"}, Bore, 1},
		{"", []string{"turns", "3"}, Coils, 1},
		{"", []string{"lens", "3"}, 0, 0},
		{"", []string{"left", "3"}, 0, 0},
	} {
		if f, n := Spoken(tt.class, tt.said); f != tt.want || n != tt.n {
			t.Errorf("%s %v: %v of %d words, want %v of %d", tt.class, tt.said, f, n, tt.want, tt.n)
		}
	}
	for _, in := range Table() {
		if in.Kind != KindWord && !IsSpoken(in.Name()) {
			if _, n := Spoken("", []string{in.Name()}); n == 0 {
				t.Errorf("%s is no name of a measure", in.Name())
			}
		}
	}
}
