package commands

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// salvage makes a new store of all that can be read in a damaged file.
func salvage(c *call) error {
	from, to := c.Args()[0], c.Args()[1]
	c.env.opening()
	got, err := store.Salvage(from, to, code.DayOf(c.env.Now()))
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(map[string]any{"file": from, "store": to, "records": got.Records, "movements": got.Entries, "bookings": got.Bookings, "lost": append([]string{}, got.Lost...)})
	}
	c.Printf("%s has %s, %s and %s out of %s\n", to, tell.Many(got.Records, "record"), tell.Many(got.Entries, "movement"), tell.Many(got.Bookings, "booking"), from)
	if len(got.Lost) == 0 {
		c.Println("nothing is lost")
		return nil
	}
	c.Println("lost:")
	for i, text := range got.Lost {
		if i == mostLost && !c.Bool("all") {
			c.Printf("  and %d more: --all prints them\n", len(got.Lost)-i)
			break
		}
		c.Println(tell.Indented(text, c.Wide, 2, 2))
	}
	return nil
}

// mostLost is how much of what is lost is printed without --all.
const mostLost = 50
