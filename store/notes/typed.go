package notes

import (
	"slices"
	"strings"
)

// A Line is a line as it is typed while things come off: words stand for a part as
// well as its code does, and "2 p21" or "p34 off" mean "off 2 p21" and "off p34".
type Line struct {
	Seat    string // where the line says it, "wind: off 2 p41"
	Clauses []Clause
}

// A Clause is a clause of such a line, before it is known which part its words mean.
type Clause struct {
	Word   string
	Number string   // how many came off
	Thick  string   // how thick a layer is
	Part   []string // words that mean a part, none where the clause speaks of none
	Quoted bool     // they are what the piece is called
	rest   []token  // what a clause that speaks of no part says
}

// Typed reads one line, and says what cannot be read in it.
func Typed(text string) (l Line, mistake string) {
	toks, mistake := cut(text)
	if mistake != "" {
		return l, mistake
	}
	if i := slices.IndexFunc(toks, func(t token) bool { return !t.quoted && strings.HasSuffix(t.text, ":") }); i >= 0 && i <= 2 && clauseWords()[strings.ToLower(toks[0].text)] == nil {
		head := toks[:i+1]
		if l.Seat = strings.ToLower(strings.TrimSuffix(head[i].text, ":")); i > 0 && !strings.EqualFold(head[0].text, "step") {
			return l, words(head) + " is no place of a step: write it like wind: off 2 p41"
		}
		toks = toks[i+1:]
	}
	for len(toks) > 0 {
		n := slices.IndexFunc(toks, func(t token) bool { return t.comma })
		if n < 0 {
			n = len(toks)
		}
		if n > 0 {
			l.Clauses = append(l.Clauses, typedClauses(toks[:n])...)
		}
		toks = toks[min(n+1, len(toks)):]
	}
	for _, c := range l.Clauses {
		if len(c.Part) == 0 && len(c.rest) == 0 {
			return l, c.Word + " what? something stands behind it"
		}
	}
	if len(l.Clauses) == 0 {
		return l, "nothing is said"
	}
	return l, ""
}

// typedClauses reads what stands between two commas: a clause, and a hand behind it.
func typedClauses(toks []token) []Clause {
	if hand, n := handOf(toks); hand != "" {
		said := Clause{Word: "hand", rest: []token{{text: hand}}}
		if n == len(toks) {
			return []Clause{said}
		}
		return append(typedClauses(toks[:len(toks)-n]), said)
	}
	word := strings.ToLower(toks[0].text)
	_, known := clauseWords()[word]
	last := toks[len(toks)-1]
	switch {
	case known && !toks[0].quoted:
		toks = toks[1:]
	case len(toks) > 1 && !last.quoted && strings.EqualFold(last.text, "off"):
		word, toks = "off", toks[:len(toks)-1]
	default:
		word = "off"
	}
	return []Clause{clauseOf(word, toks)}
}

func clauseOf(word string, toks []token) Clause {
	c := Clause{Word: word}
	number := func(t token) bool { return len(toks) > 1 && !t.quoted && quantity(t.text) }
	switch {
	case word == "off" && len(toks) > 0 && number(toks[0]):
		c.Number, toks = toks[0].text, toks[1:]
	case (word == "under" || word == "over") && len(toks) > 0 && number(toks[len(toks)-1]):
		c.Thick, toks = toks[len(toks)-1].text, toks[:len(toks)-1]
	case word != "off" && word != "under" && word != "over" && !slices.Contains(looked(), word):
		c.rest = toks
		return c
	}
	for _, t := range toks {
		c.Part, c.Quoted = append(c.Part, t.text), c.Quoted || t.quoted
	}
	return c
}

// handOf is the hand that some words end with, and how many of them say it. "hand
// left" is a clause already.
func handOf(toks []token) (hand string, n int) {
	if strings.EqualFold(toks[0].text, "hand") {
		return "", 0
	}
	for n := min(2, len(toks)); n > 0; n-- {
		said := strings.ToLower(words(toks[len(toks)-n:]))
		for _, hand := range []string{"left", "right"} {
			if slices.Contains([]string{hand + "-hand", hand + " hand", hand + "-handed", hand + "hand"}, said) || said == hand && n == len(toks) {
				return hand, n
			}
		}
	}
	return "", 0
}

// With is the clause as notes have it, parts being the codes that its words mean, or
// none where they are what the piece is called.
func (c Clause) With(parts ...string) string {
	toks := append([]token{{text: c.Word}}, c.rest...)
	if c.Number != "" {
		toks = append(toks, token{text: c.Number})
	}
	for _, p := range parts {
		toks = append(toks, token{text: p})
	}
	if len(parts) == 0 && len(c.Part) > 0 {
		toks = append(toks, token{text: strings.Join(c.Part, " "), quoted: true})
	}
	if c.Thick != "" {
		toks = append(toks, token{text: c.Thick})
	}
	return written(toks)
}
