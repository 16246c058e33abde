package tell

import "tinful/store/ask"

// Weighed tells how many pieces a pile is by weight, and what would settle it.
func Weighed(s *Screen, w ask.Weighing) {
	s.Println(w.Says)
	for _, text := range append(w.Why, w.Settle...) {
		s.Println(Indented(text, s.Columns(), 2, 0))
	}
}
