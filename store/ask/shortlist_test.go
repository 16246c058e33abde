package ask

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// A list of thousands that are short is in the order that its parts have by share, by what
// lacks and as they came, whatever their names are; the first can be taken off.
func TestShortList(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var list ShortList
	var want []ShortPart
	for i := range 5000 {
		keep := int64(1 + random.IntN(12))
		p := ShortPart{Part: fmt.Appendf(nil, "P%d", i), Name: []byte(strings.Repeat("gear ", random.IntN(9))), Free: keep - int64(1+random.IntN(14)), Keep: keep, held: int64(i)}
		switch i {
		case 77:
			p.Name = []byte(strings.Repeat("long ", inShort))
		case 78:
			p.Name, p.Free, p.Keep = nil, 1<<40, 1<<41
		}
		list.add(p)
		want = append(want, p)
	}
	slices.SortStableFunc(want, func(a, b ShortPart) int {
		return cmp.Or(cmp.Compare(float32(a.Free)/float32(a.Keep), float32(b.Free)/float32(b.Keep)), cmp.Compare(int32(b.Keep-b.Free), int32(a.Keep-a.Free)))
	})
	list.rank()
	first := list.cut(40)
	got := slices.Collect(first.All())
	for p := range list.All() {
		got = append(got, p)
	}
	if list.Len() != 4960 || !slices.EqualFunc(got, want, func(a, b ShortPart) bool { return fmt.Sprint(a) == fmt.Sprint(b) }) {
		t.Errorf("%d are left behind the first 40 of 5000, or they are out of order", list.Len())
	}
}
