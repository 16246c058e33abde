package commands

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// A line is what was typed, put in order: flags by the command they belong to,
// arguments as they stood.
type line struct {
	path    []*cli.Command // the command and its subcommand
	flags   [][]string     // flags[0] of the program, flags[i] of path[i-1]; each --name=value
	args    []string
	help    bool
	version bool
}

// command is the innermost command of the line, nil for none.
func (l line) command() *cli.Command {
	if len(l.path) == 0 {
		return nil
	}
	return l.path[len(l.path)-1]
}

// argv is the line as urfave/cli reads it: every flag behind its own command and
// before the arguments.
func (l line) argv() []string {
	argv := append([]string{"tinful"}, l.flags[0]...)
	for i, cmd := range l.path {
		argv = append(argv, cmd.Name)
		argv = append(argv, l.flags[i+1]...)
	}
	return append(append(argv, "--"), l.args...)
}

// A token is one word of the line as typed.
type token struct {
	text  string   // as typed, for messages
	flag  cli.Flag // nil for a word and for an unknown flag
	name  string   // of a flag, as typed, without hyphens
	value string
	has   bool // the value stood behind "="
	word  bool
}

// arrange puts a line in order by the app's own flag tables: urfave/cli takes a
// flag behind the first argument for an argument. Flags stand anywhere, "--" ends
// them, arguments keep their order, and a negative number or day is no flag.
func arrange(root *cli.App, args []string) (line, error) {
	tokens := scan(root, args)
	var words []string
	asked := false
	for _, t := range tokens {
		asked = asked || isHelp(t)
		if t.word {
			words = append(words, t.text)
		}
	}
	l, err := resolve(root, words)
	l.help = asked
	if asked {
		return l, ignoreUnlessUnknown(l, err)
	}
	if len(l.path) == 0 && slices.ContainsFunc(tokens, isVersion) {
		l.version = true
		return l, nil
	}
	for _, t := range tokens {
		if !t.word && t.flag == nil {
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

func isHelp(t token) bool    { return !t.word && t.flag == nil && (t.name == "help" || t.name == "h") }
func isVersion(t token) bool { return !t.word && t.flag == nil && t.name == "version" }

// ignoreUnlessUnknown lets help answer for a command that is known.
func ignoreUnlessUnknown(l line, err error) error {
	if len(l.path) > 0 {
		return nil
	}
	return err
}

// scan cuts a line into flags, with their values, and words.
func scan(root *cli.App, args []string) []token {
	known := allFlags(root)
	var tokens []token
	for i := 0; i < len(args); i++ {
		if args[i] == "--" {
			for _, rest := range args[i+1:] {
				tokens = append(tokens, token{text: rest, word: true})
			}
			return tokens
		}
		if !looksLikeFlag(args[i]) {
			tokens = append(tokens, token{text: args[i], word: true})
			continue
		}
		t := token{text: args[i]}
		t.name, t.value, t.has = strings.Cut(strings.TrimLeft(args[i], "-"), "=")
		t.flag = known[t.name]
		if t.flag != nil && takesValue(t.flag) && !t.has && i+1 < len(args) && !looksLikeFlag(args[i+1]) {
			i++
			t.value, t.has = args[i], true
		}
		tokens = append(tokens, t)
	}
	return tokens
}

// looksLikeFlag tells a flag from a word: -3, -3d and -.5 are numbers, - alone is
// standard input.
func looksLikeFlag(s string) bool {
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
func resolve(root *cli.App, words []string) (line, error) {
	l := line{args: words}
	level := root.Commands
	for len(l.args) > 0 {
		cmd := named(level, l.args[0])
		if cmd == nil {
			break
		}
		l.path, l.args = append(l.path, cmd), l.args[1:]
		level = cmd.Subcommands
	}
	if len(l.path) == 0 && len(words) > 0 {
		show := named(root.Commands, "show")
		if show == nil || !isCode(words[0]) {
			return l, unknown("command", words[0], names(root.Commands), "tinful help all")
		}
		l.path = []*cli.Command{show}
	}
	l.flags = make([][]string, len(l.path)+1)
	return l, nil
}

// incomplete refuses a command that only groups others.
func incomplete(l line) error {
	cmd := l.command()
	if cmd == nil || cmd.Action != nil || len(cmd.Subcommands) == 0 {
		return nil
	}
	list := strings.Join(names(cmd.Subcommands), ", ")
	if len(l.args) == 0 {
		return usagef("%s needs one of: %s", cmd.Name, list)
	}
	if near := nearest(l.args[0], names(cmd.Subcommands)); near != "" {
		return usagef("%s has no %q: did you mean %s %s?", cmd.Name, l.args[0], cmd.Name, near)
	}
	return usagef("%s has no %q: it has %s", cmd.Name, l.args[0], list)
}

// place sorts the flags to the commands they belong to.
func (l *line) place(root *cli.App, tokens []token) error {
	given := map[string]string{}
	for _, t := range tokens {
		if t.word {
			continue
		}
		level, flag := l.owner(root, t.name)
		if flag == nil {
			return l.unknownFlag(root, t)
		}
		text, err := flagText(flag, t)
		if err != nil {
			return err
		}
		name := flag.Names()[0]
		before, twice := given[name]
		if _, list := flag.(aList); twice && !list && before != text {
			return usagef("--%s is given twice: %s and %s", name, before, text)
		} else if twice && !list {
			continue
		}
		given[name] = text
		l.flags[level] = append(l.flags[level], "--"+name+"="+text)
	}
	return nil
}

// flagText is the value of a flag as given, "true" for a flag without one.
func flagText(flag cli.Flag, t token) (string, error) {
	switch {
	case takesValue(flag) && !t.has:
		return "", usagef("--%s needs a value", t.name)
	case takesValue(flag):
		return t.value, nil
	case !t.has || t.value == "true":
		return "true", nil
	case t.value == "false":
		return "false", nil
	}
	return "", usagef("--%s takes no value, %q was given", t.name, t.value)
}

// owner finds a flag of the line's commands, the innermost first.
func (l *line) owner(root *cli.App, name string) (int, cli.Flag) {
	for i := len(l.path) - 1; i >= 0; i-- {
		if flag := flagNamed(l.path[i].Flags, name); flag != nil {
			return i + 1, flag
		}
	}
	return 0, flagNamed(root.Flags, name)
}

// unknownFlag names the flag and the nearest one the command has.
func (l *line) unknownFlag(root *cli.App, t token) error {
	text, _, _ := strings.Cut(t.text, "=")
	var known []string
	collect := func(flags []cli.Flag) {
		for _, flag := range flags {
			known = append(known, flag.Names()[0])
		}
	}
	collect(root.Flags)
	for _, cmd := range l.path {
		collect(cmd.Flags)
	}
	known = append(known, "help")
	see := "tinful help"
	if cmd := l.command(); cmd != nil {
		see = "tinful help " + pathName(l.path)
		if t.flag != nil {
			return usagef("%s has no flag %s: see %s", pathName(l.path), text, see)
		}
	}
	if near := nearest(t.name, known); near != "" {
		return usagef("unknown flag %s: did you mean --%s?", text, near)
	}
	return usagef("unknown flag %s: see %s", text, see)
}

// unknown is the error about a name that is none, with the nearest that is one.
func unknown(what, name string, known []string, see string) error {
	if near := nearest(name, known); near != "" {
		return usagef("unknown %s %q: did you mean %s?", what, name, near)
	}
	return usagef("unknown %s %q: see %s", what, name, see)
}

// allFlags are the flags of the program and of every command by name, for flags
// that stand before their command. A test holds that one name is one kind of flag.
func allFlags(root *cli.App) map[string]cli.Flag {
	if known, ok := root.Metadata[flagsKnown].(map[string]cli.Flag); ok {
		return known
	}
	all := map[string]cli.Flag{}
	var add func([]cli.Flag, []*cli.Command)
	add = func(flags []cli.Flag, commands []*cli.Command) {
		for _, flag := range flags {
			for _, name := range flag.Names() {
				all[name] = flag
			}
		}
		for _, cmd := range commands {
			add(cmd.Flags, cmd.Subcommands)
		}
	}
	add(root.Flags, root.Commands)
	if root.Metadata != nil {
		root.Metadata[flagsKnown] = all
	}
	return all
}

// flagsKnown is where an app keeps its table of flags once it is made.
const flagsKnown = "flags"

func takesValue(flag cli.Flag) bool {
	_, isBool := flag.(aSwitch)
	return !isBool
}

func flagNamed(flags []cli.Flag, name string) cli.Flag {
	for _, flag := range flags {
		if slices.Contains(flag.Names(), name) {
			return flag
		}
	}
	return nil
}

// named is the command of that name, in capitals too, nil for none.
func named(commands []*cli.Command, name string) *cli.Command {
	name = strings.ToLower(name)
	for _, cmd := range commands {
		if cmd.HasName(name) {
			return cmd
		}
	}
	return nil
}

// names are the names of the commands that are not hidden.
func names(commands []*cli.Command) []string {
	var list []string
	for _, cmd := range commands {
		if !cmd.Hidden {
			list = append(list, cmd.Name)
		}
	}
	return list
}

// pathName is the command of a line as typed, "add part".
func pathName(path []*cli.Command) string {
	var list []string
	for _, cmd := range path {
		list = append(list, cmd.Name)
	}
	return strings.Join(list, " ")
}

// commandName is a command as typed, "add part".
func commandName(cmd *cli.Command) string {
	return strings.TrimPrefix(cmd.HelpName, "tinful ")
}

// nearest is the known name that name was likely meant to be, empty for none: one at
// most a third of its letters away, of equals one that it begins, else one that it
// begins.
func nearest(name string, known []string) string {
	best, least := "", (len(name)+2)/3+1
	for _, k := range known {
		begins := strings.HasPrefix(k, strings.ToLower(name)) && !strings.HasPrefix(best, strings.ToLower(name))
		if d := distance(strings.ToLower(name), k); d < least || d == least && best != "" && begins {
			best, least = k, d
		}
	}
	if best != "" || len(name) < 2 {
		return best
	}
	for _, k := range known {
		if strings.HasPrefix(k, strings.ToLower(name)) {
			return k
		}
	}
	return ""
}

// distance counts the letters to add, drop, change or swap with their neighbour
// (optimal string alignment distance).
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
