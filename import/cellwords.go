package sheet

import (
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tinful/store/words"
)

// Words that cells of lists hold, in English, German, French, Spanish, Italian, Dutch
// and Japanese, by what they mean: about, piece, pair, dozen, some, the numbers to twelve, as
// above, months, cost, price, each, and where a bag came from. From memory.
//
//go:embed cellwords.csv
var cellWordsText string

// A wordTable is lists of words by what they mean, as they are written in lower case.
type wordTable map[string][]string

// cellWords is the table. The months stand by their numbers behind "month".
var cellWords = sync.OnceValue(func() wordTable {
	t, month := wordTable{}, 0
	for line := range strings.Lines(cellWordsText) {
		name, list, _ := strings.Cut(strings.TrimSpace(line), ",")
		if len(name) > 2 && month < 12 && (month > 0 || name == "january") {
			month++
			name = "month" + strconv.Itoa(month)
		}
		t[name] = strings.Split(list, ";")
	}
	return t
})

// is says that a text is one of the words that mean something.
func (t wordTable) is(what, text string) bool {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, w := range t[what] {
		if w == text {
			return true
		}
	}
	return false
}

// cut takes one of the words, the longest that fits, off the start of a text. A word
// of letters ends at no letter.
func (t wordTable) cut(what, text string) (rest string, ok bool) {
	longest := ""
	for _, w := range t[what] {
		if strings.HasPrefix(text, w) && len(w) > len(longest) && !goesOn(w, text[len(w):]) {
			longest = w
		}
	}
	return strings.TrimSpace(text[len(longest):]), longest != ""
}

// goesOn says that the letters of a word go on behind it.
func goesOn(word, rest string) bool {
	letter := func(c byte) bool { return c >= 'a' && c <= 'z' }
	return rest != "" && letter(word[len(word)-1]) && letter(rest[0])
}

// number is the number that a word stands for.
func (t wordTable) number(text string) (int64, bool) {
	for n := range int64(12) {
		if t.is(strconv.FormatInt(n+1, 10), text) {
			return n + 1, true
		}
	}
	return 0, false
}

// month is the month that a word of at least three letters names or begins, 0 for
// none or several.
func (t wordTable) month(word string) (found int) {
	w := words.Fold(word)
	if len(w) < 3 {
		return 0
	}
	for n := 1; n <= 12; n++ {
		for _, name := range t["month"+strconv.Itoa(n)] {
			if !strings.HasPrefix(words.Fold(name), w) {
				continue
			}
			if found != 0 && found != n {
				return 0
			}
			found = n
		}
	}
	return found
}

// priceOf says what a heading says of a price: "each" that it is that of one piece,
// "price" that it is one, and not of how many, and else nothing.
func (t wordTable) priceOf(heading string) string {
	has := func(what string) bool {
		if what == "price" && strings.ContainsAny(heading, moneySigns) {
			return true
		}
		for _, w := range t[what] {
			k := words.Fold(w)
			if k != "" && strings.Contains(" "+words.Fold(heading)+" ", " "+k+" ") {
				return true
			}
		}
		return false
	}
	folded := words.Fold(heading)
	switch {
	case has("price") && (has("piece") || has("each")), strings.Contains(folded, "stuckpreis"), strings.Contains(folded, "einzelpreis"),
		strings.Contains(folded, "stuksprijs"), has("each") && !has("price") && len(strings.Fields(folded)) <= 2 && !slices.Contains(joinsAlone, folded):
		return "each"
	case has("price"):
		return "price"
	}
	return ""
}

// moneySigns are signs of money.
const moneySigns = "€£$¥￥円"

// joinsPrice are words that stand between a price and a piece.
var joinsPrice = []string{"per", "pro", "por", "par", "je", "la", "le", "al", "de", "di", "of", "a"}

// joinsAlone are words of one piece that by themselves say nothing of a price.
var joinsAlone = []string{"each", "ea", "per", "je", "pro", "cad", "cadauno"}

// onlyPrice says that every word of a heading is one of a price, and that it is one.
func (t wordTable) onlyPrice(heading string) bool {
	if t.priceOf(heading) == "" {
		return false
	}
	all := slices.Clone(joinsPrice)
	for _, w := range slices.Concat(t["price"], t["piece"], t["each"], t["cost"]) {
		all = append(all, strings.Fields(words.Fold(w))...)
	}
	for _, w := range strings.Fields(words.Fold(heading)) {
		if _, money := currencyOf(w); !money && !slices.Contains(all, w) {
			return false
		}
	}
	return true
}
