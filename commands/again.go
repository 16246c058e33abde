package commands

import (
	"slices"
	"strings"

	"tinful/commands/line"
)

func againCommand() *command {
	return &command{
		Name: "again", Usage: "make the last booking once more, for the job now in hand",
		UsageText: "tinful fit b283\ntinful on 106\ntinful again",
		Description: "It is the last booking made from this terminal, as it was typed; --job and --at are left out, so that it is for the job " +
			"in hand and today. Exit code 4 when nothing was booked from here.",
		Flags:  []*line.Flag{line.SwitchFlag("anyway", "book it though a rule is against it, with --why"), whyFlag()},
		Action: again,
	}
}

func again(c *call) error {
	if err := c.Want(0, 0); err != nil {
		return err
	}
	h, err := c.loadHand()
	if err != nil {
		return err
	}
	if len(h.Again) == 0 {
		return refusef("nothing was booked from here yet")
	}
	said := func(flag string) bool {
		for _, left := range []string{"--job=", "--at="} {
			if strings.HasPrefix(flag, left) {
				return true
			}
		}
		name, _, _ := strings.Cut(strings.TrimPrefix(flag, "--"), "=")
		return c.IsSet(name)
	}
	end := slices.Index(h.Again, "--")
	typed := slices.DeleteFunc(slices.Clone(h.Again[:end]), said)
	for _, flag := range c.Typed() {
		if strings.HasPrefix(flag, "--") && flag != "--" {
			typed = append(typed, flag)
		}
	}
	c.Notef("%s", strings.Join(slices.Concat(typed, h.Again[end+1:]), " "))
	return run(c.env, program(), slices.Concat(typed, h.Again[end:]))
}
