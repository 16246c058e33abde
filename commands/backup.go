package commands

import (
	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// backupCommand copies the store.
func backupCommand() *command {
	return &command{
		Name: "backup", Usage: "write a copy of the store as it stands",
		ArgsUsage:   "FILE | -",
		UsageText:   "tinful backup /media/stick/workshop.db\ntinful backup - | ssh shelf 'cat > workshop.db'",
		Description: "A file that is there is never replaced. - is standard output: the copy is checked before its first byte goes out.",
		Action:      backup,
	}
}

func backup(c *call) error {
	if err := c.Want(1, 1); err != nil {
		return err
	}
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
	if c.JSON() {
		return c.PrintJSON(map[string]any{"file": c.Args()[0], "store": s.Path()})
	}
	c.Printf("%s is a copy of %s\n", c.Args()[0], s.Path())
	return nil
}

// restoreCommand puts a copy in the store's place.
func restoreCommand() *command {
	return &command{
		Name: "restore", Usage: "put a copy of the store in its place",
		ArgsUsage:   "FILE",
		UsageText:   "tinful restore /media/stick/workshop.db --replace",
		Description: "The copy must be whole. A store that is there is kept beside it, the\nday in its name, and only with --replace.",
		Flags:       []*line.Flag{line.SwitchFlag("replace", "keep the present store under another name and put the copy there")},
		Action:      restore,
	}
}

func restore(c *call) error {
	if err := c.Want(1, 1); err != nil {
		return err
	}
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
