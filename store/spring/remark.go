package spring

import "fmt"

// odd are remarks on measures that are unusual, and on what is reckoned as nobody
// measured it. The index of 4 to 12 is common practice, no source.
func (s Spring) odd() []string {
	x := s.middle()
	var out []string
	switch c := x.index(); {
	case !Wound(s.Class):
		out = append(out, s.oddStrip()...)
	case c < 4:
		out = append(out, fmt.Sprintf("an index of %.1f is tight: such a coil is hard to wind and its inside is stressed most", c))
	case c > 12:
		out = append(out, fmt.Sprintf("an index of %.1f is slack: such a coil tangles and its diameter is hard to hold", c))
	}
	switch s.Class {
	case Torsion:
		out = append(out, s.oddLegs(x)...)
	case Extension:
		if s.Hooks == nil {
			out = append(out, fmt.Sprintf("hooks count as %.2g coils, between none and 1", x.hooks))
		}
		if s.Start == 0 {
			out = append(out, "the force that pulls it open is not known: forces are those beyond it")
		}
	}
	if _, _, ok := s.strength(); !ok {
		out = append(out, s.noStrength())
	}
	return out
}

// noStrength says that nothing can be said of a set.
func (s Spring) noStrength() string {
	of := "the material"
	if s.Material.Key != "" {
		of = s.Material.Name + " " + s.Material.Key
	}
	return fmt.Sprintf("no strength of %s is known here: whether it takes a set is not said", of)
}

// oddLegs says how far legs count that were not measured.
func (s Spring) oddLegs(x exact) []string {
	d := x.across()
	reckoned := fmt.Sprintf("reckoned as %.2g mm, between none and %.2g", d, 3*d)
	switch {
	case s.LegA == nil && s.LegB == nil:
		return []string{"legs not measured: each is " + reckoned}
	case s.LegA == nil:
		return []string{"leg A not measured: " + reckoned}
	case s.LegB == nil:
		return []string{"leg B not measured: " + reckoned}
	case *s.LegA+*s.LegB > 0:
		return []string{"legs count to their ends: loaded nearer to the coil it is stiffer"}
	}
	return nil
}

// oddStrip are remarks on strip.
func (s Spring) oddStrip() []string {
	var out []string
	if s.Thick > s.Width {
		out = append(out, "it is thicker than wide: look at the measures again")
	}
	if s.Class == Flat {
		return out
	}
	out = append(out, "where its outer end is held fast it is stressed half as much, where that turns on its pin it is a fifth softer")
	if s.Class == Spiral { // common practice, no source
		out = append(out, "coils that lie on each other or on their barrel do not work, and rub: the rate is that of free coils")
	}
	return out
}

// article stands before the kind.
func (s Spring) article() string {
	if s.Class == Extension {
		return "an"
	}
	return "a"
}
