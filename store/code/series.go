package code

import (
	"fmt"
	"strings"
	"unicode"
)

// Split parts the number at the end of c from what stands before it: "PC-03"
// becomes "PC-", 3 and the width 2. It reports false where c does not end in a
// number or the number has more than 18 digits.
func Split(c Code) (prefix string, n int64, width int, ok bool) {
	i := len(c)
	for i > 0 && isDigit(rune(c[i-1])) {
		i--
	}
	width = len(c) - i
	if width == 0 || width > 18 {
		return string(c), 0, 0, false
	}
	for _, d := range []byte(c[i:]) {
		n = n*10 + int64(d-'0')
	}
	return string(c[:i]), n, width, true
}

// Make is the reverse of [Split]: the code of prefix and n, with zeros in front
// of n up to width digits. n is not negative.
func Make(prefix string, n int64, width int) Code {
	return Code(fmt.Sprintf("%s%0*d", prefix, width, n))
}

// CompareNumbers compares two engraved numbers, such as those of bodies, by
// their digits where their letters agree: "CB1187" is more than "CB0001", and
// "O 118 402" is the number 118402. Blanks, dots and hyphens do not count. It
// reports false where the letters differ or there are no digits.
func CompareNumbers(a, b string) (cmp int, ok bool) {
	la, na := letters(a)
	lb, nb := letters(b)
	if la != lb || len(na) == 0 {
		return 0, false
	}
	for i := range na {
		if c := compareDigits(na[i], nb[i]); c != 0 {
			return c, true
		}
	}
	return 0, true
}

// letters returns s as a pattern, in which a # stands for each number, and the
// numbers without leading zeros. Digits with only blanks and marks between them
// are one number.
func letters(s string) (pattern string, numbers []string) {
	var p, n strings.Builder
	flush := func() {
		if n.Len() > 0 {
			p.WriteByte('#')
			numbers = append(numbers, strings.TrimLeft(n.String(), "0"))
			n.Reset()
		}
	}
	for _, r := range s {
		switch {
		case isDigit(r):
			n.WriteRune(r)
		case unicode.IsLetter(r) || unicode.IsNumber(r):
			flush()
			p.WriteRune(unicode.ToUpper(r))
		}
	}
	flush()
	return p.String(), numbers
}

// compareDigits compares two numbers without leading zeros.
func compareDigits(a, b string) int {
	if len(a) != len(b) {
		if len(a) < len(b) {
			return -1
		}
		return 1
	}
	return strings.Compare(a, b)
}
