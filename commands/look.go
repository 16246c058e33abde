package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A looking is a line of look.
type looking struct {
	camera string
	words  [][]string // one group a part, its word first
	file   string
}

func look(c *call) error {
	typed, err := readLook(c)
	if err != nil {
		return err
	}
	if typed.file != "" || len(typed.words) > 0 || c.IsSet("history") && !c.IsSet("sheet") {
		return bookLook(c, typed)
	}
	var s ask.Subject
	var g ask.Guide
	err = c.looks(func(l *lookup) {
		s = subject(l, typed.camera)
		g = asked(l, ask.Checklist, s)
	})
	switch {
	case err != nil:
		return err
	case c.IsSet("sheet"):
		return writeLook(c, s, g)
	case c.env.Terminal && !c.JSON():
		return askLook(c, s, g)
	}
	return printChecklist(c, s, g)
}

// subject is the camera that a token names.
func subject(l *lookup, token string) ask.Subject {
	return asked(l, ask.SubjectOf, l.thing(token, "donor", "job"))
}

// readLook reads the line: which camera, and what was seen of which parts.
func readLook(c *call) (*looking, error) {
	args := c.Args()
	l := &looking{camera: args[0], file: c.String("file")}
	switch {
	case c.IsSet("sheet") && c.IsSet("file"):
		return nil, line.Usagef("--sheet writes a list and --file takes one in: not both")
	case (c.IsSet("sheet") || c.IsSet("file")) && len(args) > 1:
		return nil, line.Usagef("a file and words say two things: write one")
	}
	if _, err := flagWord(c, "history", store.Histories); err != nil {
		return nil, err
	}
	word, parts := "", 0 // parts are those that follow the word
	var name []string
	flush := func() {
		if len(name) > 0 {
			l.words = append(l.words, append([]string{word}, name...))
			name = nil
			parts++
		}
	}
	for _, arg := range args[1:] {
		for i, piece := range strings.Split(arg, ",") {
			if i > 0 {
				flush()
			}
			switch lower := strings.ToLower(piece); {
			case piece == "":
			case slices.Contains(store.SeenWords, lower):
				flush()
				if word != "" && parts == 0 {
					return nil, noParts(args[0], word)
				}
				word, parts = lower, 0
			case word == "":
				return nil, line.Usagef("%q: say first how it is seen: %s", piece, strings.Join(store.SeenWords, ", "))
			case line.IsCode(piece) && len(name) == 0:
				l.words = append(l.words, []string{word, piece})
				parts++
			default:
				name = append(name, piece)
			}
		}
	}
	flush()
	if word != "" && parts == 0 {
		return nil, noParts(args[0], word)
	}
	return l, nil
}

func noParts(camera, word string) error {
	return line.Usagef("which parts are %s? tinful look %s %s p5", word, camera, word)
}

// bookLook books what was seen.
func bookLook(c *call, typed *looking) error {
	var s ask.Subject
	var out ask.Looked
	var flaws []store.Problem
	res, err := c.books(func(l *lookup, t *store.Tx) {
		s = subject(l, typed.camera)
		seen := seenOf(l, typed)
		if typed.file != "" && l.Err == nil {
			if seen, flaws, l.Err = seenIn(t, typed.file, s); len(flaws) > 0 {
				l.Keep(errStop)
			}
		}
		looked := got(l, t.Look, store.Looking{On: s.Ref, Seen: seen, Note: c.String("note"), History: c.String("history"), Anyway: c.Bool("anyway")})
		if l.Err == nil {
			out, l.Err = ask.LookedOn(l.View, s.Ref, looked)
		}
	})
	if errors.Is(err, errStop) {
		return refuseRows(c, flaws)
	}
	if err != nil {
		return err
	}
	return c.Answer(catalogueAnswer(res, map[string]any{s.Ref.Kind: s.Ref.Code, "seen": tell.SeenAnswers(out.Now)}), func() {
		tell.Looked(c.Screen, res, out)
	})
}

// refuseRows names what cannot be read in a file.
func refuseRows(c *call, flaws []store.Problem) error {
	if c.JSON() {
		if err := c.PrintJSON(map[string]any{"problems": flaws, "applied": false}); err != nil {
			return err
		}
	} else {
		for _, p := range flaws {
			c.Warnf("%s, %s: %q: %s", p.Sheet, p.Cell, p.Value, p.Problem)
		}
	}
	return fmt.Errorf("%s cannot be taken in, nothing is booked: %w", tell.Many(len(flaws), "line"), store.ErrBadInput)
}

// seenOf reads the parts of the line.
func seenOf(l *lookup, typed *looking) (out []store.Seen) {
	for _, group := range typed.words {
		p := l.part(group[1:]...)
		if i := slices.IndexFunc(out, func(x store.Seen) bool { return x.Part == p.Code }); i >= 0 && out[i].Seen != group[0] {
			l.Keep(line.Usagef("%s is said to be %s and %s: which?", p.Code, out[i].Seen, group[0]))
		}
		out = append(out, store.Seen{Part: p.Code, Seen: group[0]})
	}
	return out
}

// seenIn reads a filled sheet, and what is wrong in it.
func seenIn(t *store.Tx, file string, s ask.Subject) (out []store.Seen, flaws []store.Problem, err error) {
	rows, err := sheet.ReadLook(file, s.Ref.Kind)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range rows {
		bad := func(value, format string, args ...any) {
			flaws = append(flaws, store.Problem{Sheet: file, Cell: fmt.Sprintf("row %d", r.Row), Value: value, Problem: fmt.Sprintf(format, args...)})
		}
		x := store.Seen{Seen: strings.ToLower(r.Seen), Note: r.Note}
		parts := t.Resolve(r.Part, "part")
		switch {
		case r.Camera != "" && !slices.Contains(t.Resolve(r.Camera, s.Ref.Kind), s.Ref):
			bad(r.Camera, "this sheet is of another camera: %s was named", s.Ref.Code)
			continue
		case len(parts) != 1:
			bad(r.Part, "no part is called so")
			continue
		case !slices.Contains(store.SeenWords, x.Seen):
			bad(r.Seen, "write one of %s", strings.Join(store.SeenWords, ", "))
			continue
		}
		x.Part = parts[0].Code
		out = append(out, x)
	}
	if len(rows) == 0 {
		return nil, nil, refusef("%s says nothing of any part: nothing is filled in under Seen", file)
	}
	return out, flaws, nil
}

// often says how often a part was missing.
func often(l ask.GuideLine) string {
	if l.Looked == 0 {
		return ""
	}
	return fmt.Sprintf("missing in %d of %d", l.Missing, l.Looked)
}

func printChecklist(c *call, s ask.Subject, g ask.Guide) error {
	return c.Answer(tell.Known(map[string]any{s.Ref.Kind: s.Ref.Code, "model": g.Model, "history": s.History, "checklist": g.Lines}), func() {
		c.Printf("%s  %s, %s: not looked at yet\n", s.Ref.Code, g.Model, s.History)
		t := c.WideTable()
		for _, l := range g.Lines {
			t.Row(string(l.Part), l.Called(), l.Seat, often(l))
		}
		if len(g.Lines) == 0 {
			c.Println("nothing is left, or no part is said to go into this model")
		}
		c.Show(t)
	})
}

func writeLook(c *call, s ask.Subject, g ask.Guide) error {
	rows := tell.Each(g.Lines, func(l ask.GuideLine) sheet.LookRow {
		return sheet.LookRow{Camera: string(s.Ref.Code), Part: string(l.Part), Name: l.Called(), Seat: l.Seat, Where: l.Where, Often: often(l)}
	})
	file := c.String("sheet")
	top := []string{"What is seen on " + tell.CameraWords(s),
		"on ______________   by ______________   Tick what is seen of each part; what is not looked at stays empty.", filledIn(lookBack(s, file))}
	if err := sheet.WriteLook(file, s.Ref.Kind, top, rows, c.Bool("replace")); err != nil {
		return err
	}
	return toldSheet(c, s, file, len(rows), "look")
}

// lookBack and stripBack are what takes a filled sheet back.
func lookBack(s ask.Subject, file string) string {
	return fmt.Sprintf("tinful look %s --file %s", s.Ref.Code, file)
}

func stripBack(s ask.Subject, file string) string {
	return fmt.Sprintf("tinful strip %s %s", s.Ref.Code, file)
}

// filledIn is the line of a sheet that says how it is taken back.
func filledIn(again string) string { return "Filled in here as well, " + again + " takes it back." }

// toldSheet says that a sheet was written, and how it is taken back.
func toldSheet(c *call, s ask.Subject, file string, rows int, command string) error {
	return c.Answer(map[string]any{s.Ref.Kind: s.Ref.Code, "file": file, "rows": rows}, func() {
		again := lookBack(s, file)
		if command == "strip" {
			again = stripBack(s, file)
		}
		c.Println(tell.Hang(fmt.Sprintf("%s written to %s: fill it in, then %s", tell.Many(rows, "part"), file, again), c.Wide, 2))
	})
}

// askLook asks for every part with one key and books what was answered, also when
// it is stopped.
func askLook(c *call, s ask.Subject, g ask.Guide) error {
	c.Println(tell.Hang(fmt.Sprintf("%s  %s, %s: (p)resent (m)issing (d)amaged (r)eplaced (s)tuck, Enter not looked at, (q)uit", s.Ref.Code, g.Model, s.History), c.Columns(), 2))
	l := &looking{camera: s.Ref.String()}
	err := askSeen(c, g.Lines, func(word string, part code.Code) error {
		l.words = append(l.words, []string{word, "part:" + string(part)})
		return nil
	})
	if err != nil {
		return err
	}
	if len(l.words) == 0 {
		c.Println("nothing was looked at")
		return nil
	}
	return bookLook(c, l)
}

// askSeen asks for parts with one key each until q, and hands each answer on.
func askSeen(c *call, lines []ask.GuideLine, answered func(word string, part code.Code) error) error {
	for i, line := range lines {
		question := fmt.Sprintf("%d/%d %s", i+1, len(lines), strings.Join(tell.Filled(string(line.Part)+" "+line.Called(), line.Seat, often(line)), ", "))
		k, err := c.key(question+":", "pmdrsq\r")
		if err != nil || k == 'q' || k == 0 {
			return err
		}
		if word := seenKey(k); word != "" {
			if err := answered(word, line.Part); err != nil {
				return err
			}
		}
	}
	return nil
}

// seenKey is the word of a key, empty for none.
func seenKey(k byte) string {
	for _, w := range store.SeenWords {
		if w[0] == k {
			return w
		}
	}
	return ""
}
