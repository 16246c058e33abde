package commands

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A typing is a camera taken apart at the terminal: a line as each thing comes off,
// kept at once, and booked together.
type typing struct {
	*call
	s     *stripping
	sub   ask.Subject
	g     ask.Guide
	so    store.Jotted // what is typed so far
	asked []code.Code  // parts of which it was asked what they are
	next  string       // the part that was last named as next
}

const typedHelp = `one line as a thing comes off: 2 p21; p34 off, left-hand; under p42 0.30; missing p29; ` +
	`back takes the last line back, ? lists what is left, stop goes on another day, done is all`

func typeStrip(c *call, s *stripping, sub ask.Subject, g ask.Guide) error {
	t := &typing{call: c, s: s, sub: sub, g: g}
	if err := t.jot(store.Jotting{}); err != nil {
		return err
	}
	c.Println(tell.GuideTitle(sub, g))
	c.Println(tell.Hang(typedHelp, c.Columns(), 2))
	if len(t.so.Steps)+len(t.so.Seen) > 0 {
		t.show("typed before, not booked yet: ")
	}
	for {
		t.sayNext()
		text, err := askLine(c, fmt.Sprintf("step %d:", t.number()+1))
		if errors.Is(err, io.EOF) {
			if len(t.so.Steps)+len(t.so.Seen) > 0 {
				c.Notef("what was typed is kept and not booked yet: tinful strip %s goes on", sub.Ref.Code)
			}
			return nil
		}
		if err != nil {
			return err
		}
		word, rest, _ := strings.Cut(text, " ")
		switch word = strings.ToLower(word); {
		case text == "" || text == "?":
			t.list(text == "?")
		case word == "stop" || text == "q":
			return t.stop(strings.TrimSpace(rest))
		case strings.EqualFold(text, "done"):
			return t.done()
		default:
			t.line(text)
		}
	}
}

// jot has a line kept, or the last one taken back.
func (t *typing) jot(j store.Jotting) error {
	j.On, j.Grade, j.Anyway = t.sub.Ref, t.s.grade, t.Bool("anyway")
	return t.keeping(func(s *store.Store, h store.Head) error {
		so, err := s.Jot(h, j)
		if err == nil && len(so.Problems) == 0 {
			t.so = so
		}
		for _, p := range so.Problems {
			err = errors.Join(err, fmt.Errorf("%q: %s", p.Value, p.Text))
		}
		return err
	})
}

// line keeps a line and shows it as a step. What it means is asked where its words
// name several parts, or none.
func (t *typing) line(text string) {
	j := store.Jotting{Line: strings.Join(strings.Fields(text), " ")}
	if lower := strings.ToLower(j.Line); lower == "back" || lower == "undo" {
		j = store.Jotting{Back: true}
	}
	err := t.jot(j)
	for range mostAsked {
		if err == nil || !t.meant(&j, err) {
			break
		}
		err = t.jot(j)
	}
	if err != nil {
		t.Warnf("%v", err)
		return
	}
	if j.Back {
		t.Printf("taken back: %s\n", t.so.Back)
		return
	}
	t.show("")
	t.absentPhotos()
	t.unsaid()
}

// absentPhotos names the pictures of the last step that are not there.
func (t *typing) absentPhotos() {
	if !t.so.In || len(t.so.Steps) == 0 {
		return
	}
	for _, name := range t.so.Steps[len(t.so.Steps)-1].Pictures {
		if _, err := os.Stat(name); err != nil && !store.IsKeptName(name) {
			for _, text := range ask.OnlyNew(t.s.said, []string{absentPhoto(t.s.camera, name)}) {
				t.Warnf("%s", text)
			}
		}
	}
}

// meant asks what a line means of which the store does not know it, and tells whether
// it was said.
func (t *typing) meant(j *store.Jotting, err error) bool {
	if several, ok := errors.AsType[*store.ChoiceError](err); ok {
		slices.SortStableFunc(several.Rows, func(a, b store.Choice) int { return cmp.Compare(t.absent(a.Code), t.absent(b.Code)) })
		_ = t.offer(listed(t.call, nil, nil, err))
		answer, err := t.ask(fmt.Sprintf("which, :1 to :%d, Enter for none of them?", len(several.Rows)))
		n, nerr := strconv.Atoi(strings.TrimPrefix(answer, ":"))
		if err != nil || nerr != nil || n < 1 || n > len(several.Rows) {
			return false
		}
		j.Chosen = append(j.Chosen, several.Rows[n-1].Code)
		return true
	}
	none, ok := errors.AsType[*store.UnknownError](err)
	if !ok || j.Called || len(none.Others) > 0 || strings.ContainsAny(none.Name, "0123456789") {
		return false
	}
	answer, aerr := t.ask(fmt.Sprintf("no part is called %q: what is it? its code or other words, or Enter to keep it in the step alone, as no stock:", none.Name))
	if j.Called = answer == ""; answer != "" {
		j.Line = strings.Replace(j.Line, none.Name, answer, 1)
	}
	return aerr == nil
}

// absent is 1 for a part that the camera is not said to hold, else 0: what it holds is
// listed first.
func (t *typing) absent(part code.Code) int {
	if t.g.Holds(part) {
		return 0
	}
	return 1
}

// unsaid asks what a part is that came off and that the camera is not said to hold.
func (t *typing) unsaid() {
	if !t.so.In || len(t.so.Steps) == 0 {
		return
	}
	for _, o := range t.so.Steps[len(t.so.Steps)-1].Off {
		if o.Part == "" || t.g.Holds(o.Part) || slices.Contains(t.asked, o.Part) {
			continue
		}
		t.asked = append(t.asked, o.Part)
		k, err := t.key(fmt.Sprintf("%s %s is not said to go into %s: (r)eplaced by somebody, or Enter where it belongs there:", o.Part, t.so.Parts[o.Part].Called(), t.g.Model), "r\r")
		if err == nil && k == 'r' {
			t.line("replaced " + string(o.Part))
		}
	}
}

// number is that of the last step.
func (t *typing) number() uint64 {
	if n := len(t.so.Steps); n > 0 {
		return t.so.Steps[n-1].Nth
	}
	return t.g.Booked
}

// show prints the last step, or what was found before the first one, and what is to be
// minded of it.
func (t *typing) show(head string) {
	n := len(t.so.Steps)
	if n == 0 || !t.so.In {
		text := "found:"
		for _, s := range t.so.Seen {
			text += fmt.Sprintf(" %s %s,", s.Part, s.Seen)
		}
		t.Println(head + strings.TrimSuffix(text, ","))
	}
	if n > 0 {
		step := t.so.Steps[n-1]
		t.Println(tell.Hang(fmt.Sprintf("%sstep %d %s", head, step.Nth, ask.StepWords(step, t.so.Parts)), t.Columns(), 4))
		for _, o := range step.Off {
			t.Cautions(ask.OnlyNew(t.s.said, ask.Cautions(t.so.Parts[o.Part], store.Model{})))
		}
	}
	for _, text := range ask.OnlyNew(t.s.said, t.so.Marked) {
		t.Warnf("%s", text)
	}
}

// sayNext names the part that comes off next by the list, when it is another one, with
// what to beware of before.
func (t *typing) sayNext() {
	left := t.g.Left(t.so)
	if len(left) == 0 || string(left[0].Part) == t.next {
		return
	}
	t.next = string(left[0].Part)
	t.Cautions(ask.OnlyNew(t.s.said, left[0].Cautions))
	t.GuideLine("next: ", left[0])
}

// list prints what should be in there still: the next of it, or all.
func (t *typing) list(all bool) {
	if t.next = ""; !all {
		return
	}
	for _, l := range t.g.Left(t.so) {
		t.GuideLine("  ", l)
	}
}

// stop books what was typed; what comes next is kept with the last step.
func (t *typing) stop(next string) error {
	if next != "" && len(t.so.Steps) > 0 {
		if err := t.jot(store.Jotting{Line: "stop " + next}); err != nil {
			return err
		}
	}
	if len(t.so.Steps)+len(t.so.Seen) == 0 {
		t.Println("nothing came off")
		return nil
	}
	return bookStrip(t.call, t.s)
}

// done asks what became of the parts that have not come off, and books all.
func (t *typing) done() error {
	if left := t.g.Left(t.so); len(left) > 0 {
		t.Println(tell.Hang(fmt.Sprintf("%s not off: (p)resent, left in, (m)issing (d)amaged (r)eplaced (s)tuck, Enter not looked at, (q) no more",
			tell.Many(len(left), "part")), t.Columns(), 2))
		err := askSeen(t.call, left, func(word string, part code.Code) error {
			return t.jot(store.Jotting{Line: fmt.Sprintf("%s %s", word, part), Ahead: true})
		})
		if err != nil {
			return err
		}
	}
	t.s.done = true
	return bookStrip(t.call, t.s)
}
