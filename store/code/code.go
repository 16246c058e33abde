// Package code parses the codes, quantities, days and money of a parts store.
//
// A code is what is written on a bag or a drawer: letters, digits, - . and /,
// at most 32 bytes, upper case. Blanks around it are dropped and lower case is
// raised, so that a code typed by hand and one from a sheet are one key.
// All numbers are decimal: 010 is ten. What does not fit its type is refused,
// never cut off.
package code

import (
	"errors"
	"fmt"
	"strings"
)

// A Code names a part, bag, model, donor, place or job. One made by [Parse] is
// in its canonical form.
type Code string

// MaxLen is the greatest length of a code in bytes.
const MaxLen = 32

// ErrNoCode is returned when a text cannot be a code.
var ErrNoCode = errors.New("no code")

// Parse returns the canonical form of s: trimmed and in upper case. It returns
// an error that wraps [ErrNoCode] and says what is wrong with s.
func Parse(s string) (Code, error) {
	c := strings.TrimSpace(s)
	if c == "" {
		return "", fmt.Errorf("an empty text is %w", ErrNoCode)
	}
	if len(c) > MaxLen {
		return "", fmt.Errorf("%.40q is %w: it is longer than %d letters", c, ErrNoCode, MaxLen)
	}
	named := false
	for _, r := range c {
		if !isCodeRune(r) {
			return "", fmt.Errorf("%q is %w: %q is none of letters A to Z, digits, - . /", c, ErrNoCode, r)
		}
		named = named || isAlnum(r)
	}
	if !named {
		return "", fmt.Errorf("%q is %w: it has no letter and no digit", c, ErrNoCode)
	}
	return Code(strings.ToUpper(c)), nil
}

// Loose folds s for forgiving reading: upper case, without - . / and blanks,
// and without the leading zeros of every run of digits. "PC-03" and "pc3" both
// become "PC3", "10.05" becomes "105". A run of zeros keeps its last one.
func Loose(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	r := []rune(strings.ToUpper(s))
	inRun := false // a digit of this run has been written
	for i, c := range r {
		switch {
		case isSeparator(c):
			inRun = false
		case !isDigit(c):
			inRun = false
			b.WriteRune(c)
		case c == '0' && !inRun && i+1 < len(r) && isDigit(r[i+1]):
			// a leading zero with a digit after it
		default:
			inRun = true
			b.WriteRune(c)
		}
	}
	return b.String()
}

func isSeparator(r rune) bool {
	switch r {
	case '-', '.', '/', ' ', '\t', '\u00a0':
		return true
	}
	return false
}

func isCodeRune(r rune) bool { return isAlnum(r) || r == '-' || r == '.' || r == '/' }

func isAlnum(r rune) bool {
	return isDigit(r) || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }
