package odds

import (
	"fmt"
	"math"
	"strings"
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

// Body names one of them: a meddled, one of unknown history.
func Body(history string) string {
	switch history {
	case "", "unknown":
		return "a body of unknown history of"
	case "unopened":
		return "an unopened"
	}
	return "a " + history
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

// SayPlan says the planning figure with the bodies of other models that are mixed in,
// or why they are left out. It is empty where none was looked at.
func SayPlan(c Counts) string {
	if c.Sisters.Looked+c.Others.Looked == 0 {
		return ""
	}
	p := Planned(c)
	here := fmt.Sprintf("%d of %d here", c.Own.Missing, c.Own.Looked)
	if c.Own.Looked == 0 {
		here = "None here"
	}
	mixed, apart := []string{here}, []string{}
	for _, x := range []struct {
		Count
		where        string
		weight, most float64
		word         string
	}{
		{c.Sisters, "sister", p.Sisters, sisterMost, "a quarter"},
		{c.Others, "other", p.Others, otherMost, "an eighth"},
	} {
		text := fmt.Sprintf("%d of %d in %s models", x.Missing, x.Looked, x.where)
		switch {
		case x.Looked == 0:
		case x.weight == 0:
			apart = append(apart, text)
		default:
			mixed = append(mixed, text+" ("+countedAs(x.weight*float64(x.Looked), x.most, x.word)+")")
		}
	}
	s := strings.Join(mixed, ", ")
	if len(apart) > 0 {
		s += " but " + strings.Join(apart, " and ") + ": too different, not mixed"
	}
	if len(mixed) == 1 {
		return s + "."
	}
	if len(apart) > 0 {
		return s + fmt.Sprintf("; about %s, %s.", Percent(p.Mean()), p.Interval().Likely())
	}
	return s + fmt.Sprintf(": about %s, %s.", Percent(p.Mean()), p.Interval().Likely())
}

// countedAs says what other bodies count for: n in all, most at most, or each.
func countedAs(n, most float64, each string) string {
	switch {
	case n > most-1e-9 && most == sisterMost:
		return "counted as two bodies"
	case n > 1-1e-9 && n < 1+1e-9:
		return "counted as one body"
	}
	return "each counted as " + each + " of a body"
}

// Says is the chance in words, with its likely range: 74 %, likely above 15 %.
func (c Chance) Says() string {
	if c.Basis == Seen {
		return "seen"
	}
	return Percent(c.Mid) + ", " + Interval{c.Low, c.High}.Likely()
}

// Rests says what a chance rests on where that is little, and nothing else.
func (b Basis) Rests() string {
	switch b {
	case Guess:
		return "nobody looked: a guess"
	case OtherModels:
		return "nobody looked at this model: by bodies of others"
	case Few:
		return "rests on one or two bodies"
	}
	return ""
}

// SayNext says the chance that at least one of the next k bodies has the part.
func (p Plan) SayNext(k int64) string {
	which := "at least one of the next " + inWords(k)
	if k == 1 {
		which = "the next one"
	}
	s := fmt.Sprintf("Chance that %s has it: %s.", which, Of(p, k).Chance(0).Says())
	if rests := p.Basis.Rests(); rests != "" {
		return strings.ToUpper(rests[:1]) + rests[1:] + ". " + s
	}
	return s
}

func inWords(n int64) string {
	if names := [...]string{"none", "one", "two", "three", "four", "five", "six"}; n >= 0 && n < int64(len(names)) {
		return names[n]
	}
	return fmt.Sprint(n)
}

// fewToSay is how many records must be counted before a share of them is said.
const fewToSay = 5

// SayRight says how many of the counted records were right and, of five or more, where
// the share of right ones likely lies.
func SayRight(right, counted int64, what string) string {
	s := fmt.Sprintf("%d %s counted, %d right", counted, what, right)
	if counted < fewToSay {
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
