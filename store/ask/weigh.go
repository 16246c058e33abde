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

// PieceMass is what one piece of a part should weigh in micrograms, and who says
// so: its record or, for metric screws, washers and nuts, a table. The mass is 0
// where nothing says it.
func PieceMass(p store.Part) (mass int64, whose string) {
	if m := p.Dims[dim.Mass]; m > 0 {
		return m, string(p.Code)
	}
	norm := weigh.NormOf(p.Class)
	length := p.Dims[dim.Length]
	size, ok := metricSize(p)
	if norm == "" || !ok {
		return ringMass(p)
	}
	if p.Class == "NUT" || p.Class == "WSH" {
		length = 0
	}
	m, ok := weigh.Expect(norm, size, length)
	if !ok {
		return ringMass(p)
	}
	m, known := weigh.OfMaterial(m, p.Marks[dim.Material])
	if !known {
		return 0, ""
	}
	return m, strings.TrimSuffix(fmt.Sprintf("%s %sx%s", norm, size, dim.Format(dim.Length, length)), "x0")
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
func ringMass(p store.Part) (int64, string) {
	bore, outside, thick := p.Dims[dim.ID], p.Dims[dim.OD], p.Dims[dim.Thick]
	if bore == 0 {
		bore = p.Dims[dim.Bore]
	}
	if p.Class != "WSH" && p.Class != "SHM" || bore <= 0 || outside <= bore || thick <= 0 {
		return 0, ""
	}
	m, known := weigh.OfMaterial(weigh.Washer(bore, outside, thick), p.Marks[dim.Material])
	if !known {
		return 0, ""
	}
	return m, string(p.Code) + " by its measures"
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
		return fmt.Sprintf("%s has no length recorded: screws of mixed lengths cannot be counted by weight; measure them (edit %s --length) or count by hand", p.Code, p.Code)
	}
	return ""
}
