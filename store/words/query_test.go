package words

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// show writes terms as text: plain words bare, trade words with their classes,
// those that are less than their class with <.
func show(terms []Term) string {
	var out []string
	for _, t := range terms {
		switch {
		case t.Narrow:
			out = append(out, fmt.Sprintf("%s<%s", t.Text, strings.Join(t.Class, ",")))
		case len(t.Class) > 0:
			out = append(out, fmt.Sprintf("%s~%s", t.Text, strings.Join(t.Class, ",")))
		default:
			out = append(out, t.Text)
		}
	}
	return strings.Join(out, " | ")
}

func TestQuery(t *testing.T) {
	for _, tc := range []struct{ typed, want string }{
		{"", ""},
		{"counter Schenkelfeder", "counter | Schenkelfeder~SPR-TOR"},
		{"shoulder screw", "shoulder screw~SCR-SHD"},
		{"counter pawl spring", "counter | pawl<LEV | spring~SPR"},
		{"release lever return spring", "release lever<LEV | return spring~SPR-TOR"},
		{"raised countersunk screw M1.7x0.35", "raised countersunk screw~SCR-RCS | M1.7x0.35"},
		{"film transport wheel", "film transport wheel<GER"},
		{"spr-tor .20 - 2", "spr-tor~SPR-TOR | .20 | 2"},
		{"Spiralfeder", "Spiralfeder~SPR-HAIR,SPR-SPI"},
		{"mainspring", "mainspring"},
		{"knurled screw", "knurled screw<SCR"},
		{"vis à tête fraisée M1.7", "vis à tête fraisée~SCR-CSK | M1.7"},
	} {
		want := tc.want
		if got := show(Query(strings.Fields(tc.typed))); got != want {
			t.Errorf("Query(%q) = %s, want %s", tc.typed, got, want)
		}
		if got := show(Query([]string{tc.typed})); got != want {
			t.Errorf("Query of one argument %q = %s, want %s", tc.typed, got, want)
		}
	}
}

// No word is lost: the tokens of the terms are those of the text.
func TestQueryTokens(t *testing.T) {
	word := rapid.SampledFrom([]string{"release", "lever", "spring", "shoulder", "screw", "Schenkelfeder", "M1.4", "-", "E-clip", "ばね", "spr"})
	rapid.Check(t, func(t *rapid.T) {
		args := rapid.SliceOf(word).Draw(t, "args")
		var got []string
		for _, term := range Query(args) {
			got = append(got, term.Tokens...)
		}
		if a, b := strings.Join(got, " "), Fold(strings.Join(args, " ")); a != b {
			t.Fatalf("Query(%q) holds %q, want %q", args, a, b)
		}
	})
}
