package notes

import (
	"math"
	"slices"
	"strings"
)

// A clauseFunc reads what stands behind the word of a clause, at least one
// token.
type clauseFunc func(p *parser, word string, toks []token)

// clauseWords says what each word of a step reads.
func clauseWords() map[string]clauseFunc {
	text := func(at func(*Step) *string) clauseFunc {
		return func(p *parser, _ string, toks []token) { also(at(p.step), words(toks)) }
	}
	layer := func(at func(*Step) *[]Layer) clauseFunc {
		return func(p *parser, _ string, toks []token) {
			l := Layer{Line: p.line, Part: toks[0].text, Quoted: toks[0].quoted}
			if len(toks) > 2 || len(toks) == 2 && toks[1].quoted {
				p.bad(words(toks), "one piece and its thickness: under p41 0.20; more words stand in quotes")
				return
			}
			if len(toks) == 2 {
				l.Thick = toks[1].text
			}
			*at(p.step) = append(*at(p.step), l)
		}
	}
	found := func(p *parser, word string, toks []token) { p.step.Seen = append(p.step.Seen, p.found(word, toks)...) }
	return map[string]clauseFunc{
		"off":   (*parser).off,
		"hole":  ofPiece(func(_ *parser, o *Off, s string) { also(&o.Hole, s) }),
		"hand":  ofPiece(hand),
		"grade": ofPiece(func(p *parser, o *Off, s string) { p.only(&o.Grade, s) }),
		"to":    ofPiece(func(p *parser, o *Off, s string) { p.only(&o.To, s) }),
		"under": layer(func(s *Step) *[]Layer { return &s.Under }), "over": layer(func(s *Step) *[]Layer { return &s.Over }),
		"facing": text(func(s *Step) *string { return &s.Facing }),
		"turns":  (*parser).turns, "half-turns": (*parser).turns, "teeth": (*parser).turns,
		"sealed":  text(func(s *Step) *string { return &s.Sealed }),
		"tool":    text(func(s *Step) *string { return &s.Tools }),
		"present": found, "missing": found, "replaced": found, "damaged": found, "stuck": found,
		"wrong": func(p *parser, _ string, toks []token) { p.step.Wrong = append(p.step.Wrong, words(toks)) },
		"went":  text(func(s *Step) *string { return &s.Went }),
		"picture": func(p *parser, _ string, toks []token) {
			for _, t := range toks {
				p.step.Pictures = append(p.step.Pictures, t.text)
			}
		},
		"state": text(func(s *Step) *string { return &s.Set }),
		"stop":  text(func(s *Step) *string { return &s.Stop }),
		"note":  text(func(s *Step) *string { return &s.Note }),
	}
}

// Words are the words a clause may begin with, in the order a step tells them.
func Words() []string {
	return []string{"off", "hole", "hand", "grade", "to", "under", "over", "facing", "turns", "half-turns", "teeth", "sealed", "tool",
		"present", "missing", "replaced", "damaged", "stuck", "wrong", "went", "picture", "state", "stop", "note"}
}

// also adds a text to one that is there.
func also(at *string, s string) {
	if *at != "" {
		s = *at + "; " + s
	}
	*at = s
}

// only sets a text that may be said once.
func (p *parser) only(at *string, s string) {
	if *at != "" && *at != s {
		p.bad(s, "this was said already: %s", *at)
		return
	}
	*at = s
}

// off reads off [N] PART [WORDS OF THE PART].
func (p *parser) off(_ string, toks []token) {
	o := Off{Line: p.line, Last: p.line}
	if len(toks) > 1 && !toks[0].quoted && quantity(toks[0].text) {
		o.Quantity, toks = toks[0].text, toks[1:]
	}
	o.Part, o.Quoted = toks[0].text, toks[0].quoted
	for _, t := range toks[1:] {
		o.Check = append(o.Check, t.text)
	}
	p.step.Off = append(p.step.Off, o)
}

// quantity tells whether a word may be a number of pieces or a length.
func quantity(s string) bool {
	s = strings.ToLower(s)
	for _, unit := range []string{"mm", "cm", "m"} {
		if n, ok := strings.CutSuffix(s, unit); ok {
			s = n
			break
		}
	}
	s = strings.Trim(s, "~")
	return s != "" && strings.Trim(s, "-0123456789.,") == "" && strings.ContainsAny(s, "0123456789")
}

// ofPiece reads a clause about the last piece that came off.
func ofPiece(set func(p *parser, o *Off, s string)) clauseFunc {
	return func(p *parser, word string, toks []token) {
		if len(p.step.Off) == 0 {
			p.bad(words(toks), "%s speaks of a piece that came off, and none is named before it in this step", word)
			return
		}
		o := &p.step.Off[len(p.step.Off)-1]
		o.Last = p.line
		set(p, o, words(toks))
	}
}

func hand(p *parser, o *Off, s string) {
	switch w := strings.ToLower(s); w {
	case "left", "right":
		p.only(&o.Hand, w)
	default:
		p.bad(s, "a hand is left or right")
	}
}

// turns reads how far a spring was let down.
func (p *parser) turns(word string, toks []token) {
	n, ok := thousandths(toks[0].text)
	at := &p.step.Turns
	switch {
	case !ok || len(toks) > 1:
		p.bad(words(toks), "%s are one number, like %s 1.5", word, word)
		return
	case word == "half-turns":
		n /= 2
	case word == "teeth":
		at = &p.step.Teeth
		if n%1000 != 0 {
			p.bad(words(toks), "teeth are whole ones")
			return
		}
		n /= 1000
	}
	if *at != nil {
		p.bad(words(toks), "how far it was let down is said already in this step: make it two steps")
		return
	}
	*at = &n
}

// found reads missing P36 P37.
func (p *parser) found(word string, toks []token) []Seen {
	var out []Seen
	for _, t := range toks {
		out = append(out, Seen{p.line, t.text, t.quoted, word})
	}
	if len(toks) == 0 {
		p.bad(word, "which part is %s?", word)
	}
	return out
}

// whole reads a whole number that is not negative.
func whole(s string) (n int64, ok bool) {
	for _, r := range s {
		if r < '0' || r > '9' || n > math.MaxInt32 {
			return 0, false
		}
		n = n*10 + int64(r-'0')
	}
	return n, s != ""
}

// thousandths reads 1.5 or 1,5 as 1500.
func thousandths(s string) (int64, bool) {
	before, after, point := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	if point && after == "" || len(after) > 3 {
		return 0, false
	}
	n, ok := whole(before + after + strings.Repeat("0", 3-len(after)))
	return n, ok && before != ""
}

// A token is a word of a line, or a comma.
type token struct {
	text   string
	quoted bool
	comma  bool
}

// words are tokens as one text.
func words(toks []token) string {
	var out []string
	for _, t := range toks {
		if t.comma {
			out = append(out, ",")
			continue
		}
		out = append(out, t.text)
	}
	return strings.Join(out, " ")
}

// cut cuts a line into words and commas and takes its remark off. A comma
// between two digits belongs to its number: 0,20.
func cut(line string) (toks []token, mistake string) {
	var word strings.Builder
	in := false // within quotes
	flush := func() {
		if word.Len() > 0 {
			toks = append(toks, token{text: word.String()})
			word.Reset()
		}
	}
	all := []rune(strings.TrimRight(line, "\r"))
	digit := func(i int) bool { return i >= 0 && i < len(all) && all[i] >= '0' && all[i] <= '9' }
	for i, r := range all {
		switch {
		case in && r == '"':
			toks, in = append(toks, token{text: strings.Join(strings.Fields(word.String()), " "), quoted: true}), false
			word.Reset()
		case in:
			word.WriteRune(r)
		case r == '"':
			flush()
			in = true
		case r == '#' && (i == 0 || blank(all[i-1]) || all[i-1] == ',' || all[i-1] == '"'):
			flush()
			return toks, emptyQuote(toks)
		case r == ',' && !(digit(i-1) && digit(i+1)):
			flush()
			toks = append(toks, token{comma: true})
		case blank(r):
			flush()
		default:
			word.WriteRune(r)
		}
	}
	flush()
	if in {
		return nil, "a quote is opened and not closed on this line"
	}
	return toks, emptyQuote(toks)
}

func emptyQuote(toks []token) string {
	if slices.ContainsFunc(toks, func(t token) bool { return t.quoted && t.text == "" }) {
		return "nothing stands between the quotes"
	}
	return ""
}

func blank(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' }
