package commands

import (
	"cmp"
	"errors"
	"fmt"
	"io"
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
them; on a terminal it asks how many of each came off: a number, Enter for none,
m missing, d damaged, s stuck, q to stop and go on another day. --sheet writes
the list as a workbook to be filled in.

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
		return askStrip(c, s, sub, g)
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
	s := &stripping{camera: c.Args()[0]}
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
	f.Done = f.Done || c.Bool("done")
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
		out, more, err = t.StripDown(store.StripDown{Kind: ref.Kind, Camera: ref.Code, Notes: f, Grade: s.grade, Anyway: c.Bool("anyway")})
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
	for _, text := range append(out.Marked, store.Texts(broken)...) {
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
	if len(out.Known) > 0 {
		c.Notef("booked already: step %s", ranges(out.Known))
	}
	if !dry && res.Booking.Number == 0 {
		c.Printf("%s: nothing is new\n", ref.Code)
		return nil
	}
	var numbers []uint64
	for _, s := range out.Steps {
		numbers = append(numbers, s.Nth)
	}
	line := string(ref.Code)
	if len(numbers) > 0 {
		line += "  step " + ranges(numbers)
	}
	if out.State != out.Was {
		line += fmt.Sprintf("   %s -> %s", cmp.Or(out.Was, "state unknown"), out.State)
	}
	c.Println(line)
	if err := stripFound(c, out); err != nil {
		return err
	}
	if dry {
		c.Printf("%s would be put away; nothing is booked\n", tell.Many(putAway(out), "lot")+" of pieces")
		return nil
	}
	return tell.Booked(c.Screen, res)
}

// putAway counts what came off and goes into bags.
func putAway(out store.Stripped) (n int) {
	for _, s := range out.Steps {
		for _, o := range s.Off {
			if o.Bag != "" {
				n++
			}
		}
	}
	return n
}

// stripFound prints what was seen and what it proves.
func stripFound(c *call, out store.Stripped) error {
	by := map[string][]string{}
	for _, s := range out.Seen {
		by[s.Seen] = append(by[s.Seen], string(s.Part))
	}
	t := c.WideTable()
	for _, word := range store.SeenWords {
		if len(by[word]) > 0 {
			t.Row("seen "+word, strings.Join(by[word], ", "))
		}
	}
	for _, g := range out.Goes {
		t.Row("stated", fmt.Sprintf("%s goes into %s: %s, %s per body, %s", g.Part, g.Model, strings.Join(g.Degrees, ", "), fmt.Sprint(*g.PerBody), g.Evidence))
	}
	return t.Print(c.Out)
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

// ranges prints numbers as 1 to 4, 7.
func ranges(list []uint64) string {
	var out []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		if j == i {
			out = append(out, fmt.Sprint(list[i]))
		} else {
			out = append(out, fmt.Sprintf("%d to %d", list[i], list[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
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
	if l.PerBody != nil {
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

// gone tells whether nothing of a part is left to come off.
func gone(l ask.GuideLine) bool {
	per := int64(1)
	if l.PerBody != nil {
		per = *l.PerBody
	}
	return l.Seen == "missing" || l.Out >= per
}

// askStrip asks on the terminal how many of each part came off and books it, also
// when it is stopped before the end.
func askStrip(c *call, s *stripping, sub ask.Subject, g ask.Guide) error {
	c.Println(guideTitle(sub, g))
	c.Println(tell.Hang("how many came off: a number (2, or 2 usable), Enter none, m missing, d damaged, s stuck, q stop", c.Columns(), 2))
	w := &noteWriter{}
	for _, l := range g.Lines {
		if gone(l) {
			continue
		}
		for _, text := range l.Cautions {
			c.Println(c.Warning(tell.Hang("CAUTION: "+text, c.Columns(), 2)))
		}
		stop, err := askPart(c, w, l)
		if err != nil {
			return err
		}
		if stop {
			w.clause("stop \"next: %s %s\"", l.Part, strings.ReplaceAll(l.Name, `"`, "'"))
			break
		}
	}
	if w.b.Len() == 0 {
		c.Println("nothing came off")
		return nil
	}
	s.file, s.notes = "what was typed", w.b.String()
	return bookStrip(c, s)
}

// A noteWriter writes notes as they are asked for: a step for each step of the
// strip-down that leads, else for each seat.
type noteWriter struct {
	b    strings.Builder
	open string
}

func (w *noteWriter) step(l ask.GuideLine) {
	key := fmt.Sprintf("%d %s", l.Step, l.Seat)
	if key == w.open {
		return
	}
	w.open = key
	fmt.Fprintf(&w.b, "step %s:\n", cmp.Or(l.Seat, "body"))
}

// clause adds a clause to the step that is open, if there is one.
func (w *noteWriter) clause(format string, args ...any) {
	if w.open != "" {
		fmt.Fprintf(&w.b, format+"\n", args...)
	}
}

// askPart asks for one part until the answer is understood.
func askPart(c *call, w *noteWriter, l ask.GuideLine) (stop bool, err error) {
	for {
		text, err := askLine(c, strings.Join(tell.Filled(guideWords(l), l.Hint), "; ")+":")
		if errors.Is(err, io.EOF) || text == "q" {
			return true, nil
		}
		if err != nil {
			return true, err
		}
		count, grade, _ := strings.Cut(text, " ")
		word := map[string]string{"m": "missing", "d": "damaged", "s": "stuck"}[text]
		switch {
		case text == "" || text == "0":
			return false, nil
		case word != "":
			w.step(l)
			w.clause("%s %s", word, l.Part)
			return false, nil
		case line.IsNumber(strings.TrimRight(count, "cm")) && !strings.HasPrefix(count, "-"):
			if grade = strings.TrimSpace(grade); grade != "" {
				if grade, err = gradeWord(grade); err != nil {
					c.Warnf("%v", err)
					continue
				}
			}
			w.step(l)
			w.clause("off %s %s", count, l.Part)
			if grade != "" {
				w.clause("grade %s", grade)
			}
			return false, nil
		}
		c.Warnf("%q is no number: 2, Enter for none, m, d, s, or q to stop", text)
	}
}
