package words

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/width"
)

// Fold returns s in the form in which words are compared: lower case, without
// accents, ß as ss, full-width forms as plain ones, and everything but letters,
// digits and the decimal point between digits as one blank. An e after a, o or
// u is dropped, so that Rückholfeder, Rueckholfeder and Ruckholfeder are equal,
// and a letter that stands three times stands twice, so that the old and the new
// spelling of Sperrad are equal. Japanese keeps its characters and is parted
// from Latin letters and digits. Folding twice changes nothing.
func Fold(s string) string {
	f := folder{out: make([]byte, 0, len(s)+4)}
	if isASCII(s) {
		for i := range len(s) {
			f.ascii(s[i], next(s, i+1))
		}
		return f.text()
	}
	// Bytes that are no UTF-8 can keep norm from decomposing what follows them.
	s = norm.NFKD.String(strings.ToValidUTF8(s, " "))
	for i, r := range s {
		f.rune(r, next(s, i+utf8.RuneLen(r)))
	}
	return norm.NFC.String(f.text())
}

// Narrow is a text in the letters and digits of the keyboard where it is in full-width ones
// and nothing else is in it.
func Narrow(s string) string {
	if isASCII(s) {
		return s
	}
	if folded := width.Fold.String(s); isASCII(folded) {
		return folded
	}
	return s
}

// Tokens returns the folded words of s in their order, repeats kept.
func Tokens(s string) []string { return strings.Fields(Fold(s)) }

// In reports whether a text has all of some words, each at the beginning of one of its own.
func In(text string, all []string) bool {
	have := " " + Fold(text)
	for _, w := range all {
		for _, t := range Tokens(w) {
			if !strings.Contains(have, " "+t) {
				return false
			}
		}
	}
	return true
}

// HasDigit reports whether tok contains a digit of any script.
func HasDigit(tok string) bool { return strings.ContainsFunc(tok, unicode.IsDigit) }

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// next returns the byte of s at i, or 0 past its end.
func next(s string, i int) byte {
	if i < len(s) {
		return s[i]
	}
	return 0
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// A folder collects folded text. gap is set when a blank is due before the next
// letter; asian tells whether the last letter was a Japanese one.
type folder struct {
	out   []byte
	gap   bool
	asian bool
}

func (f *folder) text() string { return string(f.out) }

// last returns the last byte written in the present word, or 0 at its start.
func (f *folder) last() byte {
	if f.gap || len(f.out) == 0 {
		return 0
	}
	return f.out[len(f.out)-1]
}

// ascii takes one byte below 128; after is the byte that follows it.
func (f *folder) ascii(c, after byte) {
	switch {
	case 'A' <= c && c <= 'Z':
		f.letter(c + 'a' - 'A')
	case 'a' <= c && c <= 'z':
		f.letter(c)
	case digit(c):
		f.open(false)
		f.out = append(f.out, c)
	case c == '.' || c == ',':
		f.point(c, after)
	case c == '\'': // the makers of maker's
	default:
		f.gap = true
	}
}

// point takes a point or comma: a decimal one stays, as a point.
func (f *folder) point(c, after byte) {
	switch {
	case digit(after) && digit(f.last()):
		f.out = append(f.out, '.')
	case digit(after) && f.last() == 0 && c == '.':
		f.open(false)
		f.out = append(f.out, '0', '.')
	default:
		f.gap = true
	}
}

// open begins a word if one is due: after a gap, and between Japanese and
// other letters.
func (f *folder) open(asian bool) {
	if len(f.out) > 0 && (f.gap || asian != f.asian) {
		f.out = append(f.out, ' ')
	}
	f.gap, f.asian = false, asian
}

// letter takes a lower case letter a to z.
func (f *folder) letter(c byte) {
	f.open(false)
	n := len(f.out)
	if n > 0 && c == 'e' && (f.out[n-1] == 'a' || f.out[n-1] == 'o' || f.out[n-1] == 'u') {
		return
	}
	if n > 1 && f.out[n-1] == c && f.out[n-2] == c {
		return
	}
	f.out = append(f.out, c)
}

// rune takes one character of decomposed text; after is the byte that follows.
func (f *folder) rune(r rune, after byte) {
	if r < utf8.RuneSelf {
		f.ascii(byte(r), after)
		return
	}
	r = unicode.ToLower(r)
	if s := spelled(r); s != "" {
		for i := range len(s) {
			f.letter(s[i])
		}
		return
	}
	switch {
	case r == '\u3099' || r == '\u309a': // voicing marks of kana
		if f.asian && !f.gap {
			f.out = utf8.AppendRune(f.out, r)
		}
	case unicode.Is(unicode.Mn, r) || r == '’' || unicode.Is(unicode.Cf, r):
	case unicode.IsLetter(r) || unicode.IsNumber(r) || unicode.Is(unicode.Mc, r):
		f.open(japanese(r))
		f.out = utf8.AppendRune(f.out, r)
	default:
		f.gap = true
	}
}

// spelled returns the plain letters of a lower case letter that has no
// decomposition, or "".
func spelled(r rune) string {
	switch r {
	case 'ß':
		return "ss"
	case 'æ':
		return "ae"
	case 'œ':
		return "oe"
	case 'ø':
		return "o"
	case 'ł':
		return "l"
	case 'đ', 'ð':
		return "d"
	case 'þ':
		return "th"
	case 'ı':
		return "i"
	case '×':
		return "x"
	}
	return ""
}

// japanese reports whether r is written in a run without blanks: kanji, kana
// and the marks that lengthen or repeat them.
func japanese(r rune) bool {
	return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) || r == 'ー' || r == '々' || r == '〆'
}
