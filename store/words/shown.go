package words

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Shown is a text from outside as it may stand in a message, a list or a map: what
// would steer a terminal, turn the order of letters round or stand there unseen is
// written as its number, \u001b. Text that has none of it is the text itself. A joiner
// between letters that need one (Persian, Devanagari, joined emoji) stays.
func Shown(s string) string { return shown(s, "") }

// ShownLines is [Shown] of text in lines: the ends of lines and tabs stay.
func ShownLines(s string) string { return shown(s, "\n\t") }

func shown(s, keep string) string {
	if plain(s, keep) {
		return s
	}
	var b strings.Builder
	before := rune(0)
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		next, _ := utf8.DecodeRuneInString(s[i+n:])
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case Unseen(r) && !strings.ContainsRune(keep, r) && !(joins(r) && lettered(before) && lettered(next)):
			writeNumber(&b, r)
		default:
			b.WriteString(s[i : i+n])
		}
		before, i = r, i+n
	}
	return b.String()
}

// Printed is how many bytes of printed ASCII, blanks among it, a text begins with.
func Printed(s string) int {
	i := 0
	for ; i+32 <= len(s); i += 32 {
		if t := s[i : i+32]; (unprinted(Eight(t))|unprinted(Eight(t[8:]))|unprinted(Eight(t[16:]))|unprinted(Eight(t[24:])))&eightTops != 0 {
			break
		}
	}
	for ; i+8 <= len(s) && EightPrinted(Eight(s[i:])); i += 8 {
	}
	for i < len(s) && s[i] >= ' ' && s[i] <= '~' {
		i++
	}
	return i
}

// Eight is the first eight bytes of a text as a number, the first byte the lowest.
func Eight(s string) uint64 {
	_ = s[7]
	return uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
}

const (
	eightOnes = 0x0101010101010101
	eightTops = 0x80 * eightOnes // the highest bit of each byte
)

// EightPrinted says that eight bytes are printed ASCII: none is below a blank, above a
// tilde or no ASCII.
func EightPrinted(x uint64) bool { return unprinted(x)&eightTops == 0 }

// unprinted has the highest bit of a byte that is not printed, if not of each.
func unprinted(x uint64) uint64 { return (x-' '*eightOnes)&^x | (x + eightOnes) | x }

// EightBlanks has the highest bit of each of eight printed bytes that is a blank.
func EightBlanks(x uint64) uint64 { return ^(x ^ ' '*eightOnes + (0x80-1)*eightOnes) & eightTops }

// plain says that all signs of a text are seen, as nearly always, or are to be kept.
func plain(s, keep string) bool {
	for i := Printed(s); i < len(s); i += Printed(s[i:]) {
		switch c := s[i]; {
		case c < utf8.RuneSelf:
			if strings.IndexByte(keep, c) < 0 {
				return false
			}
			i++
		default:
			r, n := utf8.DecodeRuneInString(s[i:])
			if r == utf8.RuneError && n == 1 || Unseen(r) {
				return false
			}
			i += n
		}
	}
	return true
}

// Unseen says that a sign is none that is seen: a control character, a mark of direction
// or of no width, an end of a line (general categories Cc, Cf, Zl, Zp of Unicode), or a
// filler that looks like nothing.
func Unseen(r rune) bool {
	switch {
	case r < ' ', r >= 0x7f && r < 0xa0, r == 0xad:
		return true
	case r < 0x300: // Latin
		return false
	}
	switch r {
	case '\u034f', '\u115f', '\u1160', '\u3164', '\uffa0':
		return true
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// joins: zero width non-joiner and joiner.
func joins(r rune) bool { return r == '\u200c' || r == '\u200d' }

// lettered says that a sign may need a joiner beside it: none of ASCII does.
func lettered(r rune) bool {
	return r > unicode.MaxASCII && r != utf8.RuneError && !Unseen(r) && !unicode.IsSpace(r)
}

// writeNumber writes the number of a sign as JSON does: RFC 8259, 7.
func writeNumber(b *strings.Builder, r rune) {
	if r > 0xffff {
		high, low := utf16.EncodeRune(r)
		fmt.Fprintf(b, `\u%04x\u%04x`, high, low)
		return
	}
	fmt.Fprintf(b, `\u%04x`, r)
}

// Hidden is what [Shown] made a text of: numbers of signs that are not seen become those
// signs again.
func Hidden(s string) string {
	for at := 0; ; at++ {
		i := strings.Index(s[at:], `\u`)
		if i < 0 || at+i+6 > len(s) {
			return s
		}
		at += i
		n, err := strconv.ParseUint(s[at+2:at+6], 16, 16)
		if r := rune(n); err == nil && Unseen(r) {
			s = s[:at] + string(r) + s[at+6:]
		}
	}
}

// Turns says that a sign turns the order of those around it round: embeddings,
// overrides and isolates (UAX 9, table 4).
func Turns(r rune) bool { return r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' }
