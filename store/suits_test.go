package store

import "testing"

// What is not known stands against nothing; thickness counts by the rim. By hand.
func TestSuits(t *testing.T) {
	panel := Panel{Grain: "fine", Colour: "black", Most: 350}
	for _, tt := range []struct {
		sheet Sheet
		want  Suit
	}{
		{Sheet{Grain: "Fine", Colour: "black", Thick: 350}, Suit{}},
		{Sheet{}, Suit{}},
		{Sheet{Grain: "hard", Colour: "black", Thick: 300}, Suit{Grain: true}},
		{Sheet{Grain: "fine", Colour: "brown"}, Suit{Colour: true}},
		{Sheet{Grain: "fine", Thick: 500}, Suit{Thin: 150}},
		{Sheet{Thick: 500, Material: "Vinyl, backed"}, Suit{Thin: 150, Never: true}},
		{Sheet{Thick: 350, Material: "vinyl"}, Suit{}},
	} {
		if got := panel.Suits(tt.sheet); got != tt.want {
			t.Errorf("%+v: %+v, want %+v", tt.sheet, got, tt.want)
		}
	}
	if got := (Panel{}).Suits(Sheet{Grain: "fine", Thick: 900}); got != (Suit{}) {
		t.Errorf("of a panel of which nothing is known: %+v", got)
	}
}
