package words

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"
)

// The equal spellings are common practice of German and Japanese lists; the
// full-width and half-width forms are those of Unicode normal form KC (UAX #15).
func TestFoldEqual(t *testing.T) {
	for _, same := range [][]string{
		{"Rückholfeder", "Rueckholfeder", "Ruckholfeder", "RÜCKHOLFEDER", "Ru\u0308ckholfeder"},
		{"Öse", "Oese", "ose"},
		{"Zählscheibe", "Zaehlscheibe"},
		{"Sperrad", "Sperrrad", "Sperr\u00adrad"},
		{"Paßscheibe", "Passscheibe", "Passcheibe", "PAẞSCHEIBE"},
		{"Verschlußlamelle", "Verschlusslamelle"},
		{"E-clip", "E clip", "e‑clip", "E – clip", "e/clip"},
		{"cliché", "cliche"},
		{"maker's", "maker’s", "makers"},
		{"Ｍ１．７×０．３５", "M1.7x0.35", "m1,7x0,35"},
		{"ﾊﾞﾈ", "バネ", "ハ\u3099ネ"},
		{".20", "0.20", "0,20"},
		{"two  words ", "two\twords", "(two), words."},
	} {
		for _, s := range same[1:] {
			if Fold(s) != Fold(same[0]) {
				t.Errorf("Fold(%q) = %q, Fold(%q) = %q", s, Fold(s), same[0], Fold(same[0]))
			}
		}
	}
	if Fold("ハネ") == Fold("バネ") {
		t.Error("the voicing mark of kana is lost")
	}
}

func TestTokens(t *testing.T) {
	for _, tc := range []struct{ in, want string }{
		{"", ""},
		{" -- ", ""},
		{"E-clip", "e|clip"},
		{"1.7", "1.7"},
		{"M1.7x0.35", "m1.7x0.35"},
		{"1/4-20", "1|4|20"},
		{"No.5 screw.", "no|5|screw"},
		{"1000", "1000"},
		{"wheel, left", "wheel|left"},
		{"release lever", "release|lever"},
		{"Eリング", "e|リング"},
		{"段付きねじ M1.7", "段付きねじ|m1.7"},
		{"トーションばね", "トーションばね"},
		{"スナップ・リング", "スナップ|リング"},
	} {
		if got := strings.Join(Tokens(tc.in), "|"); got != tc.want {
			t.Errorf("Tokens(%q) = %q, want %q", tc.in, got, tc.want)
		}
	}
}

func TestHasDigit(t *testing.T) {
	if !HasDigit("m1.7") || HasDigit("spring") || HasDigit("") {
		t.Error("HasDigit is wrong for m1.7, spring or an empty token")
	}
}

// The quick way for ASCII gives what the long way gives.
func TestFoldASCII(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[ -~]{0,30}`).Draw(t, "s")
		if a, b := Fold(s), Fold(s+"\u00ad"); a != b {
			t.Fatalf("Fold(%q) = %q, with a soft hyphen %q", s, a, b)
		}
	})
}

func checkFolded(t interface{ Fatalf(string, ...any) }, s string) {
	f := Fold(s)
	if !utf8.ValidString(f) || !norm.NFC.IsNormalString(f) || f != strings.Join(strings.Fields(f), " ") {
		t.Fatalf("Fold(%q) = %q is not clean", s, f)
	}
	if g := Fold(f); g != f {
		t.Fatalf("Fold(%q) = %q, folded again %q", s, f, g)
	}
	for _, tok := range Tokens(s) {
		if got := Tokens(tok); !slices.Equal(got, []string{tok}) {
			t.Fatalf("Tokens(%q) = %q for a token of %q", tok, got, s)
		}
	}
}

func TestFoldTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { checkFolded(t, rapid.String().Draw(t, "s")) })
}

// Every single character of Unicode, alone and between letters.
func TestFoldEveryRune(t *testing.T) {
	for r := rune(0); r <= 0x2FFFF; r++ {
		checkFolded(t, string(r))
		checkFolded(t, "au"+string(r)+"e")
		checkFolded(t, "か"+string(r)+"1.2")
	}
}

func FuzzFold(f *testing.F) {
	for _, s := range []string{"Rückholfeder", "M1.7×0.35", "ﾊﾞﾈ", "aeee", "\xff", "1.2.3", "E形止め輪", "\u0344", "ŉ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { checkFolded(t, s) })
}

func BenchmarkFold(b *testing.B) {
	for b.Loop() {
		Fold("Release lever return spring M1.7x0.35")
	}
}
