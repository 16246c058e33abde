package commands

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/dim"
	"tinful/store/words"
)

// A severalError says that one of several things must be chosen, and lists them.
// Its Unwrap returns [store.ErrSeveral].
type severalError struct {
	text   string
	rows   [][]string
	answer []string // :1 is the first row
	notes  []string // what to beware of, below the rows
	asked  []string // the words that named several, as typed
	beware string   // why none of them will do as things stand, in a line of its own
}

func (e *severalError) Error() string { return strings.TrimSuffix(e.text+"\n"+e.beware, "\n") }
func (e *severalError) Unwrap() error { return store.ErrSeveral }

// offer prints the list of a severalError, numbered, and keeps it as the last
// answer. It returns the error it was given.
func (c *call) offer(err error) error {
	e, ok := err.(*severalError)
	if !ok {
		return err
	}
	c.keepAnswer(e.answer)
	if c.JSON() {
		return err
	}
	t := c.Table()
	for i, row := range e.rows {
		t.Row(append([]string{":" + strconv.Itoa(i+1)}, row...)...)
	}
	c.Show(t)
	for _, text := range e.notes {
		c.Println(c.Warning(tell.Hang("look-alike: "+text, c.Columns(), 4)))
	}
	return err
}

// listed makes a list to choose from of a choice that the store leaves open, with
// what the part of bags is easily taken for. Asked are the words as typed.
func listed(c *call, v *store.View, asked []string, err error) error {
	e, ok := errors.AsType[*store.ChoiceError](err)
	if !ok {
		return err
	}
	l := &severalError{asked: asked, text: err.Error()}
	if e.Closed != nil {
		l.beware = whatHelps(e.Closed).Error()
	}
	for _, r := range e.Rows {
		l.rows = append(l.rows, choiceRow(r))
		l.answer = append(l.answer, r.Ref.String())
	}
	if e.Rows[0].Kind == "part" {
		l.text += " or its line (:1)"
		return l
	}
	l.text += ", " + sayWhich(c, e)
	alike, err := ask.LooksLike(v, e.Rows[0].Part)
	if err != nil {
		return err
	}
	l.notes = store.Texts(alike)
	return l
}

// sayWhich is what to type for the first bag of a list.
func sayWhich(c *call, e *store.ChoiceError) string {
	example := c.Name + " :1"
	switch {
	case e.N > 0 && e.Rows[0].Bag.Unit == "mm":
		example += fmt.Sprintf(" %dmm", e.N)
	case e.N > 1:
		example += fmt.Sprintf(" %d", e.N)
	}
	if c.Has("any") {
		example += ", or --any"
	}
	return example
}

// choiceRow is one of several things that would do as cells of a table.
func choiceRow(r store.Choice) []string {
	if r.Kind == "bag" {
		return []string{string(r.Code), r.State.Grade, string(r.State.Place), strings.Join(tell.Filled(r.Words(), r.Bag.Looks, r.Bag.Note), "; ")}
	}
	name := r.Part.Name
	if hand := r.Part.Marks[dim.Hand]; hand != "" {
		name += ", " + hand
	}
	return []string{string(r.Code), name, words.ClassName(r.Part.Class), fmt.Sprintf("%d free", r.Free)}
}

// answerLines turns every :2 among tokens into what it stands for.
func (c *call) answerLines(tokens []string) ([]string, error) {
	out := make([]string, len(tokens))
	for i, t := range tokens {
		var err error
		if out[i], err = c.answerLine(t); err != nil {
			return nil, err
		}
	}
	return out, nil
}
