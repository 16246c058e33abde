package paper

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// A Sheet is paper with labels on it: a page with columns and rows of fields, or a
// roll, whose pages are the labels themselves.
type Sheet struct {
	Page       string // A4, letter, 210x297; empty for a roll
	size       Size
	Cols, Rows int
	Label      Size
	Left, Top  float64 // of the first field
	Gaps       Size    // between fields
}

// Usual is the sheet where none is named: 24 labels on A4.
const Usual = "A4 3x8 70x37 from 0,0.5"

// least is how much of a field must be on the page, in millimetres; mostFields on one
// page, mostWide the widest paper.
const (
	least      = 8
	mostFields = 400
	mostWide   = 1200
)

var sheetWords = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(\d+)x(\d+) +([\d.]+x[\d.]+)(?: +from +([\d.]+),([\d.]+))?(?: +gaps? +([\d.]+),([\d.]+))?$`)
})

// ParseSheet reads "A4 3x7 62x40 from 8,8 gaps 4,0" (columns x rows, size of a label,
// where the first begins, what is between them) or "roll 25x13", all in millimetres.
func ParseSheet(text string) (s Sheet, err error) {
	page, rest, _ := strings.Cut(strings.Join(strings.Fields(strings.ReplaceAll(text, "×", "x")), " "), " ")
	if strings.EqualFold(page, "roll") {
		s.Cols, s.Rows = 1, 1
		s.Label, err = parseSize(rest)
		s.size = s.Label
		return s, err
	}
	if s.Page, s.size, err = ParsePage(page); err != nil {
		return s, err
	}
	m := sheetWords().FindStringSubmatch(rest)
	if m == nil {
		return s, fmt.Errorf("a sheet of labels is written like %q or \"roll 25x13\": page, columns x rows, size of a label, where the first begins, in mm", Usual)
	}
	s.Cols, _ = strconv.Atoi(m[1])
	s.Rows, _ = strconv.Atoi(m[2])
	if s.Label, err = parseSize(m[3]); err != nil {
		return s, err
	}
	for i, at := range []*float64{&s.Left, &s.Top, &s.Gaps.W, &s.Gaps.H} {
		if m[4+i] == "" {
			continue
		}
		if *at, err = strconv.ParseFloat(m[4+i], 64); err != nil {
			return s, fmt.Errorf("%s is no number of mm", m[4+i])
		}
	}
	return s, s.sound()
}

// ParsePage reads a page: A4, A5, letter, legal or width x height in millimetres.
func ParsePage(text string) (name string, size Size, err error) {
	for name, size := range Pages {
		if strings.EqualFold(name, text) {
			return name, size, nil
		}
	}
	if size, err = parseSize(text); err != nil {
		return "", size, fmt.Errorf("%q is no page: write %s, or width x height in mm", text, strings.Join(pageNames(), ", "))
	}
	return text, size, nil
}

func pageNames() (names []string) {
	for name := range Pages {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func parseSize(text string) (Size, error) {
	w, h, _ := strings.Cut(text, "x")
	width, err := strconv.ParseFloat(w, 64)
	height, err2 := strconv.ParseFloat(h, 64)
	switch {
	case err != nil || err2 != nil:
		return Size{}, fmt.Errorf("%q is no size: write width x height in mm, 70x37", text)
	case !(width >= least && height >= least && width <= mostWide && height <= mostWide):
		return Size{}, fmt.Errorf("%s mm: paper is %d to %d mm wide and high", text, least, mostWide)
	}
	return Size{width, height}, nil
}

// sound refuses fields of which too little is on the page.
func (s Sheet) sound() error {
	if s.Cols < 1 || s.Rows < 1 || s.Cols*s.Rows > mostFields {
		return fmt.Errorf("%dx%d: a page has 1 to %d labels", s.Cols, s.Rows, mostFields)
	}
	last := s.Field(s.Cols*s.Rows - 1)
	if last.W < least || last.H < least {
		return fmt.Errorf("the last label would begin at %s,%s mm, and %s has %s x %s: look at the measures again",
			num(last.X), num(last.Y), s.Page, num(s.size.W), num(s.size.H))
	}
	return nil
}

// Over is by how much the last label reaches over the edge of the page, in
// millimetres: its labels have the room that is on it.
func (s Sheet) Over() float64 {
	last := s.Field(s.Cols*s.Rows - 1)
	return max(s.Label.W-last.W, s.Label.H-last.H, 0)
}

// String writes the sheet as it is read.
func (s Sheet) String() string {
	size := func(z Size) string { return num(z.W) + "x" + num(z.H) }
	if s.Page == "" {
		return "roll " + size(s.Label)
	}
	text := fmt.Sprintf("%s %dx%d %s from %s,%s", s.Page, s.Cols, s.Rows, size(s.Label), num(s.Left), num(s.Top))
	if s.Gaps != (Size{}) {
		text += fmt.Sprintf(" gaps %s,%s", num(s.Gaps.W), num(s.Gaps.H))
	}
	return text
}

// Fields is how many labels a page has.
func (s Sheet) Fields() int { return s.Cols * s.Rows }

// A Field is the room of one label.
type Field struct{ X, Y, W, H float64 }

// Field is the n-th field of a page, from 0, along the rows.
func (s Sheet) Field(n int) Field {
	f := Field{X: s.Left + float64(n%s.Cols)*(s.Label.W+s.Gaps.W), Y: s.Top + float64(n/s.Cols)*(s.Label.H+s.Gaps.H)}
	f.W, f.H = min(s.Label.W, s.size.W-f.X), min(s.Label.H, s.size.H-f.Y)
	return f
}
