package line

import (
	"strings"
	"sync"
)

// ReadText reads what is said of a command: its name, its purpose, its arguments behind
// "Usage:", its description, its flags and its examples. A flag without words is one of
// several. "..." among the flags is nil: there the flags of a table belong.
func ReadText[C any](text string, several []*Flag) *Command[C] {
	c, flags := readHead[C](text)
	c.Flags = readFlags(flags, several)
	return c
}

// ReadLater is [ReadText], but for the flags, which are read when they are asked for.
func ReadLater[C any](text string, several []*Flag) *Command[C] {
	c, flags := readHead[C](text)
	c.Own = sync.OnceValue(func() []*Flag { return readFlags(flags, several) })
	return c
}

func readHead[C any](text string) (c *Command[C], flags string) {
	text, examples, _ := strings.Cut(strings.TrimSpace(text), "\n\nExamples:\n")
	text, flags, _ = strings.Cut(text, "\n\nFlags:\n")
	head, description, _ := strings.Cut(text, "\n\n")
	name, head, _ := strings.Cut(head, "\n")
	usage, args, _ := strings.Cut(head, "\nUsage: ")
	return &Command[C]{Name: name, Usage: usage, ArgsUsage: args, UsageText: examples, Description: description}, flags
}

func readFlags(text string, several []*Flag) (list []*Flag) {
	for text := range strings.Lines(text) {
		list = append(list, readFlag(strings.TrimSpace(text), several))
	}
	return list
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
