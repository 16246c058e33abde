package words

import (
	"slices"
	"strings"
	"testing"
)

// The words are common practice and have no source; German and Japanese are from
// memory.
func TestClassOf(t *testing.T) {
	for _, tc := range []struct{ text, want string }{
		{"spr", "SPR"}, {"spr-tor", "SPR-TOR"}, {" COV-NEW ", "COV-NEW"},
		{"Schenkelfeder", "SPR-TOR"}, {"Schenkelfedern", "SPR-TOR"}, {"SCHENKELFEDER", "SPR-TOR"},
		{"torsion springs", "SPR-TOR"}, {"Torsion-Spring", "SPR-TOR"}, {"トーションばね", "SPR-TOR"},
		{"トーションバネ", "SPR-TOR"}, {"torsion", "SPR-TOR"},
		{"Ansatzschraube", "SCR-SHD"}, {"Ansatzschrauben", "SCR-SHD"}, {"shoulder screw", "SCR-SHD"}, {"shoulder screws", "SCR-SHD"},
		{"flat head", "SCR-CSK"}, {"flat head screw", "SCR-CSK"}, {"countersunk screws", "SCR-CSK"}, {"Senkschraube", "SCR-CSK"},
		{"cheese-head screw", "SCR-CHS"}, {"cheese head", "SCR-CHS"},
		{"spring", "SPR"}, {"Feder", "SPR"}, {"バネ", "SPR"}, {"screw", "SCR"}, {"ネジ", "SCR"},
		{"washer", "WSH"}, {"bushes", "BSH"}, {"assemblies", "ASM"}, {"Zahnräder", "GER"}, {"Zahnraeder", "GER"},
		{"Sperrad", "RAT"}, {"Sperrrad", "RAT"}, {"Passscheiben", "SHM"}, {"E-Clips", "CLP"}, {"Eリング", "CLP"},
		{"hairspring", "SPR-HAIR"}, {"hair spring", "SPR-TOR"}, {"Spiralfeder", "SPR-HAIR SPR-SPI"},
		{"split pin", "PIN"}, {"カニ目リング", "NUT"}, {"bellows", "BEL"}, {"left-hand screw", "SCR-LH"}, {"flange screw", "SCR"},
		{"mainspring", ""}, {"click spring", ""}, {"hook", ""}, {"haze", ""}, {"", ""}, {"counter", ""}, {"SPR-FOO", ""}, {"end", ""},
	} {
		got, ok := ClassOf(tc.text)
		if strings.Join(got, " ") != tc.want || ok != (tc.want != "") {
			t.Errorf("ClassOf(%q) = %q, %v; want %q", tc.text, got, ok, tc.want)
		}
	}
}

func TestClassOfIsCallers(t *testing.T) {
	a, _ := ClassOf("washer")
	a[0] = "X"
	if b, _ := ClassOf("washer"); b[0] != "WSH" {
		t.Error("a changed answer changes the vocabulary")
	}
}

func TestTables(t *testing.T) {
	for _, c := range Classes() {
		for _, name := range []string{ClassName(c), classIndex()[c].plural} {
			if got, ok := ClassOf(name); !ok || !slices.Contains(got, c) {
				t.Errorf("ClassOf(%q) = %q, want %s", name, got, c)
			}
		}
		if prefix, _, below := strings.Cut(c, "-"); below && !Known(prefix) {
			t.Errorf("%s has no prefix in the list", c)
		}
	}
}

func TestClassName(t *testing.T) {
	for code, want := range map[string]string{"SPR-TOR": "torsion spring", "SCR-SHD": "shoulder screw", "SPR": "spring", "": "", "SPR-FOO": "SPR-FOO"} {
		if got := ClassName(code); got != want {
			t.Errorf("ClassName(%q) = %q, want %q", code, got, want)
		}
	}
}

func TestUnder(t *testing.T) {
	for _, tc := range []struct {
		class, prefix string
		want          bool
	}{
		{"SPR-TOR", "SPR", true}, {"SPR", "SPR", true}, {"COV-NEW", "COV", true},
		{"SPR", "SPR-TOR", false}, {"SPRX", "SPR", false}, {"SPR", "", false}, {"", "", false},
	} {
		if got := Under(tc.class, tc.prefix); got != tc.want {
			t.Errorf("Under(%q, %q) = %v", tc.class, tc.prefix, got)
		}
	}
}

// One class of a word, or the names of several.
func TestOneClass(t *testing.T) {
	if class, several := OneClass("torsion spring"); class != "SPR-TOR" || several != nil {
		t.Errorf("%s %v", class, several)
	}
	if class, several := OneClass("spring"); class != "" || len(several) < 2 {
		t.Errorf("%s %v, want several", class, several)
	}
	if class, several := OneClass("xyzzy"); class != "" || several != nil {
		t.Errorf("%s %v, want none", class, several)
	}
}
