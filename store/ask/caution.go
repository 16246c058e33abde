package ask

import (
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/words"
)

// Deference ends every caution.
const Deference = "follow the safety sheet and your local rules"

// A caution is the usual wording for matters that hurt. It is given where a hazard,
// a material or a finish has one of its words, whole: radioactive is not radium.
type caution struct {
	words []string // folded; several words of one are found one behind the other
	text  string
}

// cautions lists the usual wordings. Source: common practice and published notices,
// from memory; what a matter is called on old labels is from memory too.
func cautions() []caution {
	return []caution{
		{[]string{"stored energy", "tension", "wound up"}, "spring under tension: wear eye protection, let the spring down before the screw is removed, hold it with a stick of wood, note the turns"},
		{[]string{"clock spring", "clock springs", "barrel"}, "may fly or cut: open barrels inside a bag"},
		{[]string{"scalpel", "scalpels", "razor blade", "razor blades"}, "cut away from the hand, change blades, blades to a sharps tin"},
		{[]string{"solvent", "solvents", "acetone", "ketone", "ketones", "naphtha", "alcohol", "isopropanol", "ethanol", "methylated spirit", "white spirit", "thinner", "lighter fluid", "lighter fuel", "petrol", "benzine"}, "highly flammable: ventilate, no flame or spark, gloves, used rags in a closed metal can"},
		{[]string{"chlorinated", "trichloroethylene", "carbon tetrachloride"}, "harmful vapour: do not use, hand in"},
		{[]string{"ultraviolet glue", "ultraviolet adhesive", "uv glue", "uv adhesive"}, "hardens in ultraviolet light: shield the eyes from the lamp, gloves, ventilate"},
		{[]string{"verdigris", "green dust"}, "copper salts, somewhat poisonous: do not brush or sand dry, damp wipe, gloves, mask, wash hands"},
		{[]string{"lead", "solder", "old paint"}, "lead: do not file or heat hard, collect filings wet, wash hands, no food at the bench"},
		{[]string{"selenium", "meter", "light meter", "exposure meter"}, "a meter's selenium: the element is of low toxicity, its compounds are dangerous: do not break, heat or grind, bag broken cells"},
		{[]string{"mercury", "button cell", "button cells"}, "mercury cell: do not open, gloves for corroded holders, hand in with button cells, kept apart"},
		{[]string{"thoriated", "thorium", "radioactive glass", "radioactive lens"}, "slightly radioactive lens: do not grind, polish or break, mask and wet wipe for fragments, keep boxed"},
		{[]string{"radium", "luminous dial"}, "radium dial: do not open"},
		{[]string{"flash", "capacitor", "capacitors"}, "capacitor may hold a charge after the cell is out: discharge and check before touching"},
		{[]string{"celluloid", "nitrate", "nitrocellulose"}, "burns fiercely, even without air: keep cool, vented and away from heat, do not seal; sour smell or stickiness means decay"},
		{[]string{"asbestos"}, "asbestos: do not disturb"},
		{[]string{"cadmium"}, "cadmium: do not grind or heat"},
		{[]string{"beryllium"}, "beryllium copper: do not grind or heat"},
		{[]string{"mould", "mildew", "leather dust"}, "mould and dust: mask"},
		{[]string{"foam"}, "old foam turns to sticky tar that creeps into mechanisms: mask"},
		{[]string{"ultrasonic", "ultrasonic bath"}, "no flammable solvent in the tank of an ultrasonic bath"},
		{[]string{"magnet", "magnets"}, "magnet: not near meters, blades, watches or pacemakers"},
	}
}

// Cautions lists the usual cautions for a part, by its hazard, material and finish,
// each deferring to safety sheets and local rules. A spring of strong wire has the
// spring's caution without a hazard, a clock spring its own. A part of a shutter with
// stored energy says to let that shutter down; m is the model it is asked for, or
// none.
func Cautions(p store.Part, m store.Model) []string {
	var out []string
	spring := words.Under(p.Class, "SPR")
	stored := hasWords(p.Hazard, "stored energy")
	if stored && (p.Seat == "shutter" || m.Kind == "shutter") {
		out = append(out, "stored energy: let the shutter down before it is opened")
	}
	if spring && !stored && p.Dims[dim.Wire] >= strongWire {
		out = append(out, usual("stored energy")...)
	}
	hazard := usual(p.Hazard)
	if len(hazard) == 0 && p.Hazard != "" {
		hazard = []string{p.Hazard}
	}
	out = append(out, hazard...)
	for _, f := range []dim.Field{dim.Material, dim.Finish} {
		out = append(out, usual(p.Marks[f])...)
	}
	if p.Class == "SPR-SPI" {
		out = append(out, usual("clock spring")...)
	}
	return deferring(out)
}

// ModelCautions lists the usual cautions for a camera, shutter or lens by its own
// hazard: a meter, a flash, glass.
func ModelCautions(m store.Model) []string {
	out := hazards(m)
	for i, text := range out {
		out[i] = string(m.Code) + ": " + text
	}
	return deferring(out)
}

// hazards are the usual wordings for what a model has in it, else its own word.
func hazards(m store.Model) []string {
	out := usual(m.Hazard)
	if len(out) == 0 && m.Hazard != "" {
		out = []string{m.Hazard}
	}
	return out
}

// deferring ends each caution with what decides, and leaves out repeats.
func deferring(list []string) []string {
	var out []string
	for _, text := range list {
		if text += "; " + Deference; !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// usual are the wordings that a text asks for.
func usual(text string) []string {
	var out []string
	for _, c := range cautions() {
		if hasWords(text, c.words...) {
			out = append(out, c.text)
		}
	}
	return out
}

// hasWords tells whether a text has one of some words or rows of words, whole.
func hasWords(text string, any ...string) bool {
	have := " " + strings.Join(words.Tokens(text), " ") + " "
	return slices.ContainsFunc(any, func(w string) bool { return strings.Contains(have, " "+words.Fold(w)+" ") })
}
