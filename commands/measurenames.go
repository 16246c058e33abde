package commands

import (
	"slices"
	"strings"

	"tinful/store/dim"
)

// A calledMeasure is one that is called by its name: legs 5, or 20 teeth.
type calledMeasure struct {
	field dim.Field
	text  string
}

// byNames takes measures that are called by their names out of words: the name stands
// before the number, or behind it where a number would be told twice or be left over
// otherwise.
func byNames(class string, typed []string) (list []calledMeasure, rest []string) {
	list, rest, ok := namedIn(class, typed, false)
	if !ok {
		list, rest, _ = namedIn(class, typed, true)
	}
	return list, rest
}

// namedIn takes them with the name before the number or, with behind set, behind it
// where a number stands there that has no name yet. It is not ok where a name has no
// number, or a measure is told twice.
func namedIn(class string, typed []string, behind bool) (list []calledMeasure, rest []string, ok bool) {
	order := dim.Order(class)
	threaded := len(order) > 0 && order[0] == dim.Thread
	ok = true
	for i := 0; i < len(typed); {
		f, n := dim.Spoken(class, typed[i:])
		last, next := len(rest)-1, i+n
		told := func(n calledMeasure) bool { return n.field == f }
		switch {
		case threaded && slices.Contains(dim.ThreadWords, strings.ToLower(typed[i])):
			i++
		case n == 0:
			rest = append(rest, typed[i])
			i++
		case behind && last >= 0 && plainMeasure(rest[last]):
			list, rest = append(list, calledMeasure{f, rest[last]}), rest[:last]
			i = next
		case next < len(typed) && plainMeasure(typed[next]):
			ok = ok && !slices.ContainsFunc(list, told)
			list = append(list, calledMeasure{f, typed[next]})
			i = next + 1
		default:
			ok = false
			rest = append(rest, typed[i])
			i++
		}
	}
	return list, rest, ok && !oversaid(order, list, rest)
}

// oversaid tells whether more numbers without a name are left than the kind has other
// measures before those that are named.
func oversaid(order []dim.Field, list []calledMeasure, rest []string) bool {
	numbers := 0
	for _, w := range rest {
		if plainMeasure(w) {
			numbers++
		}
	}
	for _, f := range order {
		if numbers--; f == dim.Thread {
			numbers-- // diameter and pitch
		}
		if numbers >= 0 && slices.ContainsFunc(list, func(n calledMeasure) bool { return n.field == f }) {
			return true
		}
	}
	return false
}

// plainMeasure is a number, perhaps with its unit, and no thread.
func plainMeasure(w string) bool { return isMeasure(w) && !strings.ContainsAny(w, "xX×") }
