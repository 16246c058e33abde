package commands

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/notes"
)

func stripCommand() *command {
	return &command{
		Name: "strip", Usage: "take a camera apart: steps to put it together by, and its pieces into bags",
		ArgsUsage: "DONOR | JOB [FILE | -]",
		UsageText: "tinful strip pc8\ntinful strip pc8 pc8.txt\ntinful strip pc8 --sheet pc8.xlsx\ntinful strip pc8 pc8.xlsx\ntinful strip 105 --like pc4\ntinful show pc8 --steps",
		Description: `Without a file it lists the model's parts in the order of the last strip-down of
that model (--like names another camera; where no steps of it were kept, the
order in which its pieces were booked), cautions before the part that needs
them. --sheet writes the list as a workbook to be filled in.

On a terminal it takes a line as each thing comes off, in any order, and shows it
back as a step:
    2 p21
    wind ratchet centre screw off, left-hand
    under p42 0.30
    missing p29
The clauses are those of notes, below; words stand for codes; of several parts they
name it asks which, of none what it is. A line with something that comes off begins
a step, where the part sits or "wind: p41" says, any other goes on with it. back takes
the last line back, ? lists what should still be in there, stop goes on another day,
done asks for each part that has not come off and says the camera is stripped.
Every line is kept at once: what was interrupted goes on where it stopped. stop and
done book it together; without a terminal --done does. undo gives the lines back.

FILE is such a workbook (.xlsx, .csv) or notes, - standard input:
    camera PC-08              # may be left out; # begins a remark
    grade usable              # of pieces that say nothing, else unknown
    missing p37 p64           # found before the first step
    step 1 wind: off 2 p41, under p62 0.30, turns 1.5
      over "brass washer" 0.20, facing "hook to the rear post"
    step 2 top: off 4 p36 cover screw, hole 2 4 8 10, grade rework, to N3
      damaged p36, wrong "one slot chewed", went "cell 3"
    stop "next: rangefinder"
    done                      # that was all: the camera is stripped
A step goes on until the next; clauses are parted by commas; double quotes make
one word of several. Of the last piece that came off speak: hole, hand (left or
right), grade, to PLACE. Of the whole step: under and over PART [THICKNESS] in
the order they were met, facing, turns, half-turns or teeth let off, sealed,
tool, present, missing, replaced, damaged or stuck PART, wrong, went, picture,
state (of the mechanism), stop, note. A piece in quotes that is no part is kept in
its step alone. Seats: ` + strings.Join(store.Seats, ", ") + `.

All is one booking: the steps; of a donor a bag for each piece, where its sisters
of the grade lie, what was seen, its state; and a statement for a part of which
nothing was recorded, where nobody opened the camera before. Notes taken in
again, longer, book only the steps that are new. Pieces of a customer's camera stay
the customer's: they stand in the steps alone.
Exit code 5: lines that cannot be read, all of them named, and nothing is booked.`,
		Flags: []*line.Flag{
			line.ValueFlag("like", "in the order of this `DONOR OR JOB`"), line.ValueFlag("grade", "`GRADE` of pieces that say nothing: "+strings.Join(store.Grades, ", ")),
			line.ValueFlag("sheet", "write the list into this `FILE`, .xlsx or .csv"), line.SwitchFlag("replace", "write over a file that is there"),
			line.SwitchFlag("done", "that was all: the camera is stripped"), line.SwitchFlag("dry-run", "say what would be booked and change nothing"),
			line.SwitchFlag("anyway", "also of a job that is closed"),
		},
		Action: strip,
	}
}

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
	err = c.view(func(v *store.View) error {
		if sub, err = subject(c, v, s.camera); err != nil {
			return err
		}
		like, err := like(c, v)
		if err != nil {
			return err
		}
		g, err = ask.StripGuide(v, sub, like)
		return err
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
	return printGuide(c, sub, g)
}

// like is the camera of --like, which must have been taken apart.
func like(c *call, v *store.View) (*store.Ref, error) {
	token := c.String("like")
	if token == "" {
		return nil, nil
	}
	ref, err := c.thing(v, token, "donor", "job")
	if err != nil {
		return nil, err
	}
	all, err := v.StepsOf(ref.Kind, ref.Code)
	if err == nil && len(all) == 0 && (ref.Kind != "donor" || len(v.BagsFrom(string(ref.Code))) == 0) {
		err = refusef("no step of a strip-down of %s is kept, and no piece of it was booked: another camera, or none, can lead the way", ref.Code)
	}
	return &ref, err
}

// readStrip reads the line and the file.
func readStrip(c *call) (*stripping, error) {
	if err := c.Want(1, 2); err != nil {
		return nil, err
	}
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

// problem is a mistake of the notes as a person finds it.
func (s *stripping) problem(p notes.Problem) store.Problem {
	where := fmt.Sprintf("line %d", p.Line)
	if s.rows != nil && p.Line >= 1 && p.Line <= len(s.rows) {
		where = fmt.Sprintf("row %d", s.rows[p.Line-1])
	}
	return store.Problem{Sheet: s.file, Cell: where, Value: p.Value, Problem: p.Text}
}

// bookStrip books notes, whole or not at all.
func bookStrip(c *call, s *stripping) error {
	f, problems := notes.Parse(s.notes)
	f.Done = f.Done || s.done || c.Bool("done")
	typed := s.file == ""
	s.file = cmp.Or(s.file, "what was typed")
	var ref store.Ref
	var out store.Stripped
	var broken store.Reasons
	dry := false
	res, err := c.book(false, func(t *store.Tx) error {
		sub, err := subject(c, &t.View, s.camera)
		if err != nil {
			return err
		}
		ref = sub.Ref
		var more []notes.Problem
		out, more, err = t.StripDown(store.StripDown{Kind: ref.Kind, Camera: ref.Code, Notes: f, Grade: s.grade, Anyway: c.Bool("anyway"), Typed: typed})
		if err != nil {
			return err
		}
		problems = notes.Sorted(append(problems, more...))
		if len(problems) > 0 {
			return errStop
		}
		if broken, err = overdrawn(&t.View, ref); err != nil {
			return err
		}
		if dry = c.Bool("dry-run"); dry {
			return errStop
		}
		return nil
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
	return toldStrip(c, res, ref, out, dry)
}

func overdrawn(v *store.View, ref store.Ref) (store.Reasons, error) {
	if ref.Kind != "donor" {
		return nil, nil
	}
	d, err := v.Donor(ref.Code)
	if err != nil {
		return nil, err
	}
	return ask.Overdrawn(v, d)
}

func refuseNotes(c *call, s *stripping, problems []notes.Problem) error {
	var flaws []store.Problem
	for _, p := range problems {
		flaws = append(flaws, s.problem(p))
	}
	return refuseRows(c, flaws)
}

// toldStrip says what was booked.
func toldStrip(c *call, res store.Result, ref store.Ref, out store.Stripped, dry bool) error {
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, stripAnswer(ref, out, dry)))
	}
	return tell.Stripped(c.Screen, res, ref, out, dry)
}

func stripAnswer(ref store.Ref, out store.Stripped, dry bool) map[string]any {
	steps, goes := []map[string]any{}, []map[string]any{}
	for _, s := range out.Steps {
		steps = append(steps, stepAnswer(s))
	}
	for _, g := range out.Goes {
		goes = append(goes, tell.Known(map[string]any{"part": g.Part, "model": g.Model, "degree": strings.Join(g.Degrees, ";"), "per_body": g.PerBody,
			"evidence": g.Evidence, "note": g.Note}))
	}
	return tell.Known(map[string]any{ref.Kind: ref.Code, "steps": steps, "known": append([]uint64{}, out.Known...), "seen": tell.SeenAnswers(out.Seen), "goes": goes,
		"state": out.State, "notes": out.Marked, "applied": !dry})
}

// writeStrip writes the list as a sheet to fill in.
func writeStrip(c *call, s ask.Subject, g ask.Guide) error {
	var rows []sheet.StripRow
	for _, l := range g.Lines {
		row := sheet.StripRow{Camera: string(s.Ref.Code), Seat: l.Seat, Part: string(l.Part), Name: l.Name, Hint: l.Hint}
		if l.PerBody != nil {
			row.PerBody = fmt.Sprint(*l.PerBody)
		}
		if l.Out > 0 {
			row.Out = fmt.Sprint(l.Out)
		}
		rows = append(rows, row)
	}
	file := c.String("sheet")
	if err := sheet.WriteStrip(file, rows, c.Bool("replace")); err != nil {
		return err
	}
	return toldSheet(c, s, file, len(rows), "strip")
}

// guideTitle says which camera is taken apart, and after which.
func guideTitle(s ask.Subject, g ask.Guide) string {
	text := fmt.Sprintf("%s  %s", s.Ref.Code, strings.Join(tell.Filled(string(g.Model), s.History, s.State), ", "))
	if g.Like != nil {
		text += ": in the order of " + string(g.Like.Code)
	}
	return text
}

func printGuide(c *call, s ask.Subject, g ask.Guide) error {
	if c.JSON() {
		answer := map[string]any{s.Ref.Kind: s.Ref.Code, "model": g.Model, "guide": g.Lines}
		if g.Like != nil {
			answer["like"] = g.Like.Code
		}
		return c.PrintJSON(answer)
	}
	c.Println(guideTitle(s, g))
	for _, l := range g.Lines {
		for _, text := range l.Cautions {
			c.Println(c.Warning(tell.Indented("CAUTION: "+text, c.Columns(), 2, 2)))
		}
		c.Println(tell.Indented(strings.Join(tell.Filled(guideWords(l), l.Hint), "; "), c.Columns(), 2, 2))
	}
	if len(g.Lines) == 0 {
		c.Println("no part is said to go into this model")
	}
	return nil
}

// guideWords are a part of the list: P036 cover screw, top, 4 here, 2 out.
func guideWords(l ask.GuideLine) string {
	bits := []string{string(l.Part) + " " + l.Name, l.Left, l.Seat}
	if l.PerBody != nil && l.Seen != "missing" {
		bits = append(bits, fmt.Sprintf("%d here", *l.PerBody))
	}
	if l.Out > 0 {
		bits = append(bits, fmt.Sprintf("%d out", l.Out))
	}
	if l.Seen != "" {
		bits = append(bits, "seen "+l.Seen)
	}
	return strings.Join(tell.Filled(bits...), ", ")
}
