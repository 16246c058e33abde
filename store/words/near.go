package words

import (
	"cmp"
	"iter"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// minSimilar is the similarity from which a word is taken for another though it
// is further away than the limit.
const minSimilar = 0.3

// Distance returns the Damerau-Levenshtein distance of a and b: the least number
// of letters put in, taken out, changed or swapped with their neighbour. It is
// the unrestricted form, in which CA and ABC are 2 apart and which keeps the
// triangle inequality. Letters are runes, so an umlaut counts once.
func Distance(a, b string) int {
	if a == b {
		return 0
	}
	return distance([]rune(a), []rune(b))
}

// apart is the least [Distance] that two texts of their lengths can have: what is typed
// may be a line long, and the table of that and a name is large.
func apart(a, b string) int {
	n := utf8.RuneCountInString(a) - utf8.RuneCountInString(b)
	return max(n, -n)
}

// OneOff says that two texts are one letter put in, taken out, changed or swapped apart.
func OneOff(a, b string) bool { return apart(a, b) <= 1 && Distance(a, b) == 1 }

// distance fills the table of Lowrance and Wagner. Row and column 0 hold a sum no
// edit reaches; d(i+1, j+1) is the distance of the first i and j letters.
func distance(a, b []rune) int {
	w := len(b) + 2
	d := make([]int, (len(a)+2)*w)
	far := len(a) + len(b)
	for i := range len(a) + 1 {
		d[(i+1)*w], d[(i+1)*w+1] = far, i
	}
	d[0] = far
	for j := range len(b) + 1 {
		d[j+1], d[w+j+1] = far, j
	}
	for i := 1; i <= len(a); i++ {
		match := 0 // last column in this row where the letters were equal
		for j := 1; j <= len(b); j++ {
			row, col := lastOf(a[:i-1], b[j-1]), match
			change := 1
			if a[i-1] == b[j-1] {
				change, match = 0, j
			}
			d[(i+1)*w+j+1] = min(
				d[i*w+j]+change,
				d[(i+1)*w+j]+1,
				d[i*w+j+1]+1,
				d[row*w+col]+(i-row-1)+1+(j-col-1))
		}
	}
	return d[len(d)-1]
}

// lastOf returns the place of the last r in s, counted from 1, or 0.
func lastOf(s []rune, r rune) int {
	for i := len(s); i > 0; i-- {
		if s[i-1] == r {
			return i
		}
	}
	return 0
}

// Limit returns the distance up to which a word of so many letters is taken for
// another: 0 up to two letters, 1 up to five, then 2.
func Limit(letters int) int {
	switch {
	case letters < 3:
		return 0
	case letters < 6:
		return 1
	}
	return 2
}

// overlap returns the share of the trigrams of two texts that both have, 0 to 1.
func overlap(a, b [][3]rune) float64 {
	common, i, j := 0, 0, 0
	for i < len(a) && j < len(b) {
		switch c := order(a[i], b[j]); {
		case c == 0:
			common++
			i++
			j++
		case c < 0:
			i++
		default:
			j++
		}
	}
	if common == 0 {
		return 0
	}
	return float64(common) / float64(len(a)+len(b)-common)
}

func order(a, b [3]rune) int { return slices.Compare(a[:], b[:]) }

// trigrams returns the distinct trigrams of s in order: of each word in lower case
// with two blanks before it and one after it, as pg_trgm does.
func trigrams(s string) [][3]rune {
	var out [][3]rune
	for _, word := range strings.FieldsFunc(strings.ToLower(s), notWord) {
		t := [3]rune{' ', ' ', ' '}
		for _, r := range word {
			t = [3]rune{t[1], t[2], r}
			out = append(out, t)
		}
		out = append(out, [3]rune{t[1], t[2], ' '})
	}
	slices.SortFunc(out, order)
	return slices.Compact(out)
}

func notWord(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.M, r)
}

// Fuzzy returns the candidates that word may have been meant for, best first: by
// distance, then similarity, then text. If any is within the limit of word
// only those are returned, else those that are similar by trigrams. None is further
// away than a quarter of the letters of word: a longer way leads to another thing
// (Hutmutter to shutter), as does another first letter (case to base). Words and candidates with a digit are never taken for
// others, nor words of under four letters. Both sides are expected folded.
func Fuzzy(word string, candidates iter.Seq[string]) []string {
	f := fuzzy{word: []rune(word), grams: trigrams(word)}
	f.reach = len(f.word) / 4
	if f.reach == 0 || HasDigit(word) {
		return nil
	}
	for c := range candidates {
		f.try(c)
	}
	if len(f.close) > 0 {
		return ranked(f.close)
	}
	return ranked(f.alike)
}

type fuzzy struct {
	word         []rune
	grams        [][3]rune
	reach        int // the most letters that may differ
	close, alike []near
}

type near struct {
	text    string
	dist    int
	similar float64
}

// try sorts c into the close, the alike or neither. What differs much in length
// is left without a look at its letters.
func (f *fuzzy) try(c string) {
	n, m := len(f.word), utf8.RuneCountInString(c)
	if m == 0 || max(n-m, m-n) > f.reach || HasDigit(c) {
		return
	}
	letters := []rune(c)
	if letters[0] != f.word[0] && (len(letters) < 2 || letters[0] != f.word[1] || letters[1] != f.word[0]) {
		return
	}
	dist := distance(f.word, letters)
	if dist > f.reach || dist > Limit(n) && len(f.close) > 0 {
		return
	}
	similar := overlap(f.grams, trigrams(c))
	switch {
	case dist <= Limit(n):
		f.close = append(f.close, near{c, dist, similar})
	case similar >= minSimilar:
		f.alike = append(f.alike, near{c, dist, similar})
	}
}

func ranked(list []near) []string {
	slices.SortFunc(list, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.dist, b.dist), cmp.Compare(b.similar, a.similar), strings.Compare(a.text, b.text))
	})
	var out []string
	for _, n := range slices.Compact(list) {
		out = append(out, n.text)
	}
	return out
}
