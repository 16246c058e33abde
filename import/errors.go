package sheet

import (
	"fmt"
	"io/fs"

	"tinful/store"
)

// An Error is a file that cannot be read, or written, as it was asked. Kind says what
// would help, Arg with what. Its Unwrap returns [store.ErrBadInput] or, of Standing,
// [fs.ErrExist].
type Error struct {
	Kind string
	Arg  string
	text string
}

// What would help.
const (
	TooLarge   = "too-large"   // a larger limit, Arg
	Unmapped   = "unmapped"    // a map of headings
	NoSheet    = "no-sheet"    // which sheet of the workshop the rows are
	SheetOpen  = "sheet-open"  // which sheet of the workbook
	Standing   = "standing"    // leave to write over what stands there
	NoCount    = "no-count"    // a sheet to count with
	NoEncoding = "no-encoding" // which letters the file has
)

// Error says what is wrong. Where the line is at fault it does not blame the input.
func (e *Error) Error() string {
	if e.Kind == Standing || e.Kind == NoSheet { // the second is a slip of the line
		return e.text
	}
	return store.ErrBadInput.Error() + ": " + e.text
}

// Unwrap returns [fs.ErrExist] where something stands in the way, else [store.ErrBadInput].
func (e *Error) Unwrap() error {
	if e.Kind == Standing {
		return fs.ErrExist
	}
	return store.ErrBadInput
}

// helped is an [Error] of a kind.
func helped(kind, arg, format string, args ...any) error {
	return &Error{kind, arg, fmt.Sprintf(format, args...)}
}
