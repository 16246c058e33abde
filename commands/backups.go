package commands

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// backups lists the copies of the store, and reads each.
func backups(c *call) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	list := tell.Each(store.CopiesOf(path), func(x store.Copy) tell.Copy { return tell.Copy{Copy: x} })
	for _, w := range store.WrittenOf(path) {
		list = append(list, tell.Copy{Copy: store.Copy{File: w.File, Day: w.Day, Bytes: w.Bytes}, Asked: true, Held: store.Contents{Bookings: w.Bookings}, Away: !w.SameDisk})
	}
	for i := range list {
		if held, err := store.ContentsOf(list[i].File); err == nil {
			list[i].Held, list[i].Read = held, true
			if lacks, named, err := store.PhotosLacking(list[i].File); err == nil { // one that is damaged says so
				list[i].Pictures, list[i].Lacks = named, len(lacks)
			}
		}
	}
	today := code.DayOf(c.env.Now())
	return c.Answer(tell.CopiesAnswer(list, today), func() {
		tell.Copies(c.Screen, list, today)
		if len(list) == 0 {
			c.Println("no copy of the store is known")
		}
	})
}
