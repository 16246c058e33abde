package tell

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// A question on a terminal of 60 is broken between words, at most 44 letters beside "tinful: ", with room for
// the answer; without a terminal it is one line.
func TestNoted(t *testing.T) {
	const text = "B210  movement screw, cheese, short, length 2 mm (P027: 2.8 mm):"
	want := "tinful: B210 movement screw, cheese, short, length 2\n        mm (P027: 2.8 mm):"
	if got := noted(text, 60-8); got != want {
		t.Errorf("%q", got)
	}
	if got := noted(text, 0); got != "tinful: "+text {
		t.Errorf("%q", got)
	}
}

// Columns line up by the width of what is seen: Unicode UAX 11 gives the
// ideographs two columns. Counted by hand.
func TestTable(t *testing.T) {
	tab := &Table{head: []string{"bag", "free", "name"}, right: []bool{false, true, false}, Wide: 32}
	tab.Row("B1", "3", "film stop pawl spring of the counter")
	tab.Row("零件", "12", "a\tb\n")
	var b strings.Builder
	if err := tab.Print(&b); err != nil {
		t.Fatal(err)
	}
	want := "bag   free  name\n" +
		"B1       3  film stop pawl\n" +
		"            spring of the\n" +
		"            counter\n" +
		"零件    12  a b\n"
	if b.String() != want {
		t.Errorf("\n%s\nwant\n%s", b.String(), want)
	}
}

// On a screen of 30 the texts are broken before the headings of numbers, and what has no
// room at all stands beneath. Counted by hand.
func TestNarrowTable(t *testing.T) {
	tab := &Table{head: []string{"bag", "name", "places counted", "note"}, right: []bool{false, false, true, false}, Wide: 30, below: true}
	tab.Row("B1", "film stop pawl spring", "3", "x")
	tab.Row("B2", "", "12", "")
	var b strings.Builder
	if err := tab.Print(&b); err != nil {
		t.Fatal(err)
	}
	want := "bag  name               places\n" +
		"                       counted\n" +
		"    note\n" +
		"B1   film stop               3\n" +
		"     pawl\n" +
		"     spring\n" +
		"    x\n" +
		"B2                          12\n"
	if b.String() != want {
		t.Errorf("\n%s\nwant\n%s", b.String(), want)
	}
}

// A table that makes its rows as it is printed looks like one that keeps them.
func TestLongTable(t *testing.T) {
	rows := [][]string{{"job 1", "3", "film  stop pawl", "in C1; collected"}, {"job 12", "12", "零件", "in C10-1-10"}, {"job 2", "1", "", ""}, {"job 3", " 4", "a strap lug return wave washer ", "in C2"}}
	cells := func(texts []string) []Cell { return Each(texts, OneLine) }
	widest := cells([]string{"job 12", "12", "a strap lug return wave washer", ""})
	for _, screen := range []Screen{{}, {Wide: 40}, {Wide: 70}, {Plain: true}} {
		kept, made := screen.Table("job", ">n", "name", "where"), screen.Table("job", ">n", "name", "where")
		for _, row := range rows {
			kept.Row(row...)
		}
		made.Long(widest, slices.Values(Each(rows, cells)))
		var want, got strings.Builder
		if err := errors.Join(kept.Print(&want), made.Print(&got)); err != nil || got.String() != want.String() || made.Empty() {
			t.Errorf("%+v: %v\n%s\nwant\n%s", screen, err, got.String(), want.String())
		}
	}
}
