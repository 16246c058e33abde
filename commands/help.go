package commands

import (
	"fmt"
	"io"
	"strings"
	"tinful/commands/line"
	"tinful/commands/tell"
)

// exitWords are the exit codes as help prints them.
const exitWords = `0 done, 1 failed, 2 usage, 3 not found, 4 refused, or several would do,
  5 input that cannot be read, 6 the store is busy, 7 the store is damaged`

// helpTopics are the pages of help that are about no command.
var helpTopics = []string{"all", "bench", "codes", "measures", "days", "json"}

func help(c *call) error {
	if c.Bool("man") {
		return printMan(c)
	}
	return answerHelp(c.env, c.Args())
}

func answerHelp(env Env, args []string) error {
	if len(args) == 1 {
		switch args[0] {
		case "all":
			return printAll(env)
		case "measures":
			return measuresPage(env)
		case "bench":
			return printBench(env)
		case "codes", "days", "json":
			_, err := io.WriteString(env.Stdout, page(args[0]))
			return err
		}
	}
	var path []*command
	level := program().Subcommands
	for _, arg := range args {
		cmd := line.Sub(level, arg)
		if cmd == nil {
			return line.Unknown("command", strings.Join(args, " "), line.Names(level), "tinful help all")
		}
		path, level = append(path, cmd), cmd.Subcommands
	}
	return printHelp(env, path)
}

// printHelp prints the page of a command, the first page for none.
func printHelp(env Env, path []*command) error {
	var b strings.Builder
	if len(path) == 0 {
		firstPage(env, &b)
	} else {
		commandPage(env, &b, path)
	}
	_, err := io.WriteString(env.Stdout, b.String())
	return err
}

// firstPage shows the verbs of every day.
func firstPage(env Env, b *strings.Builder) {
	fmt.Fprintf(b, "tinful: %s\n\nUsage: tinful COMMAND [ARGUMENTS] [FLAGS]\n", program().Usage)
	listCommands(env, b, "Every day", "daily")
	b.WriteString("\nA bare code shows the thing: tinful b203\n")
	b.WriteString("`tinful help COMMAND` says more, `tinful help all` names every command.\n")
	b.WriteString("`tinful` alone on a terminal stays open for many lines, `tinful < FILE` runs the\nlines of a file: `tinful help bench`.\n")
	listFlags(env, b, "Flags of every command, anywhere on the line", program().Flags)
	fmt.Fprintf(b, "\nExit codes:\n  %s\n", exitWords)
}

// printAll names every command.
func printAll(env Env) error {
	var b strings.Builder
	listCommands(env, &b, "Every day", "daily")
	listCommands(env, &b, "The rest", "rest")
	_, err := io.WriteString(env.Stdout, strings.TrimPrefix(b.String(), "\n"))
	return err
}

// printBench prints the page of the bench line.
func printBench(env Env) error {
	_, err := fmt.Fprintf(env.Stdout, "%s\nExit codes:\n  %s\n", page("bench"), exitWords)
	return err
}

// listCommands writes the commands of a category with their purpose.
func listCommands(env Env, b *strings.Builder, title, category string) {
	t := &tell.Table{Wide: env.Width}
	for _, cmd := range program().Subcommands {
		if cmd.Category == category && !cmd.Hidden {
			t.Row(cmd.Name, cmd.Usage)
		}
	}
	t.Section(b, title)
}

// commandPage is the page of one command: purpose, usage, flags, examples, exit
// codes.
func commandPage(env Env, b *strings.Builder, path []*command) {
	cmd, name := path[len(path)-1].Whole(), line.PathName(path)
	b.WriteString(onScreen(env, "tinful "+name+": "+cmd.Usage) + "\n")
	if cmd.Action != nil || len(cmd.Subcommands) == 0 {
		b.WriteString("\n" + onScreen(env, strings.TrimSpace("Usage: tinful "+name+" "+cmd.ArgsUsage)) + "\n")
	}
	if len(cmd.Subcommands) > 0 {
		t := &tell.Table{Wide: env.Width}
		for _, sub := range cmd.Subcommands {
			if !sub.Hidden {
				t.Row(strings.TrimSpace("tinful "+name+" "+sub.Name+" "+sub.Whole().ArgsUsage), sub.Usage)
			}
		}
		t.Section(b, "Commands")
	}
	if cmd.Description != "" {
		b.WriteString("\n" + onScreen(env, strings.TrimSpace(cmd.Description)) + "\n")
	}
	for i := len(path) - 1; i >= 0; i-- {
		title := "Flags"
		if i < len(path)-1 {
			title = "Flags of " + path[i].Name
		}
		listFlags(env, b, title, path[i].Takes())
	}
	listFlags(env, b, "Flags of every command, anywhere on the line", program().Flags)
	if cmd.UsageText != "" {
		text := strings.ReplaceAll(strings.TrimSpace(cmd.UsageText), "\n", "\n  ")
		fmt.Fprintf(b, "\nExamples:\n  %s\n", text)
	}
	fmt.Fprintf(b, "\nExit codes:\n  %s\n", exitWords)
}

// onScreen is a text in lines of the terminal, and as it is where there is none.
func onScreen(env Env, text string) string {
	return strings.Join(tell.Wrap(text, env.Width), "\n")
}

// listFlags writes flags with what they mean.
func listFlags(env Env, b *strings.Builder, title string, flags []*line.Flag) {
	t := &tell.Table{Wide: env.Width}
	for _, flag := range flags {
		t.Row(flag.Words())
	}
	t.Section(b, title)
}
