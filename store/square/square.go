// Package square makes and reads square codes by ISO/IEC 18004: a text becomes modules, and
// modules the text. Where on a picture the modules lie is for others to see.
//
// All is computed from the text and a table of sizes; nothing is made before it is asked for.
package square

import "math/bits"

// A Level is how much of a code may be lost.
type Level byte

const (
	L Level = iota // 7 %
	M              // 15 %
	Q              // 25 %
	H              // 30 %
)

// A Code is a square of modules, dark or light.
type Code struct {
	N    int // modules a side
	dark []bool
}

// Blank is a code of n modules a side, all of them light.
func Blank(n int) *Code { return &Code{n, make([]bool, n*n)} }

// Dark says whether the module in column x of row y is dark.
func (c *Code) Dark(x, y int) bool { return c.dark[y*c.N+x] }

// Set makes a module dark or light.
func (c *Code) Set(x, y int, dark bool) { c.dark[y*c.N+x] = dark }

// A version is a size of code, 1 to 40: 4 modules a side more each.
type version int

func (v version) side() int { return 17 + 4*int(v) }

// corrections are the bytes of correction in a block, and blocks the number of blocks,
// by level and version: ISO/IEC 18004, table 9.
var (
	corrections = [4][40]uint8{
		L: {7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30},
		M: {10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26, 26, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28},
		Q: {13, 22, 18, 26, 18, 24, 18, 22, 20, 24, 28, 26, 24, 20, 30, 24, 28, 28, 26, 30, 28, 30, 30, 30, 30, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30},
		H: {17, 28, 22, 16, 22, 28, 26, 26, 24, 28, 24, 28, 22, 24, 24, 30, 28, 28, 26, 28, 30, 24, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30},
	}
	blocks = [4][40]uint8{
		L: {1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25},
		M: {1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16, 17, 17, 18, 20, 21, 23, 25, 26, 28, 29, 31, 33, 35, 37, 38, 40, 43, 45, 47, 49},
		Q: {1, 1, 2, 2, 4, 4, 6, 6, 8, 8, 8, 10, 12, 16, 12, 17, 16, 18, 21, 20, 23, 23, 25, 27, 29, 34, 34, 35, 38, 40, 43, 45, 48, 51, 53, 56, 59, 62, 65, 68},
		H: {1, 1, 2, 4, 4, 4, 5, 6, 8, 8, 11, 11, 16, 16, 18, 16, 19, 21, 25, 25, 25, 34, 30, 32, 35, 37, 40, 42, 45, 48, 51, 54, 57, 60, 63, 66, 70, 74, 77, 81},
	}
)

// bytes is how many bytes a code holds, those of correction too.
func (v version) bytes() int {
	n := (16*int(v)+128)*int(v) + 64
	if v >= 2 {
		marks := int(v)/7 + 2
		n -= (25*marks-10)*marks - 55
	}
	if v >= 7 {
		n -= 36
	}
	return n / 8
}

// layout is how the bytes of a code are parted: so many blocks, the first short ones of
// them with least bytes of data each and the others with one more, and correct bytes of
// correction in each.
func (v version) layout(l Level) (n, short, least, correct int) {
	n, correct = int(blocks[l][v-1]), int(corrections[l][v-1])
	return n, n - v.bytes()%n, v.bytes()/n - correct, correct
}

// data is how many bytes of data a code holds.
func (v version) data(l Level) int {
	n, _, _, correct := v.layout(l)
	return v.bytes() - n*correct
}

// marks are the rows and columns in which the small marks of a code have their middles.
func (v version) marks() (at []int) {
	if v == 1 {
		return nil
	}
	n := int(v)/7 + 2
	step := (int(v)*8 + n*3 + 5) / (n*4 - 4) * 2
	at = []int{6}
	for i := n - 2; i >= 0; i-- {
		at = append(at, v.side()-7-i*step)
	}
	return at
}

// frame is what every code of a version has alike, and which modules hold that, or say
// how the code was made, and so hold no data.
func (v version) frame() (c, taken *Code) {
	n := v.side()
	c, taken = Blank(n), Blank(n)
	put := func(x, y int, dark bool) {
		if x >= 0 && y >= 0 && x < n && y < n {
			c.Set(x, y, dark)
			taken.Set(x, y, true)
		}
	}
	for i := range n { // the lines that count modules
		put(i, 6, i%2 == 0)
		put(6, i, i%2 == 0)
	}
	for _, corner := range [][2]int{{3, 3}, {n - 4, 3}, {3, n - 4}} {
		for dy := -4; dy <= 4; dy++ {
			for dx := -4; dx <= 4; dx++ {
				ring := max(dx, -dx, dy, -dy)
				put(corner[0]+dx, corner[1]+dy, ring != 2 && ring != 4)
			}
		}
	}
	marks := v.marks()
	for i, y := range marks {
		for j, x := range marks {
			if last := len(marks) - 1; i == 0 && (j == 0 || j == last) || i == last && j == 0 {
				continue // a corner
			}
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					put(x+dx, y+dy, max(dx, -dx, dy, -dy) != 1)
				}
			}
		}
	}
	for i := range 15 {
		for _, at := range v.formatAt(i) {
			put(at[0], at[1], false)
		}
	}
	put(8, n-8, true)
	if v >= 7 {
		bits := int(v)<<12 | remainder(int(v)<<12, 0x1f25)
		for i := range 18 {
			x, y := n-11+i%3, i/3
			put(x, y, bits>>i&1 == 1)
			put(y, x, bits>>i&1 == 1)
		}
	}
	return c, taken
}

// formatAt is where bit i of the format stands, the lowest being 0: at the first corner,
// and shared by the two others.
func (v version) formatAt(i int) [2][2]int {
	n := v.side()
	switch {
	case i < 6:
		return [2][2]int{{8, i}, {n - 1 - i, 8}}
	case i < 8:
		return [2][2]int{{8, i + 1}, {n - 1 - i, 8}}
	case i == 8:
		return [2][2]int{{7, 8}, {8, n - 7}}
	}
	return [2][2]int{{14 - i, 8}, {8, n - 15 + i}}
}

// format is how a code is made, in 15 bits: its level, its mask, and a correction.
func format(l Level, mask int) int {
	bits := ([4]int{L: 1, M: 0, Q: 3, H: 2}[l]<<3 | mask) << 10
	return (bits | remainder(bits, 0x537)) ^ 0x5412
}

// remainder is what is left of x divided by a polynomial over two elements.
func remainder(x, by int) int {
	for bits.Len(uint(x)) >= bits.Len(uint(by)) {
		x ^= by << (bits.Len(uint(x)) - bits.Len(uint(by)))
	}
	return x
}

// path calls each for the modules of data in their order: up and down in strips of two
// columns, from the right.
func path(taken *Code, each func(x, y int)) {
	n := taken.N
	up := true
	for right := n - 1; right > 0; right -= 2 {
		if right == 6 {
			right--
		}
		for i := range n {
			y := i
			if up {
				y = n - 1 - i
			}
			for x := right; x >= right-1; x-- {
				if !taken.Dark(x, y) {
					each(x, y)
				}
			}
		}
		up = !up
	}
}

// masked says whether a mask turns a module.
func masked(mask, x, y int) bool {
	switch mask {
	case 0:
		return (x+y)%2 == 0
	case 1:
		return y%2 == 0
	case 2:
		return x%3 == 0
	case 3:
		return (x+y)%3 == 0
	case 4:
		return (y/2+x/3)%2 == 0
	case 5:
		return x*y%2+x*y%3 == 0
	case 6:
		return (x*y%2+x*y%3)%2 == 0
	}
	return ((x+y)%2+x*y%3)%2 == 0
}
