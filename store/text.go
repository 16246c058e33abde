package store

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"tinful/store/words"
)

// textMost is how many letters a text may have: as many as a cell of a workbook
// can hold, counted in UTF-16 units, so that every text can be exported.
const textMost = 32767

// CleanText returns a typed text without blanks around it and in Unicode's
// normal form C, so that equal texts are equal bytes. It refuses text that is
// no UTF-8, holds a control character, a number that stands for no letter or one that
// turns the order of letters round, or is longer than a cell can be; the error is an
// [ErrUsage]. Joiners and other letters of no width are text.
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
		if IsNoLetter(r) {
			return "", Misread("the text holds %U, which stands for no letter; leave it out", r)
		}
		if words.Turns(r) {
			return "", Misread("the text holds %U, which turns the order of letters round; leave it out", r)
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

// cleanTexts is [CleanText] of each.
func cleanTexts(all ...*string) (err error) {
	for _, s := range all {
		if *s, err = CleanText(*s); err != nil {
			return err
		}
	}
	return nil
}

// IsNoLetter says that a number of Unicode never stands for a letter: a workbook
// cannot hold these two (XML 1.0, production 2).
func IsNoLetter(r rune) bool { return r == '\ufffe' || r == '\uffff' }

// clean makes the texts of a head such that they can be kept. Who books is typed,
// and refused where it is no text; a command line and a file's name are only told
// of, and lose what is no letter.
func (h Head) clean() (Head, error) {
	by, err := CleanText(h.By)
	if err != nil {
		return h, fmt.Errorf("the name of who books: %w", err)
	}
	h.By, h.Command, h.File = by, onlyLetters(h.Command), onlyLetters(h.File)
	return h, nil
}

// onlyLetters puts U+FFFD for each byte and letter that no text may hold.
func onlyLetters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || IsNoLetter(r) || words.Turns(r) {
			return utf8.RuneError
		}
		return r // and RuneError for a byte that is no UTF-8
	}, s)
}
