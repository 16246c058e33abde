package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
)

// A helped error is one whose first line goes on with what to type.
type helped struct {
	error
	help string
}

func (e helped) Unwrap() error { return e.error }

func (e helped) Error() string {
	first, rest, more := strings.Cut(e.error.Error(), "\n")
	if !more {
		return first + e.help
	}
	return first + e.help + "\n" + rest
}

// whatHelps adds to an error of the store what to type, which the store does not
// know.
func whatHelps(err error) error {
	if help := helpFor(err); help != "" {
		return helped{err, help}
	}
	return err
}

// helpFor is what to type after an error, with the signs that part it from the
// sentence; empty where nothing helps.
func helpFor(err error) string {
	if e, ok := errors.AsType[*store.UnknownError](err); ok {
		return looksFurther(e)
	}
	if _, ok := errors.AsType[*store.QuestionError](err); ok {
		return " with --place"
	}
	if _, ok := errors.AsType[*store.ClockError](err); ok {
		return ": put the clock right, or say the day with --at"
	}
	if e, ok := errors.AsType[*store.OwedError](err); ok {
		if e.What == store.Lent {
			return " with --from"
		}
		return " with --job"
	}
	if e, ok := errors.AsType[*store.Refusal](err); ok {
		return tell.Advice(e.Reason)
	}
	if e, ok := errors.AsType[*store.ImportedError](err); ok {
		return fmt.Sprintf("; an import is taken back by its number: tinful undo %d", e.Number)
	}
	if e, ok := errors.AsType[*store.MissingError](err); ok {
		return "; tinful restore " + e.Last.File + " puts it back, another name or folder begins anew"
	}
	if _, ok := errors.AsType[*store.DamagedError](err); ok {
		return seesMore(err) + "; nothing is copied, --anyway keeps it as it is under another name"
	}
	switch {
	case errors.Is(err, store.ErrNoStore):
		return "; tinful demo makes an invented workshop to try, tinful import FILE takes your own list in"
	case errors.Is(err, store.ErrNotStore):
		return ": name one with --store or TINFUL_STORE"
	case errors.Is(err, store.ErrDamaged):
		return seesMore(err) + "; " + afterDamage
	}
	return ""
}

// seesMore is what says more of damage that a question met, or mends it.
func seesMore(err error) string {
	switch e, ok := errors.AsType[*store.FlawError](err); {
	case !ok:
		return ""
	case e.Gone:
		return "; tinful salvage makes a new store of what can be read"
	case e.Index:
		return "; tinful check --repair puts it right where it can"
	}
	return "; tinful check says more"
}

// sheetHelps is what helps where a file cannot be read or written as it was asked.
var sheetHelps = map[string]string{
	sheet.TooLarge:   ": if it is your own, --max-size {0} reads it",
	sheet.Unmapped:   "; a list of another name, or with headings of its own, is read with --as and --map 'Heading=column', which --suggest proposes",
	sheet.NoSheet:    ": --as bags says it, or as = bags in the map file",
	sheet.SheetOpen:  "; --sheet says which",
	sheet.Standing:   ": --replace writes over it",
	sheet.NoCount:    ": tinful count sheet writes one",
	sheet.NoEncoding: ": --encoding windows-1252, shift-jis, ... says how it is written",
}

// sheetHelp is what helps after such an error, else nothing.
func sheetHelp(err error) string {
	e, ok := errors.AsType[*sheet.Error](err)
	if !ok {
		return ""
	}
	return strings.ReplaceAll(sheetHelps[e.Kind], "{0}", e.Arg)
}

// afterDamage is what helps where a store is damaged.
const afterDamage = "tinful restore FILE --replace puts a backup in its place and keeps this one beside it, --store names another store"

// makes says what makes a thing of a kind, for those that were looked for in vain.
var makes = map[string]string{
	"part":  "; tinful find comes near, tinful add part makes one",
	"place": "; tinful add place makes one", "model": "; tinful add model makes one",
	"donor": "; tinful bought takes one in", "job": "; tinful arrived opens one",
}

// looksFurther is what makes a thing that is not here, or looks further; empty where
// the error says itself what may have been meant.
func looksFurther(e *store.UnknownError) string {
	switch {
	case len(e.Others) > 0 || len(e.Near) > 0:
		return ""
	case len(e.Kinds) == 1 && makes[e.Kinds[0]] != "":
		return makes[e.Kinds[0]]
	case slices.Contains(e.Kinds, "part") || slices.Contains(e.Kinds, "bag"):
		return "; tinful find looks by words"
	}
	return ""
}
