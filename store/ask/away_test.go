package ask

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tinful/store/code"
	"tinful/store/tally"
)

// Pieces that are away come by whoever has them, in their order within that, with all that
// was put in, and the widest text of each column is found; names are short and long.
func TestAways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[A-Z][a-z0-9]{0,12}`)
		texts := newAways()
		list := Aways{in: texts}
		var want []Away
		for range rapid.IntRange(0, 200).Draw(t, "rows") {
			a := Away{Bag: code.Code(word.Draw(t, "bag")), Part: code.Code(word.Draw(t, "part")), Place: code.Code(word.Draw(t, "place")), N: rapid.Int64Range(0, 2000).Draw(t, "n"),
				Unit: rapid.SampledFrom([]string{"pc", "mm"}).Draw(t, "unit"), Who: word.Draw(t, "who"), State: rapid.SampledFrom([]string{"", "ready"}).Draw(t, "state"), Since: 22000, Due: 22010}
			a.Name = "name of " + string(a.Part)
			want = append(want, a)
			list.rows.add(awayRow{bag: tagged(&texts.tags, a.Bag), part: texts.partOf([]byte(a.Part)), place: tagged(&texts.tags, a.Place), who: tagged(&texts.tags, a.Who), n: a.N,
				since: a.Since, due: a.Due, state: numberIn(&texts.states, a.State), unit: numberIn(&texts.units, a.Unit)})
		}
		for _, tag := range texts.parts {
			texts.names = append(texts.names, "name of "+string(texts.tags.of(tag)))
		}
		list.byWho()
		slices.SortStableFunc(want, func(a, b Away) int { return cmp.Compare(a.Who, b.Who) })
		if got := slices.Collect(list.All()); !slices.Equal(got, want) || list.Len() != len(want) {
			t.Fatalf("%+v\nwant %+v", got, want)
		}
		for _, a := range want {
			if name, ok := list.Called(a.Part); !ok || name != a.Name {
				t.Fatalf("%s is called %q", a.Part, name)
			}
		}
		if name, ok := list.Called("none"); ok {
			t.Fatalf("a part of which nothing is away is called %q", name)
		}
		w := list.Widest(func(s string) int { return len(s) })
		for _, a := range want {
			if len(a.Bag) > len(w.Bag) || len(a.Name) > len(w.Name) || len(a.Who) > len(w.Who) {
				t.Fatalf("%+v is wider than %+v", a, w)
			}
		}
	})
}

// The bags whose turn comes first are those that putting all in order has first.
func TestFirstOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, 4)
		list := make([]turn, rapid.IntRange(2, 300).Draw(t, "turns"))
		for i := range list {
			list[i] = turn{rank: int8(n.Draw(t, "rank")), class: tally.Class('A' + n.Draw(t, "class")), late: n.Draw(t, "late"), value: n.Draw(t, "value"), drawer: int32(i),
				bag: code.Code(rapid.StringMatching(`B[0-9]{3}`).Draw(t, "bag"))}
		}
		all := slices.Clone(list)
		slices.SortFunc(all, func(a, b turn) int { return a.before(&b) })
		most := rapid.IntRange(1, len(list)-1).Draw(t, "most")
		firstOf(list, most)
		if last := list[most-1]; last.before(&all[most-1]) != 0 {
			t.Fatalf("the last of %d is %+v, want %+v", most, last, all[most-1])
		}
		for _, x := range list[:most] {
			if all[most-1].before(&x) < 0 {
				t.Fatalf("%+v is among the first %d", x, most)
			}
		}
	})
}
