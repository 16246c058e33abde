package commands

import (
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
)

// note keeps a remark on a thing, lists what was remarked on one, or finds remarks.
func note(c *call) error {
	args := c.Args()
	if words := c.String("find"); words != "" {
		return findNotes(c, append([]string{words}, args...))
	}
	switch len(args) {
	case 0:
		return line.Usagef("note what? tinful note 105 and the words, or --find and some of them")
	case 1:
		return notesOn(c, args[0])
	}
	text, err := store.CleanText(strings.Join(args[1:], " "))
	if err != nil {
		return line.AsUsage(err)
	}
	var r store.Remark
	res, err := c.book(false, func(t *store.Tx) error {
		ref, err := c.thing(&t.View, args[0], "part", "bag", "donor", "job", "place")
		if err == nil {
			r, err = t.Remark(ref, text)
		}
		return err
	})
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"note": tell.RemarkAnswer(r)}))
	}
	c.Println(strings.Join(tell.WithUndo([]string{string(r.Code) + "   noted"}, res), "\n"))
	return nil
}

func notesOn(c *call, token string) error {
	var list []store.Remark
	err := c.view(func(v *store.View) error {
		ref, err := c.thing(v, token, "part", "bag", "donor", "job", "place")
		if err == nil {
			list, err = v.NotesOf(ref.Kind, ref.Code)
		}
		return err
	})
	if err != nil {
		return err
	}
	return toldNotes(c, list, "nothing is noted on "+token)
}

// findNotes lists the remarks with some words.
func findNotes(c *call, words []string) error {
	var list []store.Remark
	err := c.view(func(v *store.View) (err error) {
		list, err = v.RemarksWith(words)
		return err
	})
	if err != nil {
		return err
	}
	return toldNotes(c, list, "no remark has these words")
}

// toldNotes prints remarks; their things can be taken up by number.
func toldNotes(c *call, list []store.Remark, none string) error {
	var answer []string
	for _, r := range list {
		answer = append(answer, r.Kind+":"+string(r.Code))
	}
	c.keepAnswer(answer)
	if c.JSON() {
		return c.PrintJSON(map[string]any{"notes": tell.RemarkAnswers(list)})
	}
	if len(list) == 0 {
		c.Println(none)
		return nil
	}
	tell.Remarks(c.Screen, list)
	return nil
}
