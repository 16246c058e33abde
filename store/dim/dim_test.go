package dim

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTableNames(t *testing.T) {
	// source: keys and headings as agreed, for sheets and scripts rely on them, in the order of the sheet
	keys := strings.Fields("wire od id post coils hand leg_a leg_b leg_ends angle free_length inside_hooks ends thick width length height thread point head head_height drive slot shoulder shoulder_length teeth module bore centres shaft_from shaft_to grain colour material magnetic finish mass")
	headings := strings.Split("Wire mm, Outside mm, Inside mm, Post mm, Coils, Hand, Leg A mm, Leg B mm, Leg ends, Free angle deg, Free length mm, Inside hooks mm, Ends, Thick mm, Width mm, Length mm, Height mm, Thread, Point, Head mm, Head height mm, Drive, Slot mm, Shoulder mm, Shoulder length mm, Teeth, Module mm, Bore mm, Centres mm, Shaft from mm, Shaft to mm, Grain, Colour, Material, Magnetic, Finish, Mass g", ", ")
	all := Table()
	if len(all) != len(keys) || len(headings) != len(keys) {
		t.Fatalf("%d fields, want %d", len(all), len(keys))
	}
	for n, i := range all {
		if int(i.Field) != n+1 || i.Key != keys[n] || i.Heading != headings[n] || i.Flag != strings.ReplaceAll(keys[n], "_", "-") {
			t.Errorf("field %d is %d %s %q %s", n+1, i.Field, i.Key, i.Heading, i.Flag)
		}
		if g, ok := ByHeading(strings.ToUpper(" " + i.Heading)); !ok || g.Field != i.Field {
			t.Errorf("%s is not found by its heading", i.Key)
		}
	}
	if got := Of(Wire).InchHeading(); got != "Wire in" {
		t.Errorf("the heading of wire in inches is %q", got)
	}
	if Wire != 1 || Mass != 37 || Thread != 18 {
		t.Error("the numbers of the fields are a file format")
	}
}

func TestParseLength(t *testing.T) {
	tests := []struct {
		text   string
		want   int64
		source string
	}{
		{"0.25", 250, "by hand"},
		{"0,25", 250, "by hand"},
		{"0.25mm", 250, "by hand"},
		{" .25 mm ", 250, "by hand"},
		{".014in", 356, "0.014 * 25.4 = 0.3556, as published for a shutter's spring"},
		{"0.014 in", 356, "the same"},
		{"14thou", 356, "the same"},
		{"26thou", 660, "0.026 * 25.4 = 0.6604"},
		{"1/32in", 794, "25.4 / 32 = 0.79375, halves up"},
		{"1/32\"", 794, "the same"},
		{"250µm", 250, "by hand"},
		{"2.5e-1", 250, "as sheets store small numbers"},
		{"0.14999999999999999", 150, "as sheets store 0.15"},
		{"0.0625", 63, "halves are rounded up"},
		{"010e-1", 1000, "decimal, never octal"},
	}
	for _, tt := range tests {
		if n, _, err := Parse(Wire, "SPR-TOR", tt.text); err != nil || n != tt.want {
			t.Errorf("Parse(wire, %q) = %d, %v, want %d (%s)", tt.text, n, err, tt.want, tt.source)
		}
	}
	for _, text := range []string{"", "thin", "1/4", "0.2.5", "0.2,5", "1/0in", "-0.25", "0.25e", "0.25e999", "0x1", "1_0", "0.", "/in", "0.25 mm mm", strings.Repeat("9", 50)} {
		if n, _, err := Parse(Wire, "", text); err == nil {
			t.Errorf("Parse(wire, %q) = %d", text, n)
		}
	}
	if n, _, err := Parse(Length, "LEV", "1 1/4in"); err != nil || n != 31750 {
		t.Errorf("1 1/4in = %d, %v, want 31750 (1.25 * 25.4)", n, err)
	}
	if n, _, err := ParseInch(Wire, "SPR-TOR", ".014"); err != nil || n != 356 {
		t.Errorf("a column in inches: .014 = %d, %v", n, err)
	}
	if n, _, err := ParseInch(Wire, "SPR-TOR", "0.25mm"); err != nil || n != 250 {
		t.Errorf("a column in inches with a unit: 0.25mm = %d, %v", n, err)
	}
}

func TestParseOthers(t *testing.T) {
	tests := []struct {
		f    Field
		text string
		want int64
	}{ // source: by hand, the units as agreed
		{Coils, "3.25", 3250}, {Coils, "3 1/4", 3250}, {Coils, "0", 0}, {Angle, "95", 95_000}, {Angle, "95°", 95_000},
		{Angle, "-15 deg", -15_000}, {Angle, "0", 0}, {Teeth, "19", 19}, {Teeth, "19.0", 19}, {Mass, "0.013", 13_000}, {Mass, "13mg", 13_000},
	}
	for _, tt := range tests {
		if n, _, err := Parse(tt.f, "", tt.text); err != nil || n != tt.want {
			t.Errorf("Parse(%s, %q) = %d, %v, want %d", Of(tt.f).Key, tt.text, n, err, tt.want)
		}
	}
	if _, _, err := Parse(Teeth, "", "19.5"); !errors.Is(err, ErrNoMeasure) {
		t.Errorf("half a tooth: %v", err)
	}
	words := []struct {
		f          Field
		text, want string
	}{ // source: by hand
		{Hand, "R", "right"}, {Hand, "rh", "right"}, {Hand, "right-hand", "right"}, {Hand, "Left", "left"}, {Hand, "l", "left"}, {Hand, "left hand", "left"},
		{Hand, "links", "left"}, {Hand, "Rechts", "right"}, {Hand, "linksgewickelt", "left"},
		{Magnetic, "Yes", "yes"}, {Magnetic, "n", "no"}, {Material, " music  wire ", "music wire"}, {Thread, "BA 10", "BA 10"},
	}
	for _, tt := range words {
		if _, w, err := Parse(tt.f, "", tt.text); err != nil || w != tt.want {
			t.Errorf("Parse(%s, %q) = %q, %v", Of(tt.f).Key, tt.text, w, err)
		}
	}
	for f, text := range map[Field]string{Hand: "both", Magnetic: "maybe", 0: "1", 99: "1"} {
		if _, _, err := Parse(f, "", text); !errors.Is(err, ErrNoMeasure) {
			t.Errorf("Parse(%d, %q): %v", f, text, err)
		}
	}
}

func TestRefusalNamesTheMeaning(t *testing.T) {
	tests := []struct {
		f                       Field
		class, text, want, from string
	}{
		{Wire, "SPR-TOR", "0.014", "wire 0.014 mm is thinner than any spring wire here (0.06 to 1.6): did you mean .014in (0.356 mm)? write the unit", "the sentence as agreed"},
		{Wire, "", ".014", "wire 0.014 mm is thinner than any spring wire here (0.06 to 1.6): did you mean .014in (0.356 mm)? write the unit", "the same"},
		{Wire, "SPR-EXT", "14", "wire 14 mm is thicker than any spring wire here (0.06 to 1.6): did you mean 14thou (0.356 mm) or 0.14mm? write the unit", "by hand"},
		{Wire, "SPR-EXT", ".25in", "wire 6.35 mm is thicker than any spring wire here (0.06 to 1.6): did you mean 0.25mm?", "by hand"},
		{OD, "SPR-CMP", "0.15", "outside diameter 0.15 mm is smaller than any spring here (0.4 to 30): did you mean .15in (3.81 mm)? write the unit", "by hand"},
		{Teeth, "GER", "0", "teeth 0 is less than any gear here (1 to 1000): look at the number again", "by hand"},
	}
	for _, tt := range tests {
		_, _, err := Parse(tt.f, tt.class, tt.text)
		if err == nil || err.Error() != tt.want || !errors.Is(err, ErrRange) {
			t.Errorf("%s %s:\n got %v\nwant %s (%s)", tt.class, tt.text, err, tt.want, tt.from)
		}
	}
	_, _, err := ParseInch(Wire, "SPR-TOR", "0.36")
	if err == nil || !strings.Contains(err.Error(), "did you mean 0.36mm?") {
		t.Errorf("millimetres in a column of inches: %v", err)
	}
}

// Every value of the invented workshop is one its class can have.
func TestDemoIsAccepted(t *testing.T) {
	f, err := os.Open("../../testdata/demo/parts.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, row := range rows[1:] {
		for n, cell := range row {
			i, ok := ByHeading(rows[0][n])
			if !ok || cell == "" {
				continue
			}
			read++
			if _, _, err := Parse(i.Field, row[2], cell); err != nil {
				t.Errorf("%s: %v", row[0], err)
			}
		}
	}
	if read < 300 {
		t.Errorf("only %d cells were read", read)
	}
}

// What a class typically has is well within what is accepted.
func TestTypicalRanges(t *testing.T) {
	tests := []struct {
		class string
		f     Field
		lo    string
		hi    string
	}{ // source: trade notes, measures by class, and their use in the bench's sheets
		{"SPR-TOR", Wire, "0.1", "1"}, {"SPR-TOR", OD, "1.2", "6.5"}, {"SPR-TOR", Post, "0.3", "6"}, {"SPR-TOR", Coils, "1", "8"},
		{"SPR-TOR", LegA, "2", "20"}, {"SPR-TOR", LegB, "2", "20"}, {"SPR-EXT", Wire, "0.1", "0.4"}, {"SPR-EXT", OD, "0.8", "4"},
		{"SPR-EXT", InsideHooks, "2", "30"}, {"SPR-CMP", Wire, "0.1", "0.5"}, {"SPR-CMP", OD, "1", "6"}, {"SPR-CMP", FreeLength, "1.5", "20"},
		{"SPR-FLAT", Thick, "0.08", "0.5"}, {"SPR-SPI", Thick, "0.05", "0.25"}, {"SPR-SPI", Height, "0.8", "6"}, {"SPR-WIRE", Wire, "0.2", "1"},
		{"SCR-CHS", Length, "1", "8"}, {"SCR-SHD", Head, "1.6", "6"}, {"SCR-SHD", Shoulder, "1.4", "4"}, {"SCR-SHD", ShoulderLength, "0.5", "3"},
		{"WSH", Thick, "0.05", "0.6"}, {"SHM", Thick, "0.02", "0.3"}, {"CLP", Thick, "0.3", "0.6"}, {"CLP", ShaftFrom, "1.4", "3"},
		{"CLP", ShaftTo, "2", "4"}, {"GER", Teeth, "6", "60"}, {"GER", Module, "0.2", "0.5"}, {"RAT", Teeth, "8", "30"}, {"LEV", Thick, "0.4", "1.5"},
		{"PIN", OD, "0.6", "4"}, {"BSH", OD, "0.6", "4"}, {"BAL", OD, "0.8", "2"}, {"KNB", OD, "8", "22"}, {"BLD", Thick, "0.03", "0.1"}, {"COV", Thick, "0.3", "0.6"},
		{"RCK", Thick, "0.8", "1.8"}, {"SEA", Thick, "1", "2.5"}, {"GLS", Thick, "0.5", "2"}, {"NUT", OD, "5", "45"}, {"SPR-TOR", Wire, "0.06", "1.6"},
	}
	for _, tt := range tests {
		for _, text := range []string{tt.lo, tt.hi} {
			if _, _, err := Parse(tt.f, tt.class, text); err != nil {
				t.Errorf("%s: %v", tt.class, err)
			}
		}
	}
}

func TestTolerances(t *testing.T) {
	tests := []struct {
		f                           Field
		same, samePlus, minus, plus int64
	}{ // source: trade notes, search tolerances
		{Wire, 10, 10, 20, 20}, {OD, 100, 100, 250, 250}, {Coils, 250, 250, 750, 750}, {FreeLength, 300, 300, 1000, 1000},
		{LegA, 500, 500, 500, Any}, {Angle, 15_000, 15_000, 45_000, 45_000}, {Length, 200, 200, 200, 1500}, {Head, 200, 200, 500, 500},
		{Shoulder, 20, 0, 50, 50}, {ShoulderLength, 20, 20, 20, 300}, {Centres, 50, 50, 150, 150}, {Hand, 0, 0, 0, 0},
	}
	for _, tt := range tests {
		i := Of(tt.f)
		if i.Same != tt.same || i.SamePlus != tt.samePlus || i.NearMinus != tt.minus || i.NearPlus != tt.plus {
			t.Errorf("%s: same %d %d, near %d %d", i.Key, i.Same, i.SamePlus, i.NearMinus, i.NearPlus)
		}
	}
	if i := Of(Thick).For("SHM"); i.Same != 5 {
		t.Errorf("shim: same %d, want 5", i.Same)
	}
	if i := Of(OD).For("SPR-CMP"); i.Same != 100 {
		t.Errorf("spring: same %d, want 100", i.Same)
	}
}

// What Format prints, Parse reads back, for every value a field can have.
func TestFormatIsTheInverse(t *testing.T) {
	for _, i := range Table() {
		if i.Kind == KindWord {
			continue
		}
		rapid.Check(t, func(t *rapid.T) {
			b := i.ranges[0]
			n := rapid.Int64Range(b.from, b.to).Draw(t, "n")
			got, _, err := Parse(i.Field, "", Format(i.Field, n))
			if err != nil || got != n {
				t.Fatalf("%s: %d prints as %s, read as %d, %v", i.Key, n, Format(i.Field, n), got, err)
			}
		})
	}
	for _, tt := range []struct {
		f    Field
		n    int64
		want string
	}{{Wire, 250, "0.25"}, {Coils, 3250, "3.25"}, {Angle, 95_000, "95"}, {Mass, 13_000, "0.013"}, {Angle, -500, "-0.5"}, {Teeth, 20, "20"}, {Length, 10_000, "10"}, {Length, 0, "0"}, {Hand, 1, ""}} { // source: units and headings as agreed
		if got := Format(tt.f, tt.n); got != tt.want {
			t.Errorf("Format(%s, %d) = %q, want %q", Of(tt.f).Key, tt.n, got, tt.want)
		}
	}
	if got := Number(Wire, 356); got != 0.356 {
		t.Errorf("Number(wire, 356) = %v", got)
	}
}

// Units go round: a length typed in millimetres, in inches or in thousandths of
// one is the same length. An inch is 25.4 mm.
func TestUnitsGoRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(200, 60_000).Draw(t, "micrometres")
		thou := rapid.Int64Range(8, 2300).Draw(t, "thousandths")
		for _, x := range []struct {
			text string
			want int64
		}{
			{fmt.Sprintf("%d/25400in", n), n},
			{fmt.Sprintf("%d.%03dmm", n/1000, n%1000), n},
			{fmt.Sprintf("%d,%03d", n/1000, n%1000), n},
			{fmt.Sprintf("%dthou", thou), (thou*254 + 5) / 10},
			{fmt.Sprintf("%d.%03din", thou/1000, thou%1000), (thou*254 + 5) / 10},
		} {
			if got, _, err := Parse(Length, "", x.text); err != nil || got != x.want {
				t.Fatalf("%s: %d, %v, want %d", x.text, got, err, x.want)
			}
		}
		if got, _, err := ParseInch(Length, "", fmt.Sprintf("%d/25400", n)); err != nil || got != n {
			t.Fatalf("%d/25400 in a column of inches: %d, %v", n, got, err)
		}
	})
}

// The short way for plain numbers reads what the long way reads.
func TestPlainAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[0-9]{0,7}(\.[0-9]{0,7})?`).Draw(t, "s")
		n, ok := plain(s, 1000)
		if !ok {
			return
		}
		v, _, ok := parseNumber(s)
		if !ok {
			t.Fatalf("%q is read by the short way alone", s)
		}
		if want, _ := round(v, 1000); n != want {
			t.Fatalf("%q: %d, want %d", s, n, want)
		}
	})
}

// No text makes the parser panic, and what it accepts prints and reads the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"0.25", ".014in", "1/4in", "26thou", "3 1/4", "1.4e-2", "-", "e", "1/", "\xff", "°"} {
		f.Add(uint8(Wire), s)
		f.Add(uint8(Angle), s)
	}
	f.Fuzz(func(t *testing.T, field uint8, s string) {
		fd := Field(field)
		n, _, err := Parse(fd, "SPR-TOR", s)
		if i := Of(fd); err != nil || i.Kind == KindWord {
			return
		}
		if again, _, err := Parse(fd, "SPR-TOR", Format(fd, n)); err != nil || again != n {
			t.Errorf("%q is %d, prints as %q, reads as %d, %v", s, n, Format(fd, n), again, err)
		}
		_, _, _ = ParseInch(fd, "", s)
	})
}

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Parse(Wire, "SPR-TOR", "0.25"); err != nil {
			b.Fatal(err)
		}
	}
}
