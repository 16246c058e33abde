package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// doneCommand closes a job and learns from it.
func doneCommand() *command {
	return &command{
		Name: "done", Usage: "close a job: what is held is free again, what was fitted becomes a statement",
		ArgsUsage: "[JOB]",
		UsageText: "tinful done 105 --tested\ntinful done 105 --not-tested --unused b255\ntinful done 105 --tested --except p8\n" +
			"tinful done 105 --state collected",
		Description: "Without a job it is the job in hand. What is held for it is free again unless --keep-held. On a terminal each fitted " +
			"piece is asked about: was the camera tested with it (evidence run), was it only put in (tried), or was it not used and goes back. " +
			"Elsewhere --tested or --not-tested says it for all, --except for the others, --unused for what goes back whole (return takes some of it); without, and with " +
			"something fitted, it is refused. A statement keeps its degree, a new one is direct; evidence is raised and never lowered; the " +
			"body number is noted. What is recorded as not going in teaches nothing: goes says otherwise. Wants of what is fitted are met. " +
			"The job is ready, or what --state says, and closed today: nothing is booked to it after that without --anyway. Its tray stays " +
			"until it is collected or refused. Of a closed job --state changes the state. Old pieces that were not handed back and open wants " +
			"are listed. It is one booking, and undo takes back all of it. Exit code 4 when an answer is missing or the job is closed.",
		Flags: []*line.Flag{
			line.SwitchFlag("tested", "the camera was tested with what is fitted"),
			line.SwitchFlag("not-tested", "what is fitted was put in and not tested"),
			line.ListFlag("except", "for this `PIECE` it is the other of the two; may be given several times"),
			line.ListFlag("unused", "this `PIECE` was not used and goes back into its bag; may be given several times"),
			line.SwitchFlag("keep-held", "what is held stays held"),
			line.ValueFlag("state", "`STATE`: "+strings.Join(store.ClosedStates, ", ")+"; ready unless given"),
		},
		Action: done,
	}
}

func done(c *call) error {
	if err := c.Want(0, 1); err != nil {
		return err
	}
	if c.Bool("tested") && c.Bool("not-tested") {
		return line.Usagef("--tested and --not-tested say two things: write one, and --except for the others")
	}
	if len(c.List("except")) > 0 && !c.Bool("tested") && !c.Bool("not-tested") {
		return line.Usagef("--except goes with --tested or --not-tested")
	}
	state, err := flagWord(c, "state", store.ClosedStates)
	if err != nil {
		return err
	}
	token, err := jobToken(c)
	if err != nil {
		return err
	}
	closing := store.Closing{State: state, KeepHeld: c.Bool("keep-held"), Answers: map[code.Code]store.Answer{}}
	ask, err := answersByFlag(c, token, &closing)
	if err != nil {
		return err
	}
	if c.env.Terminal {
		for _, q := range ask {
			if closing.Answers[q.bag], err = askPiece(c, q); err != nil {
				return err
			}
		}
	}
	var closed store.Closed
	var f jobFile
	res, err := c.book(false, func(t *store.Tx) error {
		if closed, err = t.Done(closing); err != nil {
			return err
		}
		f, err = readJobFile(&t.View, closing.Job)
		return err
	})
	if err != nil {
		return err
	}
	return errors.Join(toldDone(c, res, closed, f), putDown(c, f.job))
}

// A pieceAsked is a fitted piece that is asked about.
type pieceAsked struct {
	bag  code.Code
	text string // bag, part and number in words
	open bool   // nothing is recorded of how it goes in, or it is unproven
}

// answersByFlag reads the job and the answers that flags give. It returns the fitted
// pieces that no flag speaks of.
func answersByFlag(c *call, token string, closing *store.Closing) ([]pieceAsked, error) {
	var open []pieceAsked
	err := c.view(func(v *store.View) error {
		ref, err := c.thing(v, token, "job")
		if err != nil {
			return err
		}
		f, err := readJob(v, ref.Code)
		if err != nil {
			return err
		}
		closing.Job = f.job.Code
		except, err := fittedBags(c, v, f, "except")
		if err != nil {
			return err
		}
		unused, err := fittedBags(c, v, f, "unused")
		if err != nil {
			return err
		}
		for _, p := range f.pieces {
			bag := p.Bag.Code
			tested := c.Bool("tested") != slices.Contains(except, bag)
			switch {
			case p.Held:
			case slices.Contains(unused, bag):
				closing.Answers[bag] = store.Answer{Unused: true}
			case c.Bool("tested") || c.Bool("not-tested"):
				closing.Answers[bag] = store.Answer{Evidence: map[bool]string{true: "run", false: "tried"}[tested]}
			case f.job.Closed == 0:
				q, err := asked(v, f.job, p)
				if err != nil {
					return err
				}
				open = append(open, q)
			}
		}
		return nil
	})
	return open, err
}

// fittedBags are the bags that a flag names, by their codes or their parts'.
func fittedBags(c *call, v *store.View, f jobRecord, flag string) ([]code.Code, error) {
	var out []code.Code
	for _, token := range c.List(flag) {
		ref, err := c.thing(v, token, "bag", "part")
		if err != nil {
			return nil, err
		}
		n := len(out)
		for _, p := range f.pieces {
			if !p.Held && (ref.Kind == "bag" && p.Bag.Code == ref.Code || ref.Kind == "part" && p.Bag.Part == ref.Code) {
				out = append(out, p.Bag.Code)
			}
		}
		if len(out) == n {
			return nil, refusef("--%s %s: nothing of it is fitted in job %s", flag, token, f.job.Code)
		}
	}
	return out, nil
}

// askedOf is the question about a fitted piece.
func asked(v *store.View, j store.Job, p store.Piece) (pieceAsked, error) {
	part, err := v.Part(p.Bag.Part)
	if err != nil {
		return pieceAsked{}, err
	}
	g, why, err := v.Statement(part, j.Camera())
	text := fmt.Sprintf("%s %s", p.Bag.Code, part.Name)
	if p.N != 1 {
		text = fmt.Sprintf("%s %s", store.Amount(p.N, p.Bag.Unit, false), text)
	}
	open := why == "" && (len(g.Degrees) == 0 || slices.Contains(g.Degrees, "unproven"))
	return pieceAsked{p.Bag.Code, text, open}, err
}

// askPiece asks on the terminal what became of a fitted piece.
func askPiece(c *call, q pieceAsked) (store.Answer, error) {
	var a store.Answer
	question := q.text + ": was the camera tested with it? y(es), n(o, only put in), u(nused, goes back):"
	err := c.askFor(question, func(text string) error {
		switch strings.ToLower(text)[:1] {
		case "y":
			a.Evidence = "run"
		case "n":
			a.Evidence = "tried"
		case "u":
			a.Unused = true
		default:
			return line.Usagef("%q is none of y, n and u", text)
		}
		return nil
	})
	switch {
	case err != nil:
		return a, err
	case a.Evidence == "" && !a.Unused:
		return a, refusef("nothing is booked: say of %s whether the camera was tested with it, or use --tested or --not-tested", q.bag)
	case a.Unused || !q.open:
		return a, nil
	}
	return a, askDegree(c, q, &a)
}

// askDegree asks how a part goes in of which that is not known.
func askDegree(c *call, q pieceAsked, a *store.Answer) error {
	err := c.askFor(q.text+": how does it go in? direct, looks-wrong, rework, matched, or Enter to leave it as it is:", func(text string) error {
		degree, err := words.OneOf("degree", []string{"direct", "looks-wrong", "rework", "matched", "unit"}, text)
		if err != nil {
			return line.UsageError{Err: err}
		}
		a.Degrees = []string{degree}
		return nil
	})
	if err != nil || len(a.Degrees) == 0 || a.Degrees[0] != "rework" {
		return err
	}
	if a.Work, err = c.ask("what was done to it?"); err == nil && a.Work == "" {
		a.Degrees = nil // rework names what is done
	}
	return err
}

// putDown puts the job in hand down when it is the one that was closed.
func putDown(c *call, j store.Job) error {
	h, err := c.loadHand()
	if err != nil || h.Job != string(j.Code) {
		return err
	}
	h.Job, h.JobDay = "", ""
	if err := c.saveHand(h); err != nil {
		return err
	}
	c.Notef("job %s is put down", j.Code)
	return nil
}

func toldDone(c *call, res store.Result, closed store.Closed, f jobFile) error {
	var open []store.Old
	for _, o := range f.olds {
		if o.Open() {
			open = append(open, o)
		}
	}
	c.keepAnswer(oldLines(open))
	if c.JSON() {
		return c.PrintJSON(catalogueAnswer(res, map[string]any{"job": f.answer(), "learnt": learntAnswers(closed.Learnt)}))
	}
	head := f.job.Words() + " is " + f.job.State
	if f.job.Tray != "" {
		head += ", in tray " + string(f.job.Tray)
	}
	c.Println(head + fmt.Sprintf("   undo: tinful undo %d", res.Booking.Number))
	for _, line := range append(tell.Changes(res), tell.Shortages(res)...) {
		c.Println(line)
	}
	for _, l := range closed.Learnt {
		c.Println(tell.Hang(learntWords(l), c.Columns(), 5))
	}
	for _, w := range closed.Met {
		c.Printf("%s, wanted since %s, is met\n", w.Part, w.Date)
	}
	return c.view(func(v *store.View) error {
		if err := printOlds(c, newShelf(v), open); err != nil {
			return err
		}
		c.Lines("still to do", tell.Hinted(f.todo), false)
		return nil
	})
}

// learntWords is what closing a job taught about one part.
func learntWords(l store.Learnt) string {
	head := fmt.Sprintf("%s %s", l.Part.Code, l.Part.Name)
	switch {
	case l.Why != "":
		return head + ": nothing is learnt, " + l.Why
	case slices.Contains(l.Goes.Degrees, "unproven"):
		return fmt.Sprintf("%s into %s: %s (goes %s %s --degree direct says that it goes)", head, l.Goes.Model, goesWords(l.Goes), l.Part.Code, l.Goes.Model)
	}
	return fmt.Sprintf("%s into %s: %s", head, l.Goes.Model, goesWords(l.Goes))
}

func learntAnswers(list []store.Learnt) []map[string]any {
	out := []map[string]any{}
	for _, l := range list {
		a := map[string]any{"part": l.Part.Code, "model": l.Goes.Model, "was": l.Was, "why": l.Why}
		if l.Why == "" {
			a["degree"], a["evidence"], a["note"] = strings.Join(l.Goes.Degrees, ";"), l.Goes.Evidence, l.Goes.Note
		}
		out = append(out, tell.Known(a))
	}
	return out
}
