package store

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A Ref is a thing that has a code.
type Ref struct {
	Kind string // part, bag, model, donor, job or place
	Code code.Code
}

// String names the thing so that it can be typed: bag:101.
func (r Ref) String() string { return r.Kind + ":" + string(r.Code) }

// KindsOfCode are the kinds of things that have codes.
var KindsOfCode = []string{"part", "bag", "model", "donor", "job", "place"}

// Typed is the code of a thing as it can be typed: alone, or with its kind before it
// where the code alone would name several, or would be read as a number.
func (v *View) Typed(kind string, own code.Code) code.Code {
	if len(v.Resolve(string(own))) > 1 {
		return code.Code(kind + ":" + string(own))
	}
	return own
}

// Resolve reads a token as the code of a thing of the given kinds, or of any
// kind: an exact code first, else one that is equal without hyphens, dots,
// slashes, blanks and leading zeros, else a model's name or alias. A kind may
// stand before the code (bag:101). All things the token names are returned,
// none where it names nothing.
func (v *View) Resolve(token string, kinds ...string) []Ref {
	if len(kinds) == 0 {
		kinds = KindsOfCode
	}
	if kind, rest, ok := strings.Cut(token, ":"); ok && slices.Contains(KindsOfCode, strings.ToLower(kind)) {
		if kind = strings.ToLower(kind); !slices.Contains(kinds, kind) {
			return nil
		}
		token, kinds = rest, []string{kind}
	}
	if out := v.exact(token, kinds); len(out) > 0 {
		return out
	}
	var out []Ref
	if loose := code.Loose(token); loose != "" {
		out = v.exact(loose, kinds) // bags that are their own forgiving reading have no row
		v.scan(bCode, prefix(loose), func(rest, _ []byte) error {
			kind, c, _ := bytes.Cut(rest, []byte{0})
			if slices.Contains(kinds, string(kind)) && string(c) != loose {
				out = append(out, v.ref(string(kind), code.Code(c)))
			}
			return nil
		})
	}
	if len(out) == 0 && slices.Contains(kinds, "model") {
		for _, c := range v.ModelsNamed(words.Fold(token)) {
			out = append(out, Ref{"model", c})
		}
	}
	return slices.Compact(out)
}

func (v *View) exact(token string, kinds []string) (out []Ref) {
	c, err := code.Parse(token)
	if err != nil {
		return nil
	}
	for _, kind := range kinds {
		if v.has(kind, c) {
			out = append(out, v.ref(kind, c))
		} else if err := v.torn(kind, keyCode(c)); err != nil {
			panic(damage{err})
		}
	}
	return out
}

// ref leads a second name of a part to the part.
func (v *View) ref(kind string, c code.Code) Ref {
	if kind == "part" {
		if p, err := v.Part(c); err == nil {
			c = p.Code
		}
	}
	return Ref{kind, c}
}

// Thing reads a token as the one thing of the given kinds, or of any kind, that it
// names. It returns an [UnknownError] where it names none, and [ErrSeveral] where
// it names several.
func (v *View) Thing(token string, kinds ...string) (Ref, error) {
	switch refs := v.Resolve(token, kinds...); len(refs) {
	case 0:
		return Ref{}, v.unknown(token, kinds)
	case 1:
		return refs[0], nil
	default:
		var names []string
		for _, r := range refs {
			names = append(names, r.String())
		}
		return Ref{}, fmt.Errorf("%w: %q is %s; write one of these", ErrSeveral, token, strings.Join(names, " and "))
	}
}

// unknown says that a name is none of the kinds, and what it may have been meant for.
func (v *View) unknown(name string, kinds []string) error {
	if len(kinds) == 0 {
		kinds = KindsOfCode
	}
	return &UnknownError{Name: name, Kinds: kinds, Others: v.Resolve(name), Near: v.near(name, kinds)}
}

// mostNear is how many things near a name are listed.
const mostNear = 3

// near lists things of some kinds that a name may have been meant for: models by
// their family, how their codes begin or one letter away, else codes with a digit for
// a letter that looks like it, or one slip of the finger away.
func (v *View) near(name string, kinds []string) []code.Code {
	if slices.Equal(kinds, []string{"model"}) {
		return v.modelsNear(name)
	}
	c, err := code.Parse(name)
	if err != nil || !words.HasDigit(name) {
		return nil
	}
	var out []code.Code
	for i, s := range slices.Concat([]code.Code{inDigits(c)}, besideDigits(c), slips(c), longer(c)) {
		for _, r := range v.Resolve(string(s), kinds...) {
			if !slices.Contains(out, r.Code) {
				out = append(out, r.Code)
			}
		}
		if len(out) >= mostNear || i == 0 && len(out) > 0 {
			break
		}
	}
	return out
}

// besides are the digits above each letter of the row of keys below them, those of QWERTZ
// and QWERTY alike.
var besides = map[byte]string{'Q': "12", 'W': "23", 'E': "34", 'R': "45", 'T': "56", 'Y': "67", 'Z': "67", 'U': "78", 'I': "89", 'O': "90", 'P': "0"}

// besideDigits are the codes with a digit for one letter that stands behind a digit: those
// on the keys beside it first, then from 0 on.
func besideDigits(c code.Code) (out []code.Code) {
	for i := len(c) - 1; i > 0; i-- {
		if isDigit(c[i]) || c[i] == '-' || !strings.ContainsAny(string(c[:i]), "0123456789") {
			continue
		}
		for _, d := range besides[c[i]] + "0123456789" {
			out = append(out, c[:i]+code.Code(d)+c[i+1:])
		}
	}
	return out
}

// looksLike are letters that are typed or read for digits.
var looksLike = strings.NewReplacer("O", "0", "Q", "0", "I", "1", "L", "1", "Z", "2", "S", "5", "G", "6", "B", "8")

// inDigits is a code in which all letters behind the first that look like a digit are
// that digit: P003 for PO03.
func inDigits(c code.Code) code.Code { return c[:1] + code.Code(looksLike.Replace(string(c[1:]))) }

// longer are the codes with a digit less, then with one more, the last first.
func longer(c code.Code) (out []code.Code) {
	for i := len(c) - 1; i > 0; i-- {
		if isDigit(c[i]) {
			out = append(out, c[:i]+c[i+1:])
		}
	}
	for i := len(c); i > 0 && (i == len(c) || isDigit(c[i])); i-- {
		for d := byte('0'); d <= '9'; d++ {
			out = append(out, c[:i]+code.Code(d)+c[i:])
		}
	}
	return out
}

func (v *View) modelsNear(name string) []code.Code {
	begin, family := code.Loose(name), words.Fold(name)
	var out, close []code.Code
	_ = v.EachModel(func(m Model) error { // one that cannot be read is not near
		own := code.Loose(string(m.Code))
		switch {
		case begin != "" && strings.HasPrefix(own, begin), family != "" && words.Fold(m.Family) == family:
			out = append(out, m.Code)
		case len(begin) > 1 && words.OneOff(begin, own) && len(close) < mostNear:
			close = append(close, m.Code)
		}
		return nil
	})
	if len(out) == 0 {
		return close
	}
	return out
}

// PartCalled reads what was typed as one part: its code, a bag that holds it, or
// words of its name, in which case it says so. It returns an [UnknownError] or, for
// words that are the name of several parts, a [ChoiceError].
func (v *View) PartCalled(typed ...string) (p Part, byWords bool, err error) {
	if len(typed) == 1 && len(v.Resolve(typed[0], "part", "bag")) > 0 {
		ref, err := v.Thing(typed[0], "part", "bag")
		if err != nil {
			return p, false, err
		}
		p, err = v.PartAt(ref)
		return p, false, err
	}
	text := strings.Join(typed, " ")
	found := v.partsByWords(text)
	if one, many := strings.CutSuffix(text, "s"); many && len(found) == 0 {
		found = v.partsByWords(one) // 3 front door screws
	}
	switch len(found) {
	case 0:
		return p, false, v.unknown(text, []string{"part"})
	case 1:
		p, err = v.Part(found[0])
		return p, true, err
	}
	e := &ChoiceError{Asked: text}
	for _, c := range found {
		part, err := v.Part(c)
		if err != nil {
			return p, false, err
		}
		f, err := v.Figure(c)
		if err != nil {
			return p, false, err
		}
		e.Rows = append(e.Rows, Choice{Ref: Ref{"part", c}, Part: part, Free: f.Free()})
	}
	return p, false, e
}

// PartAt is a part, or the part of a bag. It refuses a bag of no known part.
func (v *View) PartAt(ref Ref) (Part, error) {
	if ref.Kind == "part" {
		return v.Part(ref.Code)
	}
	b, err := v.Bag(ref.Code)
	if err != nil {
		return Part{}, err
	}
	if b.Part == "" {
		return Part{}, refuse("%s is of no known part: name the part", b.Code)
	}
	return v.Part(b.Part)
}

// partsByWords lists the parts of exactly this name, else those that have all its
// words.
func (v *View) partsByWords(text string) []code.Code {
	if exact := v.PartsNamed(words.Fold(text)); len(exact) > 0 {
		return exact
	}
	tokens := words.Tokens(text)
	if len(tokens) == 0 {
		return nil
	}
	var out []code.Code
	for _, p := range v.WordIn(tokens[0]) {
		lacks := func(w string) bool { n, _ := v.HasWord(w, p.Part); return n == 0 }
		if !slices.ContainsFunc(tokens[1:], lacks) {
			out = append(out, p.Part)
		}
	}
	return out
}
