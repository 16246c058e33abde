package words

import "strings"

// List joins names by commas, the last two by a word: bag, part or place.
func List[S ~string](list []S, last string) string {
	var b strings.Builder
	size := len(last)
	for _, s := range list {
		size += len(s) + len(", ")
	}
	b.Grow(size)
	for i, s := range list {
		switch {
		case i > 0 && i == len(list)-1:
			b.WriteString(last)
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(string(s))
	}
	return b.String()
}

// Or joins names, the last two by "or".
func Or[S ~string](list []S) string { return List(list, " or ") }

// And joins names, the last two by "and".
func And[S ~string](list []S) string { return List(list, " and ") }
