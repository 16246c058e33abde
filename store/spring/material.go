package spring

import (
	_ "embed"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

// Materials. The share of the tensile strength at which a spring takes a set, in
// shear: music and hard drawn wire 0.45, oil tempered 0.50 (Shigley, chapter 10,
// worked solutions); stainless and copper alloys 0.35, and all shares in bending
// (0.78, 0.87, 0.61), are from memory of the same chapter. That of a hook, bent 0.75
// and twisted 0.40 of carbon and alloy steel: Shigley table 10-7; 0.55 and 0.30 of
// the others from memory of it.
//
// moduli by wire: Machinery's Handbook 31, p. 346, and Shigley table 10-5 in GPa.
// Stainless, bronze, chrome vanadium and chrome silicon in GPa, nickel silver and
// strip are from memory; 17-7 PH, brass and beryllium copper are the handbook's
// million psi times 6.8948. EN 10270-1 DM: EN 13906-1, a verification.
//
//go:embed materials.csv
var materialsCSV string

//go:embed moduli.csv
var moduliCSV string

// Tensile strength is A divided by the diameter in mm to the power of an
// exponent. Three families are in print and are not interchangeable: newer is
// Shigley 8th to 11th edition, table 10-4 (A228 and A229 published, the others and
// all ranges of sizes from memory); older is the older Shigley and the FE handbook,
// column of MPa (its column of kpsi does not belong to it); other is Norton, Machine
// Design.
//
//go:embed strengths.csv
var strengthsCSV string

// The families of strength tables.
const (
	Newer = "newer"
	Older = "older"
	Other = "other"
)

// Families returns the families of strength tables, the default first. The
// slice is the caller's.
func Families() []string { return []string{Newer, Older, Other} }

// familyName returns the source of a family of strength tables.
func familyName(family string) string {
	switch family {
	case Newer:
		return "Shigley 8th to 11th edition, table 10-4"
	case Older:
		return "older Shigley and FE handbook"
	case Other:
		return "Norton, Machine Design"
	}
	return ""
}

// A Material is what a spring is made of. The zero Material is none.
type Material struct {
	Key  string // its standard: "A228"
	Name string // in the trade's words: "music wire"

	shearSet, bendSet         float64
	hookTwistSet, hookBendSet float64
}

type modulus struct {
	upTo int64 // micrometres, 0: any
	g, e float64
}

type strength struct {
	family   string
	from, to int64 // micrometres, 0: not said
	exponent float64
	a        float64
}

type materials struct {
	list      []Material
	names     map[string]Material
	loosely   map[string]Material
	moduli    map[string][]modulus
	strengths map[string][]strength
}

var known = sync.OnceValue(func() materials {
	k := materials{names: map[string]Material{}, loosely: map[string]Material{}, moduli: map[string][]modulus{}, strengths: map[string][]strength{}}
	for _, r := range table(materialsCSV) {
		m := Material{r[0], r[1], number(r[2]), number(r[3]), number(r[4]), number(r[5])}
		k.list = append(k.list, m)
		for _, n := range append([]string{m.Key, m.Name}, strings.Split(r[6], ";")...) {
			k.names[plain(n)] = m
		}
		for n := range strings.SplitSeq(r[7], ";") {
			k.loosely[plain(n)] = m
		}
	}
	for _, r := range table(moduliCSV) {
		k.moduli[r[0]] = append(k.moduli[r[0]], modulus{scaled(r[1], 1000), number(r[2]), number(r[3])})
	}
	for _, r := range table(strengthsCSV) {
		k.strengths[r[1]] = append(k.strengths[r[1]], strength{r[0], scaled(r[2], 1000), scaled(r[3], 1000), number(r[4]), number(r[5])})
	}
	return k
})

func number(text string) float64 {
	f, _ := strconv.ParseFloat(text, 64)
	return f
}

// plain returns the letters and digits of a text in lower case.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
}

// Materials returns all materials, wire for springs first. The slice is the
// caller's.
func Materials() []Material { return slices.Clone(known().list) }

// MaterialOf returns the material of a standard's number or a trade word, in any
// case. A word that says little, such as steel, is taken for the usual material
// of the class, and loosely is true. It returns false for a word that is none.
func MaterialOf(text, class string) (m Material, loosely, ok bool) {
	k, word := known(), plain(text)
	if m, ok = k.names[word]; ok && word != "" {
		return m, false, true
	}
	m, ok = k.loosely[word]
	if !ok || word == "" {
		return Material{}, false, false
	}
	if m.Key == "A228" {
		m = UsualMaterial(class)
	}
	return m, true, true
}

// UsualMaterial returns what a spring of a class is made of where nothing is
// said: steel strip where it is made of strip, else music wire.
func UsualMaterial(class string) Material {
	if !Wound(class) {
		return known().names["a684"]
	}
	return known().names["a228"]
}

// moduli returns the shear modulus G and Young's modulus E of a material in GPa.
// Those of music and hard drawn wire fall with the wire, which is in
// micrometres. Either is 0 where it is not known.
func (m Material) moduli(wire int64) (g, e float64) {
	for _, x := range known().moduli[m.Key] {
		if x.upTo == 0 || wire <= x.upTo {
			return x.g, x.e
		}
	}
	return 0, 0
}

// strength is the line of a family of tables for wire of a diameter in micrometres.
// inside says whether the size is among those the table is made for; outside it the
// nearest line is drawn out. It returns false where the family has no line.
func (m Material) strength(family string, wire int64) (best strength, inside, ok bool) {
	for _, s := range known().strengths[m.Key] {
		if s.family == family && (!ok || wire > best.to && best.to != 0) {
			best, ok = s, true
		}
	}
	inside = wire >= best.from && (best.to == 0 || wire <= best.to)
	return best, inside, ok && wire > 0
}

// at is the tensile strength in MPa of wire of a diameter in mm; no number where
// there is no line.
func (s strength) at(wire float64) float64 {
	if s.a == 0 {
		return math.NaN()
	}
	return s.a / math.Pow(wire, s.exponent)
}
