package ask

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/dim"
)

// MeasuresOf are the measures of a part in one sentence, in the order of the sheet:
// "wire 0.25 mm, outside 2.60 mm, 3.25 coils, right-hand".
func MeasuresOf(p store.Part) string {
	var out []string
	for _, in := range dim.Table() {
		n, measured := p.Dims[in.Field]
		word := p.Marks[in.Field]
		switch {
		case word != "":
			out = append(out, markWords(in.Field, word))
		case !measured:
		case in.Kind == dim.KindCount || in.Kind == dim.KindTurns:
			out = append(out, dim.Format(in.Field, n)+" "+in.Name())
		default:
			out = append(out, measureWords(in, n))
		}
	}
	return strings.Join(out, ", ")
}

// A Measured is a measure as it was taken, several readings each for itself. Values are
// in the units of the answer: millimetres, degrees, grams.
type Measured struct {
	Measure string    `json:"measure"`
	Value   float64   `json:"value"` // the mean of several
	Tool    string    `json:"tool,omitempty"`
	Times   int64     `json:"times,omitempty"` // readings taken, where it is more than one
	Each    []float64 `json:"each,omitempty"`  // readings that differ
	Low     float64   `json:"low,omitempty"`   // the least of them
	High    float64   `json:"high,omitempty"`
	Day     string    `json:"day,omitempty"`
	By      string    `json:"by,omitempty"`
	From    string    `json:"from,omitempty"` // the card or book it was copied from

	words string
}

// MeasuredOf are the readings that still hold, in the order of the sheet.
func MeasuredOf(read map[dim.Field]store.Reading, holds func(dim.Field, int64) bool) (out []Measured) {
	for _, f := range slices.Sorted(maps.Keys(read)) {
		if r := read[f]; holds(f, r.Value) {
			out = append(out, taken(f, r))
		}
	}
	return out
}

// PartMeasured are the readings of a part that its measures have not left behind.
func PartMeasured(p store.Part) []Measured {
	return MeasuredOf(p.Readings, func(f dim.Field, n int64) bool { have, ok := p.Dims[f]; return ok && have == n })
}

// BagMeasured are the readings of the pieces in a bag.
func BagMeasured(b store.Bag) []Measured {
	return MeasuredOf(b.Readings, func(dim.Field, int64) bool { return true })
}

func taken(f dim.Field, r store.Reading) Measured {
	in := dim.Of(f)
	m := Measured{Measure: in.Key, Value: dim.Number(f, r.Value), Tool: r.Tool, Times: r.Times, Day: r.Day.String(), By: r.By, From: r.From}
	times, from := "", ""
	if r.Times > 1 {
		times = fmt.Sprintf("%d readings that agree", r.Times)
	}
	if len(r.Each) > 0 {
		low, high := slices.Min(r.Each), slices.Max(r.Each)
		times = fmt.Sprintf("the mean of %d from %s to %s", len(r.Each), dim.Format(f, low), bare(in, high))
		m.Low, m.High = dim.Number(f, low), dim.Number(f, high)
		for _, n := range r.Each {
			m.Each = append(m.Each, dim.Number(f, n))
		}
	}
	if r.From != "" {
		from = "from " + r.From
	}
	m.words = filled(measureWords(in, r.Value), r.Tool, times, from, m.Day, r.By)
	return m
}

// Words are a measure in a sentence: "wire 0.153 mm, micrometer, 3 readings that agree,
// 2031-08-31, H".
func (m Measured) Words() string { return m.words }
