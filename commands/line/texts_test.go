package line

import (
	"reflect"
	"testing"
)

// A text has all or only some of its parts; the expected command is written by hand.
func TestReadText(t *testing.T) {
	why := &Flag{Name: "why", Usage: "`WORDS` that say why"}
	whole := "wrap\nput a thing in paper\nUsage: THING [N]\n\nOne sheet a thing.\n\nOf some two.\n\n" +
		"Flags:\n--paper=, -p  of this `KIND`\n--tag=...     a `LABEL`; several times\n--dry         no glue\n--why\n...\n\nExamples:\ntinful wrap b1\ntinful wrap b1 2\n"
	tests := []struct {
		name, text string
		want       *Command[int]
	}{
		{"all of it", whole, &Command[int]{Name: "wrap", Usage: "put a thing in paper", ArgsUsage: "THING [N]", Description: "One sheet a thing.\n\nOf some two.",
			UsageText: "tinful wrap b1\ntinful wrap b1 2",
			Flags: []*Flag{{Name: "paper", Short: "p", Usage: "of this `KIND`"}, {Name: "tag", Usage: "a `LABEL`; several times", Kind: List},
				{Name: "dry", Usage: "no glue", Kind: Switch}, why, nil}}},
		{"a purpose", "off\nput it down\n", &Command[int]{Name: "off", Usage: "put it down"}},
		{"flags alone", "off\nput it down\n\nFlags:\n--all  of them\n", &Command[int]{Name: "off", Usage: "put it down", Flags: []*Flag{{Name: "all", Usage: "of them", Kind: Switch}}}},
		{"examples alone", "off now\nput it down\n\nExamples:\ntinful off\n", &Command[int]{Name: "off now", Usage: "put it down", UsageText: "tinful off"}},
	}
	for _, tt := range tests {
		if got := ReadText[int](tt.text, []*Flag{why}); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
		if got := ReadLater[int](tt.text, nil); got.Name != tt.want.Name || got.Usage != tt.want.Usage {
			t.Errorf("%s, read later: %q, %q", tt.name, got.Name, got.Usage)
		}
	}
}
