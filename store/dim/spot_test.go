package dim

import (
	"errors"
	"math"
	"testing"
)

// Spots as the columns have them: 8@28,10 is 8 mm across, centre 28 from the left and
// 10 from below; 40x20@100,30 is 40 wide and 20 long. One inch is 25.4 mm exactly.
func TestParseSpots(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"8@28,10; 3@5,5", "3@5,5; 8@28,10"}, {"40x20@100,30;8@5,5", "8@5,5; 40x20@100,30"}, {"40 × 20 @ 100 , 30", "40x20@100,30"}, {"1in@2in,.5in", "25.4@50.8,12.7"},
		{"8@28,10;8@28,10", "8@28,10"}, {"", ""}, {"0.5x2.25@-1,0", "0.5x2.25@-1,0"},
		{"8", "?"}, {"8@28", "?"}, {"8@28,10,3", "?"}, {"0@1,1", "?"}, {"8x@1,1", "?"}, {"a@1,1", "?"}, {"8@28,5,10", "?"}, {"0x3@1,1", "?"}, {"99999@1,1", "?"},
	} {
		got, err := ParseSpots(tt.text)
		text := FormatSpots(got)
		if err != nil {
			text = "?"
			if !errors.Is(err, ErrNoMeasure) {
				t.Errorf("%q: %v", tt.text, err)
			}
		}
		if text != tt.want {
			t.Errorf("%q reads as %q, want %q", tt.text, text, tt.want)
		}
	}
}

// 57x34 is width, then length.
func TestParseSize(t *testing.T) {
	for _, tt := range []struct {
		text string
		w, l int64
	}{{"57x34", 57_000, 34_000}, {"57.5×34,2", 57_500, 34_200}, {"2x3in", 50_800, 76_200}, {"1inx20", 25_400, 20_000}, {"57x34mm", 57_000, 34_000}, {"0x3", 0, 0}, {"x3", 0, 0}, {"57", 0, 0}} {
		w, l, err := ParseSize(tt.text)
		if tt.w == 0 {
			if err == nil {
				t.Errorf("%q reads as %d x %d", tt.text, w, l)
			}
			continue
		}
		if err != nil || w != tt.w || l != tt.l {
			t.Errorf("%q reads as %d x %d (%v), want %d x %d", tt.text, w, l, err, tt.w, tt.l)
		}
	}
}

// Thickness as leather is sold: an ounce is 1/64 in, an iron 1/48 in (ASTM D1814), so
// that 6 oz are 4.5 iron, 8 oz 1/8 in, 16 oz 12 iron and 1/4 in.
func TestThicknessOfLeather(t *testing.T) {
	for _, tt := range []struct {
		text string
		want int64
	}{{"1oz", 397}, {"1.5oz", 595}, {"1 oz", 397}, {"3/4oz", 298}, {"4iron", 2_117}, {"6oz", 2_381}, {"4.5iron", 2_381}, {"8oz", 3_175}, {"1/8in", 3_175}, {"16 ounces", 6_350}, {"12 irons", 6_350}, {"0.25in", 6_350}} {
		if n, _, err := Parse(Thick, "", tt.text); err != nil || n != tt.want {
			t.Errorf("%q is %d (%v), want %d", tt.text, n, err, tt.want)
		}
	}
	if n, _, err := Parse(Length, "", "4oz"); err == nil {
		t.Errorf("a length of 4oz is %d", n)
	}
}

// 6 oz = 4.5 iron and 16 oz = 12 iron = 1/4 in, as the trade's tables agree with ASTM
// D1814; 16 oz are 6.35 mm exact and 6.4 by the trade; 1 sq ft = 9.290304 dm2. Folder's
// panels of 186.76 cm2 are 0.201 sq ft.
func TestHowLeatherIsSold(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*max(1, want) {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	near("6 oz in mm of oz", Ounces(2_381_250)/1000, 6)
	near("6 oz in irons", Irons(2_381_250)/1000, 4.5)
	near("6.35 mm in oz", Ounces(6_350), 16)
	near("6.35 mm in irons", Irons(6_350), 12)
	near("6.4 mm in oz of the trade", TradeOunces(6_400), 16)
	near("1 sq ft in dm2", SquareCentimetres(304_800, 304_800)/100, 9.290304)
	near("and back", SquareFeet(929.0304), 1)
	if ft := SquareFeet(SquareCentimetres(110_000, 62_000) + SquareCentimetres(128_000, 78_000) + 2*SquareCentimetres(12_000, 78_000)); math.Round(ft*1000) != 201 {
		t.Errorf("the panels of a folder are %v sq ft", ft)
	}
}
