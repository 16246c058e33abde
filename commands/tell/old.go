package tell

import (
	"fmt"
	"strings"

	"tinful/store"
)

// Olds prints a customer's old pieces, numbered.
func Olds(s *Screen, name Namer, olds []store.Old) {
	t := s.WideTable()
	for i, o := range olds {
		t.Row(fmt.Sprintf(":%d", i+1), OldName(name, o), o.Why, FateWords(o))
	}
	s.Listed("the customer's old pieces", t)
}

// OldName is an old piece in words.
func OldName(name Namer, o store.Old) string {
	text := o.Piece
	if o.Part != "" {
		text = fmt.Sprintf("%s %s", o.Part, name(o.Part))
	}
	if o.Quantity != 1 {
		text = fmt.Sprintf("%d %s", o.Quantity, text)
	}
	return text
}

// FateWords say what became of an old piece.
func FateWords(o store.Old) string {
	text := ""
	switch o.Fate {
	case "returned":
		text = "handed back " + o.Settled.String()
	case "refused":
		text = fmt.Sprintf("not wanted back (%s)", o.Settled)
	case "envelope":
		text = "in envelope " + o.Where
	case "lost":
		text = "lost here " + o.Day.String()
	default:
		text = "lies here"
	}
	if o.Settled != 0 && o.Fate != "returned" && o.Fate != "refused" {
		text += ", settled " + o.Settled.String()
	}
	return strings.Join(Filled(text, o.Note), "; ")
}

// OldAnswers are old pieces as JSON.
func OldAnswers(olds []store.Old) []map[string]any {
	out := []map[string]any{}
	for i, o := range olds {
		a := Known(map[string]any{"part": o.Part, "piece": o.Piece, "why": o.Why, "fate": o.Fate, "envelope": o.Where,
			"day": o.Day, "settled": o.Settled, "by": o.By, "note": o.Note})
		a["line"], a["number"], a["quantity"], a["open"] = i+1, o.Nth, o.Quantity, o.Open()
		out = append(out, a)
	}
	return out
}
