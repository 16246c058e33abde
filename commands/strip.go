package commands

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"tinful/commands/line"
	"tinful/commands/photo"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/notes"
)

// A stripping is a line of strip, and the notes it leads to.
type stripping struct {
	camera string
	file   string // empty: guided
	notes  string
	rows   []int // of a workbook: the row of each line of the notes
	grade  string
	done   bool
	said   map[string]bool // what to beware of, once
}

func strip(c *call) error {
	s, err := readStrip(c)
	if err != nil {
		return err
	}
	if s.file != "" {
		return bookStrip(c, s)
	}
	var sub ask.Subject
	var g ask.Guide
	err = c.looks(func(l *lookup) {
		sub = subject(l, s.camera)
		if like := like(l); l.Err == nil {
			g, l.Err = ask.StripGuide(l.View, sub, like)
		}
	})
	switch {
	case err != nil:
		return err
	case c.IsSet("sheet"):
		return writeStrip(c, sub, g)
	case c.env.Terminal && !c.JSON():
		return typeStrip(c, s, sub, g)
	case c.Bool("done"):
		return bookStrip(c, s)
	}
	return c.Answer(tell.GuideAnswer(sub, g), func() { tell.Guide(c.Screen, sub, g) })
}

// like is the camera of --like, which must have been taken apart.
func like(l *lookup) *store.Ref {
	token := l.String("like")
	if token == "" {
		return nil
	}
	ref := l.thing(token, "donor", "job")
	if l.Err != nil {
		return nil
	}
	all, err := l.StepsOf(ref.Kind, ref.Code)
	if err == nil && len(all) == 0 && (ref.Kind != "donor" || len(l.BagsFrom(string(ref.Code))) == 0) {
		err = refusef("no step of a strip-down of %s is kept, and no piece of it was booked: another camera, or none, can lead the way", ref.Code)
	}
	l.Err = err
	return &ref
}

// readStrip reads the line and the file.
func readStrip(c *call) (*stripping, error) {
	s := &stripping{camera: c.Args()[0], said: map[string]bool{}}
	if g := c.String("grade"); g != "" {
		var err error
		if s.grade, err = gradeWord(g); err != nil {
			return nil, err
		}
	}
	if len(c.Args()) == 1 {
		return s, nil
	}
	if c.IsSet("sheet") || c.IsSet("like") {
		return nil, line.Usagef("--sheet and --like are for a list without a file")
	}
	return s, readNotes(c, s, c.Args()[1])
}

// readNotes reads the notes: a workbook, a text, or standard input.
func readNotes(c *call, s *stripping, file string) (err error) {
	s.file = file
	note := ""
	switch ext := strings.ToLower(filepath.Ext(file)); {
	case file == "-":
		s.file = typedName
		s.notes, err = c.typedText()
	case ext == ".xlsx" || ext == ".csv":
		s.notes, s.rows, err = sheet.ReadStrip(file)
	default:
		s.notes, note, err = sheet.ReadText(file)
	}
	if note != "" {
		c.Notef("%s", note)
	}
	return err
}

// bookStrip books notes, whole or not at all.
func bookStrip(c *call, s *stripping) error {
	f, problems := notes.Parse(s.notes)
	f.Done = f.Done || s.done || c.Bool("done")
	typed := s.file == ""
	photos, unread, err := stripPhotos(c, s, f, typed)
	if err != nil {
		return err
	}
	problems = append(problems, unread...)
	if c.Bool("dry-run") {
		photos = nil // their files would stay
	}
	s.file = cmp.Or(s.file, "what was typed")
	var ref store.Ref
	var out store.Stripped
	var broken store.Reasons
	dry := false
	res, err := c.books(func(l *lookup, t *store.Tx) {
		if ref = subject(l, s.camera).Ref; l.Err != nil {
			return
		}
		var more []notes.Problem
		out, more, l.Err = t.StripDown(store.StripDown{Kind: ref.Kind, Camera: ref.Code, Notes: f, Grade: s.grade, Anyway: c.Bool("anyway"), Typed: typed, Photos: photos})
		if l.Err != nil {
			return
		}
		if problems = notes.Sorted(append(problems, more...)); len(problems) > 0 {
			l.Err = errStop
		}
		if ref.Kind == "donor" {
			broken = asked(l, ask.OverdrawnAt, ref.Code)
		}
		if l.Err == nil && c.Bool("dry-run") {
			dry, l.Err = true, errStop
		}
	})
	if errors.Is(err, errStop) && !dry {
		return refuseNotes(c, s, problems)
	}
	if err != nil && !errors.Is(err, errStop) {
		return err
	}
	for _, text := range ask.OnlyNew(s.said, append(out.Marked, store.Texts(broken)...)) {
		c.Warnf("%s", text)
	}
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, stripAnswer(ref, out, dry)))
	}
	return tell.Stripped(c.Screen, res, ref, out, dry)
}

// stripPhotos reads the pictures that notes name: files beside the notes, or, where they
// were typed, in the folder at hand. One that is not there is named: its name alone is kept.
// One that cannot be read is a mistake of its line.
func stripPhotos(c *call, s *stripping, f notes.File, typed bool) (map[string]store.Photo, []notes.Problem, error) {
	if typed {
		var d store.Draft
		if err := c.looks(func(l *lookup) { d = got(l, l.DraftOf, subject(l, s.camera).Ref) }); err != nil {
			return nil, nil, err
		}
		f, _ = notes.Parse(strings.Join(d.Lines, "\n"))
	}
	out := map[string]store.Photo{}
	var problems []notes.Problem
	for _, step := range f.Steps {
		for _, name := range step.Pictures {
			if typed && store.IsKeptName(name) {
				continue // it lies beside the store
			}
			p, said, err := photo.File(besideNotes(s.file, name), false)
			switch {
			case errors.Is(err, store.ErrNotFound):
				for _, text := range ask.OnlyNew(s.said, []string{absentPhoto(s.camera, name)}) {
					c.Warnf("%s", text)
				}
			case err != nil:
				text := strings.TrimPrefix(err.Error(), filepath.Base(name)+": ")
				problems = append(problems, notes.Problem{Line: step.Line, Value: name, Text: text})
			default:
				out[name] = p
			}
			for _, text := range said {
				c.Warnf("%s", text)
			}
		}
	}
	return out, problems, nil
}

// absentPhoto says that a picture that is named is not there.
func absentPhoto(camera, name string) string {
	return fmt.Sprintf("there is no file %s: its name is kept; tinful photo %s %s --step N takes it in", name, camera, name)
}

// besideNotes is a file that notes name: as it stands where they are typed.
func besideNotes(file, name string) string {
	if file == "" || file == typedName || filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(file), name)
}

// refuseNotes names the mistakes of notes as a person finds them.
func refuseNotes(c *call, s *stripping, problems []notes.Problem) error {
	var flaws []store.Problem
	for _, p := range problems {
		where := fmt.Sprintf("line %d", p.Line)
		if s.rows != nil && p.Line >= 1 && p.Line <= len(s.rows) {
			where = fmt.Sprintf("row %d", s.rows[p.Line-1])
		}
		flaws = append(flaws, store.Problem{Sheet: s.file, Cell: where, Value: p.Value, Problem: p.Text})
	}
	return refuseRows(c, flaws)
}

// writeStrip writes the list as a sheet to fill in.
func writeStrip(c *call, s ask.Subject, g ask.Guide) error {
	var rows []sheet.StripRow
	for _, l := range g.Lines {
		row := sheet.StripRow{Camera: string(s.Ref.Code), Seat: l.Seat, Part: string(l.Part), Name: l.Called(), Hint: l.Hint}
		if l.PerBody != nil {
			row.PerBody = fmt.Sprint(*l.PerBody)
		}
		if l.Out > 0 {
			row.Out = fmt.Sprint(l.Out)
		}
		rows = append(rows, row)
	}
	file := c.String("sheet")
	top := []string{"Strip-down of " + tell.CameraWords(s), "on ______________   by ______________   Off: how many came off. Found: missing, damaged, stuck, replaced."}
	var cautions []string
	for _, l := range g.Lines {
		cautions = append(cautions, l.Cautions...)
	}
	if care := tell.CareLine(cautions); care != "" {
		top = append(top, care)
	}
	top = append(top, filledIn(stripBack(s, file)))
	if err := sheet.WriteStrip(file, top, rows, c.Bool("replace")); err != nil {
		return err
	}
	return toldSheet(c, s, file, len(rows), "strip")
}
