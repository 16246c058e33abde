package ask

import "testing"

// The numbers are those of the demo workshop's models.csv.
func TestAmongNumbers(t *testing.T) {
	for _, tt := range []struct {
		number, numbers string
		in, known       bool
	}{
		{"12260", "10001-18420", true, true},
		{"18421", "10001-18420", false, true},
		{"CB1187", "CB0001-CB4200", true, true},
		{"none", "10001-18420", false, false},
		{"12260", "none on the body; lens 2000-9100", false, false},
		{"12260", "none seen", false, false},
		{"12260", "", false, false},
	} {
		in, known := amongNumbers(tt.number, tt.numbers)
		if in != tt.in || known != tt.known {
			t.Errorf("%s among %q: %t, %t; want %t, %t", tt.number, tt.numbers, in, known, tt.in, tt.known)
		}
	}
}
