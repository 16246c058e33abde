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
	err := c.looks(func(l *lookup) {
		cam := store.Camera{BodyNo: c.String("number"), Model: l.flag("model")}
		if cam.Model == "" {
			j = l.job(inHand)
			cam = j.Camera()
		}
		q = ask.Request{Part: partFor(l, cam).Code, Camera: cam, Job: j.Code, Owner: j.Owner}
		n = asked(l, ask.Need, q)
	})
	if err != nil {
		return err
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
	return c.told(tell.Each(shown, wayRef), n, func() { tell.Need(c.Screen, n, told) })
}

// partFor is the part that the arguments name; where words name several, the camera
// decides, and what is left out is said.
func partFor(l *lookup, cam store.Camera) (p store.Part) {
	meant := got(l, l.answerLines, l.Args())
	if l.Err != nil {
		return p
	}
	p, byWords, err := l.PartCalled(meant...)
	if e, several := errors.AsType[*store.ChoiceError](err); several {
		left, lerr := ask.Suited(l.View, e, cam)
		if l.Err = lerr; lerr != nil {
			return p
		}
		for _, r := range left {
			l.Notef("%s", r.Text)
		}
		if len(e.Rows) == 1 {
			p, byWords, err = e.Rows[0].Part, true, nil
		}
	}
	if byWords && err == nil {
		l.Notef("%s %s", p.Code, p.Called())
	}
	l.Err = listed(l.call, l.View, l.Args(), err)
	return p
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
