package dim

import (
	"fmt"
	"strings"
)

// Format returns n as a bare number in the unit of the sheet, without zeros at
// its end: "0.25", "3.25", "95", "0.013". [Parse] reads it back as n. A field
// of words has no number and gives nothing.
func Format(f Field, n int64) string {
	i := Of(f)
	if i.Field == 0 || i.Kind == KindWord {
		return ""
	}
	sign, u := "", uint64(n)
	if n < 0 {
		sign, u = "-", -u
	}
	scale := uint64(i.scale())
	if scale == 1 {
		return fmt.Sprintf("%s%d", sign, u)
	}
	places := len(fmt.Sprint(scale)) - 1
	s := fmt.Sprintf("%s%d.%0*d", sign, u/scale, places, u%scale)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// Number returns n in the unit of the sheet, as JSON has it: millimetres,
// degrees, turns, grams or pieces.
func Number(f Field, n int64) float64 {
	i := Of(f)
	if i.Field == 0 {
		return float64(n)
	}
	return float64(n) / float64(i.scale())
}
