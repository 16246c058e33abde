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

// MeasuredWords are readings in sentences: "wire 0.153 mm, micrometer, 3 readings
// that agree, 2031-08-31, H". Those that the part's own measure has left behind
// are left out: same says whether one still holds.
func MeasuredWords(read map[dim.Field]store.Reading, same func(dim.Field, int64) bool) []string {
	var out []string
	for _, f := range slices.Sorted(maps.Keys(read)) {
		r := read[f]
		if !same(f, r.Value) {
			continue
		}
		times := ""
		if r.Times > 1 {
			times = fmt.Sprintf("%d readings that agree", r.Times)
		}
		if len(r.Each) > 0 {
			in := dim.Of(f)
			times = fmt.Sprintf("the mean of %d from %s to %s", len(r.Each), dim.Format(f, slices.Min(r.Each)), bare(in, slices.Max(r.Each)))
		}
		from := ""
		if r.From != "" {
			from = "from " + r.From
		}
		out = append(out, filled(measureWords(dim.Of(f), r.Value), r.Tool, times, from, r.Day.String(), r.By))
	}
	return out
}
