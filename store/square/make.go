package square

import "strings"

// letters are the 45 signs that two go into 11 bits of.
const letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

// A kind of text takes a head of 4 bits and a length, and so many bits.
const (
	digits    = 1
	signs     = 2
	bytesKind = 4
)

// kindOf is the shortest kind of text that holds a text.
func kindOf(text string) int {
	kind := digits
	for i := range len(text) {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
		case strings.IndexByte(letters, c) >= 0:
			kind = signs
		default:
			return bytesKind
		}
	}
	return kind
}

// lengthBits are the bits of a length, by the kind of text.
func (v version) lengthBits(kind int) int {
	group := 0
	if v >= 10 {
		group++
	}
	if v >= 27 {
		group++
	}
	switch kind {
	case digits:
		return 10 + 2*group
	case signs:
		return 9 + 2*group
	case bytesKind:
		return 8 + 8*min(group, 1)
	}
	return 8 + 2*group
}

// textBits are the bits of a text of n letters.
func textBits(kind, n int) int {
	switch kind {
	case digits:
		return n/3*10 + [3]int{0, 4, 7}[n%3]
	case signs:
		return n/2*11 + n%2*6
	}
	return n * 8
}

// New is the smallest code of a text that may lose as much as a level says, with the mask
// of the least penalty. It is nil for a text that is empty, or too long for any.
func New(text string, l Level) *Code {
	kind := kindOf(text)
	for v := version(1); v <= 40 && text != ""; v++ {
		if 4+v.lengthBits(kind)+textBits(kind, len(text)) <= v.data(l)*8 {
			return v.make(kind, text, l)
		}
	}
	return nil
}

// A writer puts numbers together bit by bit.
type writer struct {
	out []byte
	n   int
}

func (w *writer) put(x, bits int) {
	for bits--; bits >= 0; bits-- {
		if w.n%8 == 0 {
			w.out = append(w.out, 0)
		}
		w.out[w.n/8] |= byte(x>>bits&1) << (7 - w.n%8)
		w.n++
	}
}

func (v version) make(kind int, text string, l Level) *Code {
	w := &writer{}
	w.put(kind, 4)
	w.put(len(text), v.lengthBits(kind))
	w.text(kind, text)
	w.put(0, min(4, v.data(l)*8-w.n))
	for pad := byte(0xec); len(w.out) < v.data(l); pad ^= 0xec ^ 0x11 {
		w.out = append(w.out, pad)
	}
	all := v.interleaved(w.out, l)
	frame, taken := v.frame()
	var best *Code
	least := 0
	for mask := range 8 {
		c := Blank(frame.N)
		copy(c.dark, frame.dark)
		i := 0
		path(taken, func(x, y int) {
			bit := i/8 < len(all) && all[i/8]>>(7-i%8)&1 == 1
			c.Set(x, y, bit != masked(mask, x, y))
			i++
		})
		bits := format(l, mask)
		for i := range 15 {
			for _, at := range v.formatAt(i) {
				c.Set(at[0], at[1], bits>>i&1 == 1)
			}
		}
		if p := c.penalty(); best == nil || p < least {
			best, least = c, p
		}
	}
	return best
}

func (w *writer) text(kind int, text string) {
	index := func(i int) int { return strings.IndexByte(letters, text[i]) }
	switch kind {
	case digits:
		for i := 0; i < len(text); i += 3 {
			n, x := min(3, len(text)-i), 0
			for j := range n {
				x = 10*x + index(i+j)
			}
			w.put(x, textBits(digits, n))
		}
	case signs:
		for i := 0; i+1 < len(text); i += 2 {
			w.put(45*index(i)+index(i+1), 11)
		}
		if len(text)%2 == 1 {
			w.put(index(len(text)-1), 6)
		}
	default:
		for i := range len(text) {
			w.put(int(text[i]), 8)
		}
	}
}

// interleaved are the bytes of a code in the order they are drawn: one of each block after
// the other, data first.
func (v version) interleaved(data []byte, l Level) (all []byte) {
	n, short, least, correct := v.layout(l)
	gen := generator(correct)
	parts, ends := make([][]byte, n), make([][]byte, n)
	for i := range n {
		size := least
		if i >= short {
			size++
		}
		parts[i], data = data[:size], data[size:]
		ends[i] = correction(parts[i], gen)
	}
	for i := range least + 1 {
		for _, p := range parts {
			if i < len(p) {
				all = append(all, p[i])
			}
		}
	}
	for i := range correct {
		for _, e := range ends {
			all = append(all, e[i])
		}
	}
	return all
}

// penalty is how hard a code is to read: ISO/IEC 18004, 7.8.3.
func (c *Code) penalty() (p int) {
	dark := 0
	for y := range c.N {
		p += c.linePenalty(func(i int) bool { return c.Dark(i, y) })
		p += c.linePenalty(func(i int) bool { return c.Dark(y, i) })
		for x := range c.N {
			d := c.Dark(x, y)
			if d {
				dark++
			}
			if x+1 < c.N && y+1 < c.N && d == c.Dark(x+1, y) && d == c.Dark(x, y+1) && d == c.Dark(x+1, y+1) {
				p += 3
			}
		}
	}
	// Ten for every twentieth that the dark ones are off a half.
	low, high := dark*20/(c.N*c.N), (dark*20+c.N*c.N-1)/(c.N*c.N)
	return p + 10*min(max(low-10, 10-low), max(high-10, 10-high))
}

// linePenalty is that of a row or column: runs of five alike and more, and what looks like
// a corner with blank beside it.
func (c *Code) linePenalty(dark func(int) bool) (p int) {
	run, seen := 0, 0
	for i := range c.N {
		d := dark(i)
		if i > 0 && d == (seen&1 == 1) {
			run++
		} else {
			run = 1
		}
		switch {
		case run == 5:
			p += 3
		case run > 5:
			p++
		}
		seen <<= 1
		if d {
			seen |= 1
		}
		if seen &= 1<<11 - 1; i >= 10 && (seen == 0b10111010000 || seen == 0b00001011101) {
			p += 40
		}
	}
	return p
}
