package commands

import (
	"os"
	"path/filepath"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
)

// outFlags name a file that is written, and outVerbs are commands whose first argument
// does.
var (
	outFlags = []string{"output", "sheet", "problems"}
	outVerbs = map[string]bool{"export": true, "template": true, "backup": true}
)

// oneAnswer leaves the answer in JSON out where a file goes to standard output.
func (c *call) oneAnswer() {
	args := c.Args()
	if c.String("output") == fromLines || outVerbs[c.Name] && len(args) > 0 && args[0] == fromLines {
		c.AsJSON = false
	}
}

// sparesStore refuses a line that would write over the store, be it called by another
// path or by a link, or as a sheet of a folder.
func (c *call) sparesStore() error {
	out := tell.Filled(tell.Each(outFlags, c.String)...)
	if args := c.Args(); outVerbs[c.Name] && len(args) > 0 {
		out = append(out, args[0])
		for _, name := range store.Sheets {
			out = append(out, filepath.Join(args[0], strings.ToLower(name)+".csv"))
		}
	}
	path, err := c.StorePath()
	if err != nil || len(out) == 0 {
		return nil // there is none to spare, or nothing is written
	}
	own, err := os.Stat(path)
	if err != nil {
		return nil
	}
	for _, file := range out {
		if info, err := os.Stat(file); file != "" && err == nil && os.SameFile(own, info) {
			return refusef("%s is the store itself: write another name", file)
		}
	}
	return nil
}
