package commands

import (
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
)

// todayCommand shows the workshop on one screen.
func todayCommand() *command {
	return &command{
		Name: "today", Usage: "the day on one screen: cameras in the house, promises, what is short, others' property, what to count",
		UsageText: "tinful today\ntinful today --all",
		Description: "A camera is in the house while its job is open, and when it is ready or not fetched. It waits for parts that were wanted for it and " +
			"are not held, or seen missing in it and neither fitted nor held; what no bag can give it is short. Held is what nobody fetched. A parts camera " +
			"stands idle that gave nothing for a year. Copies of the store are not noted down: their age is not known.",
		Flags: []*line.Flag{line.SwitchFlag("all", "list everything, however long")},
		Action: func(c *call) error {
			if err := c.Want(0, 0); err != nil {
				return err
			}
			var t ask.Today
			err := c.view(func(v *store.View) (err error) { t, err = ask.TodayOn(v, c.dayNow(v)); return err })
			switch {
			case err != nil:
				return err
			case c.JSON():
				return c.PrintJSON(tell.TodayAnswer(t))
			}
			return tell.Today(c.Screen, t, c.Bool("all"))
		},
	}
}

// jobsCommand lists jobs by state.
func jobsCommand() *command {
	return &command{
		Name: "jobs", Usage: "jobs by state: those whose camera is in the house, or those of one state",
		ArgsUsage: "[STATE]",
		UsageText: "tinful jobs\ntinful jobs ready\ntinful jobs --all",
		Description: "States: " + tell.Commas(store.JobStates) + ". Without a state it lists the jobs that are open, ready or not fetched; " +
			"--all lists those that were collected or refused too.",
		Flags:  []*line.Flag{line.SwitchFlag("all", "those whose camera is gone, too")},
		Action: jobs,
	}
}

func jobs(c *call) error {
	if err := c.Want(0, 2); err != nil {
		return err
	}
	state := strings.ToLower(strings.Join(c.Args(), " "))
	if state != "" && !slices.Contains(store.JobStates, state) {
		return line.Usagef("a job's state is %s, not %s", tell.Or(store.JobStates), state)
	}
	var list []store.Job
	gone := 0
	err := c.view(func(v *store.View) error {
		return v.EachJob(func(j store.Job) error {
			if !j.InHouse() {
				gone++
			}
			if state == j.State || state == "" && (c.Bool("all") || j.InHouse()) {
				list = append(list, j)
			}
			return nil
		})
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(list, func(a, b store.Job) int {
		return slices.Index(store.JobStates, a.State) - slices.Index(store.JobStates, b.State)
	})
	if c.JSON() {
		return c.PrintJSON(map[string]any{"jobs": tell.JobsAnswer(list)})
	}
	if err := tell.Jobs(c.Screen, list); err != nil {
		return err
	}
	c.Println(jobsCount(len(list), gone, state != "" || c.Bool("all")))
	return nil
}

// jobsCount says how many jobs were listed, and how many are past.
func jobsCount(n, gone int, whole bool) string {
	if whole || gone == 0 {
		return tell.Many(n, "job")
	}
	return fmt.Sprintf("%s; %d more were collected or refused: jobs --all", tell.Many(n, "job"), gone)
}
