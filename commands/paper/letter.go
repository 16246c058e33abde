package paper

import "fmt"

// A Letter is a paper of one column: a head, facts, sections with lines, some with a
// sum on the right, and what is to be signed.
type Letter struct {
	Head     string
	Address  []string
	Title    string
	Facts    [][2]string
	Sections []LetterSection
	Sign     string
	Foot     string
}

// A LetterSection is a title and lines, each a text and what stands on the right.
type LetterSection struct {
	Title string
	Lines [][2]string
}

// Letters of papers: 11 point.
const (
	letterSize = 11 / points
	letterStep = letterSize * 1.35
	letterEdge = 20.0
	mostLines  = 60 // of one text
)

// A column is where a letter is being written.
type column struct {
	*Doc
	page   Size
	y      float64
	pages  int
	letter Letter
}

// Letter prints a letter on pages of a size.
func (d *Doc) Letter(page Size, l Letter) {
	c := &column{Doc: d, page: page, letter: l}
	c.turn()
	c.head()
	for _, f := range l.Facts {
		c.fact(f[0], f[1])
	}
	for _, s := range l.Sections {
		c.section(s)
	}
	if l.Sign != "" {
		c.sign(l.Sign)
	}
}

func (c *column) wide() float64 { return c.page.W - 2*letterEdge }

// turn begins a page, with its foot.
func (c *column) turn() {
	c.Doc.page(c.page.W, c.page.H)
	c.pages++
	c.y = letterEdge
	foot := c.page.H - letterEdge + 6
	c.stroke(line(letterEdge, foot-4.5, c.page.W-letterEdge, foot-4.5), 0.15, nil, black)
	c.one(letterEdge, foot, c.wide()-14, 3, 1.8, c.fonts.regular, c.letter.Foot, black)
	c.one(c.page.W-letterEdge-10, foot, 10, 3, 1.8, c.fonts.regular, fmt.Sprint("page ", c.pages), black)
}

// room begins another page where so much has no room on this one.
func (c *column) room(high float64) {
	if c.y+high > c.page.H-letterEdge-6 {
		c.turn()
	}
}

// write writes a text into lines from x on, w wide, and what stands right of its last.
func (c *column) write(x, w float64, f *face, text, right string) {
	if right = c.printable(right); right != "" {
		w -= 32
	}
	lines, _ := f.wrap(c.printable(text), w, letterSize, mostLines)
	for i, s := range lines {
		c.room(letterStep)
		c.y += letterStep
		c.text(x, c.y, letterSize, f, s, black)
		if i == len(lines)-1 && right != "" {
			s := c.fonts.regular.cut(right, 30, letterSize)
			c.text(x+w+32-c.fonts.regular.width(s)*letterSize, c.y, letterSize, c.fonts.regular, s, black)
		}
	}
}

func (c *column) head() {
	if c.letter.Head != "" {
		c.y += 6
		c.one(letterEdge, c.y, c.wide(), 6, 3, c.fonts.bold, c.letter.Head, black)
		for _, s := range c.letter.Address {
			c.y += 4.6
			c.one(letterEdge, c.y, c.wide(), 3.4, 2, c.fonts.regular, s, black)
		}
		c.y += 4
		c.stroke(line(letterEdge, c.y, c.page.W-letterEdge, c.y), 0.5, nil, black)
	}
	c.y += 11
	c.one(letterEdge, c.y, c.wide(), 7, 4, c.fonts.bold, c.letter.Title, black)
	c.y += 3
}

func (c *column) fact(name, text string) {
	const names = 34
	c.room(letterStep)
	c.one(letterEdge, c.y+letterStep, names-2, letterSize, 2, c.fonts.regular, name, black)
	c.write(letterEdge+names, c.wide()-names, c.fonts.bold, text, "")
}

func (c *column) section(s LetterSection) {
	c.room(4 * letterStep)
	c.y += 5
	c.stroke(line(letterEdge, c.y, c.page.W-letterEdge, c.y), 0.15, nil, black)
	c.y += 1
	c.write(letterEdge, c.wide(), c.fonts.bold, s.Title, "")
	for _, l := range s.Lines {
		c.write(letterEdge, c.wide(), c.fonts.regular, l[0], l[1])
	}
}

// sign leaves room for a day and a name.
func (c *column) sign(text string) {
	c.room(26)
	c.y += 6
	c.write(letterEdge, c.wide(), c.fonts.regular, text+":", "")
	c.y += 12
	half := c.wide() / 2
	for i, name := range []string{"day", "name"} {
		x := letterEdge + float64(i)*half
		c.stroke(line(x, c.y, x+half-8, c.y), 0.2, nil, black)
		c.text(x, c.y+4, 3, c.fonts.regular, name, black)
	}
}
