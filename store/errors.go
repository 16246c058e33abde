package store

import (
	"errors"
	"fmt"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// Errors that callers match with errors.Is.
var (
	// ErrNotFound is returned when no part, bag, model, donor, job, place or
	// booking has the name that was asked for.
	ErrNotFound = errors.New("not found")

	// ErrRefused is returned when a change would break a rule of the store.
	ErrRefused = errors.New("refused")

	// ErrSeveral is returned when a name or a request fits several things and
	// one must be chosen.
	ErrSeveral = errors.New("several would do")

	// ErrApart is returned when two parts would become one whose class, hand or
	// measures differ.
	ErrApart = errors.New("told apart")

	// ErrBusy is returned when another process has the store open and does not
	// let go of it in time.
	ErrBusy = errors.New("the store is busy")

	// ErrDamaged is returned when the store cannot be read or contradicts
	// itself.
	ErrDamaged = errors.New("the store is damaged")

	// ErrNoStore is returned when no store is at the path.
	ErrNoStore = errors.New("no store")

	// ErrNotStore is returned when what is at the path is no file.
	ErrNotStore = errors.New("not a store")

	// ErrNewer is returned when the store was written by a newer program.
	ErrNewer = errors.New("the store was written by a newer program")

	// ErrUsage is returned when what was typed is no number, day, grade or
	// other word that is understood.
	ErrUsage = errors.New("not understood")

	// ErrBadInput is returned when input holds values that cannot be read.
	ErrBadInput = errors.New("input that cannot be read")
)

// A sentence reads as its text alone and is one of the errors above as well.
type sentence struct {
	error
	is error
}

func (s sentence) Is(target error) bool { return target == s.is }
func (s sentence) Unwrap() error        { return s.error }

// Absent is an [ErrNotFound] that reads as the text, which says what is not there.
func Absent(format string, args ...any) error {
	return sentence{fmt.Errorf(format, args...), ErrNotFound}
}

// Misread is an [ErrUsage] that reads as the text, which says what is not understood.
func Misread(format string, args ...any) error {
	return sentence{fmt.Errorf(format, args...), ErrUsage}
}

// A FlawError is damage that a question met in a store that could be opened. Its Unwrap
// returns [ErrDamaged].
type FlawError struct {
	Text  string
	Index bool // it lies in what follows from records, and can be recomputed
	Gone  bool // records cannot be read: a new store can be made of the others
}

// Error says what is wrong.
func (e *FlawError) Error() string { return fmt.Sprintf("%v: %s", ErrDamaged, e.Text) }

// Unwrap returns [ErrDamaged].
func (e *FlawError) Unwrap() error { return ErrDamaged }

// An ImportedError says that somebody has nothing to take back but an import, which is
// taken back by its number alone. Its Unwrap returns [ErrNotFound].
type ImportedError struct {
	error
	Number uint64 // of the import
}

// Unwrap returns the error without the import, which is [ErrNotFound].
func (e *ImportedError) Unwrap() error { return e.error }

// An UnknownError says that nothing of the kinds asked for has a name. Its Unwrap
// returns [ErrNotFound].
type UnknownError struct {
	Name   string      // as it was typed
	Kinds  []string    // of things that would do
	Others []Ref       // what it is instead
	Near   []code.Code // things of those kinds that it may have been meant for
}

// Unwrap returns [ErrNotFound].
func (e *UnknownError) Unwrap() error { return ErrNotFound }

// Error says what it is instead, else what may have been meant.
func (e *UnknownError) Error() string {
	if len(e.Others) > 0 {
		var others []string
		for _, r := range e.Others {
			others = append(others, "the "+r.Kind+" "+string(r.Code))
		}
		return fmt.Sprintf("%s is %s, and this takes a %s", e.Name, strings.Join(others, " and "), words.Or(e.Kinds))
	}
	text := fmt.Sprintf("no %s is called %q here", words.Or(e.Kinds), e.Name)
	if len(e.Near) > 0 {
		text += ": did you mean " + words.Or(e.Near) + "?"
	}
	return text
}

// A Choice is one of several things that would do.
type Choice struct {
	Ref
	Part  Part  // the part, or that of the bag
	Free  int64 // pieces of it that are free
	Bag   Bag   // of a bag, and what the book says of it
	State State
}

// A ChoiceError says that several parts or bags would do and one must be named. Its
// Unwrap returns [ErrSeveral].
type ChoiceError struct {
	Asked  string // as it was typed
	Rows   []Choice
	N      int64 // how many pieces were asked for of a bag, 0 for all of it
	Closed error // why none of them will do as things stand
}

// Unwrap returns [ErrSeveral].
func (e *ChoiceError) Unwrap() error { return ErrSeveral }

// Error says how many there are.
func (e *ChoiceError) Error() string {
	first := e.Rows[0]
	if first.Kind == "bag" {
		return fmt.Sprintf("%d bags of %s %s would do: say which", len(e.Rows), first.Part.Code, first.Part.Called())
	}
	return fmt.Sprintf("%q is the name of %d parts: say which, by its code", e.Asked, len(e.Rows))
}
