package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/words"
)

// CutWords say what arose from a cut.
func CutWords(e store.Entry) string {
	if e.To == "" {
		return "spoilt"
	}
	return "cut into " + words.And(e.Into())
}

// ForWhich is the job or model that something was cut for.
func ForWhich(e store.Entry) string {
	switch {
	case e.Job != "":
		return "for job " + string(e.Job)
	case e.Model != "":
		return "for " + string(e.Model)
	}
	return ""
}

// SpoiltWords say what the slip of the blade cost, and where the panel is cut again.
func SpoiltWords(s ask.Spoilt) (out []string) {
	name := strings.TrimSpace(s.Name)
	if s.Size != "" {
		name = s.Size + " of " + name
	}
	out = append(out, fmt.Sprintf("One %s %s is spoilt: %.0f cm2 of %s are lost.", s.Part, name, s.CM2, s.Sheet))
	thing, job := string(s.Part), ""
	if s.Size != "" {
		thing = s.Size
	}
	if s.Job != "" {
		job = " --job " + string(s.Job)
	}
	switch {
	case s.Left > 0 && s.Job == "":
		out = append(out, fmt.Sprintf("%d more of it %s here.", s.Left, map[bool]string{true: "is", false: "are"}[s.Left == 1]))
	case s.Again.Placed() > 0:
		out = append(out, fmt.Sprintf("It can be cut again from %s: tinful cut %s%s --book", fromWords(s.Again), thing, job))
	default:
		out = append(out, fmt.Sprintf("Nothing that is here has room for another: tinful need %s says what else would do.", s.Part))
	}
	return out
}

// wasteUsual says what the shares are held against. Source: see [ask.Waste].
const wasteUsual = "What lies around the panels counts as waste, and what was spoilt. Usual: 10 to 20 % of what is used up where small panels are cut from a sheet, besides a spare of the largest panel; about half where they are cut from a panel that a camera had. Common practice, from memory."

// Waste tells how much of coverings was waste, by model, grain and month.
func Waste(s *Screen, w ask.Waste) {
	over := 0
	t := s.WideTable("model", "grain", "month", ">cut into", ">used cm2", ">waste", ">spoilt", ">%", "usual %")
	row := func(l ask.WasteLine, month string) {
		model := string(l.Model)
		if model == "" {
			model = "not said"
		}
		grain := l.Grain
		if l.Camera {
			grain = strings.TrimPrefix(grain+", from panels", ", ")
		}
		usual := fmt.Sprintf("%.0f to %.0f", 100*l.Low, 100*l.High)
		if l.Low == l.High {
			usual = fmt.Sprintf("%.0f", 100*l.Low)
		}
		if l.Over {
			usual += ", above"
		}
		t.Row(model, grain, month, fmt.Sprint(l.Pieces), fmt.Sprintf("%.0f", l.Panels+l.Wasted), fmt.Sprintf("%.0f", l.Wasted),
			fmt.Sprintf("%.0f", l.Spoilt), fmt.Sprintf("%.0f", 100*l.Share), usual)
	}
	for _, sum := range w.Sums {
		months := 0
		for _, l := range w.Lines {
			if l.Model == sum.Model && l.Grain == sum.Grain && l.Camera == sum.Camera {
				row(l, l.Month)
				months++
			}
		}
		if months > 1 {
			row(sum, "all")
		}
		if sum.Over {
			over++
		}
	}
	used, wasted := 0.0, 0.0
	for _, l := range w.Sums {
		used, wasted = used+l.Panels+l.Wasted, wasted+l.Wasted
	}
	if used > 0 {
		text := fmt.Sprintf("%.0f of %.0f cm2 of covering that were used up are waste, %.0f %%; ", wasted, used, 100*wasted/used)
		if over == 0 {
			text += "nowhere more than is usual."
		} else {
			text += fmt.Sprintf("%d of %s above what is usual.", over, Many(len(w.Sums), "line"))
		}
		s.Println(Hang(text, s.Columns(), 2))
	}
	s.Listed("by model, grain and month", t)
	s.Println()
	s.Println(Hang(wasteUsual, s.Columns(), 2))
	for _, bag := range w.NoSize {
		s.Notef("%s is left out: its width and length are not recorded", bag)
	}
}
