package thread

import (
	"fmt"
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
	case -size >= b.Major-b.bore():
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

// bore is the diameter that a hole is bored to.
func (t Thread) bore() int64 {
	h, _ := t.hole()
	return h.Minor.Min
}

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
