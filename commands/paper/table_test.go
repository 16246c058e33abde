package paper

import (
	"fmt"
	"strings"
	"testing"
)

// Tables of whatever text stay between the edges of their pages, say their headings on
// every page, and no cell reaches into the next.
func TestTablesStayOnTheirPages(t *testing.T) {
	long := strings.Repeat("W", 300)
	tables := []Table{{Title: "used", Heads: []string{"job", "part", "cost"}, Right: []bool{false, false, true}, Note: long}}
	for i := range 150 {
		tables[0].Rows = append(tables[0].Rows, []string{fmt.Sprint(i), strings.Repeat("spring ", i%40), "48.00"})
	}
	tables = append(tables, Table{Title: "wide", Heads: []string{long, "קפיץ", "a\nb"}, Right: []bool{true, false, false}, Rows: [][]string{{long, "\x00", long}}})
	for _, name := range []string{"A4", "letter", "A5"} {
		size := Pages[name]
		d, r := recorded()
		d.Report(size, Letter{Head: "Quillmoor Bench", Title: "Month 2031-08", Foot: "written"}, tables)
		heads, ends := 0, map[string]float64{}
		for _, m := range r.drawn {
			if m.least.x < letterEdge-0.1 || m.most.x > size.W-letterEdge+0.1 || m.most.y > size.H-letterEdge+8 {
				t.Errorf("%s, page %d: %q reaches from %.1f to %.1f", name, m.page+1, m.text, m.least, m.most)
			}
			switch {
			case m.text == "job":
				heads++
			case m.text == "48.0" || m.text == "48.":
				t.Errorf("%s: a number is broken though there is room", name)
			case m.size != cellSize || m.text == "":
			case ends[fmt.Sprint(m.page, m.least.y)] > m.least.x:
				t.Errorf("%s, page %d: %q begins in the cell before", name, m.page+1, m.text)
			}
			if m.size == cellSize {
				ends[fmt.Sprint(m.page, m.least.y)] = m.most.x
			}
		}
		if len(r.pages) < 3 || heads < len(r.pages)-1 {
			t.Errorf("%s: %d pages, headings on %d", name, len(r.pages), heads)
		}
		sound(t, written(t, "t.pdf", func(d *Doc) { d.Report(size, Letter{Title: "Month"}, tables) }))
	}
}
