package store

import (
	"slices"
	"strings"

	"tinful/store/words"
)

// A Suit says what stands against cutting a panel from a sheet, besides its size. What
// nobody said of either stands against nothing.
type Suit struct {
	Grain, Colour bool  // the sheet has another
	Thin          int64 // so much has to be taken off its thickness, in micrometres
	Never         bool  // and a covering like it is not thinned
}

// Suits says how the covering of a sheet suits a panel. Artificial coverings are not
// thinned (common practice).
func (p Panel) Suits(s Sheet) Suit {
	other := func(a, b string) bool { return a != "" && b != "" && !strings.EqualFold(a, b) }
	out := Suit{Grain: other(p.Grain, s.Grain), Colour: other(p.Colour, s.Colour)}
	if p.Most > 0 && s.Thick > p.Most {
		out.Thin = s.Thick - p.Most
		out.Never = slices.ContainsFunc(words.Tokens(s.Material), func(w string) bool { return slices.Contains(artificial, w) })
	}
	return out
}

var artificial = []string{"leathercloth", "leatherette", "vulcanite", "vinyl", "plastic", "paper"}
