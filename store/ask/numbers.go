package ask

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// A Numbered is a thing that bears a number, on its body, shutter or lens or engraved
// on a piece, or a model in one of whose claimed ranges the number lies.
type Numbered struct {
	Kind   string    `json:"kind"` // job, donor, bag or model
	Code   code.Code `json:"code"`
	Of     string    `json:"of"`     // body, shutter, lens or piece
	Number string    `json:"number"` // as recorded; of a model the range
	Text   string    `json:"text"`
}

// leastDigits is how many digits make a number that a camera may bear.
const leastDigits = 3

// NumberedAs lists what bears a number, jobs first: "22418", "O 118 402". What was
// typed without its letters finds the number with them. It is empty for a text that
// is no such number.
func NumberedAs(view *store.View, typed string) ([]Numbered, error) {
	if digits := onlyDigits(typed); len(digits) < leastDigits || !isEngraved(typed) {
		return nil, nil
	}
	v, n := read(view), &numberSearch{v: view, typed: typed}
	for j := range each(v, v.EachJob) {
		n.add("job", j.Code, "body", j.BodyNo, string(j.Model), j.Owner, j.State)
	}
	for d := range each(v, v.EachDonor) {
		for _, x := range [][2]string{{"body", d.BodyNo}, {"shutter", d.ShutterNo}, {"lens", d.LensNo}} {
			n.add("donor", d.Code, x[0], x[1], string(d.Model), d.State)
		}
	}
	for b := range each(v, v.EachBag) {
		if n.bears(b.Number) {
			n.add("bag", b.Code, "piece", b.Number, string(b.Part), n.partner(b))
		}
	}
	for m := range each(v, v.EachModel) {
		n.model(m)
	}
	return n.out, v.err
}

// isEngraved says whether a text may be engraved as a number: digits with at most a
// letter or two, and no decimal point.
func isEngraved(s string) bool {
	other := strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' || r == ' ' || r == '-' || r == '/' {
			return -1
		}
		return r
	}, s)
	return len(other) <= 2 && !strings.ContainsAny(other, ".,_")
}

func onlyDigits(s string) string {
	return strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' {
			return r
		}
		return -1
	}, s)
}

// A numberSearch collects what bears the number typed.
type numberSearch struct {
	v     *store.View
	typed string
	out   []Numbered
}

// bears says whether a recorded number is the one typed.
func (n *numberSearch) bears(number string) bool {
	return number != "" && (store.SameBody(number, n.typed) || onlyDigits(n.typed) == code.Loose(n.typed) && onlyDigits(number) == onlyDigits(n.typed))
}

// add adds a thing whose number is the one typed, with what else tells it.
func (n *numberSearch) add(kind string, c code.Code, of, number string, tells ...string) {
	if !n.bears(number) {
		return
	}
	bears := of
	if of == "piece" {
		bears = "engraved"
	}
	n.out = append(n.out, Numbered{kind, c, of, number, fmt.Sprintf("%s %s: %s", kind, c, filled(append([]string{bears + " " + number}, tells...)...))})
}

// partner is what a bag goes with and, where that is a bag, what it holds and where it
// lies.
func (n *numberSearch) partner(b store.Bag) string {
	if b.GoesWith == "" {
		return ""
	}
	return "goes with " + BagWords(n.v, code.Code(b.GoesWith))
}

// BagWords is what a bag holds and where it lies, or the code itself of what is no bag.
func BagWords(v *store.View, c code.Code) string {
	b, err := v.Bag(c)
	st, serr := v.State(c)
	if err != nil || serr != nil {
		return string(c)
	}
	p, _ := v.Part(b.Part) // without one the bag has no name
	return filled(strings.Join(texts(string(c), string(p.Code), p.Called()), " "), "in "+string(st.Place), store.Amount(b.Free(st), b.Unit, st.About)+" free")
}

func (n *numberSearch) model(m store.Model) {
	for _, c := range claimed(m.Numbers) {
		if in, _ := c.holds(n.typed); !in {
			continue
		}
		kind := cmp.Or(c.of, m.Kind)
		if kind == "camera" || kind == "" {
			kind = "body"
		}
		text := fmt.Sprintf("model %s: %s lies in its %s numbers, %s", m.Code, n.typed, kind, c.text)
		if c.by != "" {
			text += ", as claimed by " + c.by
		}
		n.out = append(n.out, Numbered{"model", m.Code, kind, c.text, text})
	}
}

// filled joins what is not empty by commas.
func filled(all ...string) string { return strings.Join(texts(all...), ", ") }
