package words

import "strings"

// longest is the number of words of the longest trade word sought in a query.
const longest = 4

// A Term is one thing asked for: a word, or a trade word with the classes it
// stands for.
//
// A term without Class is met by a text that holds all its Tokens. A term with
// Class is met by a part of such a class or of one below it (see [Under]), and,
// unless Only is set, also by a part whose own words hold all its Tokens:
// "release lever" finds levers and the "release lever return spring". Only is
// set for words that name a class and nothing else, as Schenkelfeder does; such
// a term is met by the class alone.
type Term struct {
	Text   string   // as typed
	Class  []string // classes or prefixes, nil for a plain word
	Tokens []string // folded words of Text, never empty
	Only   bool     // met by Class alone
}

// Query reads words as typed. From the left, the longest run of up to four words
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
		text := strings.Join(typed[:n], " ")
		classes, ok := ClassOf(text)
		if !ok {
			continue
		}
		e, word := lookup(text)
		return Term{Text: text, Class: classes, Tokens: Tokens(text), Only: !word || e.pure}, n
	}
	return Term{Text: typed[0], Tokens: Tokens(typed[0])}, 1
}
