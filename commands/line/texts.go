package line

import (
	"strings"
	"sync"
)

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

// ReadLater reads the name and the purpose of a command, a line each; [Command.Whole]
// reads the rest.
func ReadLater[C any](text string, read func(text string) *Command[C]) *Command[C] {
	name, said, _ := strings.Cut(strings.TrimSpace(text), "\n")
	usage, _, _ := strings.Cut(said, "\n")
	return &Command[C]{Name: name, Usage: usage, later: &later[C]{text: text, read: read}}
}

// A later is what is to be read of a command.
type later[C any] struct {
	once sync.Once
	text string
	read func(text string) *Command[C]
}

// Whole is the command with all that is said of it read.
func (c *Command[C]) Whole() *Command[C] {
	if l := c.later; l != nil {
		l.once.Do(func() {
			r := l.read(l.text)
			c.ArgsUsage, c.UsageText, c.Description, c.Flags = r.ArgsUsage, r.UsageText, r.Description, r.Flags
		})
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
