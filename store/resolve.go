package store

import (
	"bytes"
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
		out = v.exact(loose, kinds) // a code that is its own forgiving reading has no row
		v.scan(bCode, prefix(loose), func(rest, _ []byte) error {
			kind, c, _ := bytes.Cut(rest, []byte{0})
			if slices.Contains(kinds, string(kind)) {
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
		if v.bucket(kind).Get(keyCode(c)) != nil {
			out = append(out, v.ref(kind, c))
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
