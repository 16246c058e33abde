package dim

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Spot is a rectangle or a round on a flat piece, in micrometres: a hole of a
// panel, or what is not to be used of a sheet. x runs along the width, y along the
// length, from the lower left corner of the piece as it is seen from outside.
type Spot struct {
	Width  int64 `cbor:"1,keyasint,omitempty"` // the diameter of a round
	Length int64 `cbor:"2,keyasint,omitempty"` // 0: a round
	X      int64 `cbor:"3,keyasint,omitempty"` // of the lower left corner, or of the centre of a round
	Y      int64 `cbor:"4,keyasint,omitempty"`
}

// Round tells whether it is a round and no rectangle.
func (s Spot) Round() bool { return s.Length == 0 }

// Box is the smallest rectangle around it: its lower left and upper right corners.
func (s Spot) Box() (x1, y1, x2, y2 int64) {
	if s.Round() {
		return s.X - s.Width/2, s.Y - s.Width/2, s.X - s.Width/2 + s.Width, s.Y - s.Width/2 + s.Width
	}
	return s.X, s.Y, s.X + s.Width, s.Y + s.Length
}

// String writes it as [ParseSpots] reads it: 40x20@100,30 or 8@5,5.
func (s Spot) String() string {
	mm := func(n int64) string { return Format(Length, n) }
	size := mm(s.Width)
	if !s.Round() {
		size += "x" + mm(s.Length)
	}
	return size + "@" + mm(s.X) + "," + mm(s.Y)
}

// FormatSpots writes spots, parted by semicolons.
func FormatSpots(all []Spot) string {
	var out []string
	for _, s := range all {
		out = append(out, s.String())
	}
	return strings.Join(out, "; ")
}

// ParseSpots reads rounds and rectangles, parted by semicolons: 8@28,10 is 8 mm
// across with its centre 28 from the left and 10 from below, 40x20@100,30 is 40 wide
// and 20 long with its lower left corner there. Numbers are millimetres or have a
// unit; a comma parts them, so that decimals have a point. Errors wrap [ErrNoMeasure].
func ParseSpots(text string) ([]Spot, error) {
	var out []Spot
	for one := range strings.SplitSeq(text, ";") {
		if one = strings.Join(strings.Fields(one), ""); one == "" {
			continue
		}
		s, err := parseSpot(one)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Spot) int {
		return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X), cmp.Compare(b.Width, a.Width), cmp.Compare(b.Length, a.Length))
	})
	return slices.Compact(out), nil
}

func parseSpot(text string) (s Spot, err error) {
	size, at, ok := strings.Cut(text, "@")
	x, y, both := strings.Cut(at, ",")
	if !ok || !both || strings.Contains(y, ",") {
		return s, fmt.Errorf("%q is %w: write 8@28,10 for a round of 8 mm, 40x20@100,30 for a rectangle, its place from the lower left", text, ErrNoMeasure)
	}
	if s.X, err = mm(x); err == nil {
		s.Y, err = mm(y)
	}
	if err != nil {
		return s, err
	}
	if w, l, rect := CutSize(size); rect {
		s.Width, s.Length, err = ParseSize(w + "x" + l)
		return s, err
	}
	if s.Width, err = mm(size); err == nil && s.Width <= 0 {
		err = fmt.Errorf("%q is %w: a round has a diameter", text, ErrNoMeasure)
	}
	return s, err
}

// CutSize parts 57x34 or 57×34 at its cross, and says whether both sides of it are
// there and begin with a digit or a point.
func CutSize(text string) (width, length string, ok bool) {
	w, l, ok := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	begins := func(s string) bool { return s != "" && strings.ContainsAny(s[:1], "0123456789.") }
	return w, l, ok && begins(w) && begins(l)
}

// ParseSize reads a width and a length with a cross between them, 57x34: micrometres,
// each more than zero. Errors wrap [ErrNoMeasure].
func ParseSize(text string) (width, length int64, err error) {
	w, l, ok := CutSize(text)
	if !ok {
		return 0, 0, fmt.Errorf("%q is %w: write its width, a cross and its length, 57x34", text, ErrNoMeasure)
	}
	// A unit behind both holds for both: 57x34mm, 2x3in.
	if _, u := Of(Length).cutUnit(l, ""); u.name != "" {
		if _, own := Of(Length).cutUnit(w, ""); own.name == "" {
			w += u.name
		}
	}
	if width, err = mm(w); err == nil {
		length, err = mm(l)
	}
	if err == nil && (width <= 0 || length <= 0) {
		err = fmt.Errorf("%q is %w: both sides are more than 0", text, ErrNoMeasure)
	}
	return width, length, err
}

// ParseLength reads a length of a drawing, 4, 0.2mm or 1/8in, in micrometres; it is not
// below 0. Errors wrap [ErrNoMeasure].
func ParseLength(text string) (int64, error) {
	n, err := mm(text)
	if err == nil && n < 0 {
		err = fmt.Errorf("%q is %w: it is not below 0", text, ErrNoMeasure)
	}
	return n, err
}

// mm reads a length of a drawing, in micrometres; it may be 0 or less.
func mm(text string) (int64, error) {
	v, err := Of(Length).read(text, "")
	if err != nil {
		return 0, fmt.Errorf("%q is %w: write a number of millimetres such as 28 or 28.5", text, ErrNoMeasure)
	}
	n, ok := round(v, 1000)
	if !ok || n > mostSpot || n < -mostSpot {
		return 0, fmt.Errorf("%q is %w: it is too large", text, ErrNoMeasure)
	}
	return n, nil
}

// mostSpot is ten metres: longer than any skin.
const mostSpot = 10_000_000
