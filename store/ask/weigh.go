package ask

import (
	"fmt"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/weigh"
	"tinful/store/words"
)

// A PieceMass is what one piece should weigh, and who says so.
type PieceMass struct {
	weigh.Mass
	Whose string
}

// MassOf is what one piece of a part should weigh by its record or, for metric
// screws, washers and nuts, by a table or a formula. The mass is 0 where nothing
// says it.
func MassOf(p store.Part) PieceMass {
	if m := p.Dims[dim.Mass]; m > 0 {
		return PieceMass{weigh.Mass{Micrograms: m}, string(p.Code)}
	}
	norm := weigh.NormOf(p.Class)
	length := p.Dims[dim.Length]
	size, ok := metricSize(p)
	if p.Class == "NUT" || p.Class == "WSH" {
		length = 0
	}
	if norm != "" && ok {
		name := strings.TrimSuffix(fmt.Sprintf("%s %sx%s", norm, size, dim.Format(dim.Length, length)), "x0")
		if m, ok := NormMass(norm, size, length, p.Marks[dim.Material], name); ok {
			return m
		}
	}
	return ringMass(p)
}

// NormMass is what a piece of a norm should weigh in a material, false where neither
// table nor formula has it or the material's density is not known here.
func NormMass(norm, size string, length int64, material, name string) (PieceMass, bool) {
	m, ok := weigh.Expect(norm, size, length)
	if !ok {
		return PieceMass{}, false
	}
	if m.By != "" {
		name += ", by formula from " + m.By
	}
	m.Micrograms, ok = weigh.OfMaterial(m.Micrograms, material)
	return PieceMass{m, name}, ok
}

// A Weighing is a pile counted by weight; masses are in grams.
type Weighing struct {
	Pieces   int64              `json:"pieces"` // the likeliest
	Likely   float64            `json:"likely"`
	U        float64            `json:"u"`
	Stated   bool               `json:"stated"` // at least 0.95 likely
	Sure     bool               `json:"sure"`   // at least 0.99
	Low      int64              `json:"low"`
	High     int64              `json:"high"`
	Why      []string           `json:"why"`
	Kinds    []store.ReasonKind `json:"why_kind"`
	Settle   []string           `json:"settle"` // what would settle it
	Mixed    bool               `json:"mixed"`  // the samples are not of one kind
	Piece    float64            `json:"piece_mass"`
	Expected float64            `json:"expected_mass,omitempty"`
	By       string             `json:"expected_by,omitempty"` // who says so

	Says, Books string `json:"-"` // the number in a line, and how it was come by
}

// ByWeight counts a pile, whose pieces should weigh so much. It returns
// [weigh.ErrInput] for what makes no sense.
func ByWeight(p weigh.Pile, should PieceMass) (Weighing, error) {
	if len(p.Samples) == 0 {
		p.Piece, p.Unsure = should.Micrograms, should.Unsure
	}
	r, err := weigh.Count(p)
	if err != nil {
		return Weighing{}, err
	}
	w := Weighing{Pieces: r.Pieces, Likely: r.Likely, U: r.U, Stated: r.Stated, Sure: r.Sure, Low: r.Low, High: r.High, Why: []string{},
		Kinds: []store.ReasonKind{}, Settle: append([]string{}, r.Settle...), Mixed: r.Mixed, Piece: r.Mean / 1e6,
		Expected: float64(should.Micrograms) / 1e6, By: should.Whose, Says: r.Say(), Books: r.Book()}
	if s := weigh.Differs(p, r.Mean, should.Micrograms, should.Whose); s != "" {
		r.Why = append(r.Why, weigh.Note{Kind: "another", Text: s})
	}
	for _, n := range r.Why {
		w.Why, w.Kinds = append(w.Why, n.Text), append(w.Kinds, store.ReasonKind(n.Kind))
	}
	return w, nil
}

// metricSize is M1.7 for a metric thread of 1.7.
func metricSize(p store.Part) (string, bool) {
	t, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil || t.Form != thread.Metric {
		return "", false
	}
	return "M" + strconv.FormatFloat(float64(t.Major)/1e6, 'f', -1, 64), true
}

// ringMass is the mass of a washer or shim from its measures.
func ringMass(p store.Part) PieceMass {
	bore, outside, thick := p.Dims[dim.ID], p.Dims[dim.OD], p.Dims[dim.Thick]
	if bore == 0 {
		bore = p.Dims[dim.Bore]
	}
	if p.Class != "WSH" && p.Class != "SHM" || bore <= 0 || outside <= bore || thick <= 0 {
		return PieceMass{}
	}
	m, known := weigh.OfMaterial(weigh.Washer(bore, outside, thick), p.Marks[dim.Material])
	if !known {
		return PieceMass{}
	}
	return PieceMass{weigh.Mass{Micrograms: m}, string(p.Code) + " by its measures"}
}

// NotWeighed says why the pieces of a bag cannot be counted by weight, and
// nothing where they can: what is mixed, sold by length, or of no one length.
func NotWeighed(v *store.View, b store.Bag) (string, error) {
	switch {
	case b.Part == "":
		return fmt.Sprintf("%s is unsorted: only pieces that are alike can be counted by weight; count it by hand", b.Code), nil
	case b.Unit == "mm":
		return fmt.Sprintf("%s is sold by length: measure it", b.Code), nil
	}
	p, err := v.Part(b.Part)
	if err != nil {
		return "", err
	}
	return NotAlike(p), nil
}

// NotAlike says why pieces of a part may differ in length, and nothing where
// they are alike.
func NotAlike(p store.Part) string {
	if _, has := p.Dims[dim.Length]; !has && words.Under(p.Class, "SCR") {
		return fmt.Sprintf("%s has no length recorded: screws of mixed lengths cannot be counted by weight; note the length of one, or count by hand", p.Code)
	}
	return ""
}
