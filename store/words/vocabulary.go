package words

import (
	"cmp"
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// vocabulary.csv has a row for each thing the trade has words for, vocabulary.keys a
// line for each of these words in order of its key: the key, the languages, the rows,
// and the folded word where the key is another. It is made of the first by a test
// (go test ./store/words -update), since folding a thousand words takes longer than
// a question, and a line is found in it without reading the others.
var (
	//go:embed vocabulary.csv
	vocabularyCSV string
	//go:embed vocabulary.keys
	vocabularyKeys string
)

// A concept is one row of vocabulary.csv. One without a class is of things of the
// bench that are no parts.
type concept struct {
	row    int
	class  string
	narrow bool // it is less than its class: a knurled screw among the screws
}

// A language is a set of columns of vocabulary.csv, one bit each.
type language uint64

// The languages, in the order of the columns.
const (
	english language = 1 << iota
	german
	_ // Japanese has no plural
	french
	spanish
	italian
	dutch
)

// concepts lists the rows of vocabulary.csv.
var concepts = sync.OnceValue(func() (out []concept) {
	for line := range strings.Lines(vocabularyCSV) {
		_, rest, _ := strings.Cut(line, ",") // the English words
		class, rest, _ := strings.Cut(rest, ",")
		kind, _, _ := strings.Cut(rest, ",")
		out = append(out, concept{len(out), class, kind == "narrow"})
	}
	return out
})

// A keyLine is one line of vocabulary.keys.
type keyLine struct {
	key, folded string
	in          language
	rows        string // numbers with blanks between them
}

// readKeyLine reads a line; a test reads every one.
func readKeyLine(line string) keyLine {
	var l keyLine
	var in string
	l.key, line, _ = strings.Cut(line, "\t")
	in, line, _ = strings.Cut(line, "\t")
	l.rows, l.folded, _ = strings.Cut(line, "\t")
	l.folded = cmp.Or(l.folded, l.key)
	n, _ := strconv.ParseUint(in, 10, 64)
	l.in = language(n)
	return l
}

// each yields the numbers of the rows.
func (l keyLine) each(yield func(int) bool) {
	for row := range strings.SplitSeq(l.rows, " ") {
		if n, err := strconv.Atoi(row); err == nil && !yield(n) {
			return
		}
	}
}

// at returns where the first line of vocabulary.keys starts that is not before key.
func at(key string) int {
	lo, hi := 0, len(vocabularyKeys)
	for lo < hi {
		start := strings.LastIndexByte(vocabularyKeys[:lo+(hi-lo)/2], '\n') + 1
		end := start + strings.IndexByte(vocabularyKeys[start:], '\n')
		if k, _, _ := strings.Cut(vocabularyKeys[start:end], "\t"); k < key {
			lo = end + 1
		} else {
			hi = start
		}
	}
	return lo
}

// keyed finds the line of a key.
func keyed(key string) (keyLine, bool) {
	line, _, _ := strings.Cut(vocabularyKeys[at(key):], "\n")
	if !strings.HasPrefix(line, key+"\t") {
		return keyLine{}, false
	}
	return readKeyLine(line), true
}

// begins tells whether any key begins so.
func begins(start string) bool { return strings.HasPrefix(vocabularyKeys[at(start):], start) }

// Spelt lists the folded words of the trade that a mistyped word is held against: a
// short one is as near to words of other languages as to what was meant.
func Spelt() []string {
	const long = 7
	var out []string
	for line := range strings.Lines(vocabularyKeys) {
		if k, _, _ := strings.Cut(line, "\t"); len(k) >= long && !strings.Contains(k, " ") {
			out = append(out, k)
		}
	}
	return out
}

// key is Fold with hiragana as katakana: trade words are written in either.
func key(word string) string {
	return strings.Map(func(r rune) rune {
		if 'ぁ' <= r && r <= 'ゖ' {
			return r + 'ァ' - 'ぁ'
		}
		return r
	}, Fold(word))
}

// lookup finds the rows that a word names, as it is or in the plural.
func lookup(word string) []int {
	k := key(word)
	if l, ok := keyed(k); ok {
		return slices.Collect(l.each)
	}
	typed := strings.Fields(k)
	for _, p := range plurals {
		if l := p.lookup("", typed); l.rows != "" {
			return slices.Collect(l.each)
		}
	}
	return nil
}

// namesOf lists the words of rows, each folded and split.
func namesOf(rows []int) [][]string {
	var out [][]string
	for line := range strings.Lines(vocabularyKeys) {
		l := readKeyLine(strings.TrimSuffix(line, "\n"))
		for row := range l.each {
			if slices.Contains(rows, row) {
				out = append(out, strings.Fields(l.folded))
				break
			}
		}
	}
	return out
}

// A plural is how words of a language end in the plural, and how in the singular,
// folded: schroeven, schroef.
type plural struct {
	in      language
	every   bool // of several words any may be in the plural, else the last alone
	endings [][2]string
}

var plurals = []plural{
	{english, false, [][2]string{{"s", ""}, {"es", ""}, {"ies", "y"}}},
	{german, false, [][2]string{{"n", ""}, {"en", ""}, {"e", ""}, {"er", ""}, {"s", ""}}},
	{dutch, false, [][2]string{{"en", ""}, {"s", ""}, {"ven", "f"}, {"eren", "eer"}}},
	{french, true, [][2]string{{"s", ""}, {"x", ""}}},
	{spanish, true, [][2]string{{"s", ""}, {"es", ""}}},
	{italian, true, [][2]string{{"e", "a"}, {"i", "o"}, {"i", "e"}, {"i", "io"}, {"che", "ca"}}},
}

// lookup finds the line of words that follow others which are in the singular
// already; one without rows where there is none.
func (p plural) lookup(before string, words []string) keyLine {
	last := len(words) == 1
	for _, w := range p.singulars(words, last) {
		key := before + w
		switch {
		case last:
			if l, ok := keyed(key); ok && l.in&p.in != 0 {
				return l
			}
		case len(words) > 1 && begins(key+" "):
			if l := p.lookup(key+" ", words[1:]); l.rows != "" {
				return l
			}
		}
	}
	return keyLine{}
}

// singulars are what the first of some words may be the plural of, and the word.
func (p plural) singulars(words []string, last bool) []string {
	if len(words) == 0 {
		return nil
	}
	out := []string{words[0]}
	for _, e := range p.endings {
		if rest, ok := strings.CutSuffix(words[0], e[0]); ok && len(rest) >= 3 && (last || p.every) {
			out = append(out, rest+e[1])
		}
	}
	return out
}
