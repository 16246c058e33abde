package ask

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// A Covering is what is known of a panel, or of a sheet or offcut of covering: lengths
// in millimetres, spots as they are typed.
type Covering struct {
	Width    float64   `json:"width,omitempty"`
	Length   float64   `json:"length,omitempty"`
	Thick    float64   `json:"thick,omitempty"`
	Runs     string    `json:"runs"` // along which side the grain runs
	Up       string    `json:"up,omitempty"`
	Corner   float64   `json:"corner,omitempty"`
	Rim      float64   `json:"rim,omitempty"`
	Most     float64   `json:"most,omitempty"` // what the rim has room for, glue taken off
	Holes    []string  `json:"holes,omitempty"`
	Mirror   code.Code `json:"mirror,omitempty"`
	Flaws    []string  `json:"flaws,omitempty"`
	Stretch  string    `json:"stretch,omitempty"`
	Whole    string    `json:"whole,omitempty"`
	CM2      float64   `json:"area_cm2,omitempty"`
	DM2      float64   `json:"area_dm2,omitempty"`
	SqFt     float64   `json:"area_sqft,omitempty"`
	Oz       float64   `json:"thick_oz,omitempty"`       // of 1/64 inch
	TradeOz  float64   `json:"thick_oz_trade,omitempty"` // of 0.4 mm
	Iron     float64   `json:"thick_iron,omitempty"`
	Patterns []Pattern `json:"patterns,omitempty"`

	w, l, thick int64
}

// A Pattern is a piece that is kept to copy a panel from.
type Pattern struct {
	Bag    code.Code `json:"bag"`
	From   string    `json:"from,omitempty"`    // the origin
	BodyNo string    `json:"body_no,omitempty"` // of the camera it was taken from
	Day    string    `json:"day,omitempty"`
	Width  float64   `json:"width,omitempty"`
	Length float64   `json:"length,omitempty"`
	Place  code.Code `json:"place,omitempty"`
	Notes  []string  `json:"corrections,omitempty"` // the note, then remarks by day
}

// sized fills what follows from size and thickness.
func (c *Covering) sized(w, l, thick int64) {
	c.w, c.l, c.thick = w, l, thick
	c.Width, c.Length, c.Thick = dim.Number(dim.Width, w), dim.Number(dim.Length, l), dim.Number(dim.Thick, thick)
	cm2 := dim.SquareCentimetres(w, l)
	c.CM2, c.DM2, c.SqFt = places(cm2, 2), places(cm2/100, 4), places(dim.SquareFeet(cm2), 3)
	c.Oz, c.TradeOz, c.Iron = places(dim.Ounces(thick), 2), places(dim.TradeOunces(thick), 2), places(dim.Irons(thick), 2)
}

func places(x float64, n int) float64 { p := math.Pow10(n); return math.Round(x*p) / p }

func spotTexts(all []dim.Spot) (out []string) {
	for _, s := range all {
		out = append(out, s.String())
	}
	return out
}

// CoveringOf is a part as a covering, nil for one that is none.
func CoveringOf(v *store.View, p store.Part) (*Covering, error) {
	if !words.Under(p.Class, store.Covering) {
		return nil, nil
	}
	panel, err := v.PanelOf(p.Code)
	if err != nil {
		return nil, err
	}
	c := &Covering{Runs: panel.Runs, Corner: dim.Number(dim.Width, panel.Corner), Holes: spotTexts(panel.Holes), Mirror: panel.Mirror,
		Rim: dim.Number(dim.Thick, p.Rim)}
	if p.Rim != 0 {
		c.Most = dim.Number(dim.Thick, panel.Most)
	}
	if is, err := v.IsPanel(p); err != nil || is {
		c.Up = panel.Up
	}
	c.sized(panel.Width, panel.Length, panel.Thick)
	r := read(v)
	for _, bag := range r.BagsOf(p.Code) {
		if st := r.state(bag); st.Grade == "pattern" && st.OnHand() > 0 {
			c.Patterns = append(c.Patterns, patternOf(r, p, r.bag(bag), st))
		}
	}
	return c, r.err
}

// patternOf is a bag that is kept to copy from.
func patternOf(v *reader, p store.Part, b store.Bag, st store.State) Pattern {
	out := Pattern{Bag: b.Code, From: b.Origin, BodyNo: b.Number, Day: b.Booked.String(), Place: st.Place,
		Width: dim.Number(dim.Width, store.OwnSize(p, b, dim.Width)), Length: dim.Number(dim.Length, store.OwnSize(p, b, dim.Length))}
	if out.BodyNo == "" && !slices.Contains(store.Origins, b.Origin) {
		out.BodyNo = v.donor(code.Code(b.Origin)).BodyNo
	}
	if b.Note != "" {
		out.Notes = append(out.Notes, b.Note)
	}
	for _, n := range got2(v, v.NotesOf, "bag", b.Code) {
		out.Notes = append(out.Notes, n.Text+", "+n.Day.String())
	}
	return out
}

// SheetCovering is a bag as a covering, nil for one of something else.
func SheetCovering(v *store.View, bag code.Code) (*Covering, error) {
	s, ok, err := v.SheetOf(bag)
	if err != nil || !ok {
		return nil, err
	}
	c := &Covering{Runs: s.Runs, Flaws: spotTexts(s.Flaws), Stretch: s.Stretch, Whole: s.Whole}
	c.sized(s.Width, s.Length, s.Thick)
	return c, nil
}

// Facts are what is to be read of a covering, each with what it is called.
func (c *Covering) Facts() (out [][2]string) {
	add := func(what, text string) {
		if text != "" {
			out = append(out, [2]string{what, text})
		}
	}
	if c.w != 0 && c.l != 0 {
		add("size", fmt.Sprintf("%s, %s", store.SizeWords(c.w, c.l), runsWords(c.Runs)))
		add("area", fmt.Sprintf("%.1f cm2, %.2f dm2, %.3f sq ft", c.CM2, c.DM2, c.SqFt))
	}
	if c.thick != 0 {
		add("thick", fmt.Sprintf("%s mm, %g oz, %g iron; %g oz by the trade's 0.4 mm", dim.Format(dim.Thick, c.thick), c.Oz, c.Iron, c.TradeOz))
	}
	if c.Most != 0 {
		add("rim", fmt.Sprintf("%g mm deep: room for %g mm and glue", c.Rim, c.Most))
	}
	var outline []string
	if c.Corner != 0 {
		outline = append(outline, fmt.Sprintf("corners %g mm", c.Corner))
	}
	if c.Up == store.Sides[1] {
		outline = append(outline, "the width stands upright on the camera")
	}
	if len(c.Holes) > 0 {
		outline = append(outline, "holes "+strings.Join(c.Holes, "; "))
	}
	add("outline", strings.Join(outline, ", "))
	if c.Mirror != "" {
		add("mirror", fmt.Sprintf("%s is its mirror image", c.Mirror))
	}
	add("not to use", strings.Join(c.Flaws, "; "))
	add("stretches", c.Stretch)
	add("came off", c.Whole)
	for i, p := range c.Patterns {
		what := ""
		if i == 0 {
			what = "pattern"
		}
		out = append(out, [2]string{what, p.Words()})
	}
	return out
}

// runsWords says along which side the grain runs.
func runsWords(runs string) string {
	if runs == store.Sides[1] {
		return "grain along the width"
	}
	return "grain along the length"
}

// Words is a pattern on a line.
func (p Pattern) Words() string {
	size := ""
	if p.Width != 0 && p.Length != 0 {
		size = fmt.Sprintf("%g x %g mm", p.Width, p.Length)
	}
	from := ""
	if p.From != "" {
		from = "from " + p.From
	}
	if p.BodyNo != "" {
		from = strings.TrimSpace(from + " body " + p.BodyNo)
	}
	return strings.Join(append(texts(string(p.Bag)+" in "+string(p.Place), size, from, p.Day), p.Notes...), "; ")
}
