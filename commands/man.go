package commands

import (
	"fmt"
	"io"
	"strings"

	"tinful/commands/line"
)

// printMan prints the table of commands and flags as a page for man: roff with the
// macros of man(7).
func printMan(c *call) error {
	root := program()
	var b strings.Builder
	fmt.Fprintf(&b, ".TH TINFUL 1 \"\" \"tinful %s\"\n.SH NAME\ntinful \\- %s\n", version, roff(root.Usage))
	b.WriteString(".SH SYNOPSIS\n.B tinful\nCOMMAND [ARGUMENTS] [FLAGS]\n.br\n.B tinful\n[FLAGS]\n")
	b.WriteString(".SH DESCRIPTION\nThe spare parts of a camera repair bench: which bag, from which parts camera, goes into which camera.\n" +
		"Without a command on a terminal it is the bench line, open for many lines.\n")
	b.WriteString(".SH FLAGS OF EVERY COMMAND\n")
	manFlags(&b, root.Flags)
	b.WriteString(".SH COMMANDS\n")
	for _, cmd := range root.Subcommands {
		manCommand(&b, cmd, cmd.Name)
	}
	for _, topic := range []string{"codes", "days", "json"} {
		fmt.Fprintf(&b, ".SH %s\n.nf\n%s.fi\n", strings.ToUpper(topic), roff(page(topic)))
	}
	fmt.Fprintf(&b, ".SH BENCH LINE\n.nf\n%s.fi\n", roff(page("bench")))
	fmt.Fprintf(&b, ".SH EXIT STATUS\n%s\n", roff(exitWords))
	b.WriteString(".SH ENVIRONMENT\nTINFUL_STORE, TINFUL_BY, TINFUL_TERMINAL, TINFUL_CLOCK, XDG_DATA_HOME, XDG_STATE_HOME, NO_COLOR, COLUMNS\n")
	_, err := io.WriteString(c.Out, b.String())
	return err
}

func manCommand(b *strings.Builder, cmd *command, name string) {
	if cmd.Whole().Hidden {
		return
	}
	fmt.Fprintf(b, ".SS \"%s %s\"\n%s.\n", roff(name), strings.ReplaceAll(roff(cmd.ArgsUsage), `"`, `\(dq`), roff(cmd.Usage))
	if cmd.Description != "" {
		fmt.Fprintf(b, ".PP\n%s\n", roff(cmd.Description))
	}
	manFlags(b, cmd.Takes())
	if cmd.UsageText != "" {
		fmt.Fprintf(b, ".PP\n.nf\n%s\n.fi\n", roff(cmd.UsageText))
	}
	for _, sub := range cmd.Subcommands {
		manCommand(b, sub, name+" "+sub.Name)
	}
}

func manFlags(b *strings.Builder, flags []*line.Flag) {
	for _, f := range flags {
		typed, usage := f.Words()
		fmt.Fprintf(b, ".TP\n.B %s\n%s\n", roff(typed), roff(usage))
	}
}

// roff is a text in which nothing is a macro or an escape.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "`", `\(ga`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
