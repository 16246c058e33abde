package sheet

import "strings"

// twoNumbers is said of a number with a point that may part thousands, in a file
// whose cells are parted by semicolons or tabs and whose decimals by commas.
const twoNumbers = "may be a number with three decimals, or thousands: write it with a decimal comma, or without a mark between thousands"

// thousands says whether a point in s may part thousands: 1.234 may, and 0.014
// and 12.5 cannot.
func thousands(s string) bool {
	whole, frac, ok := strings.Cut(s, ".")
	return ok && len(frac) == 3 && allDigits(frac) && len(whole) <= 3 && allDigits(whole) && whole[0] != '0'
}

// pointed is a number with a decimal point in place of its one comma. Of a number
// that has points as well nothing is certain: it is left as it is.
func pointed(s string) string {
	before, after, ok := strings.Cut(s, ",")
	if ok && allDigits(strings.TrimPrefix(before, "-")) && allDigits(after) {
		return before + "." + after
	}
	return s
}

func allDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
