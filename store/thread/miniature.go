package thread

// screwMiniature is the unified miniature screw, whose rule gives its published rows
// to a micrometre: maxima D, D - 0.649519 P, D - 1.2 P, tolerances 0.12 P + 0.006,
// 0.08 P + 0.008, 0.16 P + 0.008 mm.
func (t Thread) screwMiniature() Limits {
	return Limits{
		Source:    "ASME B1.10M",
		Major:     below(t.Major, millionths(t.Pitch, 120_000)+6_000),
		Effective: below(t.effective(), millionths(t.Pitch, 80_000)+8_000),
		Minor:     below(t.Major-millionths(t.Pitch, 1_200_000), millionths(t.Pitch, 160_000)+8_000),
	}
}

// holeMiniature is the unified miniature hole, whose rule gives its published rows to
// a micrometre: minima D - 1.04 P and D - 0.649519 P, tolerances 0.32 P + 0.012 and
// 0.08 P + 0.008 mm.
func (t Thread) holeMiniature() Limits {
	return Limits{
		Source:    "ASME B1.10M",
		Minor:     above(t.Major-millionths(t.Pitch, 1_040_000), millionths(t.Pitch, 320_000)+12_000),
		Effective: above(t.effective(), millionths(t.Pitch, 80_000)+8_000),
	}
}

// small tells a metric size of watch and meter work: those of ISO 1501, and what is
// too small for the tolerances of ISO 965-1. Its screws are those of ASME B1.10M,
// which has the same sizes and whose tables are printed for metric ones too; the
// tolerances of ISO 1501 itself were not read.
func (t Thread) small() bool {
	return t.Major <= 1_400_000 && (!t.general() || t.listing().s)
}

func (t Thread) screwsSmall() []Limits {
	if !t.small() {
		return nil
	}
	return []Limits{t.screwMiniature()}
}

// holesSmall are the hole of ISO 1501, whose least minor diameter is D - 0.96 P, and
// the one of ASME B1.10M, which begins deeper.
func (t Thread) holesSmall() []Limits {
	if !t.small() {
		return nil
	}
	mini := t.holeMiniature()
	if !t.listing().s {
		return []Limits{mini}
	}
	iso := mini
	iso.Source, iso.Minor.Min = "ISO 1501", t.Major-millionths(t.Pitch, 960_000)
	return []Limits{iso, mini}
}
