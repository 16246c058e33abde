package weigh

import (
	_ "embed"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// din.csv holds published masses in grams a piece, steel of 7.85 g/cm3 (a
// fastener trader's static weight tables; lengths in mm).
//
//go:embed din.csv
var dinCSV string

// A listed is one line of a published table.
type listed struct {
	norm, size   string
	length, mass float64 // mm, g; length 0 where the thing has none
}

var table = sync.OnceValue(func() []listed {
	var out []listed
	for i, line := range strings.Split(strings.TrimSpace(dinCSV), "\n") {
		f := strings.Split(line, ",")
		if i == 0 || len(f) != 4 {
			continue
		}
		length, _ := strconv.ParseFloat(f[2], 64) // empty for what has no length
		mass, _ := strconv.ParseFloat(f[3], 64)
		out = append(out, listed{f[0], f[1], length, mass})
	}
	return out
})

// pitches are those of the metric coarse series (ISO 261), and of the sizes 1.7,
// 2.3 and 2.6 that it dropped, in mm.
var pitches = sync.OnceValue(func() map[string]float64 {
	return map[string]float64{"M1": 0.25, "M1.2": 0.25, "M1.4": 0.3, "M1.6": 0.35, "M1.7": 0.35, "M1.8": 0.35, "M2": 0.4, "M2.3": 0.4,
		"M2.5": 0.45, "M2.6": 0.45, "M3": 0.5, "M3.5": 0.6, "M4": 0.7, "M5": 0.8, "M6": 1}
})

// slope is the mass of one millimetre of threaded shank in grams: a plain
// cylinder of the pitch diameter (ISO 724: d2 = d -
// 0.649519 P), of steel 7.85. It reproduces the published screws and studs.
func slope(size string) (gramsPerMM float64, ok bool) {
	p, ok := pitches()[size]
	d2 := sizeOf(size) - 0.649519*p
	return 7.85e-3 * math.Pi / 4 * d2 * d2, ok
}

// A Mass is what one piece should weigh.
type Mass struct {
	Micrograms int64
	By         string  // from what it was reckoned by formula, empty for a listed one
	Unsure     float64 // relative uncertainty
}

// between is the relative uncertainty of a mass between two sizes of a table: the
// farthest that a listed screw of DIN 84 or DIN 963 is from what its neighbours say
// is 8.3 %.
const between = 0.083

// Expect returns what one piece of a norm should weigh, steel: of size M2 and length
// in micrometres, 0 for what has none. A length that is not listed follows from the
// nearest that is, by the shank's mass a millimetre; a screw of a size between two
// listed ones from their heads, whose mass is taken to go with the cube of the size.
func Expect(norm, size string, length int64) (Mass, bool) {
	mm := float64(length) / 1000
	if l, ok := nearest(norm, size, mm); ok {
		m := Mass{Micrograms: micrograms(l.mass), Unsure: recorded}
		if l.length != mm {
			per, ok := slope(size)
			m.Micrograms, m.By = micrograms(l.mass+per*(mm-l.length)), fmt.Sprintf("%sx%g", size, l.length)
			return m, ok && m.Micrograms > 0
		}
		return m, m.Micrograms > 0
	}
	below, above := neighbours(norm, size)
	per, ok := slope(size)
	if below == "" || above == "" || length == 0 || !ok {
		return Mass{}, false
	}
	b, d, a := sizeOf(below), sizeOf(size), sizeOf(above)
	head := headOf(norm, below, mm) + (headOf(norm, above, mm)-headOf(norm, below, mm))*(d-b)/(a-b)
	m := Mass{micrograms(head*d*d*d + per*mm), below + " and " + above, between}
	return m, m.Micrograms > 0
}

// nearest is the listed line of a norm and size with the nearest length.
func nearest(norm, size string, mm float64) (best listed, ok bool) {
	for _, l := range table() {
		if l.norm != norm || l.size != size || (l.length == 0) != (mm == 0) {
			continue
		}
		if !ok || math.Abs(l.length-mm) < math.Abs(best.length-mm) {
			best, ok = l, true
		}
	}
	return best, ok
}

// neighbours are the listed sizes of a norm around one that is not, empty for none.
func neighbours(norm, size string) (below, above string) {
	d := sizeOf(size)
	for _, l := range table() {
		switch at := sizeOf(l.size); {
		case l.norm != norm || at == d:
		case at < d && (below == "" || at > sizeOf(below)):
			below = l.size
		case at > d && (above == "" || at < sizeOf(above)):
			above = l.size
		}
	}
	return below, above
}

// headOf is what is left of a listed screw without its shank, in grams by the cube
// of the size in mm.
func headOf(norm, size string, mm float64) float64 {
	l, _ := nearest(norm, size, mm)
	per, _ := slope(size)
	d := sizeOf(size)
	return (l.mass - per*l.length) / (d * d * d)
}

// sizeOf is the diameter of a size such as M1.7 in mm, 0 for what is no size.
func sizeOf(size string) float64 {
	d, _ := strconv.ParseFloat(strings.TrimPrefix(size, "M"), 64)
	return d
}

func micrograms(grams float64) int64 { return int64(math.Round(grams * 1e6)) }

// Washer returns the mass of a flat ring in micrograms, steel; all measures are
// in micrometres (mass of 1000 = 0.00785 pi/4 s (d2^2 - d1^2) kg, a fastener
// maker's page on DIN 125).
func Washer(bore, outside, thick int64) int64 {
	d1, d2, s := float64(bore)/1000, float64(outside)/1000, float64(thick)/1000
	return micrograms(0.00785 * math.Pi / 4 * s * (d2*d2 - d1*d1))
}

// NormOf returns the norm that screws, washers and nuts of a class are listed
// under, and nothing for other classes.
func NormOf(class string) string {
	return map[string]string{"SCR-CHS": "DIN 84", "SCR-CSK": "DIN 963", "SCR-RCS": "DIN 964", "SCR-PAN": "DIN 7985", "WSH": "DIN 125", "NUT": "DIN 934"}[class]
}

// densities are in g/cm3. Steel is that of the tables; brass CuZn39Pb3, nickel
// silver CuNi18Zn20 (from memory), phosphor bronze wire, stainless 302.
var densities = []struct {
	word  string
	grams float64
}{{"stainless", 7.916}, {"phosphor bronze", 8.86}, {"nickel silver", 8.73}, {"german silver", 8.73}, {"bronze", 8.86}, {"brass", 8.47}, {"steel", 7.85}}

// OfMaterial turns the mass of a steel piece into that of another material,
// named by a trade word; ok is false for a word that is not known.
func OfMaterial(steel int64, material string) (mass int64, ok bool) {
	word := strings.ToLower(strings.TrimSpace(material))
	if word == "" {
		return steel, true
	}
	for _, d := range densities {
		if strings.Contains(word, d.word) {
			return int64(math.Round(float64(steel) * d.grams / 7.85)), true
		}
	}
	return steel, false
}

// ParseNorm reads "DIN 84 M2x4" or "DIN 125 M2": length is in micrometres. It
// returns [ErrInput] with a sentence.
func ParseNorm(s string) (norm, size string, length int64, err error) {
	f := strings.Fields(strings.ReplaceAll(strings.ToUpper(s), ",", "."))
	bad := fmt.Errorf("%q %w: write a norm, size and length such as DIN 84 M2x4, DIN 125 M2", s, ErrInput)
	if len(f) != 3 {
		return "", "", 0, bad
	}
	size, long, has := strings.Cut(f[2], "X")
	if has {
		mm, err := strconv.ParseFloat(long, 64)
		if err != nil || mm <= 0 || mm > 1000 {
			return "", "", 0, bad
		}
		length = int64(math.Round(mm * 1000))
	}
	norm = f[0] + " " + f[1]
	if _, ok := Expect(norm, size, length); !ok {
		return "", "", 0, fmt.Errorf("%q %w: its mass is in none of the tables here (DIN 84, 963, 964, 7985, 912, 125, 934)", s, ErrInput)
	}
	return norm, size, length, nil
}
