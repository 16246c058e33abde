package code

import (
	"fmt"
	"testing"
)

// An Index is a map and a list, whatever the codes.
func TestIndex(t *testing.T) {
	var x Index
	if n, ok := x.Number("B1"); ok || n != 0 && x.Len() != 0 {
		t.Error("an empty one has B1")
	}
	want := map[Code]int{}
	for i := range 5000 {
		c := Code(fmt.Sprintf("B%d", i*7919%3001)) // 3001 is prime: the first 3001 are all different
		n, fresh := x.Add(c)
		if had, ok := want[c]; ok == fresh || ok && had != n {
			t.Fatalf("%s is %d (%v), was %d (%v)", c, n, fresh, had, ok)
		}
		want[c] = n
	}
	if x.Len() != 3001 {
		t.Errorf("%d codes, not 3001", x.Len())
	}
	for c, n := range want {
		if got, ok := x.Number(c); !ok || got != n || x.At(n) != c {
			t.Fatalf("%s is %d, %d is %s", c, got, n, x.At(n))
		}
	}
	if _, ok := x.Number("B3001"); ok {
		t.Error("B3001 was never added")
	}
}
