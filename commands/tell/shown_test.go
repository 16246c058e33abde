package tell

import (
	"strings"
	"testing"
)

// However an answer is cut into pieces, it is the same.
func TestShownWriter(t *testing.T) {
	const text, want = "µm\n\x1b[2J P1\u202e00 \xff 弹簧\n", "µm\n\\u001b[2J P1\\u202e00 \\xff 弹簧\n"
	for size := 1; size <= len(text); size++ {
		var b strings.Builder
		w := &shownWriter{out: &b}
		for rest := text; rest != ""; rest = rest[min(size, len(rest)):] {
			n, err := w.Write([]byte(rest[:min(size, len(rest))]))
			if err != nil || n != min(size, len(rest)) {
				t.Fatal(n, err)
			}
		}
		if b.String() != want {
			t.Errorf("in pieces of %d: %q", size, b.String())
		}
	}
}

// A screen without colours has no sequence of its own either; one with colours has
// only its own.
func TestColoursAlone(t *testing.T) {
	for _, coloured := range []bool{false, true} {
		var b strings.Builder
		s := NewScreen(&b, nil)
		if coloured {
			s.Paint()
		}
		s.Printf("%s \x1b[31mX \ufdd0\n", s.Bold("B203"))
		s.Println("B203  0 free")
		want := "B203 \\u001b[31mX \ufdd0\nB203  0 free\n"
		if coloured { // a mark from outside has a colour, and steers nothing
			want = "\x1b[1mB203\x1b[0m \\u001b[31mX \x1b[1m\n\x1b[34mB203\x1b[0m  \x1b[31m0 free\x1b[0m\n"
		}
		if b.String() != want {
			t.Errorf("%t: %q", coloured, b.String())
		}
	}
}
