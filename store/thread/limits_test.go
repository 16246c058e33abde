package thread

import (
	"encoding/csv"
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

func parsed(t *testing.T, cell string) Thread {
	t.Helper()
	th, err := Parse(cell)
	if err != nil {
		t.Fatal(err)
	}
	return th
}

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

// Basic profile, effective, minor and root diameter. Sources: a component
// catalogue's extract of JIS B 0205:2001 (M1 to M1.4), a tap maker's catalogue
// (the others).
func TestMetricProfile(t *testing.T) {
	held(t, `
M1     0.838 0.729 -
M1.1   0.938 0.829 -
M1.2   1.038 0.929 -
M1.4   1.205 1.075 -
M1.6   1.373 1.221 1.171
M1.8   1.573 1.421 1.371
M2     1.740 1.567 1.509
M2.2   1.908 1.713 1.648
M2.5   2.208 2.013 1.948
M3     2.675 2.459 2.387
M3.5   3.110 2.850 2.764
M4     3.545 3.242 3.141
M5     4.480 4.134 4.019
M6     5.350 4.917 4.773
`, func(th Thread) []int64 { return []int64{th.Effective(), th.Minor(), th.Root()} })
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
`, func(th Thread) []int64 { return []int64{th.Major - th.Effective(), th.Effective(), th.Minor()} })
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
`, func(th Thread) []int64 { return []int64{th.Effective(), th.Minor()} })
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
		for i, got := range []int64{th.Effective(), th.Minor()} {
			want := []float64{effective, minor}[i]
			if math.Abs(float64(got)/nmPerInch-want) > 0.00011 {
				t.Errorf("%s: %.5f in, published %.4f", size, float64(got)/nmPerInch, want)
			}
		}
	}
}

// ISO 965-1 6g: major max and min, effective max and min, minor max. Sources: an
// open table of metric threads and a tool trader's limits, which agree; the last
// four rows stand in the first alone.
func TestMetricScrewLimits(t *testing.T) {
	held(t, `
M1       0.982 0.915 0.820 0.767 0.711
M1.2     1.182 1.115 1.020 0.967 0.911
M1.6     1.581 1.496 1.354 1.291 1.202
M2       1.981 1.886 1.721 1.654 1.548
M2.5     2.480 2.380 2.188 2.117 1.993
M3       2.980 2.874 2.655 2.580 2.439
M3.5     3.479 3.354 3.089 3.004 2.829
M4       3.978 3.838 3.523 3.433 3.220
M5       4.976 4.826 4.456 4.361 4.110
M6       5.974 5.794 5.324 5.212 4.891
M1.7     1.681 1.596 1.454 1.391 1.302
M2.3x0.4 2.281 2.186 2.021 1.954 1.848
M2.5x0.35 2.481 2.396 2.254 2.191 2.102
M3x0.35  2.981 2.896 2.754 2.687 2.602
`, func(th Thread) []int64 {
		l := th.Screw()
		return []int64{l.Major.Max, l.Major.Min, l.Effective.Max, l.Effective.Min, l.Minor.Max}
	})
}

// Grade 6 in position h, from the tool trader's table: the same tolerances below
// the basic diameters.
func TestMetricScrewTolerances(t *testing.T) {
	held(t, `
M1   0.933 0.785
M1.2 1.133 0.985
M1.4 1.325 1.149
`, func(th Thread) []int64 {
		l := th.Screw()
		return []int64{th.Major - (l.Major.Max - l.Major.Min), th.Effective() - (l.Effective.Max - l.Effective.Min)}
	})
}

// ISO 965-1 6H: minor min and max, effective min and max. Source: the open table
// of metric threads; effective also in a tap maker's catalogue.
func TestMetricNutLimits(t *testing.T) {
	held(t, `
M1.6 1.221 1.321 1.373 1.458
M2   1.567 1.679 1.740 1.830
M2.2 1.713 1.838 1.908 2.003
M2.5 2.013 2.138 2.208 2.303
M3   2.459 2.599 2.675 2.775
M3.5 2.850 3.010 3.110 3.222
M4   3.242 3.422 3.545 3.663
M5   4.134 4.334 4.480 4.605
M6   4.917 5.153 5.350 5.500
M1.7 1.321 1.421 1.473 1.558
`, func(th Thread) []int64 {
		l := th.Nut()
		return []int64{l.Minor.Min, l.Minor.Max, l.Effective.Min, l.Effective.Max}
	})
}

// The tables keep within 5 per cent of the formulas of ISO 965-1, and within 1.3
// micrometres of the deviation: 180 P^(2/3) - 3.15/sqrt P, 433 P - 190 P^1.22
// (230 P^0.7 from 1 mm on), 15 + 11 P.
func TestGradesFollowTheFormulas(t *testing.T) {
	for _, g := range grades {
		p := float64(g.pitch) / nmPerMM
		major := 180*math.Cbrt(p*p) - 3.15/math.Sqrt(p)
		minor := 433*p - 190*math.Pow(p, 1.22)
		if p >= 1 {
			minor = 230 * math.Pow(p, 0.7)
		}
		for _, c := range []struct{ got, want float64 }{{float64(g.major) / 1000, major}, {float64(g.minor) / 1000, minor}} {
			if math.Abs(c.got/c.want-1) > 0.05 {
				t.Errorf("pitch %v: %v, formula %.1f", p, c.got, c.want)
			}
		}
		if math.Abs(float64(g.es)/1000-15-11*p) > 1.3 {
			t.Errorf("pitch %v: deviation %d, formula %.1f", p, g.es, 15+11*p)
		}
	}
}

// BS 93: bolts of the normal class, worked by hand from the published rule. 10
// BA: 1.700 - 0.025, less 0.20 x 0.35; 12 BA: no allowance, less 0.25 x 0.28;
// nuts: 10 BA 1.28 + 0.375 x 0.35 and 1.49 + 0.12 x 0.35 + 0.03.
func TestBALimits(t *testing.T) {
	held(t, `
BA_10 1.675 1.605 1.411 1.562
BA_7  2.475 2.379 -     -
BA_12 1.300 1.230 -     -
`, func(th Thread) []int64 {
		l, n := th.Screw(), th.Nut()
		return []int64{l.Major.Max, l.Major.Min, n.Minor.Max, n.Effective.Max}
	})
	// The effective diameter of the same bolts: 1.490 - 0.025, less 0.10 x 0.35 +
	// 0.025; minor 1.28 - 0.025, less 0.20 x 0.35 + 0.05.
	held(t, "BA_10 1.465 1.405 1.255 1.135", func(th Thread) []int64 {
		l := th.Screw()
		return []int64{l.Effective.Max, l.Effective.Min, l.Minor.Max, l.Minor.Min}
	})
}

// ASME B1.10M, from Machinery's Handbook: major, effective, minor, each max and
// min.
func TestMiniatureLimits(t *testing.T) {
	held(t, `
unified_0.3x0.08 0.300 0.284 0.248 0.234 0.204 0.183
unified_0.8x0.2  0.800 0.770 0.670 0.646 0.560 0.520
unified_1.4x0.3  1.400 1.358 1.205 1.173 1.040 0.984
`, func(th Thread) []int64 {
		l := th.Screw()
		return []int64{l.Major.Max, l.Major.Min, l.Effective.Max, l.Effective.Min, l.Minor.Max, l.Minor.Min}
	})
}

// 0-80 UNF class 2A as a machining handbook on the web prints it.
func TestUnifiedLimits(t *testing.T) {
	held(t, "unified_0-80 1.511 1.430 1.306 1.260", func(th Thread) []int64 {
		l := th.Screw()
		return []int64{l.Major.Max, l.Major.Min, l.Effective.Max, l.Effective.Min}
	})
}

// The generator of BA, P = 0.9^n and D = 6 P^1.2 to two figures, gives the
// published rows of 0 to 16 BA as long as P is not rounded first.
func TestBAGenerator(t *testing.T) {
	two := func(x float64) float64 {
		s, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 1, 64), 64)
		return s
	}
	for n := range 17 {
		p := math.Pow(0.9, float64(n))
		th := parsed(t, fmt.Sprintf("BA %d", n))
		if d := two(6 * math.Pow(p, 1.2)); micro(th.Major) != int64(math.Round(d*1000)) || micro(th.Pitch) != int64(math.Round(two(p)*1000)) {
			t.Errorf("BA %d: %s x %s, generator %v x %v", n, Micro(th.Major), Micro(th.Pitch), d, two(p))
		}
	}
}

// Every row of the table that has threads per inch has their pitch.
func TestPitchFromTPI(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(threadsCSV)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, row := range rows[1:] {
		tpi, err := strconv.ParseInt(row[4], 10, 64)
		if err != nil || row[0] == "BA (BS 93)" || strings.HasPrefix(row[0], "UNM") {
			continue // there the count is rounded, not the pitch
		}
		n++
		want, _ := parts(row[3])
		if distance(Pitch(tpi), want) > 10 {
			t.Errorf("%s: %d per inch are %d nm, published %s", row[1], tpi, Pitch(tpi), row[3])
		}
	}
	if n < 30 {
		t.Errorf("%d rows", n)
	}
}

// ISO 4042: M2 6g bears 4.75 and M3 6g 5 micrometres, worked by hand; none is
// published for BA.
func TestMostCoat(t *testing.T) {
	if m2, m3 := parsed(t, "M2").MostCoat(), parsed(t, "M3").MostCoat(); m2 != 4_750 || m3 != 5_000 || parsed(t, "BA 10").MostCoat() != 0 {
		t.Errorf("most plating %d and %d", m2, m3)
	}
}
