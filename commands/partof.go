package commands

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
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
	if perr := t.Print(c.Out); perr != nil {
		return perr
	}
	for _, text := range e.notes {
		c.Println(c.Warning(tell.Hang("look-alike: "+text, c.Columns(), 4)))
	}
	return err
}

// partOf reads arguments as one part: its code, a bag that holds it, a line of the
// last answer, or words of its name. What words led to is noted.
func (c *call) partOf(v *store.View, args []string) (store.Part, error) {
	if len(args) == 1 {
		token, err := c.answerLine(args[0])
		if err != nil {
			return store.Part{}, err
		}
		if len(v.Resolve(token, "part", "bag")) > 0 {
			ref, err := c.thing(v, token, "part", "bag")
			if err != nil {
				return store.Part{}, err
			}
			return partAt(v, ref)
		}
	}
	text := strings.Join(args, " ")
	found := partsByWords(v, text)
	switch len(found) {
	case 0:
		return store.Part{}, absent(v, text, text, []string{"part"})
	case 1:
		p, err := v.Part(found[0])
		if err == nil {
			c.Notef("%s %s", p.Code, p.Name)
		}
		return p, err
	}
	return store.Part{}, severalParts(v, args, found)
}

// partAt is a part, or the part of a bag.
func partAt(v *store.View, ref store.Ref) (store.Part, error) {
	if ref.Kind == "part" {
		return v.Part(ref.Code)
	}
	b, err := v.Bag(ref.Code)
	if err != nil {
		return store.Part{}, err
	}
	if b.Part == "" {
		return store.Part{}, refusef("%s is of no known part: name the part", b.Code)
	}
	return v.Part(b.Part)
}

// partsByWords lists the parts of exactly this name, else those that have all its
// words.
func partsByWords(v *store.View, text string) []code.Code {
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

func severalParts(v *store.View, asked []string, found []code.Code) error {
	e := &severalError{asked: asked,
		text: fmt.Sprintf("%q is the name of %d parts: say which, by its code or its line (:1)", strings.Join(asked, " "), len(found))}
	for _, part := range found {
		p, err := v.Part(part)
		if err != nil {
			return err
		}
		f, err := v.Figure(part)
		if err != nil {
			return err
		}
		name := p.Name
		if hand := p.Marks[dim.Hand]; hand != "" {
			name += ", " + hand
		}
		e.rows = append(e.rows, []string{string(p.Code), name, words.ClassName(p.Class), fmt.Sprintf("%d free", f.Free())})
		e.answer = append(e.answer, "part:"+string(p.Code))
	}
	return e
}
