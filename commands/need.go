package commands

import (
	"errors"
	"fmt"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func need(c *call) error {
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
		if cam.Model, err = c.code(v, c.String("model"), "model"); err == nil && cam.Model == "" {
			j, err = c.jobOf(v, inHand)
			cam = j.Camera()
		}
		if err != nil {
			return err
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
	told := tell.NothingFor(n)
	switch {
	case j.Code == "" || n.Found():
	case n.ToWant():
		wanted, err := noteNeed(c, &n, q, j)
		if err != nil {
			return err
		}
		if told = tell.NothingFor(n); !n.Found() {
			told, n.Wanted = told+"\n"+wanted, true
		}
	default:
		told += fmt.Sprintf("\nno want is noted of what is not known to go in: tinful want %s --job %s does", n.Part, j.Code)
	}
	shown := n.Ways
	if !c.JSON() {
		shown = tell.Shown(n)
	}
	answer := tell.Each(shown, wayRef)
	return c.told(answer, n, func() { tell.Need(c.Screen, n, told) })
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

// noteNeed notes the want of a part for a job, unless it is noted, and says so. It asks
// once more where it books: what came in meanwhile is no want.
func noteNeed(c *call, n *ask.Needed, q ask.Request, j store.Job) (string, error) {
	var since code.Day
	res, err := c.book(false, func(t *store.Tx) (err error) {
		if *n, err = ask.Need(&t.View, q); err != nil || n.Found() {
			return err
		}
		if since, err = t.WantedSince(n.Part, j.Code); err == nil && since == 0 {
			_, err = t.NoteWant(store.Want{Date: t.Day(), Part: n.Part, Model: j.Model, Job: j.Code})
		}
		return err
	})
	if since != 0 {
		return fmt.Sprintf("wanted for job %s since %s", j.Code, since), err
	}
	return fmt.Sprintf("noted as wanted for job %s   undo: tinful undo %d", j.Code, res.Booking.Number), err
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
