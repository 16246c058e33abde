package commands

import (
	"cmp"
	"fmt"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

func job(c *call) error {
	token, err := jobToken(c)
	if err != nil {
		return err
	}
	var f ask.JobFile
	if err := c.looks(func(l *lookup) { f = asked(l, ask.JobFileOf, l.thing(token, "job").Code) }); err != nil {
		return err
	}
	c.keepAnswer(oldLines(f.Olds))
	return c.Answer(map[string]any{"job": tell.JobFileAnswer(f)}, func() { tell.Job(c.Screen, f) })
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

// oldLines are the lines of a numbered list of old pieces.
func oldLines(olds []store.Old) []string {
	return tell.Each(olds, oldLine)
}

// oldLine is what a line of that list stands for.
func oldLine(o store.Old) string { return fmt.Sprintf("%s%s/%d", oldMark, o.Job, o.Nth) }

// oldMark begins a line of the last answer that is a customer's old piece.
const oldMark = "old:"
