package paper

import (
	"strings"

	"github.com/boombuler/barcode/qr"
)

// A square is a square code by ISO/IEC 18004, level Q: a quarter of it may be lost.
type square struct {
	n    int
	dark [][]bool // by row, then column
}

// quiet is how many modules must be blank around a code: ISO/IEC 18004, 6.3.8.
const quiet = 4

// dot is the smallest step in which modules are made: a dot of a printer with 300 to
// the inch, so that it prints all of them alike.
const dot = 25.4 / 300

// newSquare makes the code of a text; it is nil for a text that is too long for one.
func newSquare(text string) *square {
	return squareOf(strings.ToUpper(text), qr.Q)
}

func squareOf(text string, level qr.ErrorCorrectionLevel) *square {
	code, err := qr.Encode(text, level, qr.Auto)
	if err != nil || text == "" {
		return nil
	}
	n := code.Bounds().Dx()
	s := &square{n: n, dark: make([][]bool, n)}
	for y := range n {
		s.dark[y] = make([]bool, n)
		for x := range n {
			r, _, _, _ := code.At(x, y).RGBA()
			s.dark[y][x] = r == 0
		}
	}
	return s
}

// module is the largest module with which the code and the blank around it have room
// in a side; 0 where they have none.
func (s *square) module(side float64) float64 {
	m := side / float64(s.n+2*quiet)
	return float64(int(m/dot+1e-9)) * dot
}

// path is the code with its upper left corner at x, y.
func (s *square) path(x, y, module float64) (p path) {
	for row, line := range s.dark {
		for from := 0; from < s.n; from++ {
			to := from
			for to < s.n && line[to] {
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
	s := squareOf(text, qr.M) // a screen has no smudges
	if s == nil {
		return ""
	}
	light := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return x < 0 || y < 0 || x >= s.n || y >= s.n || !s.dark[y][x]
	}
	var b strings.Builder
	for y := 0; y < s.n+2*quiet; y += 2 {
		for x := range s.n + 2*quiet {
			below := y+1 < s.n+2*quiet && light(x, y+1)
			b.WriteString(map[[2]bool]string{{true, true}: "█", {true, false}: "▀", {false, true}: "▄"}[[2]bool{light(x, y), below}])
			if !light(x, y) && !below {
				b.WriteString(" ")
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}
