package ask

import (
	"fmt"
	"testing"

	"tinful/store/code"
)

func TestPile(t *testing.T) {
	for _, n := range []int{0, 1, inPiece, inPiece + 1, 3*inPiece + 7} {
		var p pile[int]
		for i := range n {
			p.add(2 * i)
		}
		met := 0
		for i, x := range p.all() {
			if *x != 2*i || *p.at(i) != 2*i {
				t.Fatalf("%d of %d is %d, %d", i, n, *x, *p.at(i))
			}
			met++
		}
		if met != n || p.len() != n {
			t.Errorf("of %d there are %d, and %d are met", n, p.len(), met)
		}
	}
}

// Codes of any length come back from their numbers, short ones in their order.
func TestTags(t *testing.T) {
	var x tags
	numbers := map[uint64]code.Code{}
	for i := range 300 {
		for _, c := range []code.Code{code.Code(fmt.Sprintf("B%03d", i)), code.Code(fmt.Sprintf("B%012d", i))} {
			n := tagged(&x, c)
			if other, met := numbers[n]; met {
				t.Fatalf("%s has the number of %s", c, other)
			}
			numbers[n] = c
			if found, ok := x.find(c); !ok || found != n || x.of(n) != c {
				t.Errorf("%s: %d, found %d %v, of %s", c, n, found, ok, x.of(n))
			}
		}
	}
	if _, ok := x.find("B999999999999"); ok {
		t.Error("a long code that was not added has a number")
	}
}
