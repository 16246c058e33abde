package paper

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
)

// An svg is a canvas that becomes an SVG of one page. Its letters are paths, each
// drawn once and used where it stands, so that it needs no font and looks alike
// everywhere.
type svg struct {
	title   string
	w, h    float64
	pages   int
	letters map[letter]int
	defs    bytes.Buffer
	body    bytes.Buffer
}

// A letter is one of a face.
type letter struct {
	face string
	r    rune
}

func newSVG(title string) *svg { return &svg{title: title, letters: map[letter]int{}} }

func (c *svg) page(w, h float64) { c.w, c.h, c.pages = w, h, c.pages+1 }

func (c *svg) text(x, y, size float64, f *face, s string, in ink) {
	fmt.Fprintf(&c.body, "<g transform=\"translate(%s %s) scale(%s)\"%s>", num(x), num(y), num(size), in.filled())
	at := 0.0
	for _, r := range s {
		if r != ' ' && r != noBreak {
			fmt.Fprintf(&c.body, "<use href=\"#g%d\" x=\"%s\"/>", c.letter(f, r), num(at))
		}
		at += f.width(string(r))
	}
	c.body.WriteString("</g>\n")
}

// letter is the number of a letter, drawn when it is first met.
func (c *svg) letter(f *face, r rune) int {
	key := letter{f.name, r}
	n, known := c.letters[key]
	if !known {
		n = len(c.letters)
		c.letters[key] = n
		fmt.Fprintf(&c.defs, "<path id=\"g%d\" d=\"%s\"/>\n", n, f.outline(r).data())
	}
	return n
}

func (c *svg) fill(p path, in ink) {
	fmt.Fprintf(&c.body, "<path d=\"%s\"%s/>\n", p.data(), in.filled())
}

func (c *svg) stroke(p path, width float64, dash []float64, in ink) {
	dashed := ""
	if dash != nil {
		dashed = " stroke-dasharray=\""
		for i, n := range dash {
			dashed += map[bool]string{true: " "}[i > 0] + num(n)
		}
		dashed += "\""
	}
	colour := map[ink]string{black: "#000", white: "#fff"}[in]
	fmt.Fprintf(&c.body, "<path d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"%s\"%s/>\n", p.data(), colour, num(width), dashed)
}

func (c *svg) bytes() ([]byte, error) {
	if c.pages != 1 {
		return nil, fmt.Errorf("%w; this makes %d", ErrOnePage, c.pages)
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n<title>",
		num(c.w), num(c.h), num(c.w), num(c.h))
	if err := xml.EscapeText(&b, []byte(c.title)); err != nil {
		return nil, err
	}
	fmt.Fprintf(&b, "</title>\n<rect width=\"%s\" height=\"%s\" fill=\"#fff\"/>\n<defs>\n%s</defs>\n<g stroke-linejoin=\"round\">\n%s</g>\n</svg>\n",
		num(c.w), num(c.h), c.defs.String(), c.body.String())
	return b.Bytes(), nil
}

func (in ink) filled() string {
	if in == black {
		return ""
	}
	return ` fill="#fff"`
}

// data is the path as SVG writes it: letters of an em 1, or millimetres.
func (p path) data() string {
	var b []byte
	for _, s := range p {
		b = append(b, map[byte]byte{'m': 'M', 'l': 'L', 'c': 'C', 'z': 'Z'}[s.op])
		for i, q := range s.p[:s.points()] {
			if i > 0 {
				b = append(b, ' ')
			}
			b = append(append(append(b, num(q.x)...), ' '), num(q.y)...)
		}
	}
	return string(b)
}

// num is a number with at most four decimals: a tenth of a micrometre, or of an em's
// thousandth.
func num(x float64) string {
	s := strconv.FormatFloat(x, 'f', 4, 64)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	if s == "-0" {
		return "0"
	}
	return s
}
