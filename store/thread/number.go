package thread

import (
	"fmt"
	"strconv"
	"strings"
)

const (
	nmPerMM   = 1_000_000
	nmPerInch = 25_400_000
)

// count reads a whole number of at most six digits.
func count(s string) (int64, bool) {
	if s == "" || len(s) > 6 || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.ParseInt(s, 10, 64)
	return n, err == nil
}

// parts reads a decimal number with at most six decimals as millionths.
func parts(s string) (int64, bool) {
	whole, frac, point := strings.Cut(s, ".")
	if whole == "" {
		whole = "0"
	}
	if point && frac == "" || len(frac) > 6 {
		return 0, false
	}
	w, ok := count(whole)
	f, ok2 := count(frac + strings.Repeat("0", 6-len(frac)))
	return w*1_000_000 + f, ok && ok2
}

// millimetres reads a length in millimetres, with or without mm behind it, as
// nanometres.
func millimetres(s string) (int64, bool) { return parts(strings.TrimSuffix(s, "mm")) }

// decimal prints nanometres as millimetres without zeros at the end.
func decimal(nm int64) string {
	s := fmt.Sprintf("%d.%06d", nm/nmPerMM, nm%nmPerMM)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// inchDiameter reads the diameter of an inch thread in nanometres and returns
// its canonical name. A whole number is a screw number, 0.060 inch and 0.013 for
// each, in forms that have them, unless the pitch would be far too coarse for
// it: 1-64 is number 1, 1-32 is one inch. 00, 000 and 0000 are below 0: each zero
// more is 0.013 inch less.
func inchDiameter(form, s string, pitch int64) (int64, string, bool) {
	if a, b, ok := strings.Cut(s, "/"); ok {
		return fraction(a, b)
	}
	if n, ok := count(s); ok {
		name := fmt.Sprint(n)
		if n == 0 {
			n, name = 1-int64(len(s)), s
		}
		number := 1_524_000 + n*330_200
		if form != Whitworth && -3 <= n && n <= 14 && pitch*100 <= number*35 {
			return number, name, true
		}
		return n * nmPerInch, fmt.Sprint(n), n > 0
	}
	m, ok := parts(s)
	if !ok {
		return 0, "", false
	}
	return (m*254 + 5) / 10, decimal(m), m > 0
}

// fraction reads a/b inches in lowest terms.
func fraction(a, b string) (int64, string, bool) {
	n, ok := count(a)
	d, ok2 := count(b)
	if !ok || !ok2 || n == 0 || d == 0 {
		return 0, "", false
	}
	g := gcd(n, d)
	n, d = n/g, d/g
	if d == 1 {
		return 0, "", false
	}
	return (n*nmPerInch + d/2) / d, fmt.Sprintf("%d/%d", n, d), true
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
