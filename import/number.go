package sheet

import (
	"bufio"
	"errors"
	"io"
	"strings"
)

// twoNumbers is said of a number with a point that may part thousands, in a file
// that [textFile.decimalCommas] takes to have decimal commas.
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

// decimalCommas reports whether the numbers of a text have decimal commas: where
// semicolons or tabs part its cells, unless [pointsAlone] says that its numbers have
// decimal points.
func (t *textFile) decimalCommas() (bool, error) {
	if t.comma == ',' {
		return false, nil
	}
	again, err := openText(t.path, t.encoding)
	if err != nil {
		return false, err
	}
	defer again.Close()
	points, err := pointsAlone(again.in, t.comma)
	return !points, err
}

// pointsAlone reports whether the cells of a text show decimal points (2.60, 0.014)
// and none of them a number with a comma: 1.000 among them is one, and not a thousand.
func pointsAlone(in io.Reader, comma rune) (bool, error) {
	points, lines := false, bufio.NewReader(in)
	for {
		line, err := lines.ReadString('\n')
		for s := range strings.SplitSeq(strings.TrimRight(line, "\r\n"), string(comma)) {
			s = strings.Trim(s, `" `)
			if decimalComma(s) {
				return false, nil
			}
			points = points || decimalPoint(s)
		}
		if err != nil {
			return points, endless(err)
		}
	}
}

// endless is no error at the end of a text.
func endless(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// decimalComma says whether s is a number with a comma, whatever stands behind it and
// a short word before it: 0,25 mm, ca. 1,5, EUR 22,00.
func decimalComma(s string) bool {
	at := strings.IndexAny(s, "0123456789,")
	if at < 0 || at > len("about ") {
		return false
	}
	before, after, ok := strings.Cut(s[at:], ",")
	return ok && strings.Trim(before, "0123456789.") == "" && after != "" && allDigits(after[:1])
}

// decimalPoint says whether s is a number whose point cannot part thousands. 03.04 is
// none: it may be a day.
func decimalPoint(s string) bool {
	whole, frac, ok := strings.Cut(s, ".")
	return ok && allDigits(frac) && allDigits(whole) && !thousands(s) && (whole == "0" || whole[0] != '0')
}
