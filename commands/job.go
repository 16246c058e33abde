package commands

import (
	"fmt"

	"tinful/store"
	"tinful/store/code"
)

func on(c *call) error {
	h, err := c.loadHand()
	if err != nil {
		return err
	}
	if len(c.Args()) == 0 && h.Job == "" {
		return sayJob(c, store.Job{}, "", "no job is in hand")
	}
	token := h.Job
	if len(c.Args()) == 1 {
		token = c.Args()[0]
	}
	var j store.Job
	if err := c.looks(func(l *lookup) { j = got(l, l.Job, l.thing(token, "job").Code) }); err != nil {
		return err
	}
	if len(c.Args()) == 1 {
		h.Job, h.JobDay = string(j.Code), c.env.today()
		if err := c.saveHand(h); err != nil {
			return err
		}
	}
	if h.JobDay != c.env.today() {
		c.Notef("it was taken in hand on %s: say on %s again before something is booked for it", h.JobDay, j.Code)
	}
	if j.Closed != 0 {
		c.Notef("%v", whatHelps(j.TakesPieces()))
	}
	return sayJob(c, j, h.JobDay, "on "+j.Words())
}

func off(c *call) error {
	h, err := c.loadHand()
	if err != nil {
		return err
	}
	text := "no job was in hand"
	if h.Job != "" {
		text = fmt.Sprintf("job %s is put down", h.Job)
		h.Job, h.JobDay = "", ""
		if err := c.saveHand(h); err != nil {
			return err
		}
	}
	return sayJob(c, store.Job{}, "", text)
}

// sayJob prints the job in hand.
func sayJob(c *call, j store.Job, day, text string) error {
	if !c.JSON() {
		c.Println(text)
		return nil
	}
	return c.PrintJSON(struct {
		Job   code.Code `json:"job,omitempty"`
		Model code.Code `json:"model,omitempty"`
		Owner string    `json:"owner,omitempty"`
		Day   string    `json:"day,omitempty"`
	}{j.Code, j.Model, j.Owner, day})
}

// today is the calendar day of the clock.
func (e Env) today() string { return code.DayOf(e.Now()).String() }

// handJob is the code of the job in hand, empty for none or when --job is given. On
// a new day it asks whether it is still meant, and without a terminal refuses. Call
// it before the store is opened: a question must not keep others waiting.
func (c *call) handJob() (string, error) {
	if c.String("job") != "" {
		return "", nil
	}
	h, err := c.loadHand()
	if err != nil || h.Job == "" || h.JobDay == c.env.today() {
		return h.Job, err
	}
	if !c.env.Terminal {
		return "", refusef("job %s was taken in hand on %s: say on %s again, or --job", h.Job, h.JobDay, h.Job)
	}
	k, err := c.key(fmt.Sprintf("still job %s? y(es), Enter no:", h.Job), "yn\r")
	if err != nil {
		return "", err
	}
	if k != 'y' {
		return "", refusef("job %s is not meant and nothing is booked: say on and another, or --job", h.Job)
	}
	h.JobDay = c.env.today()
	return h.Job, c.saveHand(h)
}

// handJobToday is the job in hand if it was taken today, without asking: for what
// only prefers it.
func (c *call) handJobToday() code.Code {
	h, err := c.loadHand()
	if err != nil || h.JobDay != c.env.today() {
		return ""
	}
	return code.Code(h.Job)
}
