package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// Covering is the class of coverings: panels, and the sheets of COV-NEW that they
// are cut from.
const Covering = "COV"

// edgeIn is how far inside the edge of a panel that was taken off a camera its
// covering may be used: the edge was turned, glued or lifted there.
const edgeIn = 3_000

// glueDeep is what glue takes of the depth of a rim.
const glueDeep = 50

// A Sheet is covering that panels can be cut from, as it lies here: a sheet, an
// offcut, or a panel of a camera that is large enough for a smaller one. Lengths are
// micrometres.
type Sheet struct {
	Bag, Part     code.Code
	Width, Length int64 // 0: nobody said
	Thick         int64 // 0: nobody said
	Runs          string
	Grain         string // of its surface, in words
	Colour        string
	Material      string
	Panel         bool       // a panel of a camera: its edge is not to be used
	Edge          int64      // of each side, not to be used
	Flaws         []dim.Spot // not to be used, holes of a panel among them
	Stretch       string
	Whole         string
}

// Usable is the size of what is left within the edge.
func (s Sheet) Usable() (width, length int64) {
	return max(s.Width-2*s.Edge, 0), max(s.Length-2*s.Edge, 0)
}

// A Panel is the outline of a panel of covering as it is to be cut. Lengths are
// micrometres; holes are seen from outside, from the lower left.
type Panel struct {
	Part          code.Code
	Name          string
	Width, Length int64 // 0: nobody said
	Corner        int64
	Holes         []dim.Spot
	Runs          string // along which side the grain runs, one of Sides
	Up            string // which side stands upright on the camera, one of Sides
	Mirror        code.Code
	Thick         int64 // as it was; 0: nobody said
	Most          int64 // what the rim has room for, glue taken off; Thick where no rim was measured
	Grain         string
	Colour        string
}

// IsPanel tells whether a part is a panel: a covering, not newly bought, that is said
// to go, or not to go, into some camera, or that has the outline of one.
func (v *View) IsPanel(p Part) (bool, error) {
	if p.Class != Covering {
		return false, nil
	}
	if len(p.Holes) > 0 || p.Mirror != "" || p.Rim != 0 || p.Corner != 0 {
		return true, nil
	}
	goes, err := v.GoesOf(p.Code)
	return len(goes) > 0, err
}

// PanelOf is the outline of a part that is covering. It is not asked whether
// somebody could cut it: Width and Length may be 0.
func (v *View) PanelOf(part code.Code) (Panel, error) {
	p, err := v.Part(part)
	if err != nil {
		return Panel{}, err
	}
	return OutlineOf(p), nil
}

// OutlineOf is the outline of a part that is covering.
func OutlineOf(p Part) Panel {
	out := Panel{Part: p.Code, Name: p.Name, Width: p.Dims[dim.Width], Length: p.Dims[dim.Length], Corner: p.Corner, Holes: slices.Clone(p.Holes),
		Runs: or(p.Runs, Sides[0]), Up: or(p.Up, Sides[0]), Mirror: p.Mirror, Thick: p.Dims[dim.Thick], Most: p.Dims[dim.Thick],
		Grain: p.Marks[dim.Grain], Colour: p.Marks[dim.Colour]}
	if p.Rim != 0 {
		out.Most = max(p.Rim-glueDeep, 0)
	}
	return out
}

// SheetOf is the covering in a bag as it lies here: its own size, else its part's. It
// is false for a bag of something else.
func (v *View) SheetOf(bag code.Code) (Sheet, bool, error) {
	b, err := v.Bag(bag)
	if err != nil || b.Part == "" {
		return Sheet{}, false, err
	}
	p, err := v.Part(b.Part)
	if err != nil || !words.Under(p.Class, Covering) {
		return Sheet{}, false, err
	}
	panel, err := v.IsPanel(p)
	return sheetAs(p, b, panel), true, err
}

// sheetAs is a bag of covering as it lies here.
func sheetAs(p Part, b Bag, panel bool) Sheet {
	s := Sheet{Bag: b.Code, Part: p.Code, Width: OwnSize(p, b, dim.Width), Length: OwnSize(p, b, dim.Length), Thick: OwnSize(p, b, dim.Thick),
		Runs: or(b.Runs, or(p.Runs, Sides[0])), Grain: p.Marks[dim.Grain], Colour: p.Marks[dim.Colour], Material: p.Marks[dim.Material],
		Panel: panel, Flaws: slices.Clone(b.Flaws), Stretch: b.Stretch, Whole: b.Whole}
	if panel {
		s.Edge = edgeIn
		s.Flaws = append(s.Flaws, p.Holes...)
	}
	return s
}

// OwnSize is a measure of what is in a bag: as it was noted of the bag, as it was
// measured, else its part's; 0 where nobody said.
func OwnSize(p Part, b Bag, f dim.Field) int64 {
	if n, ok := b.Dims[f]; ok {
		return n
	}
	if r, ok := b.Readings[f]; ok {
		return r.Value
	}
	return p.Dims[f]
}

// onIt refuses holes or flaws that lie outside a piece whose size is known.
func onIt(what string, own code.Code, spots []dim.Spot, size map[dim.Field]int64) error {
	w, l := size[dim.Width], size[dim.Length]
	for _, s := range spots {
		x1, y1, x2, y2 := s.Box()
		switch {
		case x2 <= 0 || y2 <= 0 || w != 0 && x1 >= w || l != 0 && y1 >= l,
			what == "hole" && (x1 < 0 || y1 < 0 || w != 0 && x2 > w || l != 0 && y2 > l):
			return refuse("the %s %s lies outside %s%s: x runs along its width, y along its length, from the lower left", what, s, own, ofSize(w, l))
		}
	}
	return nil
}

func ofSize(w, l int64) string {
	if w == 0 || l == 0 {
		return ""
	}
	return ", " + SizeWords(w, l)
}

// SizeWords is the size of a piece as it is typed, with its unit: "57 x 128 mm".
func SizeWords(w, l int64) string {
	return dim.Format(dim.Width, w) + " x " + dim.Format(dim.Length, l) + " mm"
}

// ParseStretch reads how much a covering gives along its grain and across it: "along
// little, across much", "little along", or "little" alone for both. What it returns
// has along first.
func ParseStretch(text string) (string, error) {
	ways, amounts := []string{"along", "across"}, []string{"little", "much"}
	said := map[string]string{}
	way, amount := "", ""
	set := func() {
		for _, w := range ways {
			if amount != "" && (way == w || way == "") {
				said[w] = amount
			}
		}
		way, amount = "", ""
	}
	for word := range strings.FieldsFuncSeq(strings.ToLower(text), func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		switch {
		case slices.Contains(ways, word) && way == "":
			way = word
		case slices.Contains(amounts, word) && amount == "":
			amount = word
		default:
			return "", noStretch(text)
		}
		if way != "" && amount != "" {
			set()
		}
	}
	if way != "" || amount != "" && len(said) > 0 {
		return "", noStretch(text)
	}
	set()
	var out []string
	for _, w := range ways {
		if said[w] != "" {
			out = append(out, w+" "+said[w])
		}
	}
	return strings.Join(out, ", "), nil
}

func noStretch(text string) error {
	return fmt.Errorf("%q does not say how it stretches: write along little, across much", text)
}
