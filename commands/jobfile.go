package commands

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// jobCommand shows a customer's camera whole.
func jobCommand() *command {
	return &command{
		Name: "job", Usage: "a customer's camera whole: fitted, held, lent to it, old pieces, what is still to do",
		ArgsUsage: "[JOB]",
		UsageText: "tinful job 105\ntinful job\ntinful old :2 --returned",
		Description: "Without a job it is the job in hand. The old pieces are numbered: :2 stands for the second in " +
			"tinful old. Cautions for what the camera holds are shown here and at arrival; safety sheets and local rules decide. " +
			"Exit code 3 when there is no such job.",
		Action: job,
	}
}

func job(c *call) error {
	if err := c.Want(0, 1); err != nil {
		return err
	}
	token, err := jobToken(c)
	if err != nil {
		return err
	}
	var f jobFile
	return c.view(func(v *store.View) error {
		ref, err := c.thing(v, token, "job")
		if err != nil {
			return err
		}
		if f, err = readJobFile(v, ref.Code); err != nil {
			return err
		}
		c.keepAnswer(oldLines(f.olds))
		if c.JSON() {
			return c.PrintJSON(map[string]any{"job": f.answer()})
		}
		return printJobFile(c, v, f)
	})
}

// jobToken is the job that the first argument names, else --job, else the job in
// hand.
func jobToken(c *call) (string, error) {
	if len(c.Args()) > 0 {
		return c.Args()[0], nil
	}
	inHand, err := c.handJob()
	if err != nil {
		return "", err
	}
	token := cmp.Or(c.String("job"), inHand)
	if token == "" {
		name := c.Name
		return "", refusef("which job? tinful %s 105, or take it in hand with on", name)
	}
	return token, nil
}

// A jobFile is a job and all that is known about its camera.
type jobFile struct {
	jobRecord
	olds  []store.Old
	notes ask.JobNotes
	todo  store.Reasons
}

func readJobFile(v *store.View, own code.Code) (f jobFile, err error) {
	if f.jobRecord, err = readJob(v, own); err != nil {
		return f, err
	}
	if f.olds, err = v.OldOf(own); err != nil {
		return f, err
	}
	if f.notes, err = ask.NotesOf(v, f.job); err != nil {
		return f, err
	}
	f.todo, err = ask.ToDo(v, f.job, f.notes)
	return f, err
}

func (f jobFile) answer() map[string]any {
	a := jobAnswer(f.job, f.pieces, f.wants)
	a["old"], a["todo"], a["lent"], a["lacks"] = oldAnswers(f.olds), f.todo, f.notes.Lent, f.notes.Lacks
	for name, list := range map[string][]string{"traps": store.Texts(f.notes.Traps), "tools": f.notes.Tools, "cautions": f.notes.Cautions} {
		a[name] = append([]string{}, list...)
	}
	a["traps_kind"], a["todo_kind"] = store.ReasonKinds(f.notes.Traps), store.ReasonKinds(f.todo)
	a["before"] = append([]ask.Earlier{}, f.notes.Before...)
	return a
}

func printJobFile(c *call, v *store.View, f jobFile) error {
	s := newShelf(v)
	err := printJob(c, s, f.jobRecord, func() error {
		c.Lines("lent to it by "+f.job.Owner, lentWords(s, f.notes.Lent), false)
		return printOlds(c, s, f.olds)
	})
	if err != nil {
		return err
	}
	printNotes(c, f.notes)
	c.Lines("still to do", tell.Hinted(f.todo), false)
	return nil
}

// printNotes prints what is known of the camera and its model.
func printNotes(c *call, n ask.JobNotes) {
	c.Lines("here before", earlierWords(n.Before), false)
	c.Lines("most often missing on its parts cameras", lackWords(n.Lacks), false)
	c.Lines("tools", n.Tools, false)
	c.Lines("traps", tell.Hinted(n.Traps), true)
	c.Lines("take care", n.Cautions, true)
}

func lentWords(s *shelf, list []ask.Lent) []string {
	var out []string
	for _, l := range list {
		text := strings.Join(tell.Filled(string(l.Donor), string(l.Model)), " ")
		if l.Bag != "" {
			text = fmt.Sprintf("%s %s, %d", l.Bag, s.name(l.Part), l.Quantity)
		}
		if l.Place != "" {
			text += " in " + string(l.Place)
		}
		out = append(out, strings.Join(tell.Filled(text, l.Note), "; "))
	}
	return out
}

func earlierWords(list []ask.Earlier) []string {
	var out []string
	for _, e := range list {
		text := fmt.Sprintf("job %s, %s", e.Job, cmp.Or(strings.Join(tell.Filled(e.Opened, e.Closed), " to "), "no day"))
		text += ": " + strings.Join(tell.Filled(e.Fault, e.State), ", ")
		if len(e.Fitted) > 0 {
			text += "; fitted " + strings.Join(e.Fitted, ", ")
		}
		out = append(out, text)
	}
	return out
}

// mostLacks is how many missing parts are named.
const mostLacks = 3

func lackWords(list []ask.Lack) []string {
	var out []string
	for _, l := range list[:min(len(list), mostLacks)] {
		out = append(out, fmt.Sprintf("%s %s: on %d of %d looked at", l.Part, l.Name, l.Missing, l.LookedAt))
	}
	return out
}

// oldLines are the lines of a numbered list of old pieces.
func oldLines(olds []store.Old) []string {
	var out []string
	for _, o := range olds {
		out = append(out, oldLine(o))
	}
	return out
}

// oldLine is what a line of that list stands for.
func oldLine(o store.Old) string { return fmt.Sprintf("%s%s/%d", oldMark, o.Job, o.Nth) }

// oldMark begins a line of the last answer that is a customer's old piece.
const oldMark = "old:"

// printOlds prints the customer's old pieces, numbered.
func printOlds(c *call, s *shelf, olds []store.Old) error {
	t := c.WideTable()
	for i, o := range olds {
		t.Row(fmt.Sprintf(":%d", i+1), oldName(s, o), o.Why, fateWords(o))
	}
	return c.Listed("the customer's old pieces", t)
}

// oldName is an old piece in words.
func oldName(s *shelf, o store.Old) string {
	text := o.Piece
	if o.Part != "" {
		text = fmt.Sprintf("%s %s", o.Part, s.name(o.Part))
	}
	if o.Quantity != 1 {
		text = fmt.Sprintf("%d %s", o.Quantity, text)
	}
	return text
}

// fateWords say what became of an old piece.
func fateWords(o store.Old) string {
	text := ""
	switch o.Fate {
	case "returned":
		text = "handed back " + o.Settled.String()
	case "refused":
		text = fmt.Sprintf("not wanted back (%s)", o.Settled)
	case "envelope":
		text = "in envelope " + o.Where
	case "lost":
		text = "lost here " + o.Day.String()
	default:
		text = "lies here"
	}
	if o.Settled != 0 && o.Fate != "returned" && o.Fate != "refused" {
		text += ", settled " + o.Settled.String()
	}
	return strings.Join(tell.Filled(text, o.Note), "; ")
}

func oldAnswers(olds []store.Old) []map[string]any {
	out := []map[string]any{}
	for i, o := range olds {
		a := tell.Known(map[string]any{"part": o.Part, "piece": o.Piece, "why": o.Why, "fate": o.Fate, "envelope": o.Where,
			"day": o.Day, "settled": o.Settled, "by": o.By, "note": o.Note})
		a["line"], a["number"], a["quantity"], a["open"] = i+1, o.Nth, o.Quantity, o.Open()
		out = append(out, a)
	}
	return out
}
