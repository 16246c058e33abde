package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// Marks are what is seen of a camera whose model is in question. An empty field
// was not looked at.
type Marks struct {
	Number    string // of the body; none: it has none
	Shutter   code.Code
	ShutterNo string
	Lens      code.Code
	LensNo    string
	Scale     string    // m or ft
	Told      string    // what is seen, in words
	Kind      string    // camera, or shutter or lens by itself; empty where that is open
	Said      code.Code // the model it is said to be, which is answered first
	Self      code.Code // the donor these are the marks of, which is no witness for itself
}

// A Hypothesis is a model that a camera may be: what speaks for it, what against,
// what says nothing, and what it is told by.
type Hypothesis struct {
	Model   code.Code `json:"model"`
	Name    string    `json:"name,omitempty"`
	For     []string  `json:"for"`
	Against []string  `json:"against"`
	Silent  []string  `json:"silent,omitempty"`
	LookFor string    `json:"look_for,omitempty"`
	weight  int
	bears   string // what bears its number: body, or the shutter or lens itself
}

// Whichs is the answer of [Which].
type Whichs struct {
	Hypotheses []Hypothesis `json:"hypotheses"`
	Notes      []string     `json:"notes,omitempty"`
}

// Weights of what speaks for or against a model: what a model is told by decides
// more than a number, a number more than what can be exchanged. They order the
// answer and are shown nowhere. Ours.
const (
	weighTold   = 8 // all words that were seen are among what it is told by
	weighHint   = 1 // some are
	weighNumber = 3
	weighCarry  = 2
	weighScale  = 1
)

// Which proposes the models that a camera, or a shutter or lens, may be, those for which most speaks
// first. Nothing is looked up: every model is held against every mark, and one
// for which nothing speaks is left out. Where no kind is said and nothing that a camera
// alone has, a shutter or lens by itself is proposed too.
func Which(v *store.View, m Marks) (Whichs, error) {
	r := read(v)
	out := which(r, m)
	return out, r.err
}

// Sisters are the models of a model's family, itself first, with what tells one from
// the other.
func Sisters(view *store.View, model code.Code) (Whichs, error) {
	v, out := read(view), Whichs{Hypotheses: []Hypothesis{}}
	sisters := slices.DeleteFunc(v.Family(words.Fold(v.model(model).Family)), func(c code.Code) bool { return c == model })
	for _, c := range append([]code.Code{model}, sisters...) {
		m := v.model(c)
		h := Hypothesis{Model: c, Name: m.Name, For: []string{}, Against: []string{}, LookFor: m.ToldBy, weight: 1}
		for _, said := range [][2]string{{"numbers ", m.Numbers}, {"made ", m.Years}, {"carries ", words.List(m.Carries, ", ")}, {"scale in ", m.Scale}} {
			if said[1] != "" {
				h.For = append(h.For, said[0]+said[1])
			}
		}
		out.Hypotheses = append(out.Hypotheses, h)
	}
	return out, v.err
}

// open says that nothing is told which a shutter or lens by itself has not.
func (m Marks) open() bool {
	return m.Number != "none" && string(m.Shutter)+m.ShutterNo+string(m.Lens)+m.LensNo+m.Scale == ""
}

// notes says what the answer is worth.
func (w *Whichs) notes(m Marks, left int) {
	if len(w.Hypotheses) == 0 {
		return // nothing that a note could be about
	}
	given := 0
	for _, s := range []string{m.Number, string(m.Shutter) + m.ShutterNo, string(m.Lens) + m.LensNo, m.Scale, m.Told} {
		if s != "" {
			given++
		}
	}
	if given < 2 {
		w.Notes = append(w.Notes, "one mark alone decides nothing: makers jumped in their numbers, and shutters and lenses were changed; look at what each is told by")
	} else {
		w.Notes = append(w.Notes, "these are guesses with their reasons, no answer: look at what each is told by")
	}
	switch {
	case left == 1:
		w.Notes = append(w.Notes, "nothing speaks for the other model")
	case left > 1:
		w.Notes = append(w.Notes, fmt.Sprintf("nothing speaks for the other %d models", left))
	}
}

// weighModel is what speaks for and against one model.
func weighModel(v *reader, model store.Model, m Marks) Hypothesis {
	h := &Hypothesis{Model: model.Code, Name: model.Name, For: []string{}, Against: []string{}, LookFor: model.ToldBy, bears: model.Bears()}
	h.number(model, m.Number)
	h.carries(v, model, "shutter", m.Shutter, m.ShutterNo, outOfStep(v, model, m))
	h.carries(v, model, "lens", m.Lens, m.LensNo, "")
	h.scale(model, m.Scale)
	h.told(model, m.Told)
	return *h
}

// Weak tells whether as much speaks against the model as for it, or more.
func (h Hypothesis) Weak() bool { return h.weight <= 0 }

func (h *Hypothesis) pro(weight int, format string, args ...any) {
	h.weight += weight
	h.For = append(h.For, fmt.Sprintf(format, args...))
}

func (h *Hypothesis) con(weight int, format string, args ...any) {
	h.weight -= weight
	h.Against = append(h.Against, fmt.Sprintf(format, args...))
}

func (h *Hypothesis) mute(format string, args ...any) {
	h.Silent = append(h.Silent, fmt.Sprintf(format, args...))
}

// number holds a body number against the ranges that are claimed.
func (h *Hypothesis) number(model store.Model, number string) {
	if number == "" {
		return
	}
	none := strings.HasPrefix(strings.ToLower(strings.TrimSpace(model.Numbers)), "none")
	switch bare := strings.EqualFold(number, "none"); {
	case bare && none:
		h.pro(weighNumber, "it has no %s number, and none is claimed for it", h.bears)
		return
	case bare && model.Numbers != "":
		h.con(weighNumber, "it has no %s number, and the model is claimed to have: %s", h.bears, model.Numbers)
		return
	case none:
		h.con(weighNumber, "it has a %s number, and the model is claimed to have none", h.bears)
		return
	}
	var outside *claim
	for _, r := range claimed(model.Numbers) {
		in, ok := r.holds(number)
		switch {
		case r.of != "":
		case in:
			h.pro(weighNumber, "%s %s lies in %s", h.bears, number, r)
			return
		case ok:
			outside = &r
		}
	}
	if outside != nil {
		h.con(weighNumber, "%s %s lies outside %s", h.bears, number, outside)
		return
	}
	h.mute("%s %s: no range of such numbers is claimed", h.bears, number)
}

// carries holds a shutter or lens against those that the model carries. exempt
// says why the shutter is no evidence.
func (h *Hypothesis) carries(v *reader, model store.Model, kind string, have code.Code, no, exempt string) {
	may := got2(v, v.Carried, model, kind)
	if have == "" && no != "" {
		have = numbered(v, kind, no)
	}
	if no != "" && exempt == "" {
		h.carriedNumber(model, kind, no)
	}
	switch {
	case have == "":
	case exempt != "":
		h.mute("%s %s: no evidence for the model, %s", kind, have, exempt)
	case slices.Contains(may, have) && len(may) == 1:
		h.pro(weighCarry, "carries %s and no other %s", have, kind)
	case slices.Contains(may, have):
		h.pro(weighCarry, "may carry %s, or %s", have, others(may, have))
	case len(may) > 0:
		h.con(weighCarry, "carries %s and not %s, unless the %s was changed", others(may, have), have, kind)
	default:
		h.mute("%s %s: nothing is recorded of what the model carries", kind, have)
	}
}

// carriedNumber holds the number of a shutter or lens against a range that is
// claimed for the camera: lens 2000-9100. Such ranges leave the letters out.
func (h *Hypothesis) carriedNumber(model store.Model, kind, no string) {
	digits := strings.TrimLeft(no, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz. ")
	for _, r := range claimed(model.Numbers) {
		if in, ok := r.holds(digits); r.of == kind && in {
			h.pro(weighNumber, "%s %s lies in %s", kind, no, r)
		} else if r.of == kind && ok {
			h.con(weighNumber, "%s %s lies outside %s", kind, no, r)
		}
	}
}

// others are the models but one, as people read them.
func others(list []code.Code, but code.Code) string {
	var out []string
	for _, c := range list {
		if c != but {
			out = append(out, string(c))
		}
	}
	return strings.Join(out, " or ")
}

func (h *Hypothesis) scale(model store.Model, scale string) {
	if scale == "" || model.Scale == "" {
		return
	}
	has := words.Tokens(model.Scale)
	switch {
	case !slices.Contains(has, scale):
		h.con(weighScale, "its scale is in %s, not %s, unless the ring was changed", model.Scale, scale)
	case len(has) > 1:
		h.mute("scale in %s: it was made with %s", scale, model.Scale)
	default:
		h.pro(weighScale, "its scale is in %s", scale)
	}
}

// told holds words against what the model is told by.
func (h *Hypothesis) told(model store.Model, told string) {
	have := words.Tokens(model.ToldBy)
	hit, asked := 0, 0
	for _, w := range words.Tokens(told) {
		if len(w) < 3 || slices.Contains(plainWords(), w) {
			continue
		}
		asked++
		if slices.Contains(have, w) {
			hit++
		}
	}
	switch {
	case hit == 0:
	case hit == asked:
		h.pro(weighTold, "it is told by: %s", model.ToldBy)
	default:
		h.pro(weighHint, "some of that is said of it: %s", model.ToldBy)
	}
}

// plainWords tell no model from another.
func plainWords() []string {
	return []string{"the", "and", "with", "not", "number", "body", "for", "from", "only", "all"}
}

// A claim is a range of numbers that somebody claims for a model.
type claim struct {
	text, from, to string
	of             string // lens or shutter, where the numbers are not the body's
	by             string
}

// claimed reads the ranges of a Numbers cell: "10001-18420", "CB0001-CB4200 (club
// list)", "none on the body; lens 2000-9100". Who claims a range stands behind it
// in brackets.
func claimed(numbers string) []claim {
	var out []claim
	for _, part := range strings.FieldsFunc(numbers, func(r rune) bool { return r == ';' || r == ',' }) {
		c := claim{}
		if before, by, ok := strings.Cut(part, "("); ok {
			part, c.by = before, strings.TrimSuffix(strings.TrimSpace(by), ")")
		}
		part = strings.TrimSpace(strings.ReplaceAll(part, "–", "-"))
		for _, kind := range []string{"body ", "lens ", "shutter "} {
			if rest, ok := strings.CutPrefix(strings.ToLower(part), kind); ok {
				part = part[len(part)-len(rest):]
				c.of = strings.TrimSuffix(strings.TrimSpace(kind), "body")
			}
		}
		from, to, ok := strings.Cut(part, "-")
		if !ok || !strings.ContainsAny(from, "0123456789") || !strings.ContainsAny(to, "0123456789") {
			continue
		}
		c.text, c.from, c.to = part, strings.TrimSpace(from), strings.TrimSpace(to)
		out = append(out, c)
	}
	return out
}

// holds tells whether a number lies in the range, and whether it is of its kind.
func (c claim) holds(number string) (in, ok bool) {
	lo, ok1 := code.CompareNumbers(number, c.from)
	hi, ok2 := code.CompareNumbers(number, c.to)
	return ok1 && ok2 && lo >= 0 && hi <= 0, ok1 && ok2
}

// share says how far into the range a number lies, from 0 to 1.
func (c claim) share(number string) (float64, bool) {
	if in, _ := c.holds(number); !in {
		return 0, false
	}
	lo, hi, at := digitsOf(c.from), digitsOf(c.to), digitsOf(number)
	if hi <= lo {
		return 0, false
	}
	return (at - lo) / (hi - lo), true
}

// digitsOf are the digits of a number as one.
func digitsOf(s string) float64 {
	n, _ := strconv.ParseFloat(onlyDigits(s), 64)
	return n
}

// numbered is the only model of a kind for which a number is claimed, empty for
// none or several.
func numbered(v *reader, kind, number string) code.Code {
	var found []code.Code
	for m := range each(v, v.EachModel) {
		if m.Kind == kind && slices.ContainsFunc(claimed(m.Numbers), func(c claim) bool { in, _ := c.holds(number); return in }) {
			found = append(found, m.Code)
		}
	}
	if len(found) != 1 {
		return ""
	}
	return found[0]
}

func which(v *reader, m Marks) Whichs {
	out, left := Whichs{Hypotheses: []Hypothesis{}}, 0
	for model := range each(v, v.EachModel) {
		if kind := cmp.Or(model.Kind, "camera"); kind != cmp.Or(m.Kind, "camera") && (m.Kind != "" || !m.open()) {
			continue
		}
		if h := weighModel(v, model, m); len(h.For) > 0 || h.Model == m.Said {
			out.Hypotheses = append(out.Hypotheses, h)
		} else {
			left++
		}
	}
	said := func(h Hypothesis) int {
		if h.Model == m.Said {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out.Hypotheses, func(a, b Hypothesis) int { return cmp.Or(said(a)-said(b), cmp.Compare(b.weight, a.weight)) })
	out.notes(m, left)
	return out
}

// String is the range and who claims it.
func (c claim) String() string { return c.text + ", as claimed by " + cmp.Or(c.by, "nobody named") }
