package tell

import (
	"fmt"
	"strings"

	"tinful/store"
)

// WantFor is whom a want is for, in words.
func WantFor(w store.Want) string {
	switch {
	case w.Job != "":
		return strings.Join(Filled("for job "+string(w.Job), string(w.Model)), ", ")
	case w.Model != "":
		return "for " + string(w.Model)
	}
	return ""
}

// WantRow is a want as a row: day, part, name, for whom, what became of it.
func WantRow(name Namer, w store.Want) []string {
	state := "open"
	switch {
	case w.Instead != "":
		state = fmt.Sprintf("done instead %s: %s", w.Met, w.Instead)
	case w.Met != 0:
		state = "met " + w.Met.String()
	}
	return []string{w.Date.String(), string(w.Part), name(w.Part), strings.TrimPrefix(WantFor(w), "for "), strings.Join(Filled(state, w.Note), "; ")}
}

// WantAnswer is a want as JSON.
func WantAnswer(w store.Want) map[string]any {
	a := Known(map[string]any{"day": w.Date, "part": w.Part, "model": w.Model, "job": w.Job, "met": w.Met, "instead": w.Instead, "note": w.Note})
	a["open"] = w.Met == 0
	return a
}
