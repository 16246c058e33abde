package ask

import (
	"cmp"
	"errors"
	"fmt"
	"math"
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

// SpringOf turns what is recorded of a part into a spring that can be reckoned,
// each measure with what the tool it is usually read with may be off by. missing
// names, in the trade's words, what the rate needs and the part lacks. It returns
// an error that wraps [store.ErrRefused] for a part of a class whose rate is not
// reckoned, a screw or a clock spring. A material that is not recorded is the
// usual one: [SpringNotes] says so.
func SpringOf(p store.Part) (s spring.Spring, missing []string, err error) {
	if !slices.Contains(reckoned, p.Class) {
		return s, nil, noSpring(fmt.Sprintf("%s %s is a %s: rates are reckoned of compression, extension, torsion and flat springs",
			p.Code, p.Name, words.ClassName(p.Class)))
	}
	d := p.Dims
	s = spring.Spring{Class: p.Class, Wire: d[dim.Wire], OD: d[dim.OD], Coils: d[dim.Coils],
		FreeLength: cmp.Or(d[dim.FreeLength], d[dim.InsideHooks]), Thick: d[dim.Thick], Width: d[dim.Width], Length: d[dim.Length],
		Spread: SpreadOf("")}
	if s.OD == 0 && d[dim.ID] > 0 {
		s.OD = d[dim.ID] + 2*s.Wire
	}
	if s.Class == spring.Compression {
		s.Ends, _ = spring.EndsOf(p.Marks[dim.Ends])
	}
	s.Material, _ = springMaterial(p)
	missing = s.Missing()
	if s.Material.Key == "" {
		missing = append(missing, "a material whose modulus is known")
	}
	return s, missing, nil
}

var reckoned = []string{spring.Compression, spring.Extension, spring.Torsion, spring.Flat}

// SpreadOf returns what the measures of a spring may be off by, in micrometres,
// when all are read with one tool; without one, each with the usual tool for it.
func SpreadOf(tool string) spring.Spread {
	of := func(f dim.Field) int64 { n, _ := dim.Spread(tool, f); return n }
	return spring.Spread{Wire: of(dim.Wire), Across: of(dim.OD), Thick: of(dim.Thick), Width: of(dim.Width), Length: of(dim.Length)}
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
// granted: its material, its legs, its clamp. s is that spring, perhaps with
// measures changed; a part without a code is one whose measures were typed.
func SpringNotes(p store.Part, s spring.Spring) []string {
	var out []string
	if m, note := springMaterial(p); p.Code != "" && note != "" && m == s.Material {
		out = append(out, note)
	}
	legs := s.LegTurns(p.Dims[dim.LegA], p.Dims[dim.LegB])
	switch {
	case s.Class == spring.Torsion && s.Check() == nil && legs > 0:
		out = append(out, fmt.Sprintf("the rate is that of the coils; the legs bend too and make it about %.0f %% softer", 100*legs/(legs+s.ActiveCoils())))
	case s.Class == spring.Flat && p.Code != "" && s.Length == p.Dims[dim.Length]:
		out = append(out, "the whole length is taken as free of its clamp: --length says how much is")
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
		out = append(out, "wire springs open when it slips or is cut: wear eye protection, hold both ends; "+deference)
	}
	if s.Wire >= strongWire && !strings.Contains(strings.ToLower(p.Hazard), "stored energy") {
		out = append(out, Cautions(store.Part{Hazard: "stored energy"}, store.Model{})...)
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
	return fmt.Sprintf("its inside is %.4g then: it grips its post of %g", *inside, post)
}

// SpringTraps says why o, a spring s, does not take the place of p whatever their
// rates: the other hand, or a post it does not go over.
func SpringTraps(p, o store.Part, s spring.Spring) []string {
	var out []string
	if a, b := hand(p.Marks[dim.Hand]), hand(o.Marks[dim.Hand]); p.Class == spring.Torsion && a != "" && b != "" && a != b {
		out = append(out, fmt.Sprintf("%s is wound %s-hand and %s %s-hand: neither takes the other's place", p.Code, a, o.Code, b))
	}
	if post := p.Dims[dim.Post]; !overPost(s, post) {
		out = append(out, fmt.Sprintf("%s does not go over the post of %s, %s: its inside is %s", o.Code, p.Code, dim.Format(dim.Post, post), dim.Format(dim.ID, s.OD-2*s.Wire)))
	}
	return out
}

// An Alike is a part whose spring behaves like another.
type Alike struct {
	Part       code.Code `json:"part"`
	Name       string    `json:"name"`
	Class      string    `json:"class"`
	OnHand     int64     `json:"on_hand"`
	Free       int64     `json:"free"`
	Rate       float64   `json:"rate"`
	RateUnit   string    `json:"rate_unit"`
	Percent    float64   `json:"percent"` // of the rate, against the part asked for
	Sure       bool      `json:"sure"`    // false: the tool may be off by all the difference
	Hand       string    `json:"hand,omitempty"`
	Inside     *float64  `json:"inside,omitempty"` // mm
	Difference []string  `json:"difference,omitempty"`
}

// Alikes is the answer of [LikeSpring], nearest rate first.
type Alikes struct {
	Within  float64  `json:"within"`         // per cent
	Post    *float64 `json:"post,omitempty"` // mm, over which the part goes
	Like    []Alike  `json:"like"`
	Traps   []string `json:"traps,omitempty"`
	Lacking []string `json:"lacking,omitempty"` // parts that could not be reckoned, with what they lack
}

// LikeSpring looks for the parts of the same class whose rate is within so many
// per cent of the part's and that go over the same post. The opposite hand of a
// torsion spring is a trap and never a hit.
func LikeSpring(v *store.View, p store.Part, within float64) (Alikes, error) {
	out := Alikes{Within: within, Like: []Alike{}}
	s, err := mustSpring(p)
	if err != nil {
		return out, err
	}
	if post := p.Dims[dim.Post]; post > 0 {
		mm := dim.Number(dim.Post, post)
		out.Post = &mm
	}
	for _, c := range v.PartsOfClass(p.Class, true) {
		o, err := v.Part(c)
		if err != nil {
			return out, err
		}
		if o.Code == p.Code || o.Code != c { // itself, or a second name
			continue
		}
		if err := out.consider(v, p, s, o); err != nil {
			return out, err
		}
	}
	slices.SortFunc(out.Like, func(a, b Alike) int {
		return cmp.Or(cmp.Compare(math.Abs(a.Percent), math.Abs(b.Percent)), cmp.Compare(a.Part, b.Part))
	})
	return out, nil
}

// mustSpring is [SpringOf] for a question that needs the rate.
func mustSpring(p store.Part) (spring.Spring, error) {
	s, missing, err := SpringOf(p)
	if err == nil && len(missing) > 0 {
		err = noSpring(fmt.Sprintf("of %s %s the rate needs %s: tinful edit %s records it", p.Code, p.Name, strings.Join(missing, " and "), p.Code))
	}
	if err == nil {
		err = s.Check()
	}
	if errors.Is(err, spring.ErrShape) {
		err = noSpring(fmt.Sprintf("%s: %v", p.Code, err))
	}
	return s, err
}

// consider adds a part to the answer where it belongs there.
func (out *Alikes) consider(v *store.View, p store.Part, s spring.Spring, o store.Part) error {
	os, missing, err := SpringOf(o)
	if err != nil {
		return nil // of a class below that is not reckoned
	}
	if len(missing) > 0 {
		out.Lacking = append(out.Lacking, fmt.Sprintf("%s (%s)", o.Code, strings.Join(missing, ", ")))
		return nil
	}
	d, err := spring.Compare(s, os)
	if errors.Is(err, spring.ErrShape) {
		out.Lacking = append(out.Lacking, fmt.Sprintf("%s (measures that cannot be)", o.Code))
		return nil
	}
	if err != nil || math.Abs(d.Percent) > out.Within || !overPost(os, p.Dims[dim.Post]) {
		return err
	}
	a, b := hand(p.Marks[dim.Hand]), hand(o.Marks[dim.Hand])
	if p.Class == spring.Torsion && a != "" && b != "" && a != b {
		out.Traps = append(out.Traps, fmt.Sprintf("%s %s behaves alike (%+.0f %%) and is wound %s-hand: never in its place", o.Code, o.Name, d.Percent, b))
		return nil
	}
	f, err := v.Figure(o.Code)
	if err != nil {
		return err
	}
	hit := Alike{Part: o.Code, Name: o.Name, Class: o.Class, OnHand: f.OnHand(), Free: f.Free(), Rate: math.Round(os.Rate()*1e6) / 1e6, RateUnit: "N/mm",
		Percent: d.Percent, Sure: d.Sure, Hand: b, Difference: springDifferences(p, o)}
	if p.Class == spring.Torsion {
		hit.RateUnit = "N mm/rad"
		if a == "" || b == "" {
			hit.Difference = append(hit.Difference, "the hand is not recorded of both: look")
		}
	}
	if p.Class != spring.Flat {
		in := float64(os.OD-2*os.Wire) / 1000
		hit.Inside = &in
	}
	out.Like = append(out.Like, hit)
	return nil
}

// overPost tells whether a spring goes over a post, in micrometres, 0 for none.
func overPost(s spring.Spring, post int64) bool {
	return s.Class == spring.Flat || post == 0 || s.OD-2*s.Wire >= post
}

// springDifferences says by which measures o differs from p.
func springDifferences(p, o store.Part) []string {
	var out []string
	for _, f := range []dim.Field{dim.Wire, dim.OD, dim.Coils, dim.LegA, dim.LegB, dim.Angle, dim.FreeLength, dim.InsideHooks, dim.Thick, dim.Width, dim.Length} {
		want, asked := p.Dims[f]
		n, measured := o.Dims[f]
		switch {
		case asked && !measured:
			out = append(out, dim.Of(f).Name()+" not recorded")
		case asked && n != want:
			differs, _ := difference(dim.Of(f).For(p.Class), "", want, n)
			out = append(out, differs.Text)
		}
	}
	return out
}
