// Package thread reads and writes screw threads: their form, size and hand.
//
// A thread is one cell: "metric 1.7x0.35", "loewenherz 1.7x0.35", "BA 10",
// "unified 0-80", "whitworth 1/4-20" or "unknown 1.7x0.35", each with " LH" for
// left-hand. Diameter and pitch are kept in nanometres, in which 1/80 inch is
// the whole number 317500. The one surprising rule: two threads of equal
// diameter and pitch are still different where their forms differ, and neither
// screw belongs in the other's hole.
package thread

import (
	"errors"
	"strings"
)

// The forms of threads, as the first word of a cell.
const (
	Metric     = "metric"
	Loewenherz = "loewenherz"
	BA         = "BA"
	Unified    = "unified"
	Whitworth  = "whitworth"
	Unknown    = "unknown"
)

// A Thread is one thread. Its zero value is none.
type Thread struct {
	Form  string // one of the forms of this package
	Major int64  // nominal outside diameter in nanometres
	Pitch int64  // in nanometres; a pitch in threads per inch is rounded to one
	Left  bool   // left-hand
	Size  string // canonical, without form and hand: "1.7x0.35", "10", "1/4-20"
}

// ErrNoThread is returned when a cell cannot be read as a thread.
var ErrNoThread = errors.New("no thread")

// String returns the canonical text of the cell, and nothing for the zero
// Thread.
func (t Thread) String() string {
	if t.Form == "" {
		return ""
	}
	s := t.Form + " " + t.Size
	if t.Left {
		s += " LH"
	}
	return s
}

// Forms returns the forms in the order people are shown them.
func Forms() []string { return []string{Metric, Loewenherz, BA, Unified, Whitworth, Unknown} }

// ParseForm returns the form of a word in any case, also of trade words for it
// such as UNF, BSW and Löwenherz, or false.
func ParseForm(word string) (string, bool) {
	switch strings.ToLower(strings.Trim(word, ".")) {
	case "metric", "m", "iso", "metrisch":
		return Metric, true
	case "loewenherz", "löwenherz", "lowenherz", "loew":
		return Loewenherz, true
	case "ba":
		return BA, true
	case "unified", "un", "unf", "unc", "unef", "uns", "unm":
		return Unified, true
	case "whitworth", "whit", "bsw", "bsf", "bsb":
		return Whitworth, true
	case "unknown", "?":
		return Unknown, true
	}
	return "", false
}

// Flank returns the flank angle of a form in degrees, or false for a form that
// is not known. Angles: ISO 68-1, ASME B1.1, BS 84, BS 93 and, for the old
// German thread, its published 53 degrees 8 minutes.
func Flank(form string) (float64, bool) {
	switch f, _ := ParseForm(form); f {
	case Metric, Unified:
		return 60, true
	case Whitworth:
		return 55, true
	case Loewenherz:
		return 53 + 8.0/60, true
	case BA:
		return 47.5, true
	}
	return 0, false
}

// FormName returns what people call a form.
func FormName(form string) string {
	switch f, _ := ParseForm(form); f {
	case Metric:
		return "metric 60 degrees thread"
	case Loewenherz:
		return "old German 53 degrees thread (Loewenherz)"
	case BA:
		return "British 47.5 degrees instrument thread (BA)"
	case Unified:
		return "American 60 degrees inch thread (unified)"
	case Whitworth:
		return "British 55 degrees inch thread (Whitworth)"
	}
	return "thread of unknown form"
}

// Differs reports whether two forms are both known and not equal.
func Differs(form, other string) bool {
	f, ok := ParseForm(form)
	o, ok2 := ParseForm(other)
	return ok && ok2 && f != Unknown && o != Unknown && f != o
}
