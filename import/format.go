package sheet

import (
	"slices"
	"strings"
)

// A numberFormat is how a cell shows its number, as far as it tells what the
// number means.
type numberFormat struct {
	date    bool   // a day, perhaps with a time
	science bool   // 1.00E+05
	pattern []sign // a whole number within other signs, such as 00000 or "P"000
}

// A sign is a place for a digit, which 0 fills with a nought and # leaves empty,
// or a sign that is shown as it is.
type sign struct {
	c     rune
	digit bool
}

// builtIn are the formats that workbooks name without spelling them (ECMA-376
// part 1, 18.8.30, and the days of East Asian languages there).
func builtIn(id int) numberFormat {
	switch {
	case id >= 14 && id <= 22, id >= 27 && id <= 36, id >= 45 && id <= 47, id >= 50 && id <= 58:
		return numberFormat{date: true}
	case id == 11, id == 48:
		return numberFormat{science: true}
	}
	return numberFormat{}
}

// parseFormat reads a format code: its first section, which positive numbers take.
func parseFormat(s string) numberFormat {
	var f numberFormat
	letters, runes := "", []rune(s)
	for i := 0; i < len(runes); i++ {
		c := runes[i]
		switch {
		case c == ';':
			i = len(runes)
		case c == '\\' && i+1 < len(runes):
			i++
			f.pattern = append(f.pattern, sign{runes[i], false})
		case c == '"':
			n := max(slices.Index(runes[i+1:], '"'), 0)
			for _, q := range runes[i+1 : i+1+n] {
				f.pattern = append(f.pattern, sign{q, false})
			}
			i += n + 1
		case c == '_' || c == '*':
			i++
			letters += "_"
		case c == '[':
			n := max(slices.Index(runes[i:], ']'), 0)
			if in := strings.ToLower(string(runes[i : i+n])); in != "" && strings.Trim(in[1:], "hms") == "" {
				letters += "h"
			}
			i += n
		case c == '0' || c == '#':
			f.pattern = append(f.pattern, sign{c, true})
		case strings.ContainsRune("-/ ():+&'", c):
			f.pattern = append(f.pattern, sign{c, false})
		default:
			letters += strings.ToLower(string(c))
		}
	}
	return f.shaped(letters)
}

// shaped says what the letters of a format make of it.
func (f numberFormat) shaped(letters string) numberFormat {
	digits := slices.ContainsFunc(f.pattern, func(s sign) bool { return s.digit })
	switch {
	case strings.Contains(letters, "general"):
		return numberFormat{}
	case strings.Contains(letters, "e") && digits:
		return numberFormat{science: true}
	case strings.ContainsAny(letters, "ymdhseg"):
		return numberFormat{date: true}
	case letters == "" && len(f.pattern) > 1 && slices.Contains(f.pattern, sign{'0', true}):
		return f
	}
	return numberFormat{}
}

// show writes the digits of a whole number into the pattern: 7 into 00000 is
// 00007, 12345 into 000-000 is 012-345. It returns nothing without a pattern, or
// where the number is not whole.
func (f numberFormat) show(digits string) string {
	if len(f.pattern) == 0 || digits == "" || strings.Trim(digits, "0123456789") != "" {
		return ""
	}
	places := 0
	for _, s := range f.pattern {
		if s.digit {
			places++
		}
	}
	var out strings.Builder
	for _, s := range f.pattern {
		if !s.digit {
			out.WriteRune(s.c)
			continue
		}
		n := len(digits) - places + 1 // the first place takes all that the others leave
		places--
		switch {
		case n > 0:
			out.WriteString(digits[:n])
			digits = digits[n:]
		case s.c == '0':
			out.WriteByte('0')
		}
	}
	return out.String()
}
