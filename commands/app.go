// Package commands is what is typed and what is printed. A command reads flags and
// arguments, calls the store and prints; a rule about stock lives in package store
// or in one of its leaves.
package commands

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/urfave/cli/v2"

	_ "tinful/commands/depth"
	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
)

// version is what --version prints.
const version = "0.1.0"

// A command is a verb of the program.
type command = line.Command[*call]

// A call is one command while it runs: what was typed, where the answer goes, and
// the world around both.
type call struct {
	*line.Given
	*tell.Screen
	env   Env
	ahead string      // the last day of the book where it is ahead of the clock
	sure  bool        // the clock was said to be right
	typed []line.Pair // what pairs read
	meant []string    // what lines of the last answer stood for
	last  uint64      // the last booking when the store was read
	made  uint64      // the booking that was made, 0 for none
	due   bool        // the day's copy may be
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
		return report(env, printVersion(env)) // what programs ask before all else
	}
	return report(env, run(env, program(), args))
}

// run puts the line in order and runs its command, or answers it with a page of
// help. A line without a command is the bench line.
func run(env Env, root *command, typed []string) error {
	if err := line.Bounded(typed); err != nil {
		return err
	}
	args, keepGoing := cutKeepGoing(root, typed)
	l, err := line.Arrange(root, args)
	switch {
	case err != nil:
		return err
	case env.clock != nil:
		return env.clock
	case l.Version:
		return printVersion(env)
	case l.Help:
		return printHelp(env, l.Path)
	case l.Command() == nil:
		return bare(env, l, keepGoing)
	}
	return dispatch(env, root, l)
}

func printVersion(env Env) error {
	_, err := fmt.Fprintf(env.Stdout, "tinful %s%s\n", version, commit())
	return err
}

// commit is the commit the program was built from, in brackets, as far as the build
// says it.
func commit() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	said := map[string]string{}
	for _, s := range info.Settings {
		said[s.Key] = s.Value
	}
	revision := said["vcs.revision"]
	if len(revision) < 12 {
		return ""
	}
	changed := map[bool]string{true: " and changes"}[said["vcs.modified"] == "true"]
	return fmt.Sprintf(" (%s%s)", revision[:12], changed)
}

// dispatch runs the command of a line by urfave/cli, which is given that command
// alone: a table of all would be made for every line.
func dispatch(env Env, root *command, l line.Line[*call]) error {
	app := &cli.App{
		Name: "tinful", HelpName: "tinful", Writer: env.Stdout, ErrWriter: env.Stderr, Flags: cliFlags(root.Takes(), l.Flags[0]),
		// Help and version are answered before.
		HideHelp: true, HideHelpCommand: true, HideVersion: true,
		Compiled:                  time.Unix(0, 0), // or the file of the program is looked at for every line
		DisableSliceFlagSeparator: true,
		OnUsageError:              usageFailed,
		ExitErrHandler:            func(*cli.Context, error) {}, // exit.go decides
	}
	at := &app.Commands
	for i, cmd := range l.Path {
		one := &cli.Command{Name: cmd.Name, Flags: cliFlags(cmd.Takes(), l.Flags[i+1]), HideHelp: true, HideHelpCommand: true, OnUsageError: usageFailed}
		*at = []*cli.Command{one}
		at = &one.Subcommands
		if cmd == l.Command() {
			one.Action = func(*cli.Context) error { return act(env, root, l) }
		}
	}
	return app.Run(append([]string{"tinful"}, l.Argv()...))
}

// cliFlags are the flags that a line gives, --name=value each, as urfave/cli knows
// them: it reads the names of every flag several times, by a pattern.
func cliFlags(flags []*line.Flag, typed []string) []cli.Flag {
	var out []cli.Flag
	for _, f := range flags {
		given := slices.ContainsFunc(typed, func(t string) bool { return strings.HasPrefix(t, "--"+f.Name+"=") })
		switch {
		case !given:
		case f.Kind == line.Switch:
			out = append(out, &cli.BoolFlag{Name: f.Name})
		case f.Kind == line.List:
			out = append(out, &cli.StringSliceFlag{Name: f.Name})
		default:
			out = append(out, &cli.StringFlag{Name: f.Name})
		}
	}
	return out
}

func usageFailed(_ *cli.Context, err error, _ bool) error { return line.AsUsage(err) }

// act runs the action of a line. Whoever needs the store opens it there and nowhere
// else, for --help must not.
func act(env Env, root *command, l line.Line[*call]) error {
	out := newWatched(&env)
	c := newCall(env, l.Given(root))
	if err := c.Clean(store.CleanText); err != nil {
		return err
	}
	if when := c.String("color"); when != "" && !slices.Contains(colourWords, when) {
		return line.Usagef("--color is auto, always or never, not %s", when)
	}
	cmd := l.Command()
	if err := cmp.Or(c.Want(cmd.Least, cmd.Most), c.sparesStore()); err != nil {
		return err
	}
	c.oneAnswer()
	defer c.copyDue() // the answer goes first
	err := c.offer(cmd.Action(c))
	out.flush()
	_, silent := errors.AsType[silentError](err)
	_, several := errors.AsType[*severalError](err)
	if out.err != nil && (err == nil || silent || several || errors.Is(err, out.err)) {
		return unwritten(c, out.err)
	}
	return err
}

// A watched output keeps the first error of writing to it: nobody looks at each of the
// lines of an answer. Where no terminal is at either end they go out together, before
// anything is said beside them and before the command ends.
type watched struct {
	mu    sync.Mutex // a day's copy says what it has to say while another line runs
	out   io.Writer
	lines *bufio.Writer // nil on a terminal
	err   error
}

// newWatched puts a watched output before that of a line, and before what is said beside it.
func newWatched(env *Env) *watched {
	w := &watched{out: env.Stdout}
	env.Stdout = w
	if !env.Terminal && !env.OnScreen {
		w.lines = bufio.NewWriterSize(w.out, 8<<10)
		env.Stderr = saidBeside{env.Stderr, w}
	}
	return w
}

func (w *watched) Write(b []byte) (n int, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.lines != nil {
		n, err = w.lines.Write(b)
	} else {
		n, err = w.out.Write(b)
	}
	w.err = cmp.Or(w.err, err)
	return n, err
}

// flush lets out what was written so far.
func (w *watched) flush() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.lines != nil {
		w.err = cmp.Or(w.err, w.lines.Flush())
	}
	flush(w.out)
}

// flush lets out what was written so far to an output of a line.
func flush(out io.Writer) {
	if w, ok := out.(*watched); ok {
		w.flush()
	}
}

// saidBeside is where things are said beside an answer, after what was written of it.
type saidBeside struct {
	io.Writer
	answer *watched
}

func (b saidBeside) Write(p []byte) (int, error) {
	b.answer.flush()
	return b.Writer.Write(p)
}

// unwritten says that an answer could not be written, and whether what was booked
// stands.
func unwritten(c *call, err error) error {
	stands := ""
	if c.made != 0 {
		stands = fmt.Sprintf("; booking %d stands, tinful undo %d takes it back", c.made, c.made)
	}
	return fmt.Errorf("the answer could not be written%s: %w", stands, err)
}

// newCall is a command that is given these arguments and flags.
func newCall(env Env, g *line.Given) *call {
	screen := tell.NewScreen(env.Stdout, env.Stderr)
	screen.Wide, screen.ErrWide, screen.Quiet, screen.AsJSON = env.Width, env.ErrWidth, g.Bool("quiet"), g.Bool("json")
	if screen.Plain = g.Bool("plain"); screen.Plain {
		screen.Wide, screen.ErrWide = 0, 0
	} else if coloured(env, g.String("color")) {
		screen.Paint()
	}
	c := &call{Given: g, env: env, Screen: screen}
	screen.CareSaid = func(cautions []string) ([]string, string) { return careSaid(c, cautions) }
	return c
}

// colourWords are what --color takes.
var colourWords = []string{"auto", "always", "never"}
