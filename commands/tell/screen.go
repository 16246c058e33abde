// Package tell is how an answer looks: tables, wrapped texts, lists of words, colours,
// JSON. It takes what store and ask return and writes it; it opens nothing.
package tell

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"tinful/store/words"
)

// Width is the number of columns where no terminal says another.
const Width = 80

// A Screen is where an answer goes, and how it is to look there.
type Screen struct {
	Out, Err io.Writer
	Wide     int // columns of the terminal that Out is, 0 for none
	ErrWide  int // columns of the terminal that Err is, 0 for none
	Coloured bool
	Plain    bool // a fact a line, for a reader by ear
	Quiet    bool // notes are left out
	// CareSaid notes cautions as said for the job in hand and returns those that were
	// before, and the job; nil where none is in hand.
	CareSaid func(cautions []string) (before []string, job string)
	AsJSON   bool
}

// NewScreen returns a screen that shows what of an answer would not be seen, or would
// steer the terminal.
func NewScreen(stdout, stderr io.Writer) *Screen {
	return &Screen{Out: &shownWriter{out: stdout}, Err: stderr}
}

// Paint lets the answer have colours, which never are the only sign of what they say.
func (s *Screen) Paint() {
	s.Coloured = true
	w, shown := s.Out.(*shownWriter)
	switch {
	case s.AsJSON:
	case shown:
		w.out = newPainter(w.out) // behind it: only what the program marked has a colour
	default:
		s.Out = newPainter(s.Out)
	}
}

// JSON tells whether the answer is to be JSON.
func (s *Screen) JSON() bool { return s.AsJSON }

// Columns is the width of the terminal, else [Width]; without limit where lines are
// read by ear.
func (s *Screen) Columns() int {
	switch {
	case s.Plain:
		return math.MaxInt32
	case s.Wide > 0:
		return s.Wide
	}
	return Width
}

// Println writes values on a line of the answer.
func (s *Screen) Println(values ...any) { fmt.Fprintln(s.Out, values...) }

// Printf writes to the answer.
func (s *Screen) Printf(format string, values ...any) { fmt.Fprintf(s.Out, format, values...) }

// Notef writes each line of a text beside the answer, after "tinful: ", unless notes
// are left out.
func (s *Screen) Notef(format string, values ...any) {
	if !s.Quiet {
		s.Warnf(format, values...)
	}
}

// Warnf is Notef for what must be read: it is written always.
func (s *Screen) Warnf(format string, values ...any) {
	Note(s.Err, s.ErrWide, fmt.Sprintf(format, values...))
}

// Note writes each line of a text after "tinful: ". A long line is broken between
// words where wide is not 0, and its middle is left out where it could be a whole file.
func Note(w io.Writer, wide int, text string) {
	for line := range strings.Lines(words.ShownLines(text)) {
		fmt.Fprintln(w, noted(shortened(strings.TrimRight(line, "\r\n")), wide))
	}
}

// Prompt writes the text that an answer is typed behind, in the same line.
func Prompt(w io.Writer, wide int, text string) {
	const room = 8 // for the answer
	fmt.Fprint(w, strings.Join(Wrap(words.ShownLines(text), wide-room), "\n"), " ")
}

// noted is a line of a note in so many columns.
func noted(line string, width int) string {
	const head = "tinful: "
	return head + strings.Join(Wrap(line, width-len(head)), "\n        ")
}

// longest is how many bytes of a line of a note are written.
const longest = 2000

// shortened is a line with its middle left out where it is longer than longest.
func shortened(line string) string {
	if len(line) <= longest {
		return line
	}
	const end = longest / 4
	return strings.ToValidUTF8(line[:longest-end], "") + " ... " + strings.ToValidUTF8(line[len(line)-end:], "")
}

// PrintJSON writes a struct or a map as one object on one line, "tinful":1 first.
func (s *Screen) PrintJSON(v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	body, ok := bytes.CutPrefix(b.Bytes(), []byte("{"))
	if !ok {
		return errors.New("the answer is no JSON object")
	}
	head := `{"tinful":1,`
	if body[0] == '}' {
		head = `{"tinful":1`
	}
	_, err := fmt.Fprintf(s.Out, "%s%s", head, body)
	return err
}

// Answer prints an answer as JSON, or as print does.
func (s *Screen) Answer(answer any, print func()) error {
	if s.AsJSON {
		return s.PrintJSON(answer)
	}
	print()
	return nil
}

// Warning is a text in the colour of warnings, when colours are allowed.
func (s *Screen) Warning(text string) string { return s.in(red, text) }

// Bold is a text that stands out where colours are allowed.
func (s *Screen) Bold(text string) string { return s.in(bold, text) }

func (s *Screen) in(sequence, text string) string {
	if !s.Coloured {
		return text
	}
	return sequence + text + reset
}

// Wrapped is a text in the lines of the screen, all but the first indented.
func (s *Screen) Wrapped(text string) string { return Hang(text, s.Columns(), 2) }

// Lines prints a title and texts below it, each wrapped; nothing for none.
func (s *Screen) Lines(title string, texts []string, warn bool) {
	if len(texts) == 0 {
		return
	}
	s.Printf("\n%s\n", title)
	for _, text := range texts {
		text = strings.Join(Wrap(text, s.Columns()-4), "\n    ")
		if warn {
			text = s.Warning(text)
		}
		s.Println("  " + text)
	}
}

// Para prints a text behind an indent, its further lines a little more indented.
func (s *Screen) Para(indent, text string, warn bool) {
	text = indent + strings.Join(Wrap(text, s.Columns()-len(indent)-3), "\n"+indent+"   ")
	if warn {
		text = s.Warning(text)
	}
	s.Println(text)
}
