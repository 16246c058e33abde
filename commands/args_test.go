package commands

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"tinful/commands/line"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// sample is the program with a few commands of its own beside those it has, so
// that every kind of flag is held whatever commands there are.
func sample() *command {
	nothing := func(*call) error { return nil }
	root := *program()
	root.Subcommands = append(slices.Clone(root.Subcommands),
		&command{Name: "xfit", Action: nothing, Flags: []*line.Flag{
			line.ValueFlag("xjob", "`JOB` it is for"), {Name: "xany", Usage: "any bag", Kind: line.Switch}, {Name: "xfor", Usage: "`PART`", Kind: line.List}}},
		&command{Name: "xadd", Subcommands: []*command{
			{Name: "part", Action: nothing, Flags: []*line.Flag{line.ValueFlag("xname", "`NAME`")}}}},
	)
	return &root
}

// leaves are the paths of all commands that act.
func leaves(commands []*command, before ...*command) [][]*command {
	var paths [][]*command
	for _, cmd := range commands {
		path := append(slices.Clone(before), cmd)
		if cmd.Action != nil {
			paths = append(paths, path)
		}
		paths = append(paths, leaves(cmd.Subcommands, path...)...)
	}
	return paths
}

// Every permutation of flags among the words of a line parses alike:
// "Flags stand anywhere; arguments keep their order".
func TestFlagsStandAnywhere(t *testing.T) {
	root := sample()
	paths := leaves(root.Subcommands)
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(t, "path")
		var words []string
		flags := slices.Clone(root.Flags)
		for _, cmd := range path {
			words = append(words, cmd.Name)
			flags = append(flags, cmd.Takes()...)
		}
		words = append(words, rapid.SliceOfN(rapid.SampledFrom([]string{"b230", "2", "-3", "-3d", "-", "film", ".20", "_"}), 0, 4).Draw(t, "args")...)
		groups := drawFlags(t, flags)
		first := mix(t, words, groups)
		second := mix(t, words, rapid.Permutation(groups).Draw(t, "order"))
		one, err1 := line.Arrange(root, first)
		two, err2 := line.Arrange(root, second)
		if err1 != nil || err2 != nil {
			t.Fatalf("%q: %v\n%q: %v", first, err1, second, err2)
		}
		if !slices.Equal(one.Args, words[len(path):]) {
			t.Fatalf("%q: arguments %q, want %q", first, one.Args, words[len(path):])
		}
		if diff := cmp.Diff(sorted(one.Flags), sorted(two.Flags)); diff != "" {
			t.Fatalf("%q\n%q\n%s", first, second, diff)
		}
	})
}

// drawFlags draws flags, each once, in one of the ways it can be written.
func drawFlags(t *rapid.T, flags []*line.Flag) [][]string {
	var groups [][]string
	for i, flag := range rapid.SliceOfNDistinct(rapid.SampledFrom(flags), 0, 5, func(f *line.Flag) string { return f.Name }).Draw(t, "flags") {
		name := "--" + flag.Name
		value := rapid.SampledFrom([]string{"105", "-3d", "a b", "P001=2", "-0.5", "1,5", "-"}).Draw(t, fmt.Sprint("value", i))
		switch {
		case !flag.TakesValue():
			groups = append(groups, []string{name})
		case rapid.Bool().Draw(t, fmt.Sprint("equals", i)):
			groups = append(groups, []string{name + "=" + value})
		default:
			groups = append(groups, []string{name, value})
		}
	}
	return groups
}

// mix puts groups of flags anywhere among words.
func mix(t *rapid.T, words []string, groups [][]string) []string {
	at := make([]int, len(groups))
	for i := range at {
		at[i] = rapid.IntRange(0, len(words)).Draw(t, "at")
	}
	var mixed []string
	for i := 0; i <= len(words); i++ {
		for j, group := range groups {
			if at[j] == i {
				mixed = append(mixed, group...)
			}
		}
		if i < len(words) {
			mixed = append(mixed, words[i])
		}
	}
	return mixed
}

func sorted(lists [][]string) [][]string {
	for _, list := range lists {
		slices.Sort(list)
	}
	return lists
}

// One name is one kind of flag, for a flag may stand before its command; no command
// has a flag of the name of a global one.
func TestOneNameOneKind(t *testing.T) {
	root := sample()
	kinds := map[string]string{}
	for _, path := range leaves(root.Subcommands) {
		for _, cmd := range path {
			for _, flag := range cmd.Takes() {
				for _, name := range strings.Fields(flag.Name + " " + flag.Short) {
					if line.Named(root.Flags, name) != nil || name == "help" || name == "h" || name == "version" {
						t.Errorf("%s: --%s is a flag of every command", cmd.Name, name)
					}
					kind := fmt.Sprint(flag.TakesValue())
					if before, ok := kinds[name]; ok && before != kind {
						t.Errorf("%s: --%s takes a value in one command and none in another", cmd.Name, name)
					}
					kinds[name] = kind
				}
			}
		}
	}
}

// --help answers for every command and runs none: the store it would open here is
// a folder. style.md 8, "runs before a command's --help".
func TestEveryCommandHasHelp(t *testing.T) {
	store := t.TempDir()
	for _, path := range leaves(program().Subcommands) {
		name := line.PathName(path)
		if path[len(path)-1].Usage == "" {
			t.Errorf("%s has no line of purpose", name)
		}
		for _, flag := range []string{"--help", "-h"} {
			var stdout, stderr bytes.Buffer
			args := append([]string{"tinful"}, strings.Fields(name)...)
			code := Run(append(args, "b230", flag, "--store", store), Env{Stdout: &stdout, Stderr: &stderr, Width: 80})
			if code != exitOK || stderr.Len() > 0 || !strings.HasPrefix(stdout.String(), "tinful "+name+": ") {
				t.Errorf("%s %s: code %d, %q, %q", name, flag, code, stderr.String(), stdout.String())
			}
			for text := range strings.Lines(stdout.String()) {
				if n := utf8.RuneCountInString(strings.TrimRight(text, "\n")); n > 80 {
					t.Errorf("%s: on a terminal of 80 columns a line has %d: %s", name, n, text)
				}
			}
		}
	}
}
