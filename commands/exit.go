package commands

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"tinful/commands/line"
	"tinful/commands/photo"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/picture"
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

// codesOf says which error ends in which code, read from the top.
var codes = []struct {
	err  error
	code int
}{
	{context.Canceled, exitInterrupted},
	{store.ErrBusy, exitBusy},
	{store.ErrDamaged, exitDamaged},
	{store.ErrNotStore, exitDamaged},
	{store.ErrNewer, exitDamaged},
	{store.ErrNoStore, exitNotFound},
	{store.ErrBadInput, exitBadInput},
	{picture.ErrUnread, exitBadInput},
	{picture.ErrLarge, exitBadInput},
	{picture.ErrHeavy, exitBadInput},
	{photo.ErrFile, exitBadInput},
	{store.ErrRefused, exitRefused},
	{fs.ErrExist, exitRefused}, // a file in the way
	{store.ErrSeveral, exitRefused},
	{store.ErrNotFound, exitNotFound},
	{fs.ErrNotExist, exitNotFound}, // a file that was named
	{store.ErrUsage, exitUsage},
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
	if _, ok := errors.AsType[line.UsageError](err); ok {
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
func report(env Env, err error) int {
	code := exitCode(err)
	if _, silent := errors.AsType[silentError](err); err != nil && !silent {
		tell.Note(env.Stderr, env.ErrWidth, err.Error()+sheetHelp(err)+rights(err))
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
