package square

import (
	"errors"
	"strings"
	"testing"

	"github.com/boombuler/barcode/qr"
	"pgregory.net/rapid"
)

var levels = map[Level]qr.ErrorCorrectionLevel{L: qr.L, M: qr.M, Q: qr.Q, H: qr.H}

// Texts of every kind and length become, module by module, what another writer of square
// codes makes of them, and are read again.
func TestAnyCode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.StringMatching(`[0-9]{1,60}`), rapid.StringMatching(`[A-Z0-9:./ -]{1,80}`), rapid.StringMatching(`[a-zA-Z0-9:/?=._-]{1,120}`),
			rapid.Map(rapid.IntRange(1, 800), func(n int) string { return strings.Repeat("b", n) }),
		).Draw(t, "text")
		l := rapid.SampledFrom([]Level{L, M, Q, H}).Draw(t, "level")
		same(t, text, l)
	})
}

// The longest text of every size, and one letter more.
func TestEverySize(t *testing.T) {
	for v := version(1); v <= 40; v++ {
		for l := range levels {
			n := (v.data(l)*8 - 4 - v.lengthBits(bytesKind)) / 8
			if c := same(t, strings.Repeat("q", n), l); c.N != v.side() {
				t.Errorf("%d letters at level %d: %d modules a side, not %d", n, l, c.N, v.side())
			}
			if c := New(strings.Repeat("q", n+1), l); v == 40 && c != nil || v < 40 && c.N <= v.side() {
				t.Errorf("%d letters at level %d: %v", n+1, l, c)
			}
		}
	}
}

// same makes a code of a text and holds it against that of another writer.
func same(t rapid.TB, text string, l Level) *Code {
	t.Helper()
	want, err := qr.Encode(text, levels[l], qr.Auto)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	c := New(text, l)
	if c == nil || c.N != want.Bounds().Dx() {
		t.Fatalf("%q at level %d: %v, not %d modules a side", text, l, c, want.Bounds().Dx())
	}
	for y := range c.N {
		for x := range c.N {
			if r, _, _, _ := want.At(x, y).RGBA(); c.Dark(x, y) != (r == 0) {
				t.Fatalf("%q at level %d: module %d of row %d differs", text, l, x, y)
			}
		}
	}
	if got, err := c.Text(); err != nil || got != text {
		t.Fatalf("%q at level %d is read as %q, %v", text, l, got, err)
	}
	return c
}

// As many modules as a level says may be turned in one spot, and of a code in which all
// bytes are wrong nothing is read.
func TestAnyDamage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`(BAG:|JOB:)?[A-Z0-9-]{1,20}`).Draw(t, "text")
		c := New(text, Q)
		v := version((c.N - 17) / 4)
		_, _, _, extra := v.layout(Q)
		_, taken := v.frame()
		bytes := map[int]bool{}
		for range extra / 2 {
			bytes[rapid.IntRange(0, v.bytes()/int(blocks[Q][v-1])-1).Draw(t, "byte")*int(blocks[Q][v-1])] = true
		}
		n := 0
		path(taken, func(x, y int) {
			if bytes[n/8] {
				c.Set(x, y, !c.Dark(x, y))
			}
			n++
		})
		if got, err := c.Text(); err != nil || got != text {
			t.Fatalf("%q is read as %q, %v", text, got, err)
		}
	})
}

func TestNoCode(t *testing.T) {
	if New("", Q) != nil || New(strings.Repeat("a", 3000), L) != nil {
		t.Error("a code of nothing, or of too much")
	}
	rapid.Check(t, func(t *rapid.T) {
		c := Blank(rapid.SampledFrom([]int{1, 20, 21, 25, 29, 57, 177, 178, 181}).Draw(t, "side"))
		for i := range c.dark {
			c.dark[i] = rapid.IntRange(0, 9).Draw(t, "dark") < 5 // most read nothing, and none breaks off
			if i > 900 {
				break
			}
		}
		if text, err := c.Text(); err != nil && !errors.Is(err, ErrUnread) {
			t.Fatalf("%q, %v", text, err)
		}
	})
}
