package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// A letter goes on over as many pages as it takes, and nothing leaves its page.
func TestLetterStaysOnItsPages(t *testing.T) {
	long := strings.Repeat("W", 300)
	l := Letter{Head: long, Address: []string{long, "קפיץ"}, Title: long, Facts: [][2]string{{"Camera", long}, {long, "a"}}, Sign: long, Foot: long}
	for i := range 8 {
		s := LetterSection{Title: long}
		for n := range 12 {
			s.Lines = append(s.Lines, [2]string{fmt.Sprint(i, n, " ", strings.Repeat("spring ", n*9)), []string{"", "48.00", long}[n%3]})
		}
		l.Sections = append(l.Sections, s)
	}
	for name, size := range Pages {
		d, r := recorded()
		d.Letter(size, l)
		if len(r.pages) < 3 {
			t.Errorf("%s: %d pages", name, len(r.pages))
		}
		for _, m := range r.drawn {
			if m.least.x < letterEdge-0.1 || m.least.y < letterEdge-5 || m.most.x > size.W-letterEdge+0.1 || m.most.y > size.H-letterEdge+8 {
				t.Errorf("%s, page %d: %q reaches from %.1f to %.1f", name, m.page+1, m.text, m.least, m.most)
			}
		}
		// Nothing of the text lies on the foot, nothing on what was written before.
		for _, m := range r.drawn {
			if m.size == letterSize && m.most.y > size.H-letterEdge+2 {
				t.Errorf("%s: %q lies on the foot", name, m.text)
			}
		}
		sound(t, written(t, "l.pdf", func(d *Doc) { d.Letter(size, l) }))
	}
}

// Sums end at the right edge, one below the other.
func TestSumsStandOnTheRight(t *testing.T) {
	d, r := recorded()
	d.Letter(Pages["A4"], Letter{Title: "Estimate", Sections: []LetterSection{{Title: "What is to be done", Lines: [][2]string{{"clean shutter", "48.00"}, {"covering", "130.50"}}}}})
	var ends []float64
	for _, m := range r.drawn {
		if strings.HasSuffix(m.text, "0") && strings.Contains(m.text, ".") {
			ends = append(ends, m.most.x)
		}
	}
	if len(ends) != 2 || math.Abs(ends[0]-190) > 0.01 || math.Abs(ends[1]-190) > 0.01 {
		t.Errorf("sums end at %v, not at 190", ends)
	}
	if !slices.ContainsFunc(r.drawn, func(m mark) bool { return m.text == "clean shutter" && nearly(m.least.x, 20) }) {
		t.Error("the line does not stand at the left edge")
	}
}

func nearly(a, b float64) bool { return math.Abs(a-b) < 0.01 }
