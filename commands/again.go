package commands

import (
	"slices"
	"strings"
)

func again(c *call) error {
	h, err := c.loadHand()
	if err != nil {
		return err
	}
	if len(h.Again) == 0 {
		return refusef("nothing was booked from here yet")
	}
	said := func(flag string) bool {
		name, _, _ := strings.Cut(strings.TrimPrefix(flag, "--"), "=")
		return slices.Contains(ofTheLine, name) || c.IsSet(name)
	}
	end := slices.Index(h.Again, "--")
	typed := slices.DeleteFunc(slices.Clone(h.Again[:end]), said)
	for _, flag := range c.Typed() {
		if strings.HasPrefix(flag, "--") && flag != "--" {
			typed = append(typed, flag)
		}
	}
	shown := slices.DeleteFunc(slices.Concat(typed, h.Again[end+1:]), func(w string) bool { return strings.HasPrefix(w, "--store=") })
	c.Notef("%s", strings.Join(shown, " "))
	return run(c.env, program(), slices.Concat(typed, h.Again[end:]))
}

// ofTheLine are the flags that say for which job and day a line is, and how its answer
// looks: they are not kept from the line that booked.
var ofTheLine = []string{"job", "at", "json", "plain", "quiet", "color"}
