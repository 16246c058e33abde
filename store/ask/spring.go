package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// A noSpring is a sentence that says why a part cannot be reckoned. Its Unwrap
// returns [store.ErrRefused].
type noSpring string

func (e noSpring) Error() string { return string(e) }
func (e noSpring) Unwrap() error { return store.ErrRefused }

// A SpringLacks says which measures of a part its rate needs that are not recorded,
// as the trade calls them. Its Unwrap returns [store.ErrRefused].
type SpringLacks struct {
	Part     code.Code
	Name     string
	Measures []string
}

// Error names the measures.
func (e *SpringLacks) Error() string {
	return fmt.Sprintf("of %s %s the rate needs %s", e.Part, e.Name, strings.Join(e.Measures, " and "))
}

// Unwrap returns [store.ErrRefused].
func (e *SpringLacks) Unwrap() error { return store.ErrRefused }

// SpringOf turns what is recorded of a part into a spring that can be reckoned,
// each measure with what the tool it is usually read with may be off by. missing
// names, in the trade's words, what the rate needs and the part lacks. It returns
// an error that wraps [store.ErrRefused] for a part of a class whose rate is not
// reckoned, a screw or a wire form. A material that is not recorded is the usual
// one: [SpringNotes] says so.
func SpringOf(p store.Part) (s spring.Spring, missing []string, err error) {
	if !slices.Contains(spring.Classes(), p.Class) {
		return s, nil, noSpring(fmt.Sprintf("%s %s is a %s: rates are reckoned of %s", p.Code, p.Name, words.ClassName(p.Class), SpringKinds(" and ")))
	}
	d := p.Dims
	s = spring.Spring{Class: p.Class, Wire: d[dim.Wire], OD: d[dim.OD], ID: d[dim.ID], Coils: d[dim.Coils],
		FreeLength: cmp.Or(d[dim.FreeLength], d[dim.InsideHooks]), LegA: legOf(d, dim.LegA), LegB: legOf(d, dim.LegB),
		Thick: d[dim.Thick], Width: d[dim.Width], Length: d[dim.Length], Spread: SpreadOf("")}
	switch s.Class {
	case spring.Compression:
		s.Ends, _ = spring.EndsOf(p.Marks[dim.Ends])
	case spring.Extension:
		s.Ends = words.Fold(p.Marks[dim.Ends])
	case spring.Spiral, spring.Hair: // strip is as high as it is wide
		s.Width = cmp.Or(s.Width, d[dim.Height])
	}
	if s.OD == 0 && s.ID > 0 && spring.Wound(s.Class) {
		s.OD = s.ID + 2*s.Wire
	}
	s.Material, _ = springMaterial(p)
	missing = s.Missing()
	if s.Material.Key == "" {
		missing = append(missing, "a material whose modulus is known")
	}
	return s, missing, nil
}

// legOf is a leg of a part, nil where there is none.
func legOf(dims map[dim.Field]int64, f dim.Field) *int64 {
	if n, ok := dims[f]; ok {
		return &n
	}
	return nil
}

// SpringKinds names the springs that can be reckoned, in the trade's words, the last
// two by a word.
func SpringKinds(last string) string {
	var out []string
	for _, class := range spring.Classes() {
		out = append(out, words.ClassName(class)+"s")
	}
	return strings.Join(out[:len(out)-1], ", ") + last + out[len(out)-1]
}

// What is open in every spring: coils are counted to the quarter, a table's modulus
// is good to 2 per cent, a leg leaves its coil somewhere within a millimetre. From
// memory.
const (
	coilsOff   = 125 // thousandths of a turn
	modulusOff = 0.02
	legOff     = 500 // micrometres
)

// SpreadOf returns what the measures of a spring may be off by, when all are read
// with one tool; without one, each with the usual tool for it.
func SpreadOf(tool string) spring.Spread {
	of := func(f dim.Field) int64 { n, _ := dim.Spread(tool, f); return n }
	return spring.Spread{Wire: of(dim.Wire), Across: of(dim.OD), Free: of(dim.FreeLength), Leg: max(of(dim.LegA), legOff), Coils: coilsOff,
		Thick: of(dim.Thick), Width: of(dim.Width), Length: of(dim.Length), Modulus: modulusOff}
}

// springMaterial reads the material of a part, and says what was taken for it.
// The material is none where its word is not known.
func springMaterial(p store.Part) (spring.Material, string) {
	word := p.Marks[dim.Material]
	if word == "" {
		m := spring.UsualMaterial(p.Class)
		return m, fmt.Sprintf("no material is recorded: reckoned as %s %s", m.Name, m.Key)
	}
	m, loosely, ok := spring.MaterialOf(word, p.Class)
	switch {
	case !ok:
		return m, fmt.Sprintf("no modulus of %q is known here", word)
	case loosely:
		return m, fmt.Sprintf("%s is recorded: reckoned as %s %s", word, m.Name, m.Key)
	}
	return m, ""
}

// SpringNotes says what a spring made of a part's record by [SpringOf] takes for
// granted: its material, its clamp. s is that spring, perhaps with measures changed; a
// part without a code is one whose measures were typed.
func SpringNotes(p store.Part, s spring.Spring) []string {
	var out []string
	if m, note := springMaterial(p); p.Code != "" && note != "" && m == s.Material {
		out = append(out, note)
	}
	if s.Class == spring.Flat && p.Code != "" && s.Length == p.Dims[dim.Length] {
		out = append(out, "the whole length counts as free of its clamp")
	}
	return out
}

// strongWire is the wire from which a spring is told to be one that hurts, in
// micrometres: door and main springs. Our own line.
const strongWire = 500

// SpringCautions lists the cautions for a spring: those of the part's record,
// and that of stored energy where the wire is strong or one is to be made.
func SpringCautions(p store.Part, s spring.Spring, making bool) []string {
	out := Cautions(p, store.Model{})
	if making { // common practice, no source
		out = append(out, "wire springs open when it slips or is cut: wear eye protection, hold both ends; "+Deference)
	}
	if s.Wire >= strongWire {
		for _, c := range Cautions(store.Part{Hazard: "stored energy"}, store.Model{}) {
			if !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// GripsPost says that a torsion spring with an inside diameter, in mm, is too
// tight for the post of its part, and nothing where it is not or none is known.
func GripsPost(p store.Part, inside *float64) string {
	post := dim.Number(dim.Post, p.Dims[dim.Post])
	if inside == nil || post == 0 || *inside >= post {
		return ""
	}
	return fmt.Sprintf("its inside is %.2f then: it grips its post of %g", *inside, post)
}
