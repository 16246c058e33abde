package paper

// A Table is rows of cells under a title, as a page has them.
type Table struct {
	Title string
	Heads []string
	Right []bool // columns of numbers
	Rows  [][]string
	Note  string  // under it
	Point float64 // how large its letters are; 0 for 8.5
}

// size is that of its letters, step that of its lines, in millimetres.
func (t Table) size() float64 {
	if t.Point > 0 {
		return t.Point / points
	}
	return cellSize
}

func (t Table) step() float64 { return t.size() * 1.3 }

// Tables are set in 8.5 point.
const (
	cellSize = 8.5 / points
	cellGap  = 2.5 // between columns
	cellMost = 6   // lines of one cell
)

// Report prints a letter whose sections are tables.
func (d *Doc) Report(page Size, l Letter, tables []Table) {
	c := &column{Doc: d, page: page, letter: l}
	c.turn()
	c.head()
	for _, f := range l.Facts {
		c.fact(f[0], f[1])
	}
	for _, t := range tables {
		c.table(t)
	}
	if l.Sign != "" {
		c.sign(l.Sign)
	}
}

func (c *column) table(t Table) {
	c.room(5 * letterStep)
	c.y += 5
	c.write(letterEdge, c.wide(), c.fonts.bold, t.Title, "")
	widths := c.widths(t)
	if len(t.Heads) > 0 {
		c.cells(t, widths, t.Heads, true)
	}
	for _, r := range t.Rows {
		if c.cells(t, widths, r, false) {
			c.cells(t, widths, t.Heads, true) // a new page says what its columns are
			c.cells(t, widths, r, false)
		}
	}
	if t.Note != "" {
		lines, _ := c.fonts.regular.wrap(c.printable(t.Note), c.wide(), t.size(), mostLines)
		for _, s := range lines {
			c.room(t.step())
			c.y += t.step()
			c.text(letterEdge, c.y, t.size(), c.fonts.regular, s, black)
		}
	}
}

// widths are as wide as the cells want to be; where that is more than the page has, the
// widest give way together.
func (c *column) widths(t Table) []float64 {
	want := make([]float64, len(t.Heads))
	for _, r := range append([][]string{t.Heads}, t.Rows...) {
		for i := range want {
			if i < len(r) {
				text := c.printable(r[i])
				want[i] = max(want[i], max(c.fonts.bold.width(text), c.fonts.regular.width(text))*t.size()*1.01)
			}
		}
	}
	room := c.wide() - cellGap*float64(len(want)-1)
	lo, hi := 0.0, room
	for range 40 {
		most, sum := (lo+hi)/2, 0.0
		for _, w := range want {
			sum += min(w, most)
		}
		if sum > room {
			hi = most
		} else {
			lo = most
		}
	}
	for i := range want {
		want[i] = min(want[i], lo)
	}
	return want
}

// cells prints a row. Where it has no room it begins a page, and says so instead.
func (c *column) cells(t Table, widths []float64, row []string, head bool) (turned bool) {
	f, high := c.fonts.regular, 1
	if head {
		f = c.fonts.bold
	}
	broken := make([][]string, len(widths))
	for i, w := range widths {
		if i < len(row) {
			broken[i], _ = f.wrap(c.printable(row[i]), w, t.size(), cellMost)
		}
		high = max(high, len(broken[i]))
	}
	if before := c.pages; !head {
		if c.room(t.step()*float64(high) + 1); c.pages != before {
			return true
		}
	}
	x := letterEdge
	for i, w := range widths {
		for n, s := range broken[i] {
			at := x
			if i < len(t.Right) && t.Right[i] {
				at = x + w - f.width(s)*t.size()
			}
			c.text(at, c.y+t.step()*float64(n+1), t.size(), f, s, black)
		}
		x += w + cellGap
	}
	c.y += t.step()*float64(high) + 1
	if head {
		c.stroke(line(letterEdge, c.y, c.page.W-letterEdge, c.y), 0.15, nil, black)
	}
	return false
}
