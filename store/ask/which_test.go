package ask

import (
	"testing"
)

// Cells as people write them, from testdata/demo/models.csv and with a claimant.
func TestClaimed(t *testing.T) {
	tests := []struct {
		cell, number string
		in           bool
		of, by       string
	}{
		{"10001-18420", "14207", true, "", ""},
		{"10001-18420", "18421", false, "", ""},
		{"H 20 001-H 125 000", "H 55 210", true, "", ""},
		{"H 20 001-H 125 000", "O 55 210", false, "", ""},
		{"CB0001-CB4200", "CB1187", true, "", ""},
		{"OM 18000-OM 39999, one series with the 2.8", "OM 20114", true, "", ""},
		{"none on the body; lens 2000-9100", "6120", true, "lens", ""},
		{"46251-52900 (list of H)", "47731", true, "", "list of H"},
	}
	for _, tt := range tests {
		list := claimed(tt.cell)
		if len(list) != 1 {
			t.Errorf("%q has %d ranges, want 1", tt.cell, len(list))
			continue
		}
		if in, _ := list[0].holds(tt.number); in != tt.in || list[0].of != tt.of || list[0].by != tt.by {
			t.Errorf("%q: %s in it %v, of %q, by %q", tt.cell, tt.number, in, list[0].of, list[0].by)
		}
	}
	for _, cell := range []string{"", "none seen", "none"} {
		if list := claimed(cell); len(list) > 0 {
			t.Errorf("%q has ranges: %v", cell, list)
		}
	}
}

func TestYears(t *testing.T) {
	for text, want := range map[string]span{"1934-36": {1934, 1936}, "1949-1952": {1949, 1952}, "1942": {1942, 1942}, "1898-02": {1898, 1902}} {
		if got, ok := years(text); !ok || got != want {
			t.Errorf("%s is %v, %v; want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "pre-war", "1942-1936", "36-42"} {
		if got, ok := years(text); ok {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

// Words of the bench, and the sign they stand for.
func TestSigns(t *testing.T) {
	for text, want := range map[string]string{
		"chewed slots":              "slots scratched or chewed",
		"spanner skid on the ring":  "pin-spanner skids across a ring",
		"service label of 1961":     "service date or label inside",
		"two washers loose inside":  "loose screws or washers inside",
		"leather: covering lifted":  "covering lifted",
		"lacquer dots were painted": "lacquer dots broken or repainted",
	} {
		if got, ok := SignOf(text); !ok || got.Sign != want {
			t.Errorf("%q stands for %q, want %q", text, got.Sign, want)
		}
	}
	if s, ok := SignOf("smells of cellar"); ok {
		t.Errorf("a smell stands for %q", s.Sign)
	}
	// An amateur after a service: what is spoilt decides. A loose washer decides nothing.
	for want, signs := range map[string][]string{
		"meddled": {"service label", "chewed slots"}, "serviced": {"service label", "loose washers"}, "": {"loose washers"},
	} {
		if got := Pointed(signs); got != want {
			t.Errorf("%v point to %q, want %q", signs, got, want)
		}
	}
}
