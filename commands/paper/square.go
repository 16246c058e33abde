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
	code, err := qr.Encode(strings.ToUpper(text), qr.Q, qr.Auto)
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
