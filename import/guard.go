package sheet

import (
	"strings"
	"unicode/utf8"
)

// A CSV file for spreadsheets has ' before each cell that one of them would take
// for a formula, and before each that begins with ' by itself. A last column of
// this heading, which is empty, says so, and import takes the signs off again.
const guardHeading = "Guarded"

// byteOrderMark stands at the head of a CSV file for spreadsheets: without it some of
// them take its letters for those of another alphabet.
const byteOrderMark = "\ufeff"

// guard puts ' before a cell that a spreadsheet would run. A negative number is
// none.
func guard(s string) string {
	if rest, ok := strings.CutPrefix(s, "-"); ok && isNumber(rest) {
		return s
	}
	return guardText(s)
}

// guardText puts ' before a text that a spreadsheet would run, or take for a number
// with its sign.
func guardText(s string) string {
	if risky(s) {
		return "'" + s
	}
	return s
}

// risky says that a text begins as a formula does, or as a guarded text.
func risky(s string) bool {
	if s == "" {
		return false
	}
	switch s[0] {
	case '=', '+', '-', '@', '\'', '\t', '\r':
		return true
	}
	r, _ := utf8.DecodeRuneInString(s)
	return strings.ContainsRune("＝＋－＠", r)
}

// unguard takes off what guard or guardText put on.
func unguard(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && risky(rest) {
		return rest
	}
	return s
}

// isNumber says that s is digits, perhaps with one point.
func isNumber(s string) bool {
	return strings.Trim(s, "0123456789.") == "" && strings.Trim(s, ".") != "" && strings.Count(s, ".") < 2
}
