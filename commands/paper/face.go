package paper

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// ErrNoTrueType is returned for a file that is no TrueType font that can be embedded.
var ErrNoTrueType = errors.New("it is no TrueType font with outlines of its own (.ttf)")

// Fonts are the two faces that paper is set in.
type Fonts struct{ regular, bold *face }

// A face is one font file. Several may draw with it at once: the page does.
type face struct {
	mu    sync.Mutex // of buf and wide
	name  string
	data  []byte
	font  *sfnt.Font
	buf   sfnt.Buffer
	wide  map[rune]float64 // em, known widths
	emBox fixed.Int26_6    // size at which one unit of the font is one unit here
}

// GoFonts are the fonts of the Go project: Latin, Greek and Cyrillic letters. Their
// licence is that of Go (golang.org/x/image/font/gofont/ttfs/README).
var GoFonts = sync.OnceValue(func() Fonts {
	regular, err := newFace("Go", goregular.TTF)
	bold, err2 := newFace("Go-Bold", gobold.TTF)
	if err := errors.Join(err, err2); err != nil {
		panic(err) // they are built in
	}
	return Fonts{regular, bold}
})

// TrueType are fonts read from a file.
func TrueType(data []byte) (Fonts, error) {
	if len(data) > mostFont || !bytes.HasPrefix(data, []byte{0, 1, 0, 0}) && !bytes.HasPrefix(data, []byte("true")) { // TrueType: OpenType 1.9, "Table directory"
		return Fonts{}, ErrNoTrueType
	}
	f, err := newFace("Own", data)
	if err != nil {
		return Fonts{}, ErrNoTrueType
	}
	return Fonts{f, f}, nil
}

func newFace(name string, data []byte) (*face, error) {
	f, err := sfnt.Parse(data)
	if err != nil {
		return nil, err
	}
	return &face{name: name, data: data, font: f, wide: map[rune]float64{}, emBox: fixed.I(int(f.UnitsPerEm()))}, nil
}

// glyph is the number of a letter's glyph, 0 for one that the font lacks.
func (f *face) glyph(r rune) uint16 {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.index(r)
}

// index is glyph for who has the lock.
func (f *face) index(r rune) uint16 {
	if r == noBreak {
		r = ' '
	}
	i, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil {
		return 0
	}
	return uint16(i)
}

// width of a text whose em is 1.
func (f *face) width(s string) (w float64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, r := range s {
		n, known := f.wide[r]
		if !known {
			if a, err := f.font.GlyphAdvance(&f.buf, sfnt.GlyphIndex(f.index(r)), f.emBox, font.HintingNone); err == nil {
				n = float64(a) / float64(f.emBox)
			}
			f.wide[r] = n
		}
		w += n
	}
	return w
}

// outline is the path of a letter whose em is 1, its base line at 0.
func (f *face) outline(r rune) (p path) {
	f.mu.Lock()
	defer f.mu.Unlock()
	parts, err := f.font.LoadGlyph(&f.buf, sfnt.GlyphIndex(f.index(r)), f.emBox, nil)
	if err != nil {
		return nil
	}
	em := float64(f.emBox)
	at := func(q fixed.Point26_6) point { return point{float64(q.X) / em, float64(q.Y) / em} }
	var last point
	for _, s := range parts {
		to := at(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(p) > 0 {
				p = p.close()
			}
			p = p.move(to.x, to.y)
		case sfnt.SegmentOpLineTo:
			p = p.line(to.x, to.y)
		case sfnt.SegmentOpQuadTo:
			handle := to
			to = at(s.Args[1])
			p = p.curve(between(last, handle), between(to, handle), to)
		case sfnt.SegmentOpCubeTo:
			to = at(s.Args[2])
			p = p.curve(at(s.Args[0]), at(s.Args[1]), to)
		}
		last = to
	}
	if len(p) > 0 {
		p = p.close()
	}
	return p
}

// between is two thirds of the way to the handle of a curve of the second order: the
// handle that makes it one of the third.
func between(a, handle point) point {
	return point{a.x + 2.0/3*(handle.x-a.x), a.y + 2.0/3*(handle.y-a.y)}
}

// noBreak is a blank at which no line is broken.
const noBreak = '\u00a0'

// units stay on the line of their number.
var units = strings.NewReplacer(" mm", string(noBreak)+"mm", " deg", string(noBreak)+"deg", " pc", string(noBreak)+"pc")

// printable is a text as the fonts can print it, on one line: a letter that they lack
// is a box, and is kept to be named.
func (d *Doc) printable(s string) string {
	return units.Replace(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.Is(unicode.Cf, r): // shows nothing: joiners, marks of direction
			return -1
		case d.fonts.regular.glyph(r) != 0 && d.fonts.bold.glyph(r) != 0:
			return r
		}
		d.lacks[r] = true
		if d.fonts.regular.glyph('□') != 0 {
			return '□'
		}
		return '?'
	}, s))
}

// Lacks are the letters that were to be printed and that the fonts do not have, in
// order.
func (d *Doc) Lacks() (out []rune) {
	for r := range d.lacks {
		out = append(out, r)
	}
	slices.Sort(out)
	return out
}
