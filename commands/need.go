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

// needCommand lists every way to get a part into a camera.
func needCommand() *command {
	return &command{
		Name: "need", Usage: "every way to get a part into a camera, best first",
		ArgsUsage: "PART",
		UsageText: "tinful need counter pawl spring --model W2-B\ntinful need P003 --job 105\ntinful need P003",
		Description: "Without --model and --job it is for the job in hand, if there is one. For a job,\n" +
			"when nothing is found, the want is noted once, and that is said. An answer\nwithout a way exits 0.",
		Flags:  []*line.Flag{line.ValueFlag("model", "into this `MODEL`, by code, name or alias"), line.ValueFlag("job", "for this `JOB`")},
		Action: need,
	}
}

func need(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	if c.IsSet("model") && c.IsSet("job") {
		return line.Usagef("--model and --job say two things: a job has its model")
	}
	inHand := ""
	if !c.IsSet("model") {
		var err error
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	var n ask.Needed
	var j store.Job
	err := c.view(func(v *store.View) error {
		p, err := c.partOf(v, c.Args())
		if err != nil {
			return err
		}
		cam := store.Camera{}
		if token := c.String("model"); token != "" {
			ref, err := c.thing(v, token, "model")
			if err != nil {
				return err
			}
			cam.Model = ref.Code
		} else if j, err = c.jobOf(v, inHand); err != nil {
			return err
		} else {
			cam = j.Camera()
		}
		n, err = ask.Need(v, p.Code, cam, j.Owner)
		return err
	})
	if err != nil {
		return c.offer(err)
	}
	told := ""
	if j.Code != "" && nothingFound(n.Ways) {
		if told, err = noteNeed(c, n.Part, j); err != nil {
			return err
		}
		n.Wanted = true
	}
	return toldNeed(c, n, told)
}

// nothingFound tells whether no way leads to a piece that is here and known to go
// in: how to make one is none, and what only measures alike is none yet.
func nothingFound(ways []ask.Way) bool {
	for _, w := range ways {
		if w.Way != "make" && (w.Way != "near" || w.Degree != "unproven") {
			return false
		}
	}
	return true
}

// noteNeed notes the want of a part for a job, unless it is noted, and says so.
func noteNeed(c *call, part code.Code, j store.Job) (string, error) {
	var since code.Day
	res, err := c.book(false, func(t *store.Tx) error {
		had, err := t.WantsFor(j.Code)
		if err != nil {
			return err
		}
		for _, w := range had {
			if w.Part == part && w.Met == 0 {
				since = w.Date
				return nil
			}
		}
		_, err = noteWant(t, store.Want{Date: t.Day(), Part: part, Model: j.Model, Job: j.Code})
		return err
	})
	if since != 0 {
		return fmt.Sprintf("nothing is found; wanted for job %s since %s", j.Code, since), err
	}
	return fmt.Sprintf("nothing is found; noted as wanted for job %s   undo: tinful undo %d", j.Code, res.Booking.Number), err
}

func toldNeed(c *call, n ask.Needed, told string) error {
	var answer []string
	for _, w := range n.Ways {
		answer = append(answer, wayRef(w))
	}
	c.keepAnswer(answer)
	if c.JSON() {
		return c.PrintJSON(n)
	}
	head := string(n.Part) + " " + n.Name
	if n.Model != "" {
		head += " into " + string(n.Model)
	}
	if n.Goes != "" {
		head += ": " + n.Goes
	}
	c.Println(tell.Hang(head, c.Columns(), 2))
	for i, w := range n.Ways {
		c.Println(tell.Hang(fmt.Sprintf(":%d %s", i+1, wayWords(w, n.Part)), c.Columns(), 5))
		if len(w.Why) > 0 {
			c.Println("     " + strings.Join(tell.Wrap(strings.Join(w.Why, "; "), c.Columns()-5), "\n     "))
		}
	}
	switch {
	case told != "":
		c.Println(told)
	case len(n.Ways) == 0:
		c.Println("nothing is found")
	}
	c.Lines("traps", n.Traps, true)
	c.Lines("take care", n.Cautions, true)
	return nil
}

// wayRef is the thing that a line of the answer stands for.
func wayRef(w ask.Way) string {
	switch {
	case w.Bag != "":
		return "bag:" + string(w.Bag)
	case w.Donor != "":
		return "donor:" + string(w.Donor)
	}
	return "part:" + string(w.Part)
}

// wayWords is a way on one line, without its reasons.
func wayWords(w ask.Way, asked code.Code) string {
	bits := []string{}
	switch {
	case w.Donor != "":
		bits = append(bits, "donor "+string(w.Donor))
	case w.Bag != "":
		bits = append(bits, string(w.Bag))
	case w.Way == "make":
		bits = append(bits, "make one")
	default:
		bits = append(bits, w.Way)
	}
	if w.Part != asked && w.Part != "" {
		bits = append(bits, fmt.Sprintf("(%s, %s)", w.Way, w.Part))
	}
	bits = append(bits, tell.Filled(w.Grade)...)
	if w.Place != "" {
		bits = append(bits, "in "+string(w.Place))
	}
	text := strings.Join(bits, " ")
	if w.Free != 0 {
		text += fmt.Sprintf(", %d %s", w.Free, map[bool]string{true: "left", false: "free"}[w.Donor != ""])
	}
	if w.Degree != "" && w.Way != "make" {
		text += "  " + strings.ReplaceAll(w.Degree, ";", ", ")
	}
	return text
}
