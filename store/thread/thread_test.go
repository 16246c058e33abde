package thread

import (
	"encoding/csv"
	"errors"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	tests := []struct {
		cell, want   string
		major, pitch int64
		source       string
	}{
		{"metric 1.7x0.35", "metric 1.7x0.35", 1_700_000, 350_000, "the cell of a sheet as agreed"},
		{"M1.7x0.35", "metric 1.7x0.35", 1_700_000, 350_000, "the cell of a sheet as agreed"},
		{"m 1,7 × 0,35", "metric 1.7x0.35", 1_700_000, 350_000, "by hand"},
		{"M2", "metric 2x0.4", 2_000_000, 400_000, "ISO 262 coarse"},
		{"M1.7", "metric 1.7x0.35", 1_700_000, 350_000, "old DIN and JIS size"},
		{"Loewenherz 2.30x0.40 lh", "loewenherz 2.3x0.4 LH", 2_300_000, 400_000, "published Loewenherz sizes"},
		{"Löwenherz 2.3", "loewenherz 2.3x0.4", 2_300_000, 400_000, "published Loewenherz sizes"},
		{"BA 10", "BA 10", 1_700_000, 350_000, "BS 93"},
		{"10 BA", "BA 10", 1_700_000, 350_000, "BS 93"},
		{"BA10", "BA 10", 1_700_000, 350_000, "BS 93"},
		{"ba 0 LH", "BA 0 LH", 6_000_000, 1_000_000, "BS 93"},
		{"0-80 UNF", "unified 0-80", 1_524_000, 317_500, "ASME B1.1: 0.060 in, 1/80 in"},
		{"0.30 UNM", "unified 0.3x0.08", 300_000, 80_000, "ASME B1.10M"},
		{"UNM 1.20", "unified 1.2x0.25", 1_200_000, 250_000, "ASME B1.10M"},
		{"S0.7", "metric 0.7x0.175", 700_000, 175_000, "ISO 1501"},
		{"unified 1-64", "unified 1-64", 1_854_200, 396_875, "ASME B1.1: 0.073 in, 1/64 in"},
		{"#10-24 UNC", "unified 10-24", 4_826_000, 1_058_333, "ASME B1.1: 0.190 in, 1/24 in"},
		{"00-90 UNS", "unified 00-90", 1_193_800, 282_222, "ASME B1.1: numbers below 0, 0.047 in"},
		{"000-120", "unknown 000-120", 863_600, 211_667, "the same: 0.034 in"},
		{"0000-160 UNS", "unified 0000-160", 533_400, 158_750, "the same: 0.021 in"},
		{"1/2-26 BSB", "whitworth 1/2-26", 12_700_000, 976_923, "BS 84, brass thread"},
		{"1-32 UN", "unified 1-32", 25_400_000, 793_750, "one inch, 1/32 in"},
		{"1/4-20 BSW", "whitworth 1/4-20", 6_350_000, 1_270_000, "BS 84"},
		{"whitworth 1/4\"-20", "whitworth 1/4-20", 6_350_000, 1_270_000, "BS 84"},
		{"2/8-20 BSW", "whitworth 1/4-20", 6_350_000, 1_270_000, "lowest terms"},
		{"whitworth 0.8-36", "whitworth 0.8-36", 20_320_000, 705_556, "objective thread, 0.8 in, 1/36 in"},
		{"unknown 1.7x0.35", "unknown 1.7x0.35", 1_700_000, 350_000, "the cell of a sheet as agreed"},
		{"1.7x0.35", "unknown 1.7x0.35", 1_700_000, 350_000, "by hand"},
		{"M1.7x0.35-LH", "metric 1.7x0.35 LH", 1_700_000, 350_000, "ISO 965: LH behind the size"},
		{"unified 0-80 RH", "unified 0-80", 1_524_000, 317_500, "by hand"},
		{"metric 24.5x0.5", "metric 24.5x0.5", 24_500_000, 500_000, "by hand"},
		{"1.7mm x 0.35mm metric", "metric 1.7x0.35", 1_700_000, 350_000, "by hand"},
	}
	for _, tt := range tests {
		got, err := Parse(tt.cell)
		if err != nil || got.String() != tt.want || got.Major != tt.major || got.Pitch != tt.pitch {
			t.Errorf("Parse(%q) = %v %d %d, %v (%s)", tt.cell, got, got.Major, got.Pitch, err, tt.source)
		}
		if again, err := Parse(got.String()); err != nil || again != got {
			t.Errorf("%v is read again as %v, %v", got, again, err)
		}
	}
	for _, cell := range []string{"", "LH", "metric", "M", "BA", "BA 99", "BA -1", "BA +1", "metric 0.35x1.7", "metric 2.7", "metric 1.7x", "metric x",
		"M1.7x0", "unified 0-0", "unified 1/0-20", "unified 4", "metric 1/4-20", "loewenherz 9.9", "wood screw", "metric 1.7x0.35x2", "1.7", "S1", "S9.9", "UNM 0.42", "metric 1e3x1", strings.Repeat("9", 100)} {
		if got, err := Parse(cell); !errors.Is(err, ErrNoThread) || got != (Thread{}) {
			t.Errorf("Parse(%q) = %v, %v", cell, got, err)
		}
	}
}

// What was meant for a thread and is none is told so; a word of a part is not.
func TestMeant(t *testing.T) {
	for text, want := range map[string]bool{"M99": true, "BA 30": true, "loewenherz": true, "1.7x": true, ".067 2": true, "0-80 foo": true,
		"top plate screw": false, "P021": false, "set": false, "": false} {
		if got := Meant(text); got != want {
			t.Errorf("Meant(%q) = %v", text, got)
		}
	}
}

// cellOf builds the text of a cell from a row's series and designation, or
// nothing where the grammar has no word for it.
func cellOf(series, name string) string {
	if strings.Contains(series, "metric") && name != "" || strings.HasPrefix(series, "pre-ISO") {
		return name
	}
	for _, s := range []string{"BA", "UNC", "UNF", "BSW", "BSF", "Loewenherz"} {
		if strings.HasPrefix(series, s) {
			return name
		}
	}
	return ""
}

// Every published row that a cell can name parses to its diameter and pitch.
// Source: the published rows of the table; inch rows are rounded there to a
// micrometre and a hundred-thousandth of a millimetre.
func TestPublishedRows(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(threadsCSV)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, row := range rows[1:] {
		cell := cellOf(row[0], row[1])
		if cell == "" {
			continue
		}
		read++
		got, err := Parse(cell)
		major, _ := parts(row[2])
		pitch, _ := parts(row[3])
		if err != nil || distance(got.Major, major) > 500 || distance(got.Pitch, pitch) > 5 {
			t.Errorf("%s: Parse(%q) = %d %d, %v; published %s %s", row[0], cell, got.Major, got.Pitch, err, row[2], row[3])
		}
		flank, ok := Flank(got.Form)
		if want, _ := parts(row[5]); !ok || distance(int64(flank*1e6+0.5), want) > 50 {
			t.Errorf("%s: flank %v, published %s", cell, flank, row[5])
		}
	}
	if read < 115 {
		t.Errorf("only %d rows were read", read)
	}
}

func TestSizes(t *testing.T) {
	all := Sizes()
	if len(all) < 110 {
		t.Errorf("%d sizes", len(all))
	}
	for _, s := range all {
		if got, err := Parse(s.String()); err != nil || got != s {
			t.Errorf("%v is read as %v, %v", s, got, err)
		}
	}
}

func TestLookAlike(t *testing.T) {
	tests := []struct {
		a, b string
		want bool
	}{ // source: thread notes, look-alike pairs in numbers
		{"M1.7x0.35", "10 BA", true}, {"M1.7x0.35", "loewenherz 1.7x0.35", true}, {"M1.6x0.35", "M1.7x0.35", false},
		{"M2x0.4", "9 BA", false}, {"M2.5x0.45", "3-56 UNC", true}, {"M2.2x0.45", "2-56 UNC", true}, {"1/4-20 UNC", "1/4-20 BSW", true},
		{"M3x0.5", "M3x0.6", false}, {"M6", "0 BA", true}, {"M2", "M2 LH", true}, {"M2", "M2", false}, {"M2.5x0.45", "7 BA", false},
	}
	for _, tt := range tests {
		a, err := Parse(tt.a)
		b, err2 := Parse(tt.b)
		if got := LookAlike(a, b); got != tt.want || got != LookAlike(b, a) || err != nil || err2 != nil {
			t.Errorf("LookAlike(%s, %s) = %v, %v, %v", tt.a, tt.b, got, err, err2)
		}
	}
	if LookAlike(Thread{}, Thread{Form: Metric}) {
		t.Error("no thread looks like one")
	}
}

func TestForms(t *testing.T) {
	if Differs(Metric, Metric) || Differs("", Metric) || Differs(Metric, Unknown) || !Differs("Metric", "loewenherz") || !Differs("ba", Metric) {
		t.Error("Differs: both known and not equal")
	}
	if got := FormName("loewenherz"); got != "old German 53 degrees thread (Loewenherz)" {
		t.Errorf("FormName = %q", got)
	}
	for _, f := range Forms() {
		if got, ok := ParseForm(strings.ToUpper(f)); !ok || got != f {
			t.Errorf("form %q is read as %q", f, got)
		}
	}
	if _, ok := Flank(Unknown); ok {
		t.Error("an unknown form has a flank")
	}
}

// No cell makes the parser panic, and what is printed reads as the same thread.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"metric 1.7x0.35", "BA 10", "0-80 UNF", "1/4-20 BSW LH", "M2", "×", "x", "-", "/", "ba", "\xff", "0x0", "1-1-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, cell string) {
		got, err := Parse(cell)
		if err != nil {
			return
		}
		if again, err := Parse(got.String()); err != nil || again != got {
			t.Errorf("%q is %v, read again as %v, %v", cell, got, again, err)
		}
	})
}
