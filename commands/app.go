// Package commands is what is typed and what is printed. A command reads flags and
// arguments, calls the store and prints; a rule about stock lives in package store
// or in one of its leaves.
package commands

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"tinful/store"
)

// version is what --version prints.
const version = "0.1.0"

// daily are the verbs of every day, in the order help shows them. A command
// file defines one constructor and adds it here or to rest.
var daily = []func(*app) *cli.Command{
	findCommand,
	needCommand,
	showCommand,
	putCommand,
	fitCommand,
	returnCommand,
	holdCommand,
	moveCommand,
	undoCommand,
	outCommand,
	logCommand,
	importCommand,
}

// rest are the other verbs, which `help all` shows.
var rest = []func(*app) *cli.Command{
	unholdCommand,
	lendCommand,
	lostCommand,
	foundCommand,
	scrapCommand,
	sellCommand,
	splitCommand,
	joinCommand,
	gradeCommand,
	onCommand,
	offCommand,
	arrivedCommand,
	jobCommand,
	doneCommand,
	oldCommand,
	madeCommand,
	exportCommand,
	templateCommand,
	demoCommand,
	addCommand,
	editCommand,
	goesCommand,
	sameCommand,
	measureCommand,
	wantCommand,
	wantsCommand,
	boughtCommand,
	whichCommand,
	lookCommand,
	stripCommand,
	springCommand,
	wireCommand,
	threadCommand,
	shimsCommand,
	gearCommand,
	lowCommand,
	countCommand,
	weighCommand,
	oddsCommand,
	donorsCommand,
	costCommand,
	checkCommand,
	backupCommand,
	restoreCommand,
	helpCommand,
	completionCommand,
}

// An app is the program while it runs one line.
type app struct {
	env  Env
	cli  *cli.App
	run1 func(args []string, env Env) int // Run, for a command that plays others
	line []string                         // what was typed; nil makes the flags of every command
}

// flagsOf makes the flags of a command that has many, if the line may name it.
func (a *app) flagsOf(name string, make func() []cli.Flag) []cli.Flag {
	if a.line == nil || slices.Contains(a.line, name) || slices.Contains(a.line, "completion") {
		return make()
	}
	return nil
}

// A call is one command while it runs.
type call struct {
	*app
	c     *cli.Context
	ahead string            // the last day of the book where it is ahead of the clock
	typed []pair            // what pairs read
	texts map[string]string // of the flags that are given, without blanks around them
}

// answerGC lets a line use some 12 MiB before garbage is collected for the first
// time: nearly every answer is out by then, and collecting would cost more than
// it gives back.
const answerGC = 300

// Run runs one line, args[0] being the name of the program, and returns its exit
// code. The answer goes to env.Stdout, all else to env.Stderr.
func Run(args []string, env Env) int {
	debug.SetGCPercent(answerGC)
	if len(args) > 0 {
		args = args[1:]
	}
	if slices.Equal(args, []string{"--version"}) && env.clock == nil {
		return report(env.Stderr, printVersion(env)) // what programs ask before all else
	}
	a := newApp(env, args...)
	a.run1 = Run
	return report(env.Stderr, a.run(args))
}

// run puts the line in order and hands it to urfave/cli, or answers it with a
// page of help. A line without a command is the bench line.
func (a *app) run(typed []string) error {
	args, keepGoing := cutKeepGoing(a.cli, typed)
	l, err := arrange(a.cli, args)
	switch {
	case err != nil && a.line != nil: // what is wrong is told from the flags of all commands
		all := newApp(a.env)
		all.run1 = a.run1
		return all.run(typed)
	case err != nil:
		return err
	case a.env.clock != nil:
		return a.env.clock
	case l.version:
		return printVersion(a.env)
	case l.help:
		return a.printHelp(l.path)
	case l.command() == nil:
		return a.bare(l.flags[0], keepGoing)
	}
	return a.cli.Run(l.argv())
}

func printVersion(env Env) error {
	_, err := fmt.Fprintf(env.Stdout, "tinful %s\n", version)
	return err
}

// newApp returns the program with all its commands. Given a line, only commands
// that it may name have their flags where making them takes long: the table of
// flags is made at every start.
func newApp(env Env, line ...string) *app {
	a := &app{env: env, line: line}
	a.cli = &cli.App{
		Name: "tinful", HelpName: "tinful", Version: version, Metadata: map[string]any{},
		Usage:  "which part, from which donor, goes into which camera",
		Reader: env.Stdin, Writer: env.Stdout, ErrWriter: env.Stderr,
		Flags: globalFlags(),
		// Help and version are answered before urfave/cli sees the line.
		HideHelp: true, HideHelpCommand: true, HideVersion: true,
		DisableSliceFlagSeparator: true,
		OnUsageError:              usageFailed,
		ExitErrHandler:            func(*cli.Context, error) {}, // exit.go decides
	}
	for i, make := range slices.Concat(daily, rest) {
		cmd := make(a)
		cmd.Category = "rest"
		if i < len(daily) {
			cmd.Category = "daily"
		}
		a.cli.Commands = append(a.cli.Commands, cmd)
	}
	ours(a.cli.Commands)
	return a
}

// ours sets on every command what urfave/cli does not hand down.
func ours(commands []*cli.Command) {
	for _, cmd := range commands {
		cmd.HideHelp, cmd.HideHelpCommand = true, true
		cmd.OnUsageError = usageFailed
		ours(cmd.Subcommands)
	}
}

func usageFailed(_ *cli.Context, err error, _ bool) error { return usageError{err} }

// globalFlags are the flags of every command.
func globalFlags() []cli.Flag {
	return []cli.Flag{
		valueFlag("store", "the store is `FILE`, else TINFUL_STORE, else workshop.db in your data folder"),
		boolFlag("json", "print one JSON object"),
		valueFlag("by", "`NAME` of who books, else TINFUL_BY, else the login"),
		valueFlag("at", "book on `DAY`: 2031-08-31, fri, yesterday, -3d"),
		valueFlag("color", "colours `WHEN`: auto, always or never"),
		boolFlag("quiet", "print no notes beside the answer"),
	}
}

// valueFlag is a flag with a value; the word in backquotes in usage stands for it.
// Numbers are read from the text by the command, in decimal.
func valueFlag(name, usage string) cli.Flag { return aValue{&cli.StringFlag{Name: name, Usage: usage}} }

// listFlag is a valueFlag that may be given several times.
func listFlag(name, usage string) cli.Flag {
	return aList{&cli.StringSliceFlag{Name: name, Usage: usage}}
}

// boolFlag is a flag without a value.
func boolFlag(name, usage string) cli.Flag { return aSwitch{&cli.BoolFlag{Name: name, Usage: usage}} }

// Flags as all commands have them. urfave/cli would part the name at commas anew, by a
// regular expression, whenever it is asked for it: a quarter of a short answer.
type (
	aValue  struct{ *cli.StringFlag }
	aList   struct{ *cli.StringSliceFlag }
	aSwitch struct{ *cli.BoolFlag }
)

func (f aValue) Names() []string  { return append([]string{f.Name}, f.Aliases...) }
func (f aList) Names() []string   { return []string{f.Name} }
func (f aSwitch) Names() []string { return []string{f.Name} }

// do makes an action of a function over a call. Whoever needs the store opens it
// in the function and nowhere else, for --help must not.
func (a *app) do(f func(*call) error) cli.ActionFunc {
	return func(ctx *cli.Context) error {
		c := &call{app: a, c: ctx}
		if when := c.String("color"); !slices.Contains([]string{"", "auto", "always", "never"}, when) {
			return usagef("--color is auto, always or never, not %s", when)
		}
		if err := c.cleanFlags(); err != nil {
			return err
		}
		return f(c)
	}
}

// cleanFlags refuses flags whose text cannot be stored, and keeps the others as
// [call.String] gives them, once: it is asked for a flag again and again.
func (c *call) cleanFlags() error {
	c.texts = map[string]string{}
	for _, name := range c.c.FlagNames() {
		if c.namesFile(name) {
			continue
		}
		for _, text := range append(c.List(name), c.c.String(name)) {
			clean, err := store.CleanText(text)
			if err != nil {
				return usagef("--%s: %w", name, err)
			}
			c.texts[name] = clean // the last is that of all
		}
	}
	return nil
}

// namesFile tells whether the value of a flag is the name of a file, which is taken as
// it is.
func (c *call) namesFile(flag string) bool {
	if flag == "store" {
		return true
	}
	d, ok := flagNamed(c.c.Command.Flags, flag).(cli.DocGenerationFlag)
	return ok && strings.Contains(d.GetUsage(), "`FILE`")
}

// Args are the arguments, flags taken out, in their order.
func (c *call) Args() []string { return c.c.Args().Slice() }

// String is the value of a flag without blanks around it, empty when it is not given.
func (c *call) String(flag string) string {
	if text, ok := c.texts[flag]; ok {
		return text
	}
	return c.c.String(flag)
}

// List is all values of a listFlag.
func (c *call) List(flag string) []string { return c.c.StringSlice(flag) }

// Bool tells whether a boolFlag is given.
func (c *call) Bool(flag string) bool { return c.c.Bool(flag) }

// IsSet tells whether a flag is given, be it with an empty value.
func (c *call) IsSet(flag string) bool { return c.c.IsSet(flag) }

// JSON tells whether the answer is to be JSON.
func (c *call) JSON() bool { return c.Bool("json") }

// At is the text of --at, empty for today.
func (c *call) At() string { return c.String("at") }

// want refuses a number of arguments below least or above most; most -1 is no
// limit.
func (c *call) want(least, most int) error {
	n, name := c.c.NArg(), commandName(c.c.Command)
	usage := strings.TrimSpace(fmt.Sprintf("usage: tinful %s %s", name, c.c.Command.ArgsUsage))
	switch {
	case n < least:
		return usagef("%s needs more to go on; %s", name, usage)
	case most >= 0 && n > most:
		return usagef("%s does not know what %q is for; %s", name, c.Args()[most], usage)
	}
	return nil
}

// println and printf write to standard output.
func (c *call) println(values ...any) { fmt.Fprintln(c.env.Stdout, values...) }

func (c *call) printf(format string, values ...any) { fmt.Fprintf(c.env.Stdout, format, values...) }

// notef writes each line of a text to standard error after "tinful: ", unless
// --quiet is given.
func (c *call) notef(format string, values ...any) {
	if !c.Bool("quiet") {
		c.warnf(format, values...)
	}
}

// warnf is notef for what must be read: --quiet does not silence it.
func (c *call) warnf(format string, values ...any) {
	note(c.env.Stderr, fmt.Sprintf(format, values...))
}

// printJSON writes a struct or a map as one object on one line, "tinful":1 first.
func (c *call) printJSON(v any) error {
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
	_, err := fmt.Fprintf(c.env.Stdout, "%s%s", head, body)
	return err
}
