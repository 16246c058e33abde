package line

import "strings"

// ReadText reads what is said of a command: its name, its purpose, its arguments behind
// "Usage:", its description, its flags and its examples. A flag without words is one of
// several. "..." among the flags is nil: there the flags of a table belong.
func ReadText[C any](text string, several []*Flag) *Command[C] {
	text, examples, _ := strings.Cut(strings.TrimSpace(text), "\n\nExamples:\n")
	text, flags, _ := strings.Cut(text, "\n\nFlags:\n")
	head, description, _ := strings.Cut(text, "\n\n")
	name, head, _ := strings.Cut(head, "\n")
	usage, args, _ := strings.Cut(head, "\nUsage: ")
	c := &Command[C]{Name: name, Usage: usage, ArgsUsage: args, UsageText: examples, Description: description}
	for text := range strings.Lines(flags) {
		c.Flags = append(c.Flags, readFlag(strings.TrimSpace(text), several))
	}
	return c
}

// readFlag reads a line of flags: "--output=, -o  write to `FILE`".
func readFlag(text string, several []*Flag) *Flag {
	typed, usage, said := strings.Cut(text, "  ")
	if !said {
		return Named(several, strings.TrimLeft(text, "-"))
	}
	typed, short, _ := strings.Cut(typed, ", -")
	name, value, takes := strings.Cut(strings.TrimLeft(typed, "-"), "=")
	f := &Flag{Name: name, Short: short, Usage: strings.TrimSpace(usage)}
	switch {
	case !takes:
		f.Kind = Switch
	case value != "":
		f.Kind = List
	}
	return f
}
