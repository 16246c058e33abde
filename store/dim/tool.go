package dim

// Tools are the tools a measure may be read with. A card is an old note or list
// from which a figure was copied.
var Tools = []string{"micrometer", "calliper", "rule", "gauge", "eye", "card"}

// spreads are what a length read with a tool may be off by, either way, in
// micrometres. Micrometer and calliper are the greater of the figures benches
// give (0.002 to 0.005 and 0.02 to 0.03 mm). The others are from memory: a card
// written in thousandths of an inch is off by half of one; pin gauges and
// drills come in steps of up to 0.1; a loupe with a scale of tenths reads half
// a tenth, twice that when it is tilted; a rule is read to a quarter.
var spreads = map[string]int64{"micrometer": 5, "calliper": 30, "card": 13, "gauge": 50, "eye": 100, "rule": 250}

// angleSpread is what an angle read from a protractor card, squared paper or a
// photograph may be off by, in thousandths of a degree: the greater of the 2 to
// 5 degrees that benches give.
const angleSpread = 5000

// Spread returns by how much a reading of f with a tool may be off, either way,
// in the unit of the field. Without a tool it is the one that [ToolOf] names.
// The diameter of a thread is read as a length is. It returns false for a tool
// that is none of [Tools], and for a field that is counted or told in words.
func Spread(tool string, f Field) (int64, bool) {
	if tool == "" {
		tool = ToolOf(f)
	}
	length, known := spreads[tool]
	switch k := Of(f).Kind; {
	case !known:
		return 0, false
	case k == KindLength || f == Thread:
		return length, true
	case k == KindAngle:
		return angleSpread, true
	}
	return 0, false
}

// ToolOf returns the tool that f is read with where none is told: a micrometer
// for wire, for the thickness of shims and strip and for a shoulder, else a
// calliper.
func ToolOf(f Field) string {
	switch f {
	case Wire, Thick, Shoulder, ShoulderLength:
		return "micrometer"
	}
	return "calliper"
}

// Wider returns by how much more a reading of f with a tool may be off than one
// with the tool that the tolerances of the table reckon with, in the unit of the
// field: nothing for a finer tool, or for none.
func Wider(tool string, f Field) int64 {
	s, ok := Spread(tool, f)
	usual, _ := Spread("", f)
	if !ok {
		return 0
	}
	return max(0, s-usual)
}
