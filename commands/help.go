package commands

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"
)

// exitWords are the exit codes as help prints them.
const exitWords = `0 done, 1 failed, 2 usage, 3 not found, 4 refused, or several would do,
  5 input that cannot be read, 6 the store is busy, 7 the store is damaged`

// helpCommand answers `help`, `help all` and `help CMD`.
func helpCommand(a *app) *cli.Command {
	return &cli.Command{
		Name: "help", Usage: "say what a command does; `help all` names them all",
		ArgsUsage: "[COMMAND | all | bench | measures]",
		UsageText: "tinful help fit\ntinful help all\ntinful help bench\ntinful help measures",
		Action:    a.do(func(c *call) error { return a.answerHelp(c.Args()) }),
	}
}

func (a *app) answerHelp(args []string) error {
	if len(args) == 1 && args[0] == "all" {
		return a.printAll()
	}
	if len(args) == 1 && args[0] == "measures" {
		return a.measuresPage()
	}
	if len(args) == 1 && args[0] == "bench" {
		return a.printBench()
	}
	var path []*cli.Command
	level := a.cli.Commands
	for _, arg := range args {
		cmd := named(level, arg)
		if cmd == nil {
			return unknown("command", strings.Join(args, " "), names(level), "tinful help all")
		}
		path, level = append(path, cmd), cmd.Subcommands
	}
	return a.printHelp(path)
}

// printHelp prints the page of a command, the first page for none.
func (a *app) printHelp(path []*cli.Command) error {
	var b strings.Builder
	if len(path) == 0 {
		a.firstPage(&b)
	} else {
		a.commandPage(&b, path)
	}
	_, err := io.WriteString(a.env.Stdout, b.String())
	return err
}

// firstPage shows the verbs of every day.
func (a *app) firstPage(b *strings.Builder) {
	fmt.Fprintf(b, "tinful: %s\n\nUsage: tinful COMMAND [ARGUMENTS] [FLAGS]\n", a.cli.Usage)
	a.listCommands(b, "Every day", "daily")
	b.WriteString("\nA bare code shows the thing: tinful b203\n")
	b.WriteString("`tinful help COMMAND` says more, `tinful help all` names every command.\n")
	b.WriteString("`tinful` alone on a terminal stays open for many lines, `tinful < FILE` runs the\nlines of a file: `tinful help bench`.\n")
	a.listFlags(b, "Flags of every command, anywhere on the line", a.cli.Flags)
	fmt.Fprintf(b, "\nExit codes:\n  %s\n", exitWords)
}

// printAll names every command.
func (a *app) printAll() error {
	var b strings.Builder
	a.listCommands(&b, "Every day", "daily")
	a.listCommands(&b, "The rest", "rest")
	_, err := io.WriteString(a.env.Stdout, strings.TrimPrefix(b.String(), "\n"))
	return err
}

// benchPage is the page of the bench line.
const benchPage = `tinful alone: the bench line, open for many lines

Usage: tinful [FLAGS]                   on a terminal
       tinful [FLAGS] [--keep-going] < FILE

A line is a command as in the shell, without "tinful" before it and quoted alike
("customer 1"). Flags given at the start hold for every line. The store is
opened for one line at a time, so that a second terminal can work beside it.

Lines:
  fit p21 2         any command
  b203              a code shows the thing
  counter pawl      what is no command is looked for, as find does
  :1                takes up the line before that was refused with a list, its
                    number and flags kept; :1 2 takes two. Else it shows line 1
                    of the last answer
  on 105            the job in hand stands in the prompt, with ? from an earlier
                    day
  me H              H books from now on; me alone says who does
  # words           a remark, as is an empty line
  quit, exit, bye   leave

Keys: Ctrl-D leaves, Ctrl-C abandons the line, Tab completes commands, flags,
codes and words, the arrows and Ctrl-R go through what was typed before.

From a file or a pipe the lines are run in order. The first that fails ends it
and is told with its number; what was booked before stands. --keep-going runs
the others too. A line that is refused with a list has not failed when the next
one, :1, answers it. The exit code is that of the last line that failed, 0 where
none did.
`

// printBench prints the page of the bench line.
func (a *app) printBench() error {
	_, err := fmt.Fprintf(a.env.Stdout, "%s\nExit codes:\n  %s\n", benchPage, exitWords)
	return err
}

// listCommands writes the commands of a category with their purpose.
func (a *app) listCommands(b *strings.Builder, title, category string) {
	t := &table{width: a.env.Width}
	for _, cmd := range a.cli.Commands {
		if cmd.Category == category && !cmd.Hidden {
			t.row(cmd.Name, cmd.Usage)
		}
	}
	section(b, title, t)
}

// commandPage is the page of one command: purpose, usage, flags, examples, exit
// codes.
func (a *app) commandPage(b *strings.Builder, path []*cli.Command) {
	cmd, name := path[len(path)-1], pathName(path)
	b.WriteString(a.onScreen("tinful "+name+": "+cmd.Usage) + "\n")
	if cmd.Action != nil || len(cmd.Subcommands) == 0 {
		b.WriteString("\n" + a.onScreen(strings.TrimSpace("Usage: tinful "+name+" "+cmd.ArgsUsage)) + "\n")
	}
	if len(cmd.Subcommands) > 0 {
		t := &table{width: a.env.Width}
		for _, sub := range cmd.Subcommands {
			if !sub.Hidden {
				t.row(strings.TrimSpace("tinful "+name+" "+sub.Name+" "+sub.ArgsUsage), sub.Usage)
			}
		}
		section(b, "Commands", t)
	}
	if cmd.Description != "" {
		b.WriteString("\n" + a.onScreen(strings.TrimSpace(cmd.Description)) + "\n")
	}
	for i := len(path) - 1; i >= 0; i-- {
		title := "Flags"
		if i < len(path)-1 {
			title = "Flags of " + path[i].Name
		}
		a.listFlags(b, title, path[i].Flags)
	}
	a.listFlags(b, "Flags of every command, anywhere on the line", a.cli.Flags)
	if cmd.UsageText != "" {
		text := strings.ReplaceAll(strings.TrimSpace(cmd.UsageText), "\n", "\n  ")
		fmt.Fprintf(b, "\nExamples:\n  %s\n", text)
	}
	fmt.Fprintf(b, "\nExit codes:\n  %s\n", exitWords)
}

// onScreen is a text in lines of the terminal, and as it is where there is none.
func (a *app) onScreen(text string) string {
	return strings.Join(wrap(text, a.env.Width), "\n")
}

// listFlags writes flags with what they mean.
func (a *app) listFlags(b *strings.Builder, title string, flags []cli.Flag) {
	t := &table{width: a.env.Width}
	for _, flag := range flags {
		if shown, ok := flag.(cli.VisibleFlag); ok && !shown.IsVisible() {
			continue
		}
		left, usage := flagWords(flag)
		t.row(left, usage)
	}
	section(b, title, t)
}

// flagWords is a flag as typed, with the word that stands for its value, and what
// it means.
func flagWords(flag cli.Flag) (left, usage string) {
	if f, ok := flag.(cli.DocGenerationFlag); ok {
		usage = f.GetUsage()
	}
	left = "--" + strings.Join(flag.Names(), ", --")
	if !takesValue(flag) {
		return left, usage
	}
	value := "VALUE"
	if parts := strings.SplitN(usage, "`", 3); len(parts) == 3 {
		value, usage = parts[1], parts[0]+parts[1]+parts[2]
	}
	return left + " " + value, usage
}

// section writes a title and, indented, a table; nothing for an empty table.
func section(b *strings.Builder, title string, t *table) {
	if len(t.rows) == 0 {
		return
	}
	if t.width > 2 {
		t.width -= 2
	}
	var rows strings.Builder
	_ = t.print(&rows) // a strings.Builder takes everything
	fmt.Fprintf(b, "\n%s:\n", title)
	for line := range strings.Lines(rows.String()) {
		b.WriteString("  " + line)
	}
}
