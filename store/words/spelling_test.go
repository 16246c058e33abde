package words

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// bench are the words a typed one is held against: those of the vocabulary and of
// the invented workshop.
func bench(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "parts.csv"))
	if err != nil {
		t.Fatal(err)
	}
	parts, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := Spelt()
	for _, c := range Classes() {
		out = append(out, Tokens(ClassName(c))...)
	}
	for _, row := range parts[1:] {
		out = append(out, Tokens(row[1]+" "+row[4])...)
	}
	return out
}

// Three hundred words as they are typed, from memory: a slip of the finger is mended,
// and a thing of which the bench has nothing is not taken for another. A word that is
// known is not corrected at all.
func TestSpelling(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("testdata", "spelling.csv"))
	if err != nil {
		t.Fatal(err)
	}
	known := bench(t)
	queries := rows(string(text))
	if len(queries) < 300 {
		t.Errorf("%d queries", len(queries))
	}
	for _, q := range queries {
		typed, meant := Fold(q[0]), Fold(q[1])
		if t, ok := term(typed); ok && q[1] == "" && (t.Other || len(t.Class) > 0) || slices.Contains(known, typed) {
			continue
		}
		got := ""
		if near := Fuzzy(typed, slices.Values(known)); len(near) > 0 {
			got = near[0]
		}
		if got != meant {
			t.Errorf("%s is taken for %q, want %q", q[0], got, q[1])
		}
	}
}
