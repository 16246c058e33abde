package commands

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/urfave/cli/v2"
	"pgregory.net/rapid"
)

// sample is the program with a few commands of its own beside those it has, so
// that every kind of flag is held whatever commands there are.
func sample() *app {
	a := newApp(Env{Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}, Getenv: func(string) string { return "" }})
	nothing := a.do(func(*call) error { return nil })
	a.cli.Commands = append(a.cli.Commands,
		&cli.Command{Name: "xfit", Action: nothing, Flags: []cli.Flag{
			valueFlag("xjob", "`JOB` it is for"), boolFlag("xany", "any bag"), listFlag("xfor", "`PART`")}},
		&cli.Command{Name: "xadd", Subcommands: []*cli.Command{
			{Name: "part", Action: nothing, Flags: []cli.Flag{valueFlag("xname", "`NAME`")}}}},
	)
	ours(a.cli.Commands)
	return a
}

// leaves are the paths of all commands that act.
func leaves(commands []*cli.Command, before ...*cli.Command) [][]*cli.Command {
	var paths [][]*cli.Command
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
	a := sample()
	paths := leaves(a.cli.Commands)
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(t, "path")
		var words []string
		flags := slices.Clone(a.cli.Flags)
		for _, cmd := range path {
			words = append(words, cmd.Name)
			flags = append(flags, cmd.Flags...)
		}
		words = append(words, rapid.SliceOfN(rapid.SampledFrom([]string{"b230", "2", "-3", "-3d", "-", "film", ".20", "_"}), 0, 4).Draw(t, "args")...)
		groups := drawFlags(t, flags)
		first := mix(t, words, groups)
		second := mix(t, words, rapid.Permutation(groups).Draw(t, "order"))
		one, err1 := arrange(a.cli, first)
		two, err2 := arrange(a.cli, second)
		if err1 != nil || err2 != nil {
			t.Fatalf("%q: %v\n%q: %v", first, err1, second, err2)
		}
		if !slices.Equal(one.args, words[len(path):]) {
			t.Fatalf("%q: arguments %q, want %q", first, one.args, words[len(path):])
		}
		if diff := cmp.Diff(sorted(one.flags), sorted(two.flags)); diff != "" {
			t.Fatalf("%q\n%q\n%s", first, second, diff)
		}
	})
}

// drawFlags draws flags, each once, in one of the ways it can be written.
func drawFlags(t *rapid.T, flags []cli.Flag) [][]string {
	var groups [][]string
	for i, flag := range rapid.SliceOfNDistinct(rapid.SampledFrom(flags), 0, 5, func(f cli.Flag) string { return f.Names()[0] }).Draw(t, "flags") {
		name := "--" + flag.Names()[0]
		value := rapid.SampledFrom([]string{"105", "-3d", "a b", "P001=2", "-0.5", "1,5", "-"}).Draw(t, fmt.Sprint("value", i))
		switch {
		case !takesValue(flag):
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
	a := sample()
	kinds := map[string]string{}
	for _, path := range leaves(a.cli.Commands) {
		for _, cmd := range path {
			for _, flag := range cmd.Flags {
				for _, name := range flag.Names() {
					if flagNamed(a.cli.Flags, name) != nil || name == "help" || name == "h" || name == "version" {
						t.Errorf("%s: --%s is a flag of every command", cmd.Name, name)
					}
					kind := fmt.Sprint(takesValue(flag))
					if before, ok := kinds[name]; ok && before != kind {
						t.Errorf("%s: --%s takes a value in one command and none in another", cmd.Name, name)
					}
					kinds[name] = kind
				}
				if !isOurFlag(flag) {
					t.Errorf("%s: --%s is a %T: numbers are read from text by the command", cmd.Name, flag.Names()[0], flag)
				}
			}
		}
	}
}

func isOurFlag(flag cli.Flag) bool {
	switch flag.(type) {
	case aValue, aSwitch, aList:
		return true
	}
	return false
}

// --help answers for every command and runs none: the store it would open here is
// a folder. style.md 8, "runs before a command's --help".
func TestEveryCommandHasHelp(t *testing.T) {
	store := t.TempDir()
	for _, path := range leaves(newApp(Env{}).cli.Commands) {
		name := pathName(path)
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
			for line := range strings.Lines(stdout.String()) {
				if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > 80 {
					t.Errorf("%s: on a terminal of 80 columns a line has %d: %s", name, n, line)
				}
			}
		}
	}
}

func TestArrange(t *testing.T) {
	tests := []struct {
		name, line, argv, err string
		source                string // never this program
	}{
		{"flag after the arguments", "xfit b230 --xjob 105", "tinful|xfit|--xjob=105|--|b230", "", "the rule: flags stand anywhere"},
		{"flag before the command", "--xjob 105 xfit b230", "tinful|xfit|--xjob=105|--|b230", "", "the rule: flags stand anywhere"},
		{"global flag last", "xfit b230 --json", "tinful|--json=true|xfit|--|b230", "", "the rule: global flags"},
		{"two hyphens end flags", "xfit -- --json", "tinful|xfit|--|--json", "", "POSIX utility conventions, guideline 10"},
		{"one hyphen is a word", "xfit -", "tinful|xfit|--|-", "", "POSIX utility conventions, guideline 13"},
		{"long name after one hyphen", "xfit -xjob 105", "tinful|xfit|--xjob=105|--", "", "as typed by hand"},
		{"negative day", "xfit --at -3d b230", "tinful|--at=-3d|xfit|--|b230", "", "the rule: --at DAY"},
		{"negative number is an argument", "xfit b230 -3", "tinful|xfit|--|b230|-3", "", "the store refuses it, not the line"},
		{"list", "xfit --xfor P001=2 --xfor 1,5", "tinful|xfit|--xfor=P001=2|--xfor=1,5|--", "", "the rule: donors --for"},
		{"subcommand", "xadd --json part x --xname y", "tinful|--json=true|xadd|part|--xname=y|--|x", "", "the rule: add part"},
		{"flag as value", "xfit --xjob --json", "", "--xjob needs a value", "the rule: exit 2"},
		{"unknown flag as value", "xfit --xjob --foo", "", "unknown flag --foo: see tinful help xfit", "the rule: exit 2"},
		{"no value left", "xfit --xjob", "", "--xjob needs a value", "the rule: exit 2"},
		{"flag close to one", "xfit --xjbo 105", "", "unknown flag --xjbo: did you mean --xjob?", "by hand: two letters swapped"},
		{"flag of another command", "xfit --xname y", "", "xfit has no flag --xname: see tinful help xfit", "the rule of the README"},
		{"value to a bare flag", "xfit --xany=3", "", `--xany takes no value, "3" was given`, "the rule of the README"},
		{"twice", "xfit --xjob 105 --xjob 106", "", "--xjob is given twice: 105 and 106", "one of the two would be lost"},
		{"twice the same", "xfit --xjob 105 --xjob 105", "tinful|xfit|--xjob=105|--", "", "nothing is lost"},
		{"unknown command", "xfti b230", "", `unknown command "xfti": did you mean xfit?`, "by hand: two letters swapped"},
		{"group alone", "xadd", "", "xadd needs one of: part", "the rule: bare add is a usage error"},
		{"group with another word", "xadd prat", "", `xadd has no "prat": did you mean xadd part?`, "by hand: two letters swapped"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l, err := arrange(sample().cli, strings.Fields(tt.line))
			if err != nil || tt.err != "" {
				if err == nil || err.Error() != tt.err || exitCode(err) != exitUsage {
					t.Fatalf("error %v, want %q (%s)", err, tt.err, tt.source)
				}
				return
			}
			if got := strings.Join(l.argv(), "|"); got != tt.argv {
				t.Errorf("got  %s\nwant %s (%s)", got, tt.argv, tt.source)
			}
		})
	}
}

func TestParsePairs(t *testing.T) {
	// The rule of all rows: "A token of digits right after a code is its
	// number", and 3, the ways a quantity is written.
	tests := []struct {
		line string
		want []pair
		err  string
	}{
		{"b230 2 b231", []pair{{Token: "b230", Qty: "2"}, {Token: "b231"}}, ""},
		{"b230=2", []pair{{Token: "b230", Qty: "2"}}, ""},
		{"b230=c20 :2 3", []pair{{Token: "b230", Qty: "c20"}, {Token: ":2", Qty: "3"}}, ""},
		{"bag:704 2", []pair{{Token: "bag:704", Qty: "2"}}, ""},
		{"b230 cheese", []pair{{Token: "b230", Check: []string{"cheese"}}}, ""},
		{"b230 2 counter pawl b231", []pair{{Token: "b230", Qty: "2", Check: []string{"counter", "pawl"}}, {Token: "b231"}}, ""},
		{"b230 c20 c20", []pair{{Token: "b230", Qty: "c20"}, {Token: "c20"}}, ""},
		{"c20 c20", []pair{{Token: "c20", Qty: "c20"}}, ""},
		{"b230 20~ b231 ~20", []pair{{Token: "b230", Qty: "20~"}, {Token: "b231", Qty: "~20"}}, ""},
		{"b230 ca.20", []pair{{Token: "b230", Qty: "ca.20"}}, ""},
		{"b230 ca. 20", []pair{{Token: "b230", Qty: "ca. 20"}}, ""},
		{"b290 40cm b291 4m", []pair{{Token: "b290", Qty: "40cm"}, {Token: "b291", Qty: "4m"}}, ""},
		{"b290 40 cm", []pair{{Token: "b290", Qty: "40 cm"}}, ""},
		{"b290 0,4 m light seal", []pair{{Token: "b290", Qty: "0,4 m", Check: []string{"light", "seal"}}}, ""},
		{"b230 -3", []pair{{Token: "b230", Qty: "-3"}}, ""},
		{"pc-03/a.1 w2-b", []pair{{Token: "pc-03/a.1"}, {Token: "w2-b"}}, ""},
		{"", nil, ""},
		{"704", nil, "704 is a number and stands after no code: a bag whose code is all digits is written bag:704"},
		{"b230 2 3", nil, "b230 has two numbers, 2 and 3: a bag whose code is all digits is written bag:3"},
		{"b230 pawl 3", nil, "3 stands after a word: write the number right after the code, b230 3"},
		{"b230=", nil, `"b230=" is no code and number: write it like b230=2`},
		{"=2", nil, `"=2" is no code and number: write it like b230=2`},
		{"b230=2 3", nil, "b230 has two numbers, 2 and 3: a bag whose code is all digits is written bag:3"},
	}
	for _, tt := range tests {
		t.Run(tt.line, func(t *testing.T) {
			got, err := parsePairs(strings.Fields(tt.line))
			if err != nil || tt.err != "" {
				if err == nil || err.Error() != tt.err {
					t.Fatalf("error %v, want %q", err, tt.err)
				}
				return
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}
