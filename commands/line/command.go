// Package line is what was typed: which command, which flags, which things with
// their numbers, in whatever order they stood. It knows no store: what a code means
// is for others to say.
//
// Its one surprising rule: flags stand anywhere on a line, and one table of commands
// and flags serves the shell, the bench line, help and completion alike, so that none
// of them knows a flag that another lacks.
package line

import (
	"fmt"
	"slices"
	"strings"
)

// A Command is a verb of the program, or a group of verbs. C is what its action is
// given.
type Command[C any] struct {
	Name        string
	Usage       string // its purpose in a few words
	ArgsUsage   string // what its arguments are; Whole reads it, and what follows up to the flags
	UsageText   string // examples, one a line
	Description string
	Category    string
	Hidden      bool
	Flags       []*Flag
	Columns     func() []*Flag // its flags in place of Flags, where making them takes long
	Subcommands []*Command[C]
	Action      func(C) error // nil for a group
	Least, Most int           // of its arguments; a Most below 0 is any number
	later       *later[C]     // what is still to be read of it
}

// Takes are the flags of the command.
func (c *Command[C]) Takes() []*Flag {
	if c.Columns != nil {
		return c.Columns()
	}
	return c.Whole().Flags
}

// A FlagKind says whether a flag takes a value.
type FlagKind uint8

// The kinds of flags.
const (
	Value  FlagKind = iota // takes one value
	List                   // takes a value each time it is given
	Switch                 // takes none
)

// A Flag is one flag of a command or of the program.
type Flag struct {
	Name  string
	Short string // one letter, "" for none
	Usage string // the word in backquotes stands for the value
	Kind  FlagKind
}

// ValueFlag is a flag with a value. Numbers are read from the text by the command.
func ValueFlag(name, usage string) *Flag { return &Flag{Name: name, Usage: usage} }

// TakesValue tells whether a value belongs to the flag.
func (f *Flag) TakesValue() bool { return f.Kind != Switch }

// Is tells whether a name, without hyphens, is that of the flag.
func (f *Flag) Is(name string) bool { return f.Name == name || f.Short != "" && f.Short == name }

// Value is the word that stands for the value of the flag: FILE of "`FILE` to read".
func (f *Flag) Value() string {
	if parts := strings.SplitN(f.Usage, "`", 3); len(parts) == 3 {
		return parts[1]
	}
	return "VALUE"
}

// NamesFile tells whether the value of the flag is the name of a file, which is taken
// as it is.
func (f *Flag) NamesFile() bool { return f.Name == "store" || strings.Contains(f.Usage, "`FILE`") }

// Words are the flag as typed, with the word that stands for its value, and what it
// means.
func (f *Flag) Words() (typed, usage string) {
	typed = "--" + f.Name
	if f.Short != "" {
		typed += ", -" + f.Short
	}
	if f.TakesValue() {
		typed += " " + f.Value()
	}
	return typed, strings.ReplaceAll(f.Usage, "`", "")
}

// Named is the flag of that name, nil for none.
func Named(flags []*Flag, name string) *Flag {
	if i := slices.IndexFunc(flags, func(f *Flag) bool { return f != nil && f.Is(name) }); i >= 0 {
		return flags[i]
	}
	return nil
}

// AnyFlag is the flag of that name of the program or of any command, nil for none: a
// flag may stand before its command. A test holds that one name is one kind of flag.
func AnyFlag[C any](root *Command[C], name string) *Flag {
	if flag := among(root, name, func(c *Command[C]) []*Flag { return c.Whole().Flags }); flag != nil {
		return flag
	}
	return among(root, name, (*Command[C]).Takes)
}

func among[C any](root *Command[C], name string, flags func(*Command[C]) []*Flag) *Flag {
	if flag := Named(flags(root), name); flag != nil {
		return flag
	}
	for _, cmd := range root.Subcommands {
		if flag := among(cmd, name, flags); flag != nil {
			return flag
		}
	}
	return nil
}

// Sub is the command of that name, in capitals too, nil for none.
func Sub[C any](commands []*Command[C], name string) *Command[C] {
	name = strings.ToLower(name)
	for _, cmd := range commands {
		if cmd.Name == name {
			return cmd
		}
	}
	return nil
}

// Names are the names of the commands that are not hidden.
func Names[C any](commands []*Command[C]) []string {
	var list []string
	for _, cmd := range commands {
		if !cmd.Hidden {
			list = append(list, cmd.Name)
		}
	}
	return list
}

// PathName is a command and its subcommand as typed: "add part".
func PathName[C any](path []*Command[C]) string {
	var list []string
	for _, cmd := range path {
		list = append(list, cmd.Name)
	}
	return strings.Join(list, " ")
}

// A UsageError is a line that was not understood.
type UsageError struct{ Err error }

// Error says what was not understood.
func (e UsageError) Error() string { return e.Err.Error() }

// Unwrap returns the error of what read the line.
func (e UsageError) Unwrap() error { return e.Err }

// Usagef returns a [UsageError] with the text.
func Usagef(format string, values ...any) error {
	return UsageError{fmt.Errorf(format, values...)}
}

// AsUsage is a mistake of the line that something else found, nil for none.
func AsUsage(err error) error {
	if err == nil {
		return nil
	}
	return UsageError{err}
}
