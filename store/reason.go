package store

import (
	"bytes"
	"encoding/json"
	"fmt"

	"tinful/store/code"
)

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

// Say makes a reason of a kind; its text is the format with the arguments in it.
func Say(kind ReasonKind, format string, args ...any) Reason {
	return Reason{Kind: kind, Text: fmt.Sprintf(format, args...)}
}

// Of is the reason with the codes it speaks of.
func (r Reason) Of(codes ...code.Code) Reason {
	r.Codes = codes
	return r
}

// Reasons is a list of reasons. In JSON it is the list of their texts; what holds
// it writes the kinds beside it.
type Reasons []Reason

// MarshalJSON is the list of texts, empty where there is no reason.
func (list Reasons) MarshalJSON() ([]byte, error) { return JSON(Texts(list)) }

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

// JSON is x as answers have it: what stands in HTML is not escaped.
func JSON(x any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(x)
	return bytes.TrimSpace(b.Bytes()), err
}
