package odds

import (
	"fmt"
	"math"
)

// Percent is a share as people read it, in whole per cents. What was only not
// yet seen is never called 0 % or 100 %.
func Percent(share float64) string {
	switch n := math.Round(100 * share); {
	case n <= 0:
		return "under 1 %"
	case n >= 100:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", n)
	}
}

// Likely is an interval in words: likely between 45 % and 94 %.
func (i Interval) Likely() string {
	low, high := math.Round(100*i.Low) > 0, math.Round(100*i.High) < 100
	switch {
	case low && high:
		return "likely between " + Percent(i.Low) + " and " + Percent(i.High)
	case low:
		return "likely above " + Percent(i.Low)
	case high:
		return "likely below " + Percent(i.High)
	}
	return "it could be anything"
}

// Bodies names the bodies of a history: meddled bodies, bodies of unknown history.
func Bodies(history string) string {
	if history == "" || history == "unknown" {
		return "bodies of unknown history"
	}
	return history + " bodies"
}

// Say says what a count says: how many of which bodies lacked the part, and where
// the share likely lies. bodies may be empty; where there is no rate to name, of
// which bodies is left to who shows the sentence.
func (c Count) Say(bodies string) string {
	if c.Looked == 0 && bodies != "" {
		return "No " + bodies + " looked at yet."
	}
	s := fmt.Sprintf("%d of %d lacked it", c.Missing, c.Looked)
	i := Wilson(c.Missing, c.Looked)
	switch {
	case c.Looked == 0:
		return "Not looked at yet."
	case !c.Enough():
		return s + ": too few to say."
	case c.Missing == 0:
		return s + "; it could still be as many as " + Percent(i.High) + "."
	case c.Missing == c.Looked:
		return s + "; it could still be as few as " + Percent(i.Low) + "."
	}
	if bodies != "" {
		s = fmt.Sprintf("%d of %d %s lacked it", c.Missing, c.Looked, bodies)
	}
	return s + ": " + Percent(c.Rate()) + ", " + i.Likely() + "."
}

// SayPlan says the planning figure with sister models, or why they are left out.
// It is empty where no sister was looked at.
func SayPlan(own, sisters Count) string {
	p := Planned(own, sisters)
	s := fmt.Sprintf("%d of %d here", own.Missing, own.Looked)
	if own.Looked == 0 {
		s = "None here"
	}
	also := fmt.Sprintf("%d of %d in sister models", sisters.Missing, sisters.Looked)
	switch {
	case sisters.Looked == 0:
		return ""
	case p.Differ:
		return s + " but " + also + ": too different, not mixed."
	}
	return fmt.Sprintf("%s, %s (%s): about %s, %s.", s, also, countedAs(sisters), Percent(p.Mean()), p.Interval().Likely())
}

// countedAs says what sister bodies count for.
func countedAs(sisters Count) string {
	switch n := sisterWeight * float64(sisters.Looked); {
	case n >= sisterMost:
		return "counted as two bodies"
	case n == 1:
		return "counted as one body"
	}
	return "each counted as a quarter of a body"
}

// SayNext says the chance that at least one of the next k bodies has the part.
func (p Plan) SayNext(k int64) string {
	if k == 1 {
		return "Chance that the next one has it: " + Percent(p.OneHas(1)) + "."
	}
	return fmt.Sprintf("Chance that at least one of the next %s has it: %s.", inWords(k), Percent(p.OneHas(k)))
}

func inWords(n int64) string {
	if names := [...]string{"none", "one", "two", "three", "four", "five", "six"}; n >= 0 && n < int64(len(names)) {
		return names[n]
	}
	return fmt.Sprint(n)
}

// SayRight says how many of the counted records were right, and where the share of
// right ones likely lies.
func SayRight(right, counted int64, what string) string {
	s := fmt.Sprintf("%d %s counted, %d right", counted, what, right)
	if counted == 0 {
		return s + "."
	}
	i := Wilson(right, counted)
	switch right {
	case 0:
		return s + "; it could still be as many as " + Percent(i.High) + "."
	case counted:
		return s + "; it could still be as few as " + Percent(i.Low) + "."
	}
	return s + ": " + Percent(float64(right)/float64(counted)) + ", " + i.Likely() + "."
}
