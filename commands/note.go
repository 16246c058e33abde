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
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if ref := l.thing(args[0], "part", "bag", "donor", "job", "place"); l.Err == nil {
			r, l.Err = t.Remark(ref, text)
		}
	})
	if err != nil {
		return err
	}
	return c.Answer(catalogueAnswer(res, map[string]any{"note": tell.RemarkAnswer(r)}), func() {
		c.Println(strings.Join(tell.WithUndo([]string{string(r.Code) + "   noted"}, res), "\n"))
	})
}

func notesOn(c *call, token string) error {
	return toldNotes(c, "nothing is noted on "+token, func(l *lookup) (list []store.Remark) {
		if ref := l.thing(token, "part", "bag", "donor", "job", "place"); l.Err == nil {
			list, l.Err = l.NotesOf(ref.Kind, ref.Code)
		}
		return list
	})
}

// findNotes lists the remarks with some words.
func findNotes(c *call, words []string) error {
	return toldNotes(c, "no remark has these words", func(l *lookup) []store.Remark { return got(l, l.RemarksWith, words) })
}

// toldNotes prints remarks; their things can be taken up by number.
func toldNotes(c *call, none string, read func(*lookup) []store.Remark) error {
	var list []store.Remark
	if err := c.looks(func(l *lookup) { list = read(l) }); err != nil {
		return err
	}
	c.keepAnswer(tell.Each(list, func(r store.Remark) string { return r.Kind + ":" + string(r.Code) }))
	return c.Answer(map[string]any{"notes": tell.Each(list, tell.RemarkAnswer)}, func() {
		if len(list) == 0 {
			c.Println(none)
			return
		}
		tell.Remarks(c.Screen, list)
	})
}
