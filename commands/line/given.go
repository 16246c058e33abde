package line

import (
	"cmp"
	"slices"
	"strings"
)

// A Given is what a command was given: its arguments and flags as they were typed.
type Given struct {
	Name  string  // the command as typed: "add part"
	Usage string  // its arguments, for messages
	Flags []*Flag // of the command
	args  []string
	typed []string
	texts map[string][]string // by the name of the flag
	more  []*Flag             // of the program
}

// Given is what the line gives its command.
func (l Line[C]) Given(root *Command[C]) *Given {
	g := &Given{Name: PathName(l.Path), more: root.Flags, args: l.Args, typed: l.Argv(), texts: map[string][]string{}}
	for _, cmd := range l.Path {
		g.Usage = cmd.Whole().ArgsUsage
		g.Flags = append(g.Flags, cmd.Takes()...)
	}
	for _, level := range l.Flags {
		for _, f := range level {
			name, text, _ := strings.Cut(strings.TrimPrefix(f, "--"), "=")
			g.texts[name] = append(g.texts[name], text)
		}
	}
	return g
}

// Clean replaces every text of a flag by what clean makes of it, but names of files,
// which are taken as they are, without control characters.
func (g *Given) Clean(clean func(string) (string, error)) error {
	for name, texts := range g.texts {
		if f := cmp.Or(Named(g.Flags, name), Named(g.more, name)); f.NamesFile() {
			if err := typeable(texts); err != nil {
				return err
			}
			continue
		}
		for i, text := range texts {
			var err error
			if texts[i], err = clean(text); err != nil {
				return Usagef("--%s: %w", name, err)
			}
		}
	}
	return nil
}

// Typed is the whole line, flags in order.
func (g *Given) Typed() []string { return g.typed }

// Args are the arguments, flags taken out, in their order.
func (g *Given) Args() []string { return g.args }

// SetArgs gives a line other arguments in their place.
func SetArgs(g *Given, args []string) { g.args = args }

// String is the value of a flag, empty when it is not given.
func (g *Given) String(flag string) string {
	texts := g.texts[flag]
	if len(texts) == 0 {
		return ""
	}
	return texts[len(texts)-1]
}

// List is all values of a flag that may be given several times.
func (g *Given) List(flag string) []string { return g.texts[flag] }

// Bool tells whether a flag without a value is given.
func (g *Given) Bool(flag string) bool { return g.String(flag) == "true" }

// IsSet tells whether a flag is given, be it with an empty value.
func (g *Given) IsSet(flag string) bool { return len(g.texts[flag]) > 0 }

// Has tells whether the command has a flag of that name.
func (g *Given) Has(flag string) bool { return Named(g.Flags, flag) != nil }

// SetOf are those of some flags that are given.
func (g *Given) SetOf(flags ...string) []string {
	return slices.DeleteFunc(slices.Clone(flags), func(name string) bool { return !g.IsSet(name) })
}

// Set gives a flag a value in place of what was typed.
func (g *Given) Set(flag, text string) { g.texts[flag] = []string{text} }

// Want refuses a number of arguments below least or above most; most -1 is no limit.
func (g *Given) Want(least, most int) error {
	n, usage := len(g.args), strings.TrimSpace("usage: tinful "+g.Name+" "+g.Usage)
	switch {
	case n < least:
		return Usagef("%s needs more to go on; %s", g.Name, usage)
	case most >= 0 && n > most:
		return Usagef("%s does not know what %q is for; %s", g.Name, g.args[most], usage)
	}
	return nil
}
