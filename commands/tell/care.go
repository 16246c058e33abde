package tell

import (
	"slices"
	"strings"

	"tinful/store/ask"
)

// Care prints cautions. What all of them defer to is said once, at the end.
func Care(s *Screen, cautions []string) {
	var out []string
	for _, text := range cautions {
		text = strings.TrimSuffix(text, "; "+ask.Deference)
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	if len(out) > 0 {
		s.Lines("take care", append(out, ask.Deference), true)
	}
}
