package paper

import (
	"strings"

	"tinful/store/square"
)

// quiet is how many modules must be blank around a code: ISO/IEC 18004, 6.3.8.
const quiet = 4

// dot is the smallest step in which modules are made: a dot of a printer with 300 to
// the inch, so that it prints all of them alike.
const dot = 25.4 / 300

// newSquare makes the code of a label, a quarter of which may be lost; it is nil for a text
// that is too long for one.
func newSquare(text string) *square.Code { return square.New(strings.ToUpper(text), square.Q) }

// moduleOf is the largest module with which a code of n a side and the blank around it
// have room in a side; 0 where they have none.
func moduleOf(n int, side float64) float64 {
	m := side / float64(n+2*quiet)
	return float64(int(m/dot+1e-9)) * dot
}

// squarePath is a code with its upper left corner at x, y.
func squarePath(s *square.Code, x, y, module float64) (p path) {
	for row := range s.N {
		for from := 0; from < s.N; from++ {
			to := from
			for to < s.N && s.Dark(to, row) {
				to++
			}
			if to > from {
				p = append(p, box(x+float64(from)*module, y+float64(row)*module, float64(to-from)*module, module)...)
				from = to
			}
		}
	}
	return p
}

// Square is the square code of a text as lines of a terminal, for a phone that is held
// before it: two rows of modules a line, what is light drawn. It is empty for a text that
// is too long for one.
func Square(text string) string {
	s := square.New(text, square.M) // a screen has no smudges
	if s == nil {
		return ""
	}
	light := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return x < 0 || y < 0 || x >= s.N || y >= s.N || !s.Dark(x, y)
	}
	var b strings.Builder
	for y := 0; y < s.N+2*quiet; y += 2 {
		for x := range s.N + 2*quiet {
			below := y+1 < s.N+2*quiet && light(x, y+1)
			b.WriteString(map[[2]bool]string{{true, true}: "█", {true, false}: "▀", {false, true}: "▄"}[[2]bool{light(x, y), below}])
			if !light(x, y) && !below {
				b.WriteString(" ")
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}
