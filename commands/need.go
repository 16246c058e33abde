package commands

import (
	"errors"
	"fmt"
	"slices"
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
		Description: "Without --model and --job it is for the job in hand, if there is one. Of several\n" +
			"parts of a name the one is taken that goes into the camera. For a job, when nothing\n" +
			"is found of what may go in, the want is noted once, and that is said. An answer\n" +
			"without a way exits 0.",
		Flags: []*line.Flag{line.ValueFlag("model", "into this `MODEL`, by code, name or alias"),
			line.ValueFlag("number", "the `NUMBER` of the body, with --model"), line.ValueFlag("job", "for this `JOB`")},
		Action: need,
	}
}

func need(c *call) error {
	if err := c.Want(1, -1); err != nil {
		return err
	}
	switch {
	case c.IsSet("model") && c.IsSet("job"):
		return line.Usagef("--model and --job say two things: a job has its model")
	case c.IsSet("number") && !c.IsSet("model"):
		return line.Usagef("--number needs --model: a job has its body number")
	}
	inHand := ""
	if !c.IsSet("model") {
		var err error
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	var n ask.Needed
	var q ask.Request
	var j store.Job
	err := c.view(func(v *store.View) (err error) {
		cam := store.Camera{BodyNo: c.String("number")}
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
		p, err := partFor(c, v, cam)
		if err != nil {
			return err
		}
		q = ask.Request{Part: p.Code, Camera: cam, Job: j.Code, Owner: j.Owner}
		n, err = ask.Need(v, q)
		return err
	})
	if err != nil {
		return c.offer(err)
	}
	told := nothingFor(n)
	switch {
	case j.Code == "" || n.Found():
	case n.ToWant():
		wanted, err := noteNeed(c, &n, q, j)
		if err != nil {
			return err
		}
		if told = nothingFor(n); !n.Found() {
			told, n.Wanted = told+"\n"+wanted, true
		}
	default:
		told += fmt.Sprintf("\nno want is noted of what is not known to go in: tinful want %s --job %s does", n.Part, j.Code)
	}
	return toldNeed(c, n, told)
}

// partFor is the part that the arguments name; where words name several, the camera
// decides, and what is left out is said.
func partFor(c *call, v *store.View, cam store.Camera) (store.Part, error) {
	meant, err := answerLines(c, c.Args())
	if err != nil {
		return store.Part{}, err
	}
	p, byWords, err := v.PartCalled(meant...)
	if e, several := errors.AsType[*store.ChoiceError](err); several {
		left, lerr := ask.Suited(v, e, cam)
		if lerr != nil {
			return p, lerr
		}
		for _, r := range left {
			c.Notef("%s", r.Text)
		}
		if len(e.Rows) == 1 {
			p, byWords, err = e.Rows[0].Part, true, nil
		}
	}
	if byWords && err == nil {
		c.Notef("%s %s", p.Code, p.Name)
	}
	return p, listed(c, v, c.Args(), err)
}

// nothingFor says that nothing is found, and why; empty where something is.
func nothingFor(n ask.Needed) string {
	if n.Found() {
		return ""
	}
	why := store.Texts(n.WhyNot)
	for _, r := range n.Traps {
		if r.Kind == ask.NoSource {
			why = append(why, r.Text)
		}
	}
	if len(why) == 0 {
		return "nothing is found"
	}
	return "nothing is found: " + strings.Join(why, "; ")
}

// noteNeed notes the want of a part for a job, unless it is noted, and says so. It asks
// once more where it books: what came in meanwhile is no want.
func noteNeed(c *call, n *ask.Needed, q ask.Request, j store.Job) (string, error) {
	var since code.Day
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if *n, err = ask.Need(&t.View, q); err != nil || n.Found() {
			return err
		}
		had, err := t.WantsFor(j.Code)
		if err != nil {
			return err
		}
		for _, w := range had {
			if w.Part == n.Part && w.Met == 0 {
				since = w.Date
				return nil
			}
		}
		_, err = noteWant(t, store.Want{Date: t.Day(), Part: n.Part, Model: j.Model, Job: j.Code})
		return err
	})
	if since != 0 {
		return fmt.Sprintf("wanted for job %s since %s", j.Code, since), err
	}
	return fmt.Sprintf("noted as wanted for job %s   undo: tinful undo %d", j.Code, res.Booking.Number), err
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
	head := strings.Join(tell.Filled(string(n.Part)+" "+n.Name, n.Tells), ", ")
	if n.Model != "" {
		head += " into " + string(n.Model)
	}
	if n.Goes != "" {
		head += ": " + n.Goes
	}
	c.Println(tell.Hang(head, c.Columns(), 2))
	inDrawer := slices.ContainsFunc(n.Ways, func(w ask.Way) bool { return w.Way == "bag" && w.Free > 0 })
	made := false
	for i, w := range n.Ways {
		if w.Way == "make" && inDrawer {
			if !made {
				c.Println(tell.Hang(fmt.Sprintf(":%d make one: %s", i+1, strings.Join(store.Texts(w.Why[:min(len(w.Why), 1)]), "")), c.Columns(), 5))
			}
			made = true
			continue // one is in the drawer: how to make one is a line
		}
		c.Println(tell.Hang(fmt.Sprintf(":%d %s", i+1, wayWords(w, n.Part)), c.Columns(), 5))
		if len(w.Why) > 0 {
			c.Println("     " + strings.Join(tell.Wrap(strings.Join(store.Texts(w.Why), "; "), c.Columns()-5), "\n     "))
		}
	}
	traps := n.Traps
	if told != "" {
		for text := range strings.SplitSeq(told, "\n") {
			c.Println(tell.Hang(text, c.Columns(), 2))
		}
		traps = slices.DeleteFunc(slices.Clone(traps), func(r store.Reason) bool { return r.Kind == ask.NoSource }) // said already
	} else {
		c.Lines("not to be taken", store.Texts(n.WhyNot), false)
	}
	c.Lines("traps", store.Texts(traps), true)
	tell.Care(c.Screen, n.Cautions)
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
		bits = append(bits, fmt.Sprintf("(%s)", strings.Join(tell.Filled(w.Way, string(w.Part), w.Tells), ", ")))
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
		if w.Look {
			text += ", look first"
		}
	}
	if w.Work != "" && w.Way == "near" {
		text += ": " + w.Work
	}
	if w.Part == asked && w.Left != "" {
		text += "  " + w.Left
	}
	return text
}
