package words

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

//go:embed vocabulary.csv
var vocabularyCSV string

// entry is what one folded trade word stands for.
type entry struct {
	classes []string
	pure    bool // names the class itself, nothing narrower or wider
	english bool
	german  bool
}

// The last column of vocabulary.csv is the key of the word, folded beforehand:
// folding five hundred words costs more than a question. A test holds it.
//
// vocabulary maps the key of each trade word to what it stands for. The names
// of the classes belong to it.
var vocabulary = sync.OnceValue(func() map[string]entry {
	index := make(map[string]entry, 1024)
	for _, c := range classList() {
		add(index, key(c.name), c.code, "en", "word")
		add(index, key(c.plural), c.code, "en", "word")
	}
	for _, row := range rows(vocabularyCSV) {
		add(index, row[4], row[1], row[2], row[3])
	}
	return index
})

func add(index map[string]entry, k, class, language, kind string) {
	e, known := index[k]
	if !slices.Contains(e.classes, class) {
		e.classes = append(e.classes, class)
	}
	e.pure = kind == "name" && (!known || e.pure)
	e.english = e.english || language == "en"
	e.german = e.german || language == "de"
	index[k] = e
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

// lookup finds a trade word, as it is or as a plain plural.
func lookup(word string) (entry, bool) {
	k := key(word)
	index := vocabulary()
	if e, ok := index[k]; ok {
		return e, true
	}
	for _, s := range []string{"s", "es"} {
		if e, ok := index[strip(k, s)]; ok && e.english {
			return e, true
		}
	}
	for _, s := range []string{"n", "en", "e", "er", "s"} {
		if e, ok := index[strip(k, s)]; ok && e.german {
			return e, true
		}
	}
	return entry{}, false
}

// strip takes an ending off a word of at least three other letters, or returns "".
func strip(word, ending string) string {
	rest, ok := strings.CutSuffix(word, ending)
	if !ok || len(rest) < 3 {
		return ""
	}
	return rest
}
