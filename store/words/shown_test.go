package words

import (
	"testing"

	"pgregory.net/rapid"
)

func TestShown(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"plain", "film stop pawl spring", "film stop pawl spring"},
		{"letters of other scripts", "Féder 弹簧 µm – “x”", "Féder 弹簧 µm – “x”"},
		{"escape sequence, ECMA-48", "a\x1b[31mb", `a\u001b[31mb`},
		{"C1 control", "a\u009b31m", `a\u009b31m`},
		{"line end, tab, delete", "a\nb\tc\rd\x7f", `a\u000ab\u0009c\u000dd\u007f`},
		{"override, UAX 9", "P1\u202e30", `P1\u202e30`},
		{"isolates", "\u2066a\u2069", `\u2066a\u2069`},
		{"marks of direction", "a\u200e\u200f\u061c", `a\u200e\u200f\u061c`},
		{"no width", "a\u200bb\u2060c\ufeffd\u00ade", `a\u200bb\u2060c\ufeffd\u00ade`},
		{"separators of lines", "a\u2028b\u2029", `a\u2028b\u2029`},
		{"tags, above the first plane", "a\U000e0041", `a\udb40\udc41`},
		{"filler", "a\u3164b", `a\u3164b`},
		{"no UTF-8", "a\xffb", `a\xffb`},
		{"joiner in a Persian word", "می\u200cخواهم", "می\u200cخواهم"},
		{"joiner in an emoji", "👩\u200d🔧", "👩\u200d🔧"},
		{"joiner in a code", "B2\u200d03", `B2\u200d03`},
		{"joiner at the end", "می\u200c", `می\u200c`},
	}
	for _, tt := range tests {
		if got := Shown(tt.text); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		if got := Hidden(tt.want); got != tt.text && tt.name != "no UTF-8" && tt.name != "tags, above the first plane" {
			t.Errorf("%s: %q again is %q", tt.name, tt.want, got)
		}
	}
	if got := ShownLines("a\n\tb\x1b"); got != "a\n\tb\\u001b" {
		t.Errorf("lines: %q", got)
	}
}

func BenchmarkShown(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Shown("B203  film stop pawl spring  1 -> 0   for job 106   undo: tinful undo 57")
	}
}

// What is asked of eight bytes at a time is what each byte says by itself.
func TestEightBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[ -~]{0,20}`).Draw(t, "printed") + string(rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(t, "bytes"))
		n := 0
		for n < len(s) && s[n] >= ' ' && s[n] <= '~' {
			n++
		}
		if got := Printed(s); got != n {
			t.Fatalf("%d bytes of %q are printed, want %d", got, s, n)
		}
		if n < 8 {
			return
		}
		blanks := EightBlanks(Eight(s))
		for i := range 8 {
			if got := blanks>>(8*i)&0xff == 0x80; got != (s[i] == ' ') {
				t.Fatalf("byte %d of %q is a blank: %v", i, s, got)
			}
		}
	})
}
