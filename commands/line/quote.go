package line

import (
	"strings"
	"unicode"
)

// Words cuts a line into words as a shell does: blanks part them, a quoted
// text is part of one word ("customer 1"), and ” is an empty word. A backslash
// takes the meaning from a blank, a quote, a # or a backslash behind it and is
// itself anywhere else, so that C:\bench\list.xlsx stays whole. Between single
// quotes nothing has a meaning.
func Words(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	begun := false // a word that may be empty
	var quote rune // the quote that is open, 0 for none
	runes := []rune(line)
	for i := 0; i < len(runes); i++ {
		r := runes[i]
		switch {
		case r == '\\' && quote != '\'' && i+1 < len(runes) && escapable(runes[i+1], quote):
			i++
			word.WriteRune(runes[i])
			begun = true
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '"' || r == '\''):
			quote, begun = r, true
		case quote == 0 && unicode.IsSpace(r):
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if quote != 0 {
		return nil, Usagef("the quote %c is opened and not closed: write \\%c where the sign itself is meant", quote, quote)
	}
	if begun {
		words = append(words, word.String())
	}
	return words, nil
}

// escapable tells whether a backslash takes the meaning from a rune.
func escapable(r, quote rune) bool {
	if quote == '"' {
		return r == '"' || r == '\\'
	}
	return r == '"' || r == '\'' || r == '\\' || r == '#' || unicode.IsSpace(r)
}

// IsRemark tells whether a line says nothing to the program: it is empty, or a
// remark that begins with #.
func IsRemark(line string) bool {
	line = strings.TrimSpace(line)
	return line == "" || strings.HasPrefix(line, "#")
}
