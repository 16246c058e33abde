package line

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tinful/store/words"
)

// A Line is what was typed, put in order: flags by the command they belong to,
// arguments as they stood.
type Line[C any] struct {
	Path    []*Command[C] // the command and its subcommand
	Flags   [][]string    // Flags[0] of the program, Flags[i] of Path[i-1]; each --name=value
	Args    []string
	Help    bool
	Version bool
}

// Command is the innermost command of the line, nil for none.
func (l Line[C]) Command() *Command[C] {
	if len(l.Path) == 0 {
		return nil
	}
	return l.Path[len(l.Path)-1]
}

// Argv is the line with every flag behind its own command and before the arguments.
func (l Line[C]) Argv() []string {
	argv := slices.Clone(l.Flags[0])
	for i, cmd := range l.Path {
		argv = append(argv, cmd.Name)
		argv = append(argv, l.Flags[i+1]...)
	}
	return append(append(argv, "--"), l.Args...)
}

// Typed is the line as the program is given it, in order.
func (l Line[C]) Typed() []string {
	switch {
	case l.Version:
		return []string{"--version"}
	case l.Help:
		return append(strings.Fields(PathName(l.Path)), "--help")
	}
	return l.Argv()
}

// A Token is one word of the line as typed.
type Token struct {
	Text  string // as typed, for messages
	Flag  *Flag  // nil for a word and for an unknown flag
	Name  string // of a flag, as typed, without hyphens
	Word  bool
	Value string
	has   bool // the value stood behind "="
}

// Arrange puts a line in order by the table of commands and flags.
// Flags stand anywhere, "--" ends them, arguments keep their order, and a negative number or day is no flag.
func Arrange[C any](root *Command[C], args []string) (Line[C], error) {
	l, err := arrange(root, args)
	if err != nil { // it says what was typed
		return l, cmp.Or(typeable(args), err)
	}
	return l, typeable(l.Args)
}

func arrange[C any](root *Command[C], args []string) (Line[C], error) {
	tokens := Scan(root, args)
	var words []string
	asked := false
	for _, t := range tokens {
		asked = asked || IsHelp(t)
		if t.Word {
			words = append(words, t.Text)
		}
	}
	l, err := resolve(root, words)
	l.Help = asked
	if asked {
		return l, ignoreUnlessUnknown(l, err)
	}
	if len(l.Path) == 0 && slices.ContainsFunc(tokens, IsVersion) {
		l.Version = true
		return l, nil
	}
	for _, t := range tokens {
		if !t.Word && t.Flag == nil {
			return l, l.unknownFlag(root, t)
		}
	}
	if err != nil {
		return l, err
	}
	if err := l.place(root, tokens); err != nil {
		return l, err
	}
	return l, incomplete(l)
}

// Longest is how many bytes a line may have: a thousand codes with their numbers.
const Longest = 64 << 10

// ErrLong is returned for a line that is longer.
var ErrLong error = UsageError{longLine{}}

type longLine struct{}

func (longLine) Error() string {
	return fmt.Sprintf("the line is longer than %d KiB: part it in several", Longest>>10)
}

// Bounded refuses a line that is too long.
func Bounded(args []string) error {
	n := 0
	for _, arg := range args {
		if n += len(arg) + 1; n > Longest {
			return ErrLong
		}
	}
	return nil
}

// typeable refuses control characters: no code, text or name of a file needs one.
func typeable(args []string) error {
	for _, arg := range args {
		if strings.ContainsFunc(arg, unicode.IsControl) {
			return Usagef("%s holds a control character: leave it out", words.Shown(arg))
		}
	}
	return nil
}

// IsHelp tells whether a token asks for help.
func IsHelp(t Token) bool { return !t.Word && t.Flag == nil && (t.Name == "help" || t.Name == "h") }

// IsVersion tells whether a token asks for the version.
func IsVersion(t Token) bool { return !t.Word && t.Flag == nil && t.Name == "version" }

// ignoreUnlessUnknown lets help answer for a command that is known.
func ignoreUnlessUnknown[C any](l Line[C], err error) error {
	if len(l.Path) > 0 {
		return nil
	}
	return err
}

// Scan cuts a line into flags, with their values, and words.
func Scan[C any](root *Command[C], args []string) []Token {
	args = Narrow(args)
	var tokens []Token
	for i := 0; i < len(args); i++ {
		if args[i] == "--" {
			for _, rest := range args[i+1:] {
				tokens = append(tokens, Token{Text: rest, Word: true})
			}
			return tokens
		}
		if !LooksLikeFlag(args[i]) {
			tokens = append(tokens, Token{Text: args[i], Word: true})
			continue
		}
		t := Token{Text: args[i]}
		t.Name, t.Value, t.has = strings.Cut(strings.TrimLeft(args[i], "-"), "=")
		if !IsHelp(t) && !IsVersion(t) {
			t.Flag = AnyFlag(root, t.Name)
		}
		if t.Flag != nil && t.Flag.TakesValue() && !t.has && i+1 < len(args) && !LooksLikeFlag(args[i+1]) {
			i++
			t.Value, t.has = args[i], true
		}
		tokens = append(tokens, t)
	}
	return tokens
}

// Narrow is [words.Narrow] of each word.
func Narrow(args []string) []string {
	out := slices.Clone(args)
	for i, arg := range out {
		out[i] = words.Narrow(arg)
	}
	return out
}

// LooksLikeFlag tells a flag from a Word: -3, -3d and -.5 are numbers, - alone is
// standard input.
func LooksLikeFlag(s string) bool {
	if s == "--" {
		return true
	}
	name, ok := strings.CutPrefix(s, "-")
	name = strings.TrimPrefix(name, "-")
	if !ok || name == "" {
		return false
	}
	return name[0] >= 'a' && name[0] <= 'z' || name[0] >= 'A' && name[0] <= 'Z' || strings.HasPrefix(s, "--")
}

// resolve finds the command of the words and takes its names off. A word that
// is no command and holds a digit is a code: show it.
func resolve[C any](root *Command[C], words []string) (Line[C], error) {
	l := Line[C]{Args: words}
	level := root.Subcommands
	for len(l.Args) > 0 {
		cmd := Sub(level, l.Args[0])
		if cmd == nil {
			break
		}
		l.Path, l.Args = append(l.Path, cmd), l.Args[1:]
		level = cmd.Subcommands
	}
	if len(l.Path) == 0 && len(words) > 0 {
		show := Sub(root.Subcommands, "show")
		if show == nil || !IsCode(words[0]) {
			return l, Unknown("command", words[0], Names(root.Subcommands), "tinful help all")
		}
		l.Path = []*Command[C]{show}
	}
	l.Flags = make([][]string, len(l.Path)+1)
	return l, nil
}

// incomplete refuses a command that only groups others.
func incomplete[C any](l Line[C]) error {
	cmd := l.Command()
	if cmd == nil || cmd.Action != nil || len(cmd.Subcommands) == 0 {
		return nil
	}
	list := strings.Join(Names(cmd.Subcommands), ", ")
	if len(l.Args) == 0 {
		return Usagef("%s needs one of: %s", cmd.Name, list)
	}
	if near := words.Nearest(l.Args[0], Names(cmd.Subcommands)); near != "" {
		return Usagef("%s has no %q: did you mean %s %s?", cmd.Name, l.Args[0], cmd.Name, near)
	}
	return Usagef("%s has no %q: it has %s", cmd.Name, l.Args[0], list)
}

// place sorts the flags to the commands they belong to.
func (l *Line[C]) place(root *Command[C], tokens []Token) error {
	given := map[string]string{}
	for _, t := range tokens {
		if t.Word {
			continue
		}
		level, flag := l.owner(root, t.Name)
		if flag == nil {
			return l.unknownFlag(root, t)
		}
		text, err := flagText(flag, t)
		if err != nil {
			return err
		}
		name := flag.Name
		before, twice := given[name]
		list := flag.Kind == List
		if twice && !list && before != text {
			return Usagef("--%s is given twice: %s and %s", name, before, text)
		} else if twice && !list {
			continue
		}
		given[name] = text
		l.Flags[level] = append(l.Flags[level], "--"+name+"="+text)
	}
	return nil
}

// flagText is the value of a flag as given, "true" for a flag without one.
func flagText(flag *Flag, t Token) (string, error) {
	switch {
	case flag.TakesValue() && !t.has:
		return "", Usagef("--%s needs a value", t.Name)
	case flag.TakesValue():
		return t.Value, nil
	case !t.has || t.Value == "true":
		return "true", nil
	case t.Value == "false":
		return "false", nil
	}
	return "", Usagef("--%s takes no value, %q was given", t.Name, t.Value)
}

// owner finds a flag of the line's commands, the innermost first.
func (l *Line[C]) owner(root *Command[C], name string) (int, *Flag) {
	for i := len(l.Path) - 1; i >= 0; i-- {
		if flag := Named(l.Path[i].Takes(), name); flag != nil {
			return i + 1, flag
		}
	}
	return 0, Named(root.Flags, name)
}

// unknownFlag names the flag and the nearest one the command has.
func (l *Line[C]) unknownFlag(root *Command[C], t Token) error {
	text, _, _ := strings.Cut(t.Text, "=")
	var known []string
	collect := func(flags []*Flag) {
		for _, flag := range flags {
			known = append(known, flag.Name)
		}
	}
	collect(root.Flags)
	for _, cmd := range l.Path {
		collect(cmd.Takes())
	}
	known = append(known, "help")
	see := "tinful help"
	if cmd := l.Command(); cmd != nil {
		see = "tinful help " + PathName(l.Path)
		if t.Flag != nil {
			return Usagef("%s has no flag %s: see %s", PathName(l.Path), text, see)
		}
	}
	if near := words.Nearest(t.Name, known); near != "" {
		return Usagef("unknown flag %s: did you mean --%s?", text, near)
	}
	return Usagef("unknown flag %s: see %s", text, see)
}

// Unknown is the error about a name that is none, with the nearest that is one.
func Unknown(what, name string, known []string, see string) error {
	if near := words.Nearest(name, known); near != "" {
		return Usagef("unknown %s %q: did you mean %s?", what, name, near)
	}
	return Usagef("unknown %s %q: see %s", what, name, see)
}
