package tell

import (
	"io"
	"regexp"
	"strings"
)

// How an answer is marked within the program: numbers of Unicode that no text has
// (noncharacters). Red is for what must not be done, blue for what can be typed.
const (
	bold  = "\ufdd0"
	red   = "\ufdd1"
	blue  = "\ufdd2"
	reset = "\ufdd3"
)

// sequences are what a terminal gets for them: ECMA-48, 8.3.117 (select graphic
// rendition).
var sequences = strings.NewReplacer(bold, "\x1b[1m", red, "\x1b[31m", blue, "\x1b[34m", reset, "\x1b[0m")

// A painter colours what an answer says in words as well: codes that lines begin with,
// that nothing is free, and left-hand threads.
type painter struct {
	out     io.Writer
	leading *regexp.Regexp // the code that a line begins with, perhaps behind its number: ":1 P003", "B203"
	none    *regexp.Regexp // that no piece is free
}

// newPainter makes the painter of a screen: its patterns cost more than the start of
// most programs, so only who wants colours has them.
func newPainter(out io.Writer) painter {
	return painter{out, regexp.MustCompile(`(?m)^( *(?::[0-9]+ +)?)([A-Z][A-Z0-9./-]*[0-9][A-Z0-9./-]*)( |$)`), regexp.MustCompile(`\b0 free\b`)}
}

func (p painter) Write(b []byte) (int, error) {
	text := string(b)
	if !strings.ContainsAny(text, bold+red+blue+reset) { // what has a colour keeps it
		text = p.leading.ReplaceAllString(text, "${1}"+blue+"${2}"+reset+"${3}")
		text = p.none.ReplaceAllString(text, red+"${0}"+reset)
		text = strings.ReplaceAll(text, "LEFT-HAND", red+"LEFT-HAND"+reset)
	}
	_, err := sequences.WriteString(p.out, text)
	return len(b), err
}
