package thread

// The last BA size that BS 93 gives limits of is 16, with 0.79 mm.
const lastBA = 790_000

// boltsBA are the bolts of BS 93. Normal has an allowance of 0.025 mm and 0.20 P up to
// 10 BA, no allowance and 0.25 P for the smaller ones; close has none and 0.15 P.
func (t Thread) boltsBA() []Limits {
	if t.Major < lastBA {
		return nil
	}
	allow, major := int64(25_000), millionths(t.Pitch, 200_000)
	if t.Major < 1_700_000 {
		allow, major = 0, millionths(t.Pitch, 250_000)
	}
	of := func(n int64) int64 { return millionths(t.Pitch, n) }
	return []Limits{
		{Class: "normal", Source: "BS 93", Major: below(t.Major-allow, major), Effective: below(t.effective()-allow, of(100_000)+25_000),
			Minor: below(t.minor()-allow, of(200_000)+50_000)},
		{Class: "close", Source: "BS 93", Major: below(t.Major, of(150_000)), Effective: below(t.effective(), of(80_000)+20_000),
			Minor: below(t.minor(), of(160_000)+40_000)},
	}
}

// nutsBA is the one nut of BS 93.
func (t Thread) nutsBA() []Limits {
	if t.Major < lastBA {
		return nil
	}
	return []Limits{{Class: "nut", Source: "BS 93", Minor: above(t.minor(), millionths(t.Pitch, 375_000)),
		Effective: above(t.effective(), millionths(t.Pitch, 120_000)+30_000)}}
}
