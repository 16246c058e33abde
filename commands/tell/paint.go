package tell

import (
	"io"
	"regexp"
	"strings"
)

// Sequences of ECMA-48, 8.3.117 (select graphic rendition). Red is for what must not
// be done, blue for what can be typed.
const (
	bold  = "\x1b[1m"
	red   = "\x1b[31m"
	blue  = "\x1b[34m"
	reset = "\x1b[0m"
)

// leading is the code that a line begins with, perhaps behind its number: ":1 P003",
// "B203".
var leading = regexp.MustCompile(`(?m)^( *(?::[0-9]+ +)?)([A-Z][A-Z0-9./-]*[0-9][A-Z0-9./-]*)( |$)`)

// A painter colours what an answer says in words as well: codes that lines begin with,
// that nothing is free, and left-hand threads.
type painter struct{ out io.Writer }

func (p painter) Write(b []byte) (int, error) {
	text := string(b)
	if !strings.Contains(text, "\x1b") { // what has a colour keeps it
		text = leading.ReplaceAllString(text, "${1}"+blue+"${2}"+reset+"${3}")
		text = none.ReplaceAllString(text, red+"${0}"+reset)
		text = strings.ReplaceAll(text, "LEFT-HAND", red+"LEFT-HAND"+reset)
	}
	_, err := io.WriteString(p.out, text)
	return len(b), err
}

// none says that no piece is free.
var none = regexp.MustCompile(`\b0 free\b`)
