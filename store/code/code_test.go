package code

import (
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	tests := []struct {
		in   string
		want Code
		ok   bool
	}{ // source: the reading of codes as agreed
		{" pc-03 ", "PC-03", true},
		{"w2/b.1", "W2/B.1", true},
		{strings.Repeat("a", 32), Code(strings.Repeat("A", 32)), true},
		{strings.Repeat("a", 33), "", false},
		{"", "", false},
		{"--", "", false},
		{"P 1", "", false},
		{"P_1", "", false},
		{"Pé", "", false},
		{"P\x001", "", false},
	}
	for _, tt := range tests {
		got, err := Parse(tt.in)
		if got != tt.want || (err == nil) != tt.ok {
			t.Errorf("Parse(%q) = %q, %v", tt.in, got, err)
		}
		if err != nil && !errors.Is(err, ErrNoCode) {
			t.Errorf("Parse(%q): %v is no ErrNoCode", tt.in, err)
		}
	}
}

func TestLoose(t *testing.T) {
	for in, want := range map[string]string{ // source: the reading of codes as agreed
		"PC-03": "PC3", "pc3": "PC3", "P001": "P1", "p1": "P1", "W2-B": "W2B", "w2b": "W2B", "b208": "B208",
		"10.05": "105", "P0": "P0", "P000": "P0", "ORV-00": "ORV0", "P-100": "P100", "a 07/2": "A72",
	} {
		if got := Loose(in); got != want {
			t.Errorf("Loose(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestSplit(t *testing.T) {
	tests := []struct {
		in     Code
		prefix string
		n      int64
		width  int
		ok     bool
	}{ // source: by hand
		{"PC-03", "PC-", 3, 2, true},
		{"B201", "B", 201, 3, true},
		{"105", "", 105, 3, true},
		{"W2-B", "W2-B", 0, 0, false},
		{"B9999999999999999999", "B9999999999999999999", 0, 0, false},
	}
	for _, tt := range tests {
		prefix, n, width, ok := Split(tt.in)
		if prefix != tt.prefix || n != tt.n || width != tt.width || ok != tt.ok {
			t.Errorf("Split(%q) = %q, %d, %d, %v", tt.in, prefix, n, width, ok)
		}
		if ok && Make(prefix, n, width) != tt.in {
			t.Errorf("Make does not give %q back", tt.in)
		}
	}
	if got := Make("PC-", 100, 2); got != "PC-100" {
		t.Errorf("Make beyond its width = %q, want PC-100", got)
	}
}

func TestCompareNumbers(t *testing.T) {
	tests := []struct {
		a, b string
		cmp  int
		ok   bool
	}{ // source: as agreed, by their digits where their letters agree
		{"CB1187", "CB0001", 1, true},
		{"cb 0001", "CB1", 0, true},
		{"O 118 402", "O118403", -1, true},
		{"118402", "99999", 1, true},
		{"CB1187", "CC0001", 0, false},
		{"CB1187A", "CB1187", 0, false},
		{"1187A", "A1187", 0, false},
		{"", "", 0, false},
		{"99999999999999999999998", "99999999999999999999999", -1, true},
		{"A1B2", "A1B10", -1, true},
	}
	for _, tt := range tests {
		if cmp, ok := CompareNumbers(tt.a, tt.b); cmp != tt.cmp || ok != tt.ok {
			t.Errorf("CompareNumbers(%q, %q) = %d, %v", tt.a, tt.b, cmp, ok)
		}
	}
}

func mustDay(t *testing.T, s string) Day {
	t.Helper()
	d, err := ISODay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestParseDay(t *testing.T) {
	today := mustDay(t, "2031-08-31") // a Sunday: source: cal 8 2031
	for in, want := range map[string]string{
		"2031-08-31": "2031-08-31", "today": "2031-08-31", "yesterday": "2031-08-30", "-3d": "2031-08-28",
		"fri": "2031-08-29", "Friday": "2031-08-29", "sun": "2031-08-31", "mon": "2031-08-25", "2024-02-29": "2024-02-29",
	} {
		if d, err := ParseDay(in, today); err != nil || d.String() != want {
			t.Errorf("ParseDay(%q) = %v, %v, want %s", in, d, err, want)
		}
	}
	for _, in := range []string{"", "2031-02-29", "31.08.2031", "-d", "3d", "-99999d", "-9999999999999999999d", "fr", "1969-12-31", "1970-01-01"} {
		if d, err := ParseDay(in, today); !errors.Is(err, ErrNoDay) {
			t.Errorf("ParseDay(%q) = %v, %v", in, d, err)
		}
	}
	if got := Day(0).String(); got != "" {
		t.Errorf("no day prints as %q", got)
	}
	if got := mustDay(t, "9999-12-31"); got != lastDay {
		t.Errorf("last day = %d", got)
	}
}

func TestDayOfIsLocal(t *testing.T) {
	east := time.FixedZone("east", 9*3600)
	at := time.Date(2031, 8, 30, 23, 0, 0, 0, time.UTC) // source: by hand: 23:00 UTC is 08:00 the next day nine hours east
	if got := DayOf(at.In(east)).String(); got != "2031-08-31" {
		t.Errorf("day in the east = %s", got)
	}
	if got := DayOf(at).String(); got != "2031-08-30" {
		t.Errorf("day in UTC = %s", got)
	}
}

func TestCents(t *testing.T) {
	for in, want := range map[string]Cents{ // source: units and decimal commas as agreed
		"22": 2200, "22.00": 2200, "22,5": 2250, "010": 1000, ".5": 50, "-3.50": -350, " 0 ": 0,
	} {
		if got, err := ParseCents(in); err != nil || got != want {
			t.Errorf("ParseCents(%q) = %d, %v", in, got, err)
		}
	}
	for _, in := range []string{"", "-", "22.005", "1,234", "1,234.50", "22.", "twenty", "1e3", "0x10", "99999999999999999999", "--3"} {
		if got, err := ParseCents(in); !errors.Is(err, ErrNoNumber) {
			t.Errorf("ParseCents(%q) = %d, %v", in, got, err)
		}
	}
}

func TestParseQty(t *testing.T) {
	tests := []struct {
		in, unit string
		want     Qty
		ok       bool
	}{ // source: units and decimal commas as agreed
		{"5", "pc", Qty{5, false}, true},
		{"010", "pc", Qty{10, false}, true},
		{"c20", "pc", Qty{20, true}, true},
		{"ca. 20", "pc", Qty{20, true}, true},
		{"20~", "pc", Qty{20, true}, true},
		{"~20", "pc", Qty{20, true}, true},
		{"about 20", "pc", Qty{20, true}, true},
		{"5pc", "pc", Qty{5, false}, true},
		{"40cm", "mm", Qty{400, false}, true},
		{"400mm", "mm", Qty{400, false}, true},
		{"4 m", "mm", Qty{4000, false}, true},
		{"0.4m", "mm", Qty{400, false}, true},
		{"0,4m", "mm", Qty{400, false}, true},
		{"ca. 40 cm", "mm", Qty{400, true}, true},
		{"40", "mm", Qty{}, false},
		{"0.05cm", "mm", Qty{}, false},
		{"40cm", "pc", Qty{}, false},
		{"five", "pc", Qty{}, false},
		{"-5", "pc", Qty{}, false},
		{"+5", "pc", Qty{}, false},
		{"5.5", "pc", Qty{}, false},
		{"0x10", "pc", Qty{}, false},
		{"1_0", "pc", Qty{}, false},
		{"9223372036854775808", "pc", Qty{}, false},
		{"9223372036854775m", "mm", Qty{}, false},
		{"", "pc", Qty{}, false},
		{"~", "pc", Qty{}, false},
	}
	for _, tt := range tests {
		got, err := ParseQty(tt.in, tt.unit)
		if got != tt.want || (err == nil) != tt.ok || err != nil && !errors.Is(err, ErrNoNumber) {
			t.Errorf("ParseQty(%q, %s) = %v, %v", tt.in, tt.unit, got, err)
		}
	}
	if _, err := ParseQty("five", "pc"); err.Error() != `"five" is no number of pieces` {
		t.Errorf("five: %v", err)
	}
}

func TestParseSheetQty(t *testing.T) {
	for in, want := range map[string]Qty{ // source: as agreed, quantities may be about, counter-entries are negative
		"5": {5, false}, "5.0": {5, false}, "-2": {-2, false}, "ca. 20": {20, true}, "0": {0, false},
	} {
		if got, err := ParseSheetQty(in); err != nil || got != want {
			t.Errorf("ParseSheetQty(%q) = %v, %v", in, got, err)
		}
	}
	for _, in := range []string{"", "2.5", "40cm", "two", "5."} {
		if got, err := ParseSheetQty(in); err == nil {
			t.Errorf("ParseSheetQty(%q) = %v", in, got)
		}
	}
}

// What is printed is read back as the same.
func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Cents(rapid.Int64Range(-1e12, 1e12).Draw(t, "cents"))
		if got, err := ParseCents(c.String()); err != nil || got != c {
			t.Fatalf("%v: %v, %v", c, got, err)
		}
		q := Qty{rapid.Int64Range(-1e12, 1e12).Draw(t, "n"), rapid.Bool().Draw(t, "about")}
		if got, err := ParseSheetQty(q.String()); err != nil || got != q {
			t.Fatalf("%v: %v, %v", q, got, err)
		}
		d := Day(rapid.Int32Range(1, int32(lastDay)).Draw(t, "day"))
		if got, err := ISODay(d.String()); err != nil || got != d {
			t.Fatalf("%v: %v, %v", d, got, err)
		}
	})
}

// No text makes a parser panic, and a code parses to itself.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"PC-03", "c20", "40cm", "22,5", "-3d", "~", "ca. ", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if c, err := Parse(s); err == nil {
			if again, err := Parse(string(c)); err != nil || again != c {
				t.Errorf("%q parses to %q, then to %q, %v", s, c, again, err)
			}
			if Loose(Loose(s)) != Loose(s) && !strings.ContainsAny(s, "-./ ") {
				t.Errorf("Loose is not stable on %q", s)
			}
		}
		for _, unit := range []string{"pc", "mm"} {
			if q, err := ParseQty(s, unit); err == nil && q.N < 0 {
				t.Errorf("%q is %v", s, q)
			}
		}
		_, _ = ParseCents(s)
		_, _ = ParseDay(s, 20000)
		_, _ = CompareNumbers(s, s)
	})
}

// Every day reads as the standard library writes it.
func TestEveryDay(t *testing.T) {
	for d := Day(-800000); d <= lastDay+400; d += 7 {
		if got, want := d.String(), d.Time().Format(time.DateOnly); d != 0 && got != want {
			t.Fatalf("day %d is %s, want %s", d, got, want)
		}
	}
}
