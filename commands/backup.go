package commands

import (
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

func backup(c *call) error {
	s, err := c.open()
	if err != nil {
		return err
	}
	defer s.Close()
	if c.Args()[0] == fromLines {
		return outThrough(c, "copy.db", func(file string) (string, error) { return file, s.BackupSound(file) })
	}
	if err := s.Backup(c.Args()[0]); err != nil {
		return err
	}
	return c.Answer(map[string]any{"file": c.Args()[0], "store": s.Path()}, func() {
		c.Printf("%s is a copy of %s\n", c.Args()[0], s.Path())
	})
}

func restore(c *call) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	kept, err := store.Restore(c.Args()[0], path, c.Bool("replace"), code.DayOf(c.env.Now()).String())
	if err != nil {
		return err
	}
	if c.JSON() {
		return c.PrintJSON(tell.Known(map[string]any{"file": c.Args()[0], "store": path, "kept": kept}))
	}
	c.Printf("%s is as in %s\n", path, c.Args()[0])
	if kept != "" {
		c.Printf("the store that was there is %s\n", kept)
	}
	return nil
}
