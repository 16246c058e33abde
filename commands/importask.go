package commands

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	sheet "tinful/import"
	"tinful/store/words"
)

// asksMap says that a list with headings of its own is asked through: on a terminal,
// where nothing on the line says how it is read.
func asksMap(c *call, file string, err error) bool {
	e, ok := errors.AsType[*sheet.Error](err)
	return ok && e.Kind == sheet.Unmapped && c.env.Terminal && !c.JSON() && file == c.Args()[0] && len(c.SetOf(append(mapFlags, "as-count")...)) == 0
}

// askMap asks column by column what a list holds, keeps the answers as a map file
// beside it, and has the list read by that. why is why it was not read.
func askMap(c *call, file string, why error) error {
	kept := strings.TrimSuffix(file, filepath.Ext(file)) + ".map"
	if err := sheet.MayWriteMap(kept); err != nil {
		c.Notef("%s stands there already, and is not written over: tinful import %s --map-file %s reads the list by it", kept, file, kept)
		return why
	}
	m := &sheet.Mapping{Dates: strings.ToLower(c.String("dates"))}
	s, err := suggested(c, file, m)
	if err != nil {
		return why
	}
	c.Notef("%s has headings of its own. Enter takes what is proposed, - leaves a column out; Ctrl-C ends it, and nothing is booked", filepath.Base(file))
	if s, err = askKind(c, file, m, s); err != nil {
		return err
	}
	if s.Sheet != "" {
		c.Notef("the headings are those of sheet %s, row %d", s.Sheet, s.HeaderRow)
	}
	for _, r := range s.Remarks {
		c.Notef("%s", r)
	}
	for i := range s.Columns {
		if err := askColumn(c, s, i); err != nil {
			return err
		}
	}
	if err := sheet.WriteFile(kept, []byte(s.String()), false); err != nil {
		return err
	}
	c.Notef("kept as %s: tinful import %s --map-file %s reads it so again", kept, file, kept)
	c.Set("map-file", kept)
	return nil
}

// askKind asks what the rows of a list are.
func askKind(c *call, file string, m *sheet.Mapping, s *sheet.Suggested) (*sheet.Suggested, error) {
	text := fmt.Sprintf("its rows are %s, taken by Enter, or parts, bags, donors, jobs, seen, places, models?", s.As)
	_, err := askThrough(c, text, func(answer string) error {
		own := *m
		own.As = answer
		other, err := suggested(c, file, &own)
		if err == nil {
			s = other
		}
		return err
	})
	return s, err
}

// askColumn asks for the column that a heading stands for, of which three cells are
// shown. What cannot be read three times is left out, which is said.
func askColumn(c *call, s *sheet.Suggested, i int) error {
	col := &s.Columns[i]
	cells := strings.Join(col.Cells, ", ")
	if cells == "" {
		cells = "nothing"
	}
	proposed := col.Column
	if proposed == "-" {
		proposed = "leave it out"
	}
	text := fmt.Sprintf("%d/%d %s, with %s: %s?", i+1, len(s.Columns), words.Shown(col.Heading), words.Shown(cells), proposed)
	wrong := false
	answered, err := askThrough(c, text, func(answer string) error {
		wrong = true
		err := s.Say(i, answer)
		wrong = err != nil
		return err
	})
	if err == nil && !answered && wrong {
		return s.Say(i, "-")
	}
	return err
}

// askThrough is askFor of questions one after the other: the end of the input ends
// them, where an empty line takes what is proposed.
func askThrough(c *call, text string, read func(string) error) (answered bool, err error) {
	return askBy(c, func(text string) (string, error) {
		if c.env.Ask != nil {
			return c.ask(text)
		}
		answer, err := askLine(c, text)
		if errors.Is(err, io.EOF) {
			err = errStopped{}
		}
		return answer, err
	}, text, read)
}
