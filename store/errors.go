package store

import (
	"errors"
	"fmt"
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
