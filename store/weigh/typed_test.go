package weigh

import "testing"

// Weights as they are typed: micrograms, and what the last digit stands for, by hand.
func TestTyped(t *testing.T) {
	for text, want := range map[string][2]int64{"0.94": {940_000, 10_000}, "4,61 g": {4_610_000, 10_000}, "3": {3_000_000, 1_000_000}, ".226g": {226_000, 1_000}, "1.5G": {1_500_000, 100_000}} {
		n, err := ParseGrams(text)
		if err != nil || n != want[0] || LastDigit(text) != want[1] {
			t.Errorf("%s: %d %d %v, want %v", text, n, LastDigit(text), err, want)
		}
	}
	for _, text := range []string{"", "-1", "1e3", "x", "2000000"} {
		if n, err := ParseGrams(text); err == nil {
			t.Errorf("%q is read as %d", text, n)
		}
	}
}
