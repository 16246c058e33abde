package words

import (
	"slices"
	"strings"
)

// longest is the number of words of the longest trade word sought in a query.
const longest = 5

// A Term is one thing asked for: a word, or a trade word with the classes it
// stands for.
//
// It is met by a text that holds all its Tokens. A term with Class is also met by a
// part of such a class or of one below it (see [Under]), and, where the class of a
// part is not said, by the words that the trade has for it ([Term.Names]): "release
// lever" finds levers and the "release lever return spring". A Narrow term names
// less than its class and is met by such words alone: a knurled screw is not any
// screw.
type Term struct {
	Text   string   // as typed
	Class  []string // classes or prefixes, nil for a plain word
	Narrow bool
	Other  bool     // a word of the bench that names no part: it is not misspelt
	Tokens []string // folded words of Text, never empty

	rows []int // of what it names
}

// Names lists the words of all languages for what a trade word names, each folded and
// split; for one that is not narrow those of its classes and of all below them.
func (t Term) Names() [][]string {
	if !t.Narrow {
		return NamesOf(t.Class)
	}
	return namesOf(t.rows)
}

// NamesOf lists the words of all languages for classes or prefixes and all below
// them, each folded and split.
func NamesOf(classes []string) [][]string {
	var rows []int
	for _, c := range concepts() {
		if slices.ContainsFunc(classes, func(class string) bool { return Under(c.class, class) }) {
			rows = append(rows, c.row)
		}
	}
	return namesOf(rows)
}

// Query reads words as typed. From the left, the longest run of up to five words
// that is a trade word or a class code becomes one term and is not split; every
// other word is a term of its own. Words without a letter or digit are left out.
func Query(args []string) []Term {
	typed := strings.Fields(strings.Join(args, " "))
	var terms []Term
	for len(typed) > 0 {
		t, n := first(typed)
		typed = typed[n:]
		if len(t.Tokens) > 0 {
			terms = append(terms, t)
		}
	}
	return terms
}

// first returns the term at the head of typed and the words it takes.
func first(typed []string) (Term, int) {
	for n := min(longest, len(typed)); n > 0; n-- {
		if t, ok := term(strings.Join(typed[:n], " ")); ok {
			return t, n
		}
	}
	return Term{Text: typed[0], Tokens: Tokens(typed[0])}, 1
}

// term reads a text that is a class code or a trade word. A word that names a whole
// class in one language and less in another names the class.
func term(text string) (Term, bool) {
	t := Term{Text: text, Tokens: Tokens(text)}
	if code := strings.ToUpper(strings.TrimSpace(text)); Known(code) {
		t.Class = []string{code}
		return t, true
	}
	t.rows, t.Narrow = lookup(text), true
	if len(t.rows) == 0 {
		return Term{}, false
	}
	all := concepts()
	for _, row := range t.rows {
		c := all[row]
		switch {
		case c.class == "":
			t.Other = true
			continue
		case !slices.Contains(t.Class, c.class):
			t.Class = append(t.Class, c.class)
		}
		t.Narrow = t.Narrow && c.narrow
	}
	t.Narrow = t.Narrow && len(t.Class) > 0
	return t, true
}
