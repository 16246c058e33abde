package commands

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/term"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/words"
)

// An Env is all that a command knows of the world around it.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Now            func() time.Time    // in the location whose calendar days are booked
	Getenv         func(string) string // an environment variable, empty when it is not set
	Terminal       bool                // Stdin is a terminal: questions may be asked
	OnScreen       bool                // Stdout is a terminal
	Width, Height  int                 // of that terminal; the width that COLUMNS asks for elsewhere, else 0
	ErrWidth       int                 // columns of the terminal Stderr is, 0 when it is none
	Demo           fs.FS               // the CSV files of the demo workshop, bags.csv at its root

	// Ask asks a question in the bench line, where the terminal is not read as a
	// file is; nil elsewhere.
	Ask func(question string) (string, error)

	line   string          // of an open bench line or a pipe, which has a job in hand and a last answer of its own
	whose  string          // whose hand that is: who opened it
	hands  map[string]hand // what lines of a pipe have in hand, by file; nil elsewhere
	reader *reader         // of the same: the store as it is kept open for questions
	writer *writer         // and to book in
	clock  error           // why TINFUL_CLOCK cannot be used
	copies *copier         // of the lines of a bench line or pipe; nil for a command alone
	until  context.Context // ends what is served; nil where the signals of the system do
	opened func()          // is called when a store is opened, nil for nobody
	print  *printed        // has what would be written to a file; nil where files are
}

// A printed paper is one that is shown instead of written.
type printed struct {
	data  []byte
	trial bool // nothing is kept of it
}

// opening says that a store is opened.
func (env Env) opening() {
	if env.opened != nil {
		env.opened()
	}
}

// System returns the Env of the process. The files of the demo workshop lie in
// folder of demo. The clock stands still at TINFUL_CLOCK (RFC 3339) when that is
// set; Run refuses a clock that cannot be read.
func System(demo fs.FS, folder string) Env {
	env := Env{
		Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Now: time.Now, Getenv: os.Getenv,
		Terminal: term.IsTerminal(int(os.Stdin.Fd())),
	}
	env.Demo, _ = fs.Sub(demo, folder) // the folder is a constant of the caller
	env.Width, env.Height = sizeOf(os.Stdout)
	env.OnScreen = env.Width > 0
	env.ErrWidth, _ = sizeOf(os.Stderr)
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 && env.Width == 0 {
		env.Width = n // what is read elsewhere is wrapped where that is asked for: POSIX.1-2024, 8.3
	}
	store.Astray = func(err error) { os.Exit(report(env, whatHelps(err))) }
	if text := os.Getenv("TINFUL_CLOCK"); text != "" {
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			env.clock = line.Usagef("TINFUL_CLOCK is %q: write it like 2031-09-01T10:00:00Z", text)
		}
		env.Now = func() time.Time { return at }
	}
	return env
}

// sizeOf is how many columns and lines the terminal has that a file is, 0 for none.
func sizeOf(f *os.File) (width, height int) {
	if !term.IsTerminal(int(f.Fd())) {
		return 0, 0
	}
	if w, h, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
		return w, h
	}
	return 80, 0
}

// dataFolder is where the stores of a person lie unless they are named.
func dataFolder(goos string, getenv func(string) string) (string, error) {
	switch {
	// The XDG base directory specification: a relative path is ignored.
	case filepath.IsAbs(getenv("XDG_DATA_HOME")):
		return filepath.Join(getenv("XDG_DATA_HOME"), "tinful"), nil
	case goos == "windows" && getenv("LOCALAPPDATA") != "":
		return filepath.Join(getenv("LOCALAPPDATA"), "tinful"), nil
	case goos == "windows" || getenv("HOME") == "":
		return "", fmt.Errorf("no folder for the store is known: name a file with --store or TINFUL_STORE")
	case goos == "darwin":
		return filepath.Join(getenv("HOME"), "Library", "Application Support", "tinful"), nil
	}
	return filepath.Join(getenv("HOME"), ".local", "share", "tinful"), nil
}

// stateFolder is where the last answer and the job in hand are kept.
func stateFolder(goos string, getenv func(string) string) (string, error) {
	switch {
	case filepath.IsAbs(getenv("XDG_STATE_HOME")):
		return named(filepath.Join(getenv("XDG_STATE_HOME"), "tinful"))
	case goos == "windows" && getenv("LOCALAPPDATA") != "":
		return filepath.Join(getenv("LOCALAPPDATA"), "tinful", "state"), nil
	case goos == "windows" || getenv("HOME") == "":
		return "", fmt.Errorf("no folder for the last answer is known: set XDG_STATE_HOME")
	}
	return named(filepath.Join(getenv("HOME"), ".local", "state", "tinful"))
}

// StorePath is the file of the store: --store, else TINFUL_STORE, else
// workshop.db in the person's data folder.
func (c *call) StorePath() (string, error) {
	if path := c.String("store"); path != "" {
		return path, nil
	}
	if path := c.env.Getenv("TINFUL_STORE"); path != "" {
		return named(path)
	}
	folder, err := dataFolder(runtime.GOOS, c.env.Getenv)
	if err != nil {
		return "", err
	}
	return named(filepath.Join(folder, "workshop.db"))
}

// named refuses a path out of the environment with control characters, as none may be
// typed either.
func named(path string) (string, error) {
	if strings.ContainsFunc(path, unicode.IsControl) {
		return "", line.Usagef("a folder or file is called %s in the environment, with a control character: leave it out", words.Shown(path))
	}
	return path, nil
}

// DemoPath is the file of the demo store: --store, else demo.db beside the
// default store. It ignores TINFUL_STORE.
func (c *call) DemoPath() (string, error) {
	if path := c.String("store"); path != "" {
		return path, nil
	}
	folder, err := dataFolder(runtime.GOOS, c.env.Getenv)
	if err != nil {
		return "", err
	}
	return named(filepath.Join(folder, "demo.db"))
}

// By is who books: --by, else TINFUL_BY, else the login name.
func (c *call) By() string {
	if by := c.String("by"); by != "" {
		return by
	}
	for _, name := range []string{"TINFUL_BY", "USER", "LOGNAME", "USERNAME"} {
		by := strings.Map(printable, strings.ToValidUTF8(c.env.Getenv(name), ""))
		if by, err := store.CleanText(by); err == nil && by != "" {
			return by
		}
	}
	return "unknown"
}

// coloured tells whether headings and warnings may be coloured, when being --color.
// The rule for NO_COLOR is that of no-color.org; --color is stronger.
func coloured(env Env, when string) bool {
	switch when {
	case "always":
		return true
	case "never":
		return false
	}
	if env.Getenv == nil || env.Getenv("NO_COLOR") != "" || env.Getenv("TERM") == "dumb" || !env.OnScreen {
		return false
	}
	// The old console of Windows prints the sequences as they stand.
	return runtime.GOOS != "windows" || env.Getenv("WT_SESSION") != "" || env.Getenv("TERM") != ""
}
