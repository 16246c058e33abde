package commands

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"tinful/store"
)

// Exit codes. Scripts depend on them: add at the end, never renumber.
const (
	exitOK          = 0
	exitFailure     = 1   // anything that has no code of its own
	exitUsage       = 2   // a number that is none, an unknown flag, an unknown command
	exitNotFound    = 3   // no such part, place, booking or file, or a question without a store
	exitRefused     = 4   // a rule forbids it, or several would do
	exitBadInput    = 5   // input that cannot be read
	exitBusy        = 6   // another process has the store open
	exitDamaged     = 7   // the store itself cannot be read
	exitInterrupted = 130 // 128 and the number of SIGINT, as a shell reports it
)

// codes says which error ends in which code, read from the top.
var codes = []struct {
	err  error
	code int
}{
	{context.Canceled, exitInterrupted},
	{store.ErrBusy, exitBusy},
	{store.ErrDamaged, exitDamaged},
	{store.ErrNewer, exitDamaged},
	{store.ErrNoStore, exitNotFound},
	{store.ErrBadInput, exitBadInput},
	{store.ErrRefused, exitRefused},
	{fs.ErrExist, exitRefused}, // a file in the way
	{store.ErrSeveral, exitRefused},
	{store.ErrNotFound, exitNotFound},
	{fs.ErrNotExist, exitNotFound}, // a file that was named
	{store.ErrUsage, exitUsage},
}

// A usageError is a line that was not understood.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// usagef returns a usageError with the text.
func usagef(format string, values ...any) error {
	return usageError{fmt.Errorf(format, values...)}
}

// A silentError ends with its code and says nothing: the answer says it all.
type silentError int

func (e silentError) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// exitCode is the code an error ends in.
func exitCode(err error) int {
	if err == nil {
		return exitOK
	}
	if silent, ok := errors.AsType[silentError](err); ok {
		return int(silent)
	}
	if _, ok := errors.AsType[usageError](err); ok {
		return exitUsage
	}
	for _, row := range codes {
		if errors.Is(err, row.err) {
			return row.code
		}
	}
	return exitFailure
}

// report writes each line of an error after "tinful: " and returns its code.
func report(w io.Writer, err error) int {
	code := exitCode(err)
	if _, silent := errors.AsType[silentError](err); err != nil && !silent {
		note(w, err.Error()+rights(err))
	}
	return code
}

// rights is what helps where the system forbids a file or folder, else nothing.
func rights(err error) string {
	if !errors.Is(err, fs.ErrPermission) {
		return ""
	}
	return "; look at the rights of the file and its folder, or name another"
}

// longest is how many bytes of a line of an error are printed: what was typed may be
// a whole file.
const longest = 2000

// shortened is a line with its middle left out where it is longer than longest.
func shortened(line string) string {
	if len(line) <= longest {
		return line
	}
	const end = longest / 4
	return strings.ToValidUTF8(line[:longest-end], "") + " ... " + strings.ToValidUTF8(line[len(line)-end:], "")
}

// note writes each line of a text after "tinful: ". On a terminal a long one is
// broken between words.
func note(w io.Writer, text string) {
	width := 0
	if f, ok := w.(*os.File); ok {
		width = columnsOf(f)
	}
	for line := range strings.Lines(text) {
		fmt.Fprintln(w, noted(shortened(strings.TrimRight(line, "\r\n")), width))
	}
}

// noted is a line of a note, on a terminal of so many columns; 0 is no terminal.
func noted(line string, width int) string {
	const head = "tinful: "
	return head + strings.Join(wrap(line, width-len(head)), "\n        ")
}

// prompt writes what an answer is typed behind, in the same line.
func prompt(w io.Writer, text string) {
	const room = 8 // for the answer
	width := 0
	if f, ok := w.(*os.File); ok {
		width = columnsOf(f)
	}
	fmt.Fprint(w, noted(text, width-room), " ")
}
