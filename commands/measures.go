package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// measureTo reads one measure into a query. A thread may be told without its form.
func measureTo(q *ask.Query, in dim.Info, text string) error {
	if in.Field == dim.Thread {
		return threadTo(q, text)
	}
	class := ""
	if len(q.Class) == 1 {
		class = q.Class[0]
	}
	n, word, err := dim.Parse(in.Field, class, text)
	switch {
	case err != nil:
		return line.AsUsage(err)
	case in.Kind == dim.KindWord:
		q.Marks[in.Field] = word
	default:
		q.Dims[in.Field] = ask.Range{Want: n}
	}
	return nil
}

func threadTo(q *ask.Query, text string) error {
	t, err := thread.Parse(text) // a size without a form is one of a form that is not known
	if err != nil {
		return line.AsUsage(err)
	}
	q.Marks[dim.Thread] = t.String()
	return nil
}

// inOrder takes measures behind a trade word out of the words: `torsion .20 2 3
// left 5`, `csk 1.7 .35 3 2.9`, `csk BA 10 3`. A trade word among them narrows
// the kind, a hand may stand before it, and any other word stays a word to look
// for. It says whether there were any.
func inOrder(q *ask.Query) (bool, error) {
	all := unitsJoined(q.Words)
	class, hand, at := kindTyped(all)
	list, typed := byNames(class, all[at:])
	if at == 0 {
		return onlyNamed(q, list, typed)
	}
	q.Class, q.Words = []string{class}, nil
	o := &ordered{q: q, left: slices.Clone(dim.Order(class))}
	for _, n := range list {
		if err := measureTo(q, dim.Of(n.field), n.text); err != nil {
			return true, err
		}
		o.left = slices.DeleteFunc(o.left, func(f dim.Field) bool { return f == n.field })
	}
	switch {
	case hand == "":
	case slices.Contains(o.left, dim.Thread):
		typed = append(slices.Clone(typed), hand) // it is that of the thread
	default:
		q.Marks[dim.Hand] = hand
	}
	for len(typed) > 0 {
		n, err := o.take(typed)
		if err != nil {
			return true, err
		}
		typed = typed[n:]
	}
	return true, nil
}

// onlyNamed takes measures that are called by their names where no one kind is: wire .2.
// A number without a name leaves all words as they are.
func onlyNamed(q *ask.Query, list []calledMeasure, rest []string) (bool, error) {
	if len(list) == 0 || slices.ContainsFunc(rest, isMeasure) {
		return false, nil
	}
	q.Words = rest
	for _, n := range list {
		if err := measureTo(q, dim.Of(n.field), n.text); err != nil {
			return true, err
		}
	}
	return true, nil
}

// unitsJoined puts a unit that stands by itself behind its number, .2 mm, and leaves the
// comma behind a word out.
func unitsJoined(typed []string) []string {
	var out []string
	for _, w := range typed {
		if w = strings.TrimRight(w, ","); w == "" {
			continue
		}
		if last := len(out) - 1; last >= 0 && slices.Contains(lengthUnits, strings.ToLower(w)) && isBare(out[last]) {
			out[last] += w
			continue
		}
		out = append(out, w)
	}
	return out
}

var lengthUnits = []string{"mm", "in", "thou"}

// isBare tells whether a word is a number or a fraction without a unit.
func isBare(w string) bool { return line.IsNumber(w) || line.IsNumber(strings.Replace(w, "/", "", 1)) }

// kindTyped is the one kind that the words before the first measure name, the
// hand that is told among them, and where that measure stands; 0 where there is no
// such kind or measure.
func kindTyped(typed []string) (class, hand string, at int) {
	for i, w := range typed {
		starts := w == "_" || isMeasure(w)
		_, name := dim.Spoken("", typed[i:])
		names := i > 0 && (name > 0 && len(typed) > i+name && isMeasure(typed[i+name]) || slices.Contains(dim.ThreadWords, strings.ToLower(w)))
		if !starts && !names && !startsThread(typed[i:]) {
			continue
		}
		class, hand = kindSaid(typed[:i], len(typed) > i+1)
		order := dim.Order(class)
		switch {
		case order != nil && (starts || names || order[0] == dim.Thread):
			return class, hand, i
		case starts:
			return "", "", 0
		}
	}
	return "", "", 0
}

// kindSaid is the one kind of some words, where need be without the hand among them,
// and without the word spring or screw, which the bench leaves out: flat, grub. A
// word that is a measure too, shoulder, is a kind before several numbers.
func kindSaid(typed []string, several bool) (class, hand string) {
	if class = oneKind(strings.Join(typed, " ")); class != "" {
		return class, ""
	}
	rest := slices.Clone(typed)
	i := slices.IndexFunc(rest, handWord)
	if i >= 0 {
		_, hand, _ = dim.Parse(dim.Hand, "", rest[i])
		rest = slices.Delete(rest, i, i+1)
	}
	text := strings.Join(rest, " ")
	class = oneKind(text)
	isMeasureName := func(in dim.Info) bool { return in.Name() == strings.ToLower(text) && !several }
	if class == "" && len(rest) > 0 && !slices.ContainsFunc(dim.Table(), isMeasureName) {
		class = cmp.Or(oneKind(text+" spring"), oneKind(text+" screw"))
	}
	return class, hand
}

// oneKind is the one class of a trade word whose measures have an order.
func oneKind(text string) string {
	if of, ok := words.ClassOf(text); ok && len(of) == 1 && dim.Order(of[0]) != nil {
		return of[0]
	}
	return ""
}

// startsThread tells whether words start with a thread by name: M2, 10BA, 0-80,
// or a form and its size.
func startsThread(typed []string) bool {
	if _, ok := thread.ParseForm(typed[0]); ok {
		return len(typed) > 1 && (isMeasure(typed[1]) || isThread(typed[1]))
	}
	return isThread(typed[0])
}

// isThread tells whether one word is a thread and more than a number.
func isThread(word string) bool {
	_, err := thread.Parse(word)
	return err == nil && !line.IsNumber(word)
}

// An ordered query takes measures in the order of its kind.
type ordered struct {
	q    *ask.Query
	left []dim.Field // measures that may still come
}

// take reads the measure or word at the head of typed and says how many words
// it took.
func (o *ordered) take(typed []string) (int, error) {
	text := typed[0]
	if len(o.left) > 0 && o.left[0] == dim.Hand && o.q.Marks[dim.Hand] != "" && text != "_" && !handWord(text) {
		o.left = o.left[1:] // it was told before
	}
	switch {
	case text == "_" || isMeasure(text):
	case len(o.left) > 0 && o.left[0] == dim.Thread && startsThread(typed):
	case len(o.left) > 0 && o.left[0] == dim.Hand && handWord(text):
	default:
		return 1, o.word(text)
	}
	if len(o.left) == 0 {
		class := o.q.Class[0]
		return 0, line.Usagef("%s is one measure too many: %s", text, orderWords(class))
	}
	if n, err := o.size(text); n > 0 || err != nil {
		return n, err
	}
	f := o.left[0]
	o.left = o.left[1:]
	switch {
	case text == "_" && f == dim.Thread && len(typed) > 1 && typed[1] == "_":
		return 2, nil // diameter and pitch, both skipped
	case text == "_":
		return 1, nil
	case f == dim.Thread:
		return o.thread(typed)
	case f == dim.Hand && !handWord(text):
		return 0, line.Usagef("%s stands where the hand is told: write left, right or _; %s", text, orderWords(o.q.Class[0]))
	}
	return 1, measureTo(o.q, dim.Of(f), text)
}

// size reads a width and a length as one, 57x34, of what has both and no thread.
func (o *ordered) size(text string) (int, error) {
	if _, _, is := dim.CutSize(text); !is || slices.Contains(o.left, dim.Thread) || !slices.Contains(o.left, dim.Width) || !slices.Contains(o.left, dim.Length) {
		return 0, nil
	}
	w, l, err := dim.ParseSize(text)
	if err != nil {
		return 0, line.AsUsage(err)
	}
	o.q.Dims[dim.Width], o.q.Dims[dim.Length] = ask.Range{Want: w}, ask.Range{Want: l}
	o.left = slices.DeleteFunc(o.left, func(f dim.Field) bool { return f == dim.Width || f == dim.Length })
	return 1, nil
}

// thread reads a diameter and a pitch, 1.7 .35, or both as one, 1.7x0.35, or a
// thread by name: metric 1.7 .35, M2, 10 BA, 0-80.
func (o *ordered) thread(typed []string) (int, error) {
	form, isForm := thread.ParseForm(typed[0])
	measures := func(from int) bool { return len(typed) > from+1 && isMeasure(typed[from]) && isMeasure(typed[from+1]) }
	pair := func(from int) string { return bareMM(typed[from]) + "x" + bareMM(typed[from+1]) }
	switch {
	case isForm && (form == thread.Metric || form == thread.Loewenherz) && measures(1) && !isThread(typed[1]):
		return 3, threadTo(o.q, form+" "+pair(1))
	case isForm:
		return 2, threadTo(o.q, typed[0]+" "+typed[1])
	case isThread(typed[0]):
		return 1, threadTo(o.q, typed[0])
	case measures(0):
		return 2, threadTo(o.q, pair(0))
	case len(typed) > 1 && isThread(typed[0]+typed[1]):
		return 2, threadTo(o.q, typed[0]+" "+typed[1])
	}
	return 0, line.Usagef("%s is the diameter of a thread and wants its pitch behind it: %s", typed[0], orderWords(o.q.Class[0]))
}

// bareMM is a length in millimetres without its unit: .067in is 1.702.
func bareMM(text string) string {
	if line.IsNumber(text) {
		return text
	}
	n, ok := length(text)
	if !ok {
		return text
	}
	return dim.Format(dim.Length, n)
}

// word narrows the kind by a trade word below it, the thread by its form or
// hand, or keeps a word to look for.
func (o *ordered) word(text string) error {
	class, ok := words.ClassOf(text)
	if ok && len(class) == 1 && words.Under(class[0], o.q.Class[0]) {
		o.q.Class = class
		return nil
	}
	if t := o.q.Marks[dim.Thread]; t != "" {
		size, unknown := strings.CutPrefix(t, thread.Unknown+" ")
		_, isForm := thread.ParseForm(text)
		switch {
		case unknown && isForm:
			return threadTo(o.q, text+" "+size)
		case handWord(text):
			_, hand, _ := dim.Parse(dim.Hand, "", text)
			return threadTo(o.q, t+" "+hand)
		}
	}
	o.q.Words = append(o.q.Words, text)
	return nil
}

// loose looks for one length that is told without its kind: by every measure
// that parts are looked up by. Without a unit it is refused, for .014 may be
// millimetres or inches.
func loose(v *store.View, q ask.Query, text string) (ask.Found, error) {
	found := ask.Found{Parts: []ask.FoundPart{}}
	if line.IsNumber(text) {
		inch, _, err := dim.Parse(dim.Length, "", text+"in")
		if err != nil {
			return found, line.AsUsage(err)
		}
		return found, line.Usagef("%s alone may be %s mm or %sin, which is %s mm: write the unit, and what it is of: find --wire %sin, find csk 1.7 .35",
			text, text, text, dim.Format(dim.Length, inch), text)
	}
	return ask.FindByAny(v, q, func(q *ask.Query, in dim.Info) bool { return measureTo(q, in, text) == nil })
}

// isMeasure tells whether a word is a number, perhaps with its unit, or a thread
// of two numbers.
func isMeasure(w string) bool {
	w = strings.ToLower(w)
	if major, pitch, ok := strings.Cut(strings.ReplaceAll(w, "×", "x"), "x"); ok {
		return line.IsNumber(major) && line.IsNumber(pitch)
	}
	for _, unit := range lengthUnits {
		w = strings.TrimSuffix(w, unit)
	}
	return isBare(w)
}

// handWord tells whether a word names a hand.
func handWord(w string) bool {
	_, _, err := dim.Parse(dim.Hand, "", w)
	return err == nil
}

// orderWords says the order of a kind's measures: "a countersunk screw's
// measures are typed as thread diameter, pitch, length, head".
func orderWords(class string) string {
	return fmt.Sprintf("the measures of a %s are typed as %s", words.ClassName(class), orderOf(class))
}

func orderOf(class string) string {
	var out []string
	for _, f := range dim.Order(class) {
		if f == dim.Thread {
			out = append(out, "thread diameter", "pitch")
			continue
		}
		out = append(out, dim.Of(f).Name())
	}
	return strings.Join(out, ", ")
}

// measuresPage is what `help measures` prints: the order of each kind.
func measuresPage(env Env) error {
	var b strings.Builder
	b.WriteString("Measures may be typed behind the trade word of a kind, in this order; _ skips:\n")
	b.WriteString("`tinful find torsion .20 2 3 left 5`, `tinful find csk 1.7 .35 3 2.9`.\n")
	t := &tell.Table{Wide: env.Width}
	for _, class := range words.Classes() {
		if slices.Contains(dim.Ordered(), class) {
			t.Row(words.ClassName(class), orderOf(class))
		}
	}
	t.Section(&b, "In order")
	b.WriteString("\nA bare number is millimetres; .014in, 1/4in and 26thou are inches. Any measure\n" +
		"has a flag as well (`tinful help find`). --tool says what it was read with:\n" + strings.Join(dim.Tools, ", ") + ".\n" +
		"\nThe same within, and worth a look within:\n")
	t = &tell.Table{Wide: env.Width}
	for _, in := range dim.Table() {
		if in.Kind != dim.KindWord && in.NearPlus != 0 {
			t.Row("  "+in.Name(), tolerance(in))
		}
	}
	if err := t.Print(&b); err != nil {
		return err
	}
	_, err := fmt.Fprint(env.Stdout, b.String())
	return err
}

// tolerance is a line of the table of tolerances: "0.01 mm, 0.02 mm".
func tolerance(in dim.Info) string {
	say := func(minus, plus int64) string {
		less, more := dim.Format(in.Field, minus), dim.Format(in.Field, plus)
		switch {
		case plus == dim.Any:
			return "-" + less + ", longer by any amount"
		case minus == plus:
			return strings.TrimSpace("±" + less + " " + in.Unit)
		}
		return strings.TrimSpace("-" + less + " +" + more + " " + in.Unit)
	}
	return say(in.Same, in.SamePlus) + "; " + say(in.NearMinus, in.NearPlus)
}
