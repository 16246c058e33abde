package line

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// sample is a program with every kind of flag.
func sample() *Command[int] {
	nothing := func(int) error { return nil }
	return &Command[int]{
		Flags: []*Flag{ValueFlag("at", "`DAY`"), {Name: "json", Usage: "one object", Kind: Switch}},
		Subcommands: []*Command[int]{
			{Name: "xfit", Action: nothing, Flags: []*Flag{
				ValueFlag("xjob", "`JOB` it is for"), {Name: "xany", Usage: "any bag", Kind: Switch}, {Name: "xfor", Usage: "`PART`", Kind: List}}},
			{Name: "xadd", Subcommands: []*Command[int]{
				{Name: "part", Action: nothing, Flags: []*Flag{ValueFlag("xname", "`NAME`")}}}},
		},
	}
}

func TestArrange(t *testing.T) {
	tests := []struct {
		name, line, argv, err string
		source                string // never this program
	}{
		{"flag after the arguments", "xfit b230 --xjob 105", "xfit|--xjob=105|--|b230", "", "the rule: flags stand anywhere"},
		{"flag before the command", "--xjob 105 xfit b230", "xfit|--xjob=105|--|b230", "", "the rule: flags stand anywhere"},
		{"global flag last", "xfit b230 --json", "--json=true|xfit|--|b230", "", "the rule: global flags"},
		{"two hyphens end flags", "xfit -- --json", "xfit|--|--json", "", "POSIX utility conventions, guideline 10"},
		{"one hyphen is a word", "xfit -", "xfit|--|-", "", "POSIX utility conventions, guideline 13"},
		{"long name after one hyphen", "xfit -xjob 105", "xfit|--xjob=105|--", "", "as typed by hand"},
		{"negative day", "xfit --at -3d b230", "--at=-3d|xfit|--|b230", "", "the rule: --at DAY"},
		{"negative number is an argument", "xfit b230 -3", "xfit|--|b230|-3", "", "the store refuses it, not the line"},
		{"list", "xfit --xfor P001=2 --xfor 1,5", "xfit|--xfor=P001=2|--xfor=1,5|--", "", "the rule: donors --for"},
		{"subcommand", "xadd --json part x --xname y", "--json=true|xadd|part|--xname=y|--|x", "", "the rule: add part"},
		{"flag as value", "xfit --xjob --json", "", "--xjob needs a value", "the rule: exit 2"},
		{"unknown flag as value", "xfit --xjob --foo", "", "unknown flag --foo: see tinful help xfit", "the rule: exit 2"},
		{"no value left", "xfit --xjob", "", "--xjob needs a value", "the rule: exit 2"},
		{"flag close to one", "xfit --xjbo 105", "", "unknown flag --xjbo: did you mean --xjob?", "by hand: two letters swapped"},
		{"flag of another command", "xfit --xname y", "", "xfit has no flag --xname: see tinful help xfit", "the rule of the README"},
		{"value to a bare flag", "xfit --xany=3", "", `--xany takes no value, "3" was given`, "the rule of the README"},
		{"twice", "xfit --xjob 105 --xjob 106", "", "--xjob is given twice: 105 and 106", "one of the two would be lost"},
		{"twice the same", "xfit --xjob 105 --xjob 105", "xfit|--xjob=105|--", "", "nothing is lost"},
		{"unknown command", "xfti b230", "", `unknown command "xfti": did you mean xfit?`, "by hand: two letters swapped"},
		{"group alone", "xadd", "", "xadd needs one of: part", "the rule: bare add is a usage error"},
		{"group with another word", "xadd prat", "", `xadd has no "prat": did you mean xadd part?`, "by hand: two letters swapped"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l, err := Arrange(sample(), strings.Fields(tt.line))
			if err != nil || tt.err != "" {
				if _, usage := errors.AsType[UsageError](err); !usage || err.Error() != tt.err {
					t.Fatalf("error %v, want %q (%s)", err, tt.err, tt.source)
				}
				return
			}
			if got := strings.Join(l.Argv(), "|"); got != tt.argv {
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
		want []Pair
		err  string
	}{
		{"b230 2 b231", []Pair{{Token: "b230", Qty: "2"}, {Token: "b231"}}, ""},
		{"b230=2", []Pair{{Token: "b230", Qty: "2"}}, ""},
		{"b230=c20 :2 3", []Pair{{Token: "b230", Qty: "c20"}, {Token: ":2", Qty: "3"}}, ""},
		{"bag:704 2", []Pair{{Token: "bag:704", Qty: "2"}}, ""},
		{"b230 cheese", []Pair{{Token: "b230", Check: []string{"cheese"}}}, ""},
		{"b230 2 counter pawl b231", []Pair{{Token: "b230", Qty: "2", Check: []string{"counter", "pawl"}}, {Token: "b231"}}, ""},
		{"b230 c20 c20", []Pair{{Token: "b230", Qty: "c20"}, {Token: "c20"}}, ""},
		{"c20 c20", []Pair{{Token: "c20", Qty: "c20"}}, ""},
		{"b230 20~ b231 ~20", []Pair{{Token: "b230", Qty: "20~"}, {Token: "b231", Qty: "~20"}}, ""},
		{"b230 ca.20", []Pair{{Token: "b230", Qty: "ca.20"}}, ""},
		{"b230 ca. 20", []Pair{{Token: "b230", Qty: "ca. 20"}}, ""},
		{"b290 40cm b291 4m", []Pair{{Token: "b290", Qty: "40cm"}, {Token: "b291", Qty: "4m"}}, ""},
		{"b290 40 cm", []Pair{{Token: "b290", Qty: "40 cm"}}, ""},
		{"b290 0,4 m light seal", []Pair{{Token: "b290", Qty: "0,4 m", Check: []string{"light", "seal"}}}, ""},
		{"b230 2pc b231 3 pc", []Pair{{Token: "b230", Qty: "2pc"}, {Token: "b231", Qty: "3 pc"}}, ""},
		{"b230 -3", []Pair{{Token: "b230", Qty: "-3"}}, ""},
		{"pc-03/a.1 w2-b", []Pair{{Token: "pc-03/a.1"}, {Token: "w2-b"}}, ""},
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
			got, err := ParsePairs(strings.Fields(tt.line))
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

// What a shell hands over as one word is the quantity that it is in two.
func TestQuotedQuantity(t *testing.T) {
	for _, args := range [][]string{{"b230", "ca. 20"}, {"b230=ca. 20"}} {
		got, err := ParsePairs(args)
		if want := []Pair{{Token: "b230", Qty: "ca. 20"}}; err != nil || !cmp.Equal(got, want) {
			t.Errorf("%q: %v, %v", args, got, err)
		}
	}
	if qty, used := QuantityAt([]string{"cover screw", "2"}); used != 0 {
		t.Errorf("%q is no quantity", qty)
	}
}
