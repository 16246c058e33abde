package commands

import (
	"fmt"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func want(c *call) error {
	if c.IsSet("model") && c.IsSet("job") {
		return line.Usagef("--model and --job say two things: a job has its model")
	}
	if c.Bool("met") && c.IsSet("instead") {
		return line.Usagef("--met and --instead say two things: the part came, or it was done without")
	}
	inHand := ""
	if !c.IsSet("model") && !c.Bool("met") {
		var err error
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	var p store.Part
	var done []store.Want
	var since code.Day
	res, err := c.books(func(l *lookup, t *store.Tx) {
		p = l.part(c.Args()...)
		w := store.Want{Date: t.Day(), Part: p.Code, Note: c.String("note"), Instead: c.String("instead"), Model: l.flag("model")}
		if w.Model == "" {
			j := l.job(inHand)
			w.Model, w.Job = j.Model, j.Code
		}
		if c.Bool("met") || w.Instead != "" {
			done = got(l, t.SettleWants, w)
			return
		}
		if l.Err == nil {
			since, l.Err = t.WantedSince(p.Code, w.Job)
		}
		done = got(l, t.NoteWant, w)
	})
	if err != nil {
		return err
	}
	if since != 0 {
		c.Notef("%s is wanted for job %s since %s already, and stands twice now: undo takes this one back", p.Code, done[0].Job, since)
	}
	return toldWants(c, res, p, done)
}

func toldWants(c *call, res store.Result, p store.Part, done []store.Want) error {
	if c.JSON() {
		wants := tell.Each(done, tell.WantAnswer)
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"part": p.Code, "wants": wants}))
	}
	var lines []string
	for _, w := range done {
		text := "wanted"
		switch {
		case w.Instead != "":
			text = fmt.Sprintf("wanted on %s, done instead: %s ", w.Date, w.Instead)
		case w.Met != 0:
			text = fmt.Sprintf("wanted on %s, met", w.Date)
		}
		lines = append(lines, strings.TrimSpace(fmt.Sprintf("%s %s   %s %s", p.Code, p.Called(), text, tell.WantFor(w))))
	}
	c.Println(strings.Join(tell.WithUndo(lines, res), "\n"))
	return nil
}

// wantWords are the words that a want must have: the code of a part or model, however
// it is typed, and :2 are the code as it is recorded.
func wantWords(c *call, v *store.View) ([]string, error) {
	sought, err := c.answerLines(c.Args())
	for i, word := range sought {
		if refs := v.Resolve(word, "part", "model"); line.IsCode(word) && len(refs) == 1 {
			sought[i] = string(refs[0].Code)
		}
	}
	return sought, err
}

func wants(c *call) error {
	if c.Bool("open") && c.Bool("all") {
		return line.Usagef("--open and --all say two things: write one")
	}
	file := c.String("output")
	return c.view(func(v *store.View) error {
		s := newShelf(v)
		list, t := []store.Want{}, c.WideTable("day", "part", "", "for", "")
		sought, err := wantWords(c, v)
		if err != nil {
			return err
		}
		finder := ask.NewWantFinder(v, sought)
		err = v.EachWant(func(w store.Want) error {
			asked := w.Met == 0 || c.Bool("all")
			if len(sought) > 0 {
				asked = finder.Has(w) && (w.Met == 0 || !c.Bool("open"))
			}
			if asked {
				list = append(list, w)
				t.Row(tell.WantRow(s.name, w)...)
			}
			return nil
		})
		switch {
		case err != nil:
			return err
		case file != "" && len(list) == 0:
			return refusef("nothing is wanted: there is no list to write")
		case file != "":
			return wantedList(c, v, list)
		case c.JSON():
			return c.PrintJSON(map[string]any{"wants": tell.Each(list, tell.WantAnswer)})
		case len(list) == 0:
			c.Println("nothing is wanted")
		}
		c.Show(t)
		return nil
	})
}
