package store

import "tinful/store/code"

// A ReasonKind is one word that says what a reason is about. Programs rely on the
// words, people read the text; the words are listed in the doc of package ask.
type ReasonKind string

// A Reason is a sentence for a person and what a program may know of it. The text
// is made once, where the kind is given, and names no command: what reads a reason
// asks for its kind and its codes, never for words in its text.
type Reason struct {
	Kind  ReasonKind
	Codes []code.Code // what it speaks of: parts, bags, jobs, parts cameras
	Text  string
}

// Texts lists the texts of reasons, in their order.
func Texts(reasons []Reason) []string {
	out := make([]string, 0, len(reasons))
	for _, r := range reasons {
		out = append(out, r.Text)
	}
	return out
}

// ReasonKinds lists the kinds of reasons, in their order: why_kind beside why.
func ReasonKinds(reasons []Reason) []ReasonKind {
	out := make([]ReasonKind, 0, len(reasons))
	for _, r := range reasons {
		out = append(out, r.Kind)
	}
	return out
}
