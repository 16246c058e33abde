package tell

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// A SpringAnswer is what is said of one spring. Its JSON names are for scripts.
type SpringAnswer struct {
	Part code.Code `json:"part,omitempty"`
	Name string    `json:"name,omitempty"`
	spring.Figures
	Notes    []string `json:"notes,omitempty"`
	Cautions []string `json:"cautions,omitempty"`

	Measures spring.Spring `json:"-"` // from which the figures follow
}

// Spring prints what is known of a spring.
func Spring(s *Screen, a SpringAnswer) {
	s.Println(strings.Join(Filled(strings.Join(Filled(string(a.Part), a.Name), " "), words.ClassName(a.Class)), ", "))
	s.Show(springFacts(s, a))
	s.Lines("note", slices.Concat(a.Remarks, a.Notes), false)
	Care(s, a.Cautions)
}

// springFacts are the figures of a spring, a line each.
func springFacts(s *Screen, a SpringAnswer) *Table {
	p, m := s.WideTable(), a.Measures
	why := map[bool]string{true: ", as coils rub and measures are good to their tool"}
	p.Fact("rate", rateWords(a.Figures)+why[a.Class == spring.Torsion])
	p.Fact("", shortly("%s N mm a turn as spring makers reckon, with the friction of coils (10.8)", a.PerTurn))
	p.Fact("measured", spreadWords(m))
	p.Fact("coil", coilWords(a.Figures))
	p.Fact("strip", shortly("%s mm long", a.Strip))
	modulus := map[bool]string{true: "G", false: "E"}[a.Class == spring.Compression || a.Class == spring.Extension]
	p.Fact("material", strings.Join(Filled(strings.TrimSpace(m.Material.Name+" "+m.Material.Key), fmt.Sprintf("%s %s GPa", modulus, short(a.Modulus))), ", "))
	if a.Strength != nil {
		p.Fact("strength", fmt.Sprintf("%s MPa (%s)", short(*a.Strength), a.Family))
	}
	p.Fact("takes a set", setWords(a.Figures))
	p.Fact("solid", strings.Join(Filled(shortly("%s long", a.Solid), ranged("by %s N", a.SolidAt, a.SolidAtLow, a.SolidAtHigh),
		shortly("without a set from a free length of %s at most", a.Safe)), ", "))
	p.Fact("bows out", shortly("from a free length of %s between two plates", a.Buckling))
	p.Fact(loadWords(a.Figures))
	return p
}

// rateWords is the rate of the whole spring and what its coils alone would make.
func rateWords(f spring.Figures) string {
	dec := decimals(f.Rate, f.RateLow, f.RateHigh)
	text := fixed(f.Rate, dec) + " " + f.RateUnit
	switch {
	case f.CoilRate == nil:
	case f.LegTurns != nil && *f.LegTurns > 0:
		text += fmt.Sprintf(" with its legs (coils alone %s)", fixed(*f.CoilRate, dec))
	case f.HookCoils != nil && *f.HookCoils > 0:
		text += fmt.Sprintf(" with its hooks (coils alone %s)", fixed(*f.CoilRate, dec))
	}
	return text + fmt.Sprintf(", between %s and %s", fixed(f.RateLow, dec), fixed(f.RateHigh, dec))
}

func coilWords(f spring.Figures) string {
	active := shortly("%s coils work", f.Active)
	switch {
	case f.LegTurns != nil && *f.LegTurns > 0:
		active += shortly(", %s of them its legs", f.LegTurns)
	case f.HookCoils != nil && *f.HookCoils > 0:
		active += shortly(", %s of them its hooks", f.HookCoils)
	}
	return strings.Join(Filled(shortly("mean %s", f.Mean), shortly("index %s", f.Index), active), ", ")
}

// setWords says from what on the spring takes a set, an extension spring where its
// hook or its coil is the first to.
func setWords(f spring.Figures) string {
	force := ranged("%s N", f.SetForce, f.SetForceLow, f.SetForceHigh)
	switch {
	case f.Set == nil:
		return ""
	case f.Class == spring.Extension:
		return "at " + force
	}
	return fmt.Sprintf("at %s MPa, that is %s", short(*f.Set), force+ranged("%s N mm", f.SetTorque, f.SetTorqueLow, f.SetTorqueHigh))
}

// loadWords says what the spring does under its load.
func loadWords(f spring.Figures) (name, text string) {
	bits := Filled(ranged("%s N", f.Force, f.ForceLow, f.ForceHigh), ranged("by %s mm", f.Deflection, f.DeflectionLow, f.DeflectionHigh),
		shortly("at a length of %s", f.Length), ranged("%s N mm", f.Torque, f.TorqueLow, f.TorqueHigh),
		ranged("by %s degrees", f.Angle, f.AngleLow, f.AngleHigh), insideWords(f))
	if f.Stress == nil {
		return "free", strings.Join(bits, ", ")
	}
	bits = append(bits, ranged("stressed %s MPa", f.Stress, f.StressLow, f.StressHigh))
	bits = append(bits, Filled(shortly("its hook %s MPa", f.HookBending), shortly("%s MPa where the hook leaves the body", f.HookTwist))...)
	if f.Share != nil && f.ShareLow != nil {
		bits = append(bits, interval("%s %% of what makes it take a set", 100**f.Share, 100**f.ShareLow, 100*bound(f.ShareHigh), 0))
	}
	if f.AtSolid {
		return "pressed solid", strings.Join(bits, ", ")
	}
	return "load", strings.Join(bits, ", ")
}

// insideWords is what is left inside a torsion spring, as a calliper reads it.
func insideWords(f spring.Figures) string {
	if f.Inside == nil {
		return ""
	}
	return fmt.Sprintf("inside %.2f", *f.Inside)
}

// spreadWords says what the tools may be off by, and what that does.
func spreadWords(s spring.Spring) string {
	w := s.Spread
	share := func(n, off int64, power float64) float64 {
		return (math.Pow(float64(n+off)/float64(n), power) - 1) * 100
	}
	if !spring.Wound(s.Class) {
		return fmt.Sprintf("thickness ±%s enters with its third power, that alone is %.0f %%; width ±%s, length ±%s, modulus ±%.0f %%",
			dim.Format(dim.Thick, w.Thick), share(s.Thick, w.Thick, 3), dim.Format(dim.Width, w.Width), dim.Format(dim.Length, w.Length), w.Modulus*100)
	}
	legs := ""
	if s.LegA != nil || s.LegB != nil {
		legs = ", legs ±" + dim.Format(dim.LegA, w.Leg)
	}
	return fmt.Sprintf("wire ±%s enters with its fourth power, that alone is %.0f %%; diameter ±%s, coils ±%s%s, modulus ±%.0f %%",
		dim.Format(dim.Wire, w.Wire), share(s.Wire, w.Wire, 4), dim.Format(dim.OD, w.Across), dim.Format(dim.Coils, w.Coils), legs, w.Modulus*100)
}

// short is a number with three digits, without an exponent: no figure of a spring is
// known closer.
func short(f float64) string {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 3, 64), 64)
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// shortly is a text with such a number in it, nothing for one that is not known.
func shortly(format string, f *float64) string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf(format, short(*f))
}

// ranged is a text with a number in it and its interval behind, with the digits that
// the interval leaves: 1290 MPa (1090 to 1410).
func ranged(format string, f, low, high *float64) string {
	if f == nil || low == nil || high != nil && *low == *high {
		return shortly(format, f)
	}
	return interval(format, *f, *low, bound(high), decimals(*f, *low, bound(high)))
}

// interval is a text with a number in it and what it may be behind; a tool that is too
// coarse leaves no upper end worth a word.
func interval(format string, f, low, high float64, decimals int) string {
	text := fmt.Sprintf(format, fixed(f, decimals))
	if high > 100*f && f > 0 {
		return text + fmt.Sprintf(" (%s or more)", fixed(low, decimals))
	}
	return text + fmt.Sprintf(" (%s to %s)", fixed(low, decimals), fixed(high, decimals))
}

// bound is an upper end, or no end.
func bound(high *float64) float64 {
	if high == nil {
		return math.Inf(1)
	}
	return *high
}

// decimals is how many decimals a number has whose last digit is a tenth of its
// interval or less, and which keeps two digits; less than none for tens and hundreds.
func decimals(f, low, high float64) int {
	switch {
	case high <= low || f == 0:
		return 3
	case math.IsInf(high, 1):
		return 1 - exponent(f)
	}
	return max(-exponent((high-low)/10), 1-exponent(f))
}

// exponent is the power of ten of the first digit.
func exponent(f float64) int { return int(math.Floor(math.Log10(math.Abs(f)))) }

func fixed(f float64, decimals int) string {
	ten := math.Pow(10, float64(decimals))
	return strconv.FormatFloat(math.Round(f*ten)/ten, 'f', max(decimals, 0), 64)
}

// SpringsAnswer is what is said of two springs. Its JSON names are for scripts.
type SpringsAnswer struct {
	Springs []SpringAnswer `json:"springs"`
	spring.Difference
	Traps     store.Reasons      `json:"traps,omitempty"`
	TrapsKind []store.ReasonKind `json:"traps_kind,omitempty"`
}

// Springs prints how the second of two springs differs from the first.
func Springs(s *Screen, a SpringsAnswer) {
	one, two := a.Springs[0], a.Springs[1]
	s.Println(s.Wrapped(fmt.Sprintf("%s against %s: %s", two.Part, one.Part, a.Words())))
	t := s.WideTable()
	for _, x := range a.Springs {
		text := rateWords(x.Figures)
		if _, load := loadWords(x.Figures); x.Stress != nil && !x.AtSolid {
			text += "; " + load
		}
		t.Row(string(x.Part), x.Name, text)
	}
	s.Show(t)
	if len(a.Shares) > 0 {
		bits := Each(a.Shares, func(share spring.Share) string {
			return share.Measure + " " + percentWords(share.Percent)
		})
		s.Println(s.Wrapped("each alone: " + strings.Join(bits, ", ")))
	}
	s.Lines("traps", store.Texts(a.Traps), true)
	s.Lines("note", notesOfTwo(one, two), false)
	Care(s, slices.Compact(slices.Sorted(slices.Values(slices.Concat(one.Cautions, two.Cautions)))))
}

// notesOfTwo are the remarks and notes on two springs, those on both once and those
// on one behind its code.
func notesOfTwo(one, two SpringAnswer) []string {
	first, second := slices.Concat(one.Remarks, one.Notes), slices.Concat(two.Remarks, two.Notes)
	var both, out []string
	for _, text := range first {
		if slices.Contains(second, text) {
			both = append(both, text)
		} else {
			out = append(out, string(one.Part)+": "+text)
		}
	}
	for _, text := range second {
		if !slices.Contains(both, text) {
			out = append(out, string(two.Part)+": "+text)
		}
	}
	return append(out, both...)
}

// percentWords prints a signed number of whole per cent.
func percentWords(p float64) string {
	switch whole := math.Round(p); {
	case p == 0:
		return "0 %"
	case whole == 0:
		return "less than 1 %"
	default:
		return fmt.Sprintf("%+.0f %%", whole)
	}
}
