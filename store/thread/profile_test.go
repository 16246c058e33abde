package thread

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// mm reads a published diameter in millimetres as micrometres.
func mm(t *testing.T, s string) int64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return int64(math.Round(f * 1000))
}

func micro(nm int64) int64 { return (nm + 500) / 1000 }

// held compares published numbers, told in words behind a size, with what is
// computed; "-" is a number that was not published.
func held(t *testing.T, rows string, of func(Thread) []int64) {
	t.Helper()
	n := 0
	for row := range strings.Lines(rows) {
		f := strings.Fields(row)
		if len(f) == 0 {
			continue
		}
		n++
		got := of(parsed(t, strings.ReplaceAll(f[0], "_", " ")))
		for i, want := range f[1:] {
			if want != "-" && micro(got[i]) != mm(t, want) {
				t.Errorf("%s: number %d is %s, published %s", f[0], i+1, Micro(got[i]), want)
			}
		}
	}
	if n == 0 {
		t.Error("no row")
	}
}

// Basic profile, effective and minor diameter. Sources: a component
// catalogue's extract of JIS B 0205:2001 (M1 to M1.4), a tap maker's catalogue
// (the others).
func TestMetricProfile(t *testing.T) {
	held(t, `
M1     0.838 0.729
M1.1   0.938 0.829
M1.2   1.038 0.929
M1.4   1.205 1.075
M1.6   1.373 1.221
M1.8   1.573 1.421
M2     1.740 1.567
M2.2   1.908 1.713
M2.5   2.208 2.013
M3     2.675 2.459
M3.5   3.110 2.850
M4     3.545 3.242
M5     4.480 4.134
M6     5.350 4.917
`, func(th Thread) []int64 { return []int64{th.effective(), th.minor()} })
}

// BS 93 as Machinery's Handbook prints it: depth, effective and minor diameter.
func TestBAProfile(t *testing.T) {
	held(t, `
BA_0  0.600 5.400 4.80
BA_2  0.485 4.215 3.73
BA_4  0.395 3.205 2.81
BA_5  0.355 2.845 2.49
BA_6  0.320 2.480 2.16
BA_7  0.290 2.210 1.92
BA_8  0.260 1.940 1.68
BA_9  0.235 1.665 1.43
BA_10 0.210 1.490 1.28
BA_12 0.170 1.130 0.96
BA_14 0.140 0.860 0.72
BA_16 0.115 0.675 0.56
`, func(th Thread) []int64 { return []int64{th.Major - th.effective(), th.effective(), th.minor()} })
}

// Whitworth and Loewenherz: worked by hand from the published depths, 0.640327 P
// and 0.75 P. 1/4-20 BSW: 6.35 - 0.8132 and 6.35 - 1.6264.
func TestOtherProfiles(t *testing.T) {
	held(t, `
loewenherz_1.7x0.35 1.4375 1.175
loewenherz_2x0.4    1.700  1.400
loewenherz_6x1      5.250  4.500
1/4-20_BSW          5.537  4.724
3/8-16_BSW          8.508  7.492
unknown_2x0.4       0      0
`, func(th Thread) []int64 { return []int64{th.effective(), th.minor()} })
}

// Unified effective and nut minor diameters in inches, from Machinery's
// Handbook, within the 0.0001 they are rounded to.
func TestUnifiedProfile(t *testing.T) {
	for _, row := range []string{"1-64 0.0629 0.0561", "2-56 0.0744 0.0667", "3-48 0.0855 0.0764", "4-40 0.0958 0.0849", "5-40 0.1088 0.0979",
		"6-32 0.1177 0.1042", "8-32 0.1437 0.1302", "1/4-20 0.2175 0.1959", "3/8-16 0.3344 0.3073"} {
		var size string
		var effective, minor float64
		if _, err := fmt.Sscan(row, &size, &effective, &minor); err != nil {
			t.Fatal(err)
		}
		th := parsed(t, "unified "+size)
		for i, got := range []int64{th.effective(), th.minor()} {
			want := []float64{effective, minor}[i]
			if math.Abs(float64(got)/nmPerInch-want) > 0.00011 {
				t.Errorf("%s: %.5f in, published %.4f", size, float64(got)/nmPerInch, want)
			}
		}
	}
}
