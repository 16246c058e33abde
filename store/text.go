package store

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// textMost is how many letters a text may have: as many as a cell of a workbook
// can hold, counted in UTF-16 units, so that every text can be exported.
const textMost = 32767

// oneLine is a text that may be anything, such as a line that was typed, as it can be
// kept: what is no UTF-8 or a control character is a question mark.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

// clean is nil for texts that can be stored.
func clean(texts ...string) error {
	for _, s := range texts {
		if _, err := CleanText(s); err != nil {
			return err
		}
	}
	return nil
}

// CleanText returns a typed text without blanks around it and in Unicode's
// normal form C, so that equal texts are equal bytes. It refuses text that is
// no UTF-8, holds a control character or is longer than a cell can be; the
// error is an [ErrUsage].
func CleanText(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", Misread("the text is no UTF-8")
	}
	s = norm.NFC.String(strings.TrimSpace(s))
	units := 0
	for _, r := range s {
		if unicode.IsControl(r) {
			return "", Misread("the text holds a control character (%U); write it on one line", r)
		}
		units++
		if r > 0xffff {
			units++
		}
	}
	if units > textMost {
		return "", Misread("the text has %d letters, at most %d can be kept", units, textMost)
	}
	return s, nil
}
