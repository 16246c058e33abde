package thread

import (
	"fmt"
	"slices"
	"strings"
)

// What [Into] answers.
const (
	Yes   = "yes"
	No    = "no"
	Binds = "binds"
	Open  = "unknown" // it cannot be said: a form is not known
)

// A Fit says whether a screw goes into a hole.
type Fit struct {
	Answer  string // one of the words above
	Why     string // "binds after a few turns: 53 against 60 degrees"
	Caution string // what to heed, empty where there is nothing
}

const (
	neverDrive = "never drive it: soft brass gives way and the hole is ruined; compare it with a sister screw against the light"
	byHand     = "start it by hand, and stop if it tightens in the first turns"
)

// A screw is taken for too thick, or too thin to hold, where its diameter is
// farther from the hole's than this part of the pitch, in hundredths. Common
// practice, no source: M1.6 and M1.7 are two sizes, 0.015 mm is none.
const loose = 15

// Into says whether the screw of thread a goes into the hole of thread b.
func Into(a, b Thread) Fit {
	size := a.Major - b.Major
	play := b.Pitch * loose / 100
	switch {
	case a.Form == "" || b.Form == "":
		return Fit{Open, "no thread is recorded", ""}
	case a.Left != b.Left:
		return Fit{No, fmt.Sprintf("it does not start: %s into %s", handWord(a), handWord(b)), ""}
	case size > play:
		return Fit{No, fmt.Sprintf("it does not start: %s mm too thick", Micro(size)), neverDrive}
	case -size >= b.Major-b.hole():
		return Fit{No, "it drops through: it is thinner than the hole", ""}
	case distance(a.Pitch, b.Pitch) > samePitch:
		return pitchFit(a, b)
	case a.Form == Unknown || b.Form == Unknown:
		return Fit{Open, "a form is not known: look at the flanks (60, 55, 53 or 47.5 degrees)", neverDrive}
	case flank(a.Form) != flank(b.Form):
		return Fit{Binds, "binds after a few turns: " + against(a, b), neverDrive}
	case -size > play:
		return Fit{No, fmt.Sprintf("it turns in and does not hold: %s mm too thin", Micro(-size)), "it strips when it is tightened"}
	}
	return sameFit(a, b)
}

// samePitch is what two names of one pitch may differ by, rounding an inch.
const samePitch = 500

// hole is the diameter that a hole is bored to.
func (t Thread) hole() int64 { return t.Nut().Minor.Min }

func handWord(t Thread) string {
	if t.Left {
		return "LEFT-HAND"
	}
	return "right-hand"
}

func flank(form string) float64 {
	f, _ := Flank(form)
	return f
}

// FlankWord returns the flank angle of a form as people say it, "53" for 53
// degrees 8 minutes, and nothing for a form that is not known.
func FlankWord(form string) string {
	f, ok := Flank(form)
	switch {
	case !ok:
		return ""
	case form == Loewenherz:
		return "53"
	}
	return fmt.Sprint(f)
}

func against(a, b Thread) string {
	return fmt.Sprintf("%s against %s degrees", FlankWord(a.Form), FlankWord(b.Form))
}

// pitchFit says after how many turns two pitches have used up the play along the
// axis, taken for a tenth of the pitch: 0.0231 mm a turn on 1 mm bind after four.
// The tenth is common practice, no source.
func pitchFit(a, b Thread) Fit {
	apart := distance(a.Pitch, b.Pitch)
	turns := (b.Pitch/10 + apart/2) / apart
	text := fmt.Sprintf("pitch %s against %s mm", Micro(a.Pitch), Micro(b.Pitch))
	if f, o := flank(a.Form), flank(b.Form); f != 0 && o != 0 && f != o {
		text += " and " + against(a, b)
	}
	when := fmt.Sprintf("after about %d turns", turns)
	if turns <= 1 {
		when = "within the first turns"
	} else if strings.Contains(text, "degrees") {
		when = "after a few turns"
	}
	return Fit{Binds, "binds " + when + ": " + text, neverDrive}
}

// sameFit is the answer for two threads of one flank, pitch and diameter.
func sameFit(a, b Thread) Fit {
	f := Fit{Yes, "one form, one diameter, one pitch", byHand}
	if a.Form != b.Form {
		f.Why = fmt.Sprintf("two names of one size: flank, diameter and pitch are those of %s", b)
	}
	if a.Major != b.Major {
		f.Why = fmt.Sprintf("the flanks and pitches are equal, the diameters %s mm apart", Micro(distance(a.Major, b.Major)))
	}
	if most := a.MostCoat(); most > 0 {
		f.Caution += fmt.Sprintf("; freshly plated, no more than %s mm a side", decimal(most))
	}
	if a.Left {
		f.Caution = "LEFT-HAND: it loosens clockwise; " + f.Caution
	}
	return f
}

// Alike returns the published sizes that are easily taken for t and must never
// be used in its place: see [LookAlike].
func Alike(t Thread) []Thread {
	var out []Thread
	for _, s := range Sizes() {
		s.Left = t.Left
		if LookAlike(t, s) && Into(t, s).Answer != Yes {
			out = append(out, s)
		}
	}
	return out
}

// Mistaken returns the published sizes beside those of [Alike] that one reading of the
// diameter, off by as much as spread, and a pitch gauge can take for t, worn pieces of
// either among them, and that do not go into its hole. Spread is in nanometres.
func Mistaken(t Thread, spread int64) []Thread {
	wide := func(t Thread) Band { return Band{t.Screw().Major.Min - wear - spread, t.Major + spread} }
	var out []Thread
	for _, s := range Sizes() {
		s.Left = t.Left
		if wide(s).meets(wide(t)) && distance(s.Pitch, t.Pitch) <= GaugeSpread && !LookAlike(t, s) && Into(s, t).Answer != Yes {
			out = append(out, s)
		}
	}
	return out
}

// MistakenWords says what else such a reading may be taken for, and what tells it:
// nothing where there is nothing.
func MistakenWords(t Thread, spread int64) string {
	var bits []string
	for _, s := range Mistaken(t, spread) {
		l := s.Screw().Major
		bits = append(bits, fmt.Sprintf("%s (%s to %s, ten %s)", s, Micro(l.Min), Micro(l.Max), ten(s.Pitch)))
	}
	if len(bits) == 0 {
		return ""
	}
	l := t.Screw().Major
	return fmt.Sprintf("easily taken for %s: a micrometer on the outside, %s to %s when new, and the length of ten threads, %s mm, tell",
		And(bits), Micro(l.Min), Micro(l.Max), ten(t.Pitch))
}

// ten is what ten threads measure, in millimetres to a hundredth.
func ten(pitch int64) string { return decimal((10*pitch + 5000) / 10_000 * 10_000) }

// Traps says which of several threads cannot be told by diameter and pitch, what
// decides between them, and what their pitches come to over ten threads. Threads
// are as a reading found them, best first.
func Traps(list []Thread) []string {
	var out []string
	done := map[string]bool{}
	for i, t := range list {
		if done[t.String()] {
			continue
		}
		alike := []Thread{t}
		for _, o := range list[i+1:] {
			if LookAlike(t, o) && t.Left == o.Left && !done[o.String()] && Into(t, o).Answer != Yes {
				alike = append(alike, o)
				done[o.String()] = true
			}
		}
		if len(alike) > 1 {
			out = append(out, cannotBeTold(alike))
		}
	}
	if s := overTen(list); s != "" {
		out = append(out, s)
	}
	return out
}

func cannotBeTold(alike []Thread) string {
	var names, flanks []string
	for _, t := range alike {
		names = append(names, t.String())
		if w := FlankWord(t.Form); w != "" && !slices.Contains(flanks, w) {
			flanks = append(flanks, w)
		}
	}
	text := And(names) + " cannot be told by diameter and pitch: "
	if len(flanks) > 1 {
		text += fmt.Sprintf("look at the flanks (%s degrees), at a sister screw against the light, at the country and age of the camera; "+
			"never drive one into the hole of another: it binds after a few turns and ruins the hole", And(flanks))
	} else {
		text += "compare a sister screw against the light and look at the country and age of the camera; " +
			"never drive one into the hole of another: it tightens the farther it goes in"
	}
	return text
}

// overTen says what ten threads of each pitch measure, where there are several.
func overTen(list []Thread) string {
	by := map[int64][]string{}
	var pitches []int64
	for _, t := range list {
		if by[t.Pitch] == nil {
			pitches = append(pitches, t.Pitch)
		}
		by[t.Pitch] = append(by[t.Pitch], t.String())
	}
	if len(pitches) < 2 {
		return ""
	}
	slices.Sort(pitches)
	var bits []string
	for _, p := range pitches {
		bits = append(bits, fmt.Sprintf("%s mm %s", ten(p), strings.Join(by[p], ", ")))
	}
	return "read over ten threads, the pitch tells some of them: " + strings.Join(bits, "; ")
}

// And joins names as a sentence does: a, b and c.
func And(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
