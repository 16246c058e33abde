package paper

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf16"
)

// A pdf is a canvas that becomes a PDF 1.7 (ISO 32000-1), its fonts embedded with the
// letters that are used. The libraries for it link what costs every command a tenth of
// its start, and of what they do this is a small part.
type pdf struct {
	title string
	made  time.Time
	h     float64 // of the page
	pages []*pdfPage
	faces []*pdfFace
}

type pdfPage struct {
	size    Size
	content bytes.Buffer
}

// A pdfFace is a face with the letters that are used, by the number of their glyph.
type pdfFace struct {
	*face
	used map[uint16]rune
}

// points in a millimetre.
const points = 72 / 25.4

func newPDF(title string, made time.Time) *pdf { return &pdf{title: title, made: made} }

func (c *pdf) page(w, h float64) {
	c.h = h
	c.pages = append(c.pages, &pdfPage{size: Size{w, h}})
}

func (c *pdf) now() *bytes.Buffer { return &c.pages[len(c.pages)-1].content }

func (c *pdf) text(x, y, size float64, f *face, s string, in ink) {
	n, used := c.faceOf(f)
	fmt.Fprintf(c.now(), "%s g BT /F%d %s Tf %s %s Td <", in.grey(), n, num(size*points), num(x*points), num((c.h-y)*points))
	for _, r := range s {
		g := f.glyph(r)
		used[g] = r
		fmt.Fprintf(c.now(), "%04x", g)
	}
	c.now().WriteString("> Tj ET\n")
}

func (c *pdf) faceOf(f *face) (n int, used map[uint16]rune) {
	n = slices.IndexFunc(c.faces, func(p *pdfFace) bool { return p.face == f })
	if n < 0 {
		n = len(c.faces)
		c.faces = append(c.faces, &pdfFace{f, map[uint16]rune{}})
	}
	return n, c.faces[n].used
}

func (c *pdf) fill(p path, in ink) {
	fmt.Fprintf(c.now(), "%s g\n", in.grey())
	c.draw(p)
	c.now().WriteString("f\n")
}

func (c *pdf) stroke(p path, width float64, dash []float64, in ink) {
	var dashes []string
	for _, d := range dash {
		dashes = append(dashes, num(d*points))
	}
	fmt.Fprintf(c.now(), "%s G %s w 1 j [%s] 0 d\n", in.grey(), num(width*points), strings.Join(dashes, " "))
	c.draw(p)
	c.now().WriteString("S\n")
}

func (c *pdf) draw(p path) {
	for _, s := range p {
		for _, q := range s.p[:s.points()] {
			fmt.Fprintf(c.now(), "%s %s ", num(q.x*points), num((c.h-q.y)*points))
		}
		c.now().WriteByte(map[byte]byte{'m': 'm', 'l': 'l', 'c': 'c', 'z': 'h'}[s.op])
		c.now().WriteByte('\n')
	}
}

func (in ink) grey() string {
	if in == black {
		return "0"
	}
	return "1"
}

// A pdfFile is the objects of a PDF.
type pdfFile struct {
	bytes.Buffer
	at []int // where each object begins, the first being number 1
}

// object writes an object and returns how others refer to it.
func (f *pdfFile) object(format string, args ...any) string {
	f.at = append(f.at, f.Len())
	fmt.Fprintf(f, "%d 0 obj\n%s\nendobj\n", len(f.at), fmt.Sprintf(format, args...))
	return fmt.Sprintf("%d 0 R", len(f.at))
}

// stream writes bytes as an object, packed.
func (f *pdfFile) stream(data []byte, more string) string {
	var packed bytes.Buffer
	w := zlib.NewWriter(&packed)
	w.Write(data) // to memory
	w.Close()
	return f.object("<</Length %d/Filter/FlateDecode%s>>\nstream\n%s\nendstream", packed.Len(), more, packed.Bytes())
}

// next is how others refer to the n-th object that is still to be written.
func (f *pdfFile) next(n int) string { return fmt.Sprintf("%d 0 R", len(f.at)+n) }

func (c *pdf) bytes() ([]byte, error) {
	f := &pdfFile{}
	f.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	fonts := ""
	for i, face := range c.faces {
		ref, err := face.write(f)
		if err != nil {
			return nil, err
		}
		fonts += fmt.Sprintf("/F%d %s", i, ref)
	}
	root := f.next(1 + 2*len(c.pages))
	var kids []string
	for _, p := range c.pages {
		content := f.stream(p.content.Bytes(), "")
		kids = append(kids, f.object("<</Type/Page/Parent %s/MediaBox[0 0 %s %s]/Contents %s/Resources<</Font<<%s>>>>>>",
			root, num(p.size.W*points), num(p.size.H*points), content, fonts))
	}
	pages := f.object("<</Type/Pages/Count %d/Kids[%s]>>", len(kids), strings.Join(kids, " "))
	// Who prints is asked not to scale: ISO 32000-1, 12.2.
	catalog := f.object("<</Type/Catalog/Pages %s/ViewerPreferences<</PrintScaling/None>>>>", pages)
	day := c.made.UTC().Format("D:20060102150405Z")
	info := f.object("<</Title <feff%s>/Producer(tinful)/CreationDate(%s)/ModDate(%s)>>", utf16Hex(c.title), day, day)
	start := f.Len()
	fmt.Fprintf(f, "xref\n0 %d\n0000000000 65535 f \n", len(f.at)+1)
	for _, at := range f.at {
		fmt.Fprintf(f, "%010d 00000 n \n", at)
	}
	fmt.Fprintf(f, "trailer\n<</Size %d/Root %s/Info %s>>\nstartxref\n%d\n%%%%EOF\n", len(f.at)+1, catalog, info, start)
	return f.Bytes(), nil
}

// write writes a face as a font whose codes are the numbers of its glyphs: ISO
// 32000-1, 9.7.4.2, Identity-H.
func (p *pdfFace) write(f *pdfFile) (string, error) {
	glyphs := slices.Sorted(maps.Keys(p.used))
	data, err := p.subset(glyphs)
	if err != nil {
		return "", err
	}
	file := f.stream(data, fmt.Sprintf("/Length1 %d", len(data)))
	var widths, unicode strings.Builder
	for _, g := range glyphs {
		fmt.Fprintf(&widths, "%d[%s]", g, num(p.width(string(p.used[g]))*1000))
		fmt.Fprintf(&unicode, "1 beginbfchar <%04x> <%s> endbfchar\n", g, utf16Hex(string(p.used[g])))
	}
	// A subset is told by six capitals before its name: 9.6.4.
	name := []byte("AAAAAA+" + p.name)
	for i, sum := 0, crc32.ChecksumIEEE(data); i < 6; i++ {
		name[i], sum = 'A'+byte(sum%26), sum/26
	}
	up, down := p.reach()
	descriptor := f.object("<</Type/FontDescriptor/FontName/%s/Flags 4/FontBBox[-500 %d 2000 %d]/ItalicAngle 0/Ascent %d/Descent %d/CapHeight %d/StemV 80/FontFile2 %s>>",
		name, down, up, up, down, up, file)
	font := f.object("<</Type/Font/Subtype/CIDFontType2/BaseFont/%s/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>/CIDToGIDMap/Identity/FontDescriptor %s/W[%s]>>",
		name, descriptor, widths.String())
	to := f.stream([]byte("/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapName /T def /CMapType 2 def\n"+
		"1 begincodespacerange <0000> <ffff> endcodespacerange\n"+unicode.String()+"endcmap end end\n"), "")
	return f.object("<</Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H/DescendantFonts[%s]/ToUnicode %s>>", name, font, to), nil
}

func utf16Hex(s string) (out string) {
	for _, u := range utf16.Encode([]rune(s)) {
		out += fmt.Sprintf("%04x", u)
	}
	return out
}
