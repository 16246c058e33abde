package stack

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestMake(t *testing.T) {
	tests := []struct {
		name  string
		bags  []Bag
		want  int64
		exact bool
		out   []Stack
		from  string
	}{
		{"not with what is here", []Bag{{50, 1}, {100, 2}}, 350, false, []Stack{{[]Pick{{0, 1}, {1, 2}}, 3, 250}}, "the demo workshop: 0.05 once and 0.10 twice make 0.25"},
		{"fewest pieces", []Bag{{50, 10}, {100, 3}, {200, 1}}, 350, true, []Stack{{[]Pick{{0, 1}, {1, 1}, {2, 1}}, 3, 350}}, "by hand: 0.05 + 0.10 + 0.20"},
		{"several as good", []Bag{{100, 1}, {100, 1}, {50, 2}}, 150, true, []Stack{{[]Pick{{0, 1}, {2, 1}}, 2, 150}, {[]Pick{{1, 1}, {2, 1}}, 2, 150}}, "by hand"},
		{"to the micrometre", []Bag{{349, 1}, {351, 1}}, 350, false, []Stack{{[]Pick{{0, 1}}, 1, 349}, {[]Pick{{1, 1}}, 1, 351}}, "by hand"},
		{"no more than are free", []Bag{{50, 3}}, 200, false, []Stack{{[]Pick{{0, 3}}, 3, 150}}, "by hand"},
		{"above alone", []Bag{{500, 1}}, 200, false, []Stack{{[]Pick{{0, 1}}, 1, 500}}, "by hand"},
		{"greedy would fail", []Bag{{300, 1}, {200, 2}}, 400, true, []Stack{{[]Pick{{1, 2}}, 2, 400}}, "by hand"},
		{"no bag", nil, 350, false, nil, "by hand"},
		{"what is no shim", []Bag{{0, 3}, {50, 0}, {50, -1}, {-50, 2}}, 50, false, nil, "by hand"},
		{"nothing", []Bag{{50, 3}}, 0, false, nil, "by hand"},
		{"too thick to be a pack", []Bag{{50, 3}}, Thickest + 1, false, nil, "by hand"},
	}
	for _, tt := range tests {
		out, exact := Make(tt.bags, tt.want)
		if exact != tt.exact {
			t.Errorf("%s: exact %v (%s)", tt.name, exact, tt.from)
		}
		if diff := cmp.Diff(tt.out, out); diff != "" {
			t.Errorf("%s (%s): %s", tt.name, tt.from, diff)
		}
	}
}

// sums lists the fewest pieces of every sum, by trying every number of every bag.
func sums(bags []Bag) map[int64]int64 {
	out := map[int64]int64{0: 0}
	for _, b := range bags {
		next := map[int64]int64{}
		for s, pieces := range out {
			for n := int64(0); n <= b.Free; n++ {
				sum := s + n*b.Thick
				if had, ok := next[sum]; !ok || pieces+n < had {
					next[sum] = pieces + n
				}
			}
		}
		out = next
	}
	return out
}

// Against trying everything: a stack is exact where one exists, has the fewest
// pieces, takes no more than is free; else nothing lies between it and want.
func TestAgainstTryingEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bags := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Bag {
			return Bag{rapid.Int64Range(1, 30).Draw(t, "thick"), rapid.Int64Range(0, 4).Draw(t, "free")}
		}), 0, 6).Draw(t, "bags")
		want := rapid.Int64Range(1, 120).Draw(t, "want")
		all := sums(bags)
		out, exact := Make(bags, want)
		if _, ok := all[want]; ok != exact {
			t.Fatalf("exact %v, there is one: %v", exact, ok)
		}
		for _, s := range out {
			var total, pieces int64
			for _, p := range s.Picks {
				if p.N < 1 || p.N > bags[p.Bag].Free {
					t.Fatalf("%d of %+v", p.N, bags[p.Bag])
				}
				total, pieces = total+p.N*bags[p.Bag].Thick, pieces+p.N
			}
			if total != s.Total || pieces != s.Pieces || pieces != all[s.Total] {
				t.Fatalf("%+v: adds to %d with %d pieces, fewest %d", s, total, pieces, all[s.Total])
			}
		}
		below, above := int64(0), int64(1<<40)
		for s := range all {
			if s < want {
				below = max(below, s)
			}
			if s > want {
				above = min(above, s)
			}
		}
		var nearest []int64
		for _, s := range out {
			if !exact {
				nearest = append(nearest, s.Total)
			} else if s.Total != want {
				t.Fatalf("%+v is not %d", s, want)
			}
		}
		var expect []int64
		if !exact && below > 0 {
			expect = append(expect, below)
		}
		if !exact && above < 1<<40 {
			expect = append(expect, above)
		}
		if diff := cmp.Diff(expect, nearest); diff != "" {
			t.Fatalf("nearest: %s", diff)
		}
	})
}
