package commands

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
)

// A scene is what the demo shows: a few words, then lines as they are typed.
type scene struct {
	title string
	lines [][]string
}

// scenes play in the demo workshop at the end of August 2031.
var scenes = []scene{
	{"A customer's W3-A needs a front door spring (job 106).", [][]string{
		{"find", "front", "door", "spring", "--model", "W3-A"},
		{"hold", "b267", "--job", "106"},
		{"fit", "b267", "--job", "106"},
	}},
	{"The same camera wants a release lever spring; the drawer holds its opposite-hand twin.", [][]string{
		{"fit", "b201", "--job", "106"},
		{"need", "p2", "--job", "106"},
	}},
	{"A slip: two screws booked that were never taken. It is taken back.", [][]string{
		{"fit", "b283", "2", "--job", "105"},
		{"undo"},
	}},
}

func runDemo(c *call) error {
	path, err := c.DemoPath()
	if err != nil {
		return err
	}
	if err := makeRoom(path); err != nil {
		return err
	}
	folder, err := demoFiles(c)
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	answer, err := takeIn(c, path, folder, map[string]string{"demo": "yes", "currency": "cr"})
	if err != nil {
		return err
	}
	if len(answer.Problems) > 0 {
		return printImport(c, answer)
	}
	if c.JSON() {
		return c.PrintJSON(map[string]any{"store": path, "plan": answer.Plan})
	}
	return play(c, path)
}

// makeRoom takes a demo away that is there, and nothing else.
func makeRoom(path string) error {
	s, err := store.OpenToBook(path)
	switch {
	case errors.Is(err, store.ErrNoStore):
		return nil
	case err != nil:
		return err
	}
	demo := ""
	err = s.View(func(v *store.View) error { demo = v.Setting("demo"); return nil })
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	if demo != "yes" {
		return fmt.Errorf("%w: %s is a store of your own, not a demo; name another file with --store", store.ErrRefused, path)
	}
	return os.Remove(path)
}

// demoFiles lays the embedded sheets into a folder of their own.
func demoFiles(c *call) (string, error) {
	folder, err := os.MkdirTemp("", "tinful-demo-")
	if err != nil {
		return "", err
	}
	files, err := fs.Glob(c.env.Demo, "*.csv")
	for _, name := range files {
		if err != nil {
			break
		}
		var b []byte
		if b, err = fs.ReadFile(c.env.Demo, name); err == nil {
			err = os.WriteFile(filepath.Join(folder, name), b, 0o600)
		}
	}
	if err != nil {
		os.RemoveAll(folder)
		return "", err
	}
	return folder, nil
}

// play runs the scenes as if they were typed.
func play(c *call, path string) error {
	c.Println("An invented workshop: 80 kinds of parts in 101 bags, 14 parts cameras, 8 jobs.")
	for i, s := range scenes {
		c.Println("\n" + tell.Hang(fmt.Sprintf("%d. %s", i+1, s.title), c.Columns(), 3))
		for _, words := range s.lines {
			c.Printf("\n$ tinful %s\n", strings.Join(words, " "))
			args := append([]string{"tinful", "--store", path, "--by", "R", "--quiet"}, words...)
			env := c.env
			env.Stderr = env.Stdout // a refusal belongs to the scene
			env.Terminal = false
			Run(args, env)
		}
	}
	c.Printf("\nGo on by hand; it is yours to break, and demo makes it anew:\n\n")
	c.Printf("  tinful --store %s find counter pawl spring\n", path)
	c.Printf("  tinful --store %s show pc5\n", path)
	c.Printf("  tinful template mine.xlsx\n\nYour own list goes into mine.xlsx; then: tinful import mine.xlsx\n")
	return nil
}
