package commands

import "slices"

// careSaid notes cautions as said for the job in hand, and returns those that were said
// for it before, on this day and terminal. What tells of the job itself says all.
func careSaid(c *call, cautions []string) (before []string, job string) {
	h, err := c.loadHand()
	if err != nil || h.Job == "" || h.JobDay != c.env.today() || c.IsSet("job") {
		return nil, ""
	}
	if of := h.Job + " " + h.JobDay; h.CareOf != of {
		h.Care, h.CareOf = nil, of
	}
	for _, text := range cautions {
		if !slices.Contains(h.Care, text) {
			h.Care = append(h.Care, text)
		} else if !slices.Contains([]string{"job", "on", "arrived"}, c.Name) {
			before = append(before, text)
		}
	}
	_ = c.saveHand(h) // what is not kept is said once more
	return before, h.Job
}
