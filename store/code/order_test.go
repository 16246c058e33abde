package code

import (
	"bytes"
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Numbers of codes are in the order of codes, and each tells its code.
func TestPacked(t *testing.T) {
	short := rapid.StringMatching(`[0-9A-Z./-]{1,8}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := Code(short.Draw(t, "a")), Code(short.Draw(t, "b"))
		x, okA := Packed(a)
		y, okB := Packed([]byte(b))
		if !okA || !okB || cmp.Compare(x, y) != bytes.Compare([]byte(a), []byte(b)) {
			t.Errorf("%s %#x %v, %s %#x %v", a, x, okA, b, y, okB)
		}
		if got := Unpacked(x); got != a {
			t.Errorf("%s came back as %q", a, got)
		}
	})
	for _, none := range []Code{"", "B12345678"} {
		if _, ok := Packed(none); ok {
			t.Errorf("%q has a number", none)
		}
	}
}

// A list is put in order as the library's stable sort does it.
func TestRank(t *testing.T) {
	number := rapid.OneOf(rapid.Uint64(), rapid.Uint64Range(0, 5), rapid.Uint64Range(1<<20, 1<<20+3000))
	rapid.Check(t, func(t *rapid.T) {
		list := make([]Ranked, rapid.IntRange(0, 300).Draw(t, "of"))
		for i := range list {
			list[i] = Ranked{number.Draw(t, "number"), int32(i)}
		}
		want := slices.Clone(list)
		slices.SortStableFunc(want, func(a, b Ranked) int { return cmp.Compare(a.By, b.By) })
		if Rank(list); !slices.Equal(list, want) {
			t.Errorf("%v, want %v", list, want)
		}
	})
}
