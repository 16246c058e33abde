package paper

import (
	"encoding/binary"
	"slices"
)

// kept are the tables of a TrueType font that a PDF needs of it: ISO 32000-1, 9.9.
var kept = []string{"cvt ", "fpgm", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "prep"}

// mostFont is how large a font may be, in bytes: the largest of Debian's, with all of
// Chinese, have a third of that.
const mostFont = 64 << 20

// A table is the bytes of one table of a font. Reading beyond its end reads zeros: a
// font that somebody brings may say anything.
type table []byte

func (t table) u16(at int) int {
	if at < 0 || at+2 > len(t) {
		return 0
	}
	return int(binary.BigEndian.Uint16(t[at:]))
}

func (t table) u32(at int) int { return t.u16(at)<<16 | t.u16(at+2) }

func (t table) cut(from, to int) table {
	if from < 0 || to > len(t) || from > to {
		return nil
	}
	return t[from:to]
}

// tables are the tables of a font file (OpenType 1.9, "Table directory").
func (f *face) tables() map[string]table {
	all, out := table(f.data), map[string]table{}
	for i := range all.u16(4) {
		at := 12 + 16*i
		from := all.u32(at + 8)
		if tag := string(all.cut(at, at+4)); slices.Contains(kept, tag) {
			out[tag] = all.cut(from, from+all.u32(at+12))
		}
	}
	return out
}

// reach is how far letters reach up and down, in thousandths of an em.
func (f *face) reach() (up, down int) {
	hhea, em := f.tables()["hhea"], int(f.font.UnitsPerEm())
	return int(int16(hhea.u16(4))) * 1000 / em, int(int16(hhea.u16(6))) * 1000 / em
}

// subset is the font with the outlines of some glyphs alone, and of those they are
// made of. Numbers of glyphs stay as they are.
func (f *face) subset(glyphs []uint16) ([]byte, error) {
	t := f.tables()
	n, glyf := t["maxp"].u16(4), t["glyf"]
	if n == 0 || len(glyf) == 0 || len(t["head"]) < 54 {
		return nil, ErrNoTrueType
	}
	outline := func(g int) table {
		if t["head"].u16(50) == 0 {
			return glyf.cut(2*t["loca"].u16(2*g), 2*t["loca"].u16(2*g+2))
		}
		return glyf.cut(t["loca"].u32(4*g), t["loca"].u32(4*g+4))
	}
	want := map[int]bool{0: true}
	todo := []int{0}
	for _, g := range glyphs {
		todo = append(todo, int(g))
	}
	for len(todo) > 0 {
		g := todo[0]
		todo, want[g] = todo[1:], true
		for _, c := range components(outline(g)) {
			if !want[c] && c < n {
				todo = append(todo, c)
			}
		}
	}
	var outlines, loca []byte
	for g := range n {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(outlines)))
		if want[g] {
			outlines = append(outlines, outline(g)...)
			outlines = append(outlines, make([]byte, -len(outlines)&3)...)
		}
		if len(outlines) > mostFont {
			return nil, ErrNoTrueType // glyphs that all say they are the whole table
		}
	}
	head := slices.Clone(t["head"])
	binary.BigEndian.PutUint32(head[8:], 0)  // the sum of the file, set last
	binary.BigEndian.PutUint16(head[50:], 1) // places in four bytes
	t["head"], t["glyf"], t["loca"] = head, outlines, binary.BigEndian.AppendUint32(loca, uint32(len(outlines)))
	return assembled(t), nil
}

// components are the glyphs that a glyph is made of: OpenType 1.9, "glyf".
func components(g table) (out []int) {
	const words, scale, more, both, matrix = 1, 8, 0x20, 0x40, 0x80
	if len(g) < 10 || g.u16(0) < 0x8000 { // contours of its own
		return nil
	}
	for at := 10; at+4 <= len(g); {
		flags := g.u16(at)
		out = append(out, g.u16(at+2))
		at += 6
		if flags&words != 0 {
			at += 2
		}
		switch {
		case flags&scale != 0:
			at += 2
		case flags&both != 0:
			at += 4
		case flags&matrix != 0:
			at += 8
		}
		if flags&more == 0 {
			break
		}
	}
	return out
}

// assembled writes a font file of tables, with its sums.
func assembled(t map[string]table) []byte {
	var names []string
	for _, name := range kept {
		if len(t[name]) > 0 {
			names = append(names, name)
		}
	}
	n := len(names)
	power, bits := 1, 0
	for power*2 <= n {
		power, bits = power*2, bits+1
	}
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	for _, x := range []int{n, power * 16, bits, (n - power) * 16} {
		out = binary.BigEndian.AppendUint16(out, uint16(x))
	}
	at, headAt := 12+16*n, 0
	var body []byte
	for _, name := range names {
		data := append(slices.Clone(t[name]), make([]byte, -len(t[name])&3)...)
		if name == "head" {
			headAt = at
		}
		out = append(out, name...)
		for _, x := range []uint32{sumOf(data), uint32(at), uint32(len(t[name]))} {
			out = binary.BigEndian.AppendUint32(out, x)
		}
		body, at = append(body, data...), at+len(data)
	}
	out = append(out, body...)
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-sumOf(out))
	return out
}

func sumOf(data []byte) (sum uint32) {
	for i := 0; i+4 <= len(data); i += 4 {
		sum += binary.BigEndian.Uint32(data[i:])
	}
	return sum
}
