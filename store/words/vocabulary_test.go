package words

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "make vocabulary.keys anew")

// vocabularyRows are the cells of vocabulary.csv, its heading left out: the number of
// a row counts the heading.
func vocabularyRows() [][]string { return rows(vocabularyCSV) }

// vocabulary.keys is made of vocabulary.csv.
func TestVocabularyKeys(t *testing.T) {
	lines := map[string]*keyLine{}
	for i, row := range vocabularyRows() {
		for n, cell := range slices.Concat(row[:1], row[3:]) {
			for w := range strings.SplitSeq(cell, ";") {
				k := key(w)
				l := lines[k]
				if l == nil {
					l = &keyLine{key: k, folded: Fold(w)}
					lines[k] = l
				}
				l.in |= 1 << n
				if !slices.Contains(slices.Collect(l.each), i+1) {
					l.rows = strings.TrimSpace(fmt.Sprint(l.rows, " ", i+1))
				}
			}
		}
	}
	var want strings.Builder
	for _, k := range slices.Sorted(maps.Keys(lines)) {
		l := lines[k]
		fmt.Fprintf(&want, "%s\t%d\t%s", k, l.in, l.rows)
		if l.folded != k {
			fmt.Fprintf(&want, "\t%s", l.folded)
		}
		want.WriteByte('\n')
	}
	if *update {
		if err := os.WriteFile("vocabulary.keys", []byte(want.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if vocabularyKeys != want.String() {
		t.Error("vocabulary.keys is not that of vocabulary.csv: go test ./store/words -update")
	}
	for k, l := range lines {
		if got, ok := keyed(k); !ok || fmt.Sprint(got) != fmt.Sprint(*l) {
			t.Errorf("%s: %v, %v, want %v", k, got, ok, *l)
		}
	}
	for _, k := range []string{"", "a", "zzzz", "screws of glass", "ん"} {
		if _, ok := keyed(k); ok {
			t.Errorf("%q has a line", k)
		}
	}
}

// Each word of the table leads to its class, alone and among others.
func TestVocabulary(t *testing.T) {
	for _, row := range vocabularyRows() {
		if len(row) != 9 || !Known(row[1]) && row[2] != "other" || !slices.Contains([]string{"", "narrow", "other"}, row[2]) {
			t.Fatalf("row %q", row)
		}
		for _, cell := range slices.Concat(row[:1], row[3:]) {
			for w := range strings.SplitSeq(cell, ";") {
				if got, _ := ClassOf(w); row[1] != "" && !slices.Contains(got, row[1]) {
					t.Errorf("ClassOf(%q) = %q, want %q among them", w, got, row[1])
				}
				if n := len(strings.Fields(w)); n > longest {
					t.Errorf("%q has %d words: a query looks at %d", w, n, longest)
				}
				if w != strings.TrimSpace(w) || Fold(w) == "" {
					t.Errorf("%q in row %s", w, row[0])
				}
			}
		}
	}
}

// Plurals of the languages of the table; from memory.
func TestPlurals(t *testing.T) {
	for word, want := range map[string]string{
		"torsion springs": "SPR-TOR", "bushes": "BSH", "assemblies": "ASM", "Schenkelfedern": "SPR-TOR", "Ansatzschrauben": "SCR-SHD", "Zahnräder": "GER",
		"ressorts de torsion": "SPR-TOR", "vis épaulées": "SCR-SHD", "rondelles ondulées": "WSH", "écrous": "NUT",
		"muelles de compresión": "SPR-CMP", "tornillos avellanados": "SCR-CSK", "pasadores cilíndricos": "PIN", "arandelas": "WSH",
		"molle a torsione": "SPR-TOR", "viti a testa svasata": "SCR-CSK", "dadi": "NUT", "ingranaggi": "GER", "rondelle elastiche": "WSH",
		"schroeven": "SCR", "drukveren": "SPR-CMP", "moeren": "NUT", "tandwielen": "GER",
	} {
		if got, _ := ClassOf(word); !slices.Contains(got, want) {
			t.Errorf("ClassOf(%q) = %q, want %s", word, got, want)
		}
	}
}

// A question pays for the words it asks, not for the table.
func BenchmarkQuery(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Query([]string{"counter", "pawl", "spring"})
	}
}
