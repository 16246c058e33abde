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

// play prints the scenes, and runs the lines in them that begin with $.
func play(c *call, path string) error {
	for text := range strings.Lines(strings.ReplaceAll(page("demo"), "{store}", path)) {
		text = strings.TrimSuffix(text, "\n")
		typed, runs := strings.CutPrefix(text, "$ tinful ")
		switch {
		case runs:
			c.Println(text)
			env := c.env
			env.Stderr = env.Stdout // a refusal belongs to the scene
			env.Terminal = false
			Run(append([]string{"tinful", "--store", path, "--by", "R", "--quiet"}, strings.Fields(typed)...), env)
		case strings.HasPrefix(text, " "):
			c.Println(text)
		default:
			c.Println(tell.Hang(text, c.Columns(), 3))
		}
	}
	return nil
}
