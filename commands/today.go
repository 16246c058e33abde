package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/words"
)

func today(c *call) error {
	var t ask.Today
	demo, few := false, tell.FewToday
	if c.JSON() || c.Bool("all") {
		few = 0
	}
	err := c.view(func(v *store.View) (err error) {
		t, err = ask.TodayBrief(v, c.dayNow(v), few)
		demo = v.Setting("demo") != ""
		return err
	})
	if err != nil {
		return err
	}
	copied, last, err := lastCopy(c, demo)
	if err != nil {
		return err
	}
	if c.JSON() {
		answer := tell.TodayAnswer(t)
		if last != nil {
			answer["backup"] = last
		}
		return c.PrintJSON(answer)
	}
	tell.Today(c.Screen, t, c.Bool("all"))
	c.Println(c.Wrapped("last copy of the store: " + copied))
	return nil
}

func jobs(c *call) error {
	state := strings.ToLower(strings.Join(c.Args(), " "))
	if state != "" && !slices.Contains(store.JobStates, state) {
		return line.Usagef("a job's state is %s, not %s", words.Or(store.JobStates), state)
	}
	var list []store.Job
	gone := 0
	err := c.view(func(v *store.View) (err error) { list, gone, err = ask.Jobs(v, state, c.Bool("all")); return err })
	if err != nil {
		return err
	}
	return c.Answer(map[string]any{"jobs": tell.JobsAnswer(list)}, func() {
		tell.Jobs(c.Screen, list)
		c.Println(jobsCount(len(list), gone, state != "" || c.Bool("all")))
	})
}

// jobsCount says how many jobs were listed, and how many are past.
func jobsCount(n, gone int, whole bool) string {
	if whole || gone == 0 {
		return tell.Many(n, "job")
	}
	return fmt.Sprintf("%s; %d more were collected or refused: jobs --all", tell.Many(n, "job"), gone)
}
