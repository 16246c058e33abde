package sheet

import "strings"

// A CSV file for spreadsheets has ' before each cell that one of them would take
// for a formula, and before each that begins with ' by itself. A last column of
// this heading, which is empty, says so, and import takes the signs off again.
const guardHeading = "Guarded"

// guard puts ' before a cell that a spreadsheet would run. A negative number is
// none.
func guard(s string) string {
	if s == "" {
		return s
	}
	switch s[0] {
	case '-', '+':
		if isNumber(s[1:]) {
			return s
		}
	case '=', '@', '\'', '\t', '\r':
	default:
		if !strings.HasPrefix(s, "＝") && !strings.HasPrefix(s, "＋") && !strings.HasPrefix(s, "－") && !strings.HasPrefix(s, "＠") {
			return s
		}
	}
	return "'" + s
}

// unguard takes off what guard put on.
func unguard(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && rest != "" && guard(rest) == s {
		return rest
	}
	return s
}

// isNumber says that s is digits, perhaps with one point.
func isNumber(s string) bool {
	return strings.Trim(s, "0123456789.") == "" && strings.Trim(s, ".") != "" && strings.Count(s, ".") < 2
}
