package commands

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/urfave/cli/v2"

	"tinful/commands/line"
	"tinful/store"
)

func TestExitCodes(t *testing.T) {
	// Scripts depend on the codes: the table in the README.
	tests := []struct {
		name string
		err  error
		code int
	}{
		{"done", nil, 0},
		{"anything else", errors.New("disk full"), 1},
		{"usage", fmt.Errorf("fit: %w", line.Usagef("no number")), 2},
		{"not found", store.ErrNotFound, 3},
		{"no store", store.ErrNoStore, 3},
		{"no file", &fs.PathError{Op: "open", Path: "tray.txt", Err: fs.ErrNotExist}, 3},
		{"a file in the way", fs.ErrExist, 4},
		{"refused", fmt.Errorf("B203: %w", store.ErrRefused), 4},
		{"several", store.ErrSeveral, 4},
		{"bad input", store.ErrBadInput, 5},
		{"busy", store.ErrBusy, 6},
		{"damaged", errors.Join(errors.New("closing"), store.ErrDamaged), 7},
		{"newer", store.ErrNewer, 7},
		{"interrupted", fmt.Errorf("import: %w", context.Canceled), 130},
		{"an answer with a code", silentError(3), 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := exitCode(tt.err); got != tt.code {
				t.Errorf("code %d, want %d", got, tt.code)
			}
		})
	}
}

// Each line goes after "tinful: "; a silent error says nothing.
func TestReport(t *testing.T) {
	var b bytes.Buffer
	report(Env{Stderr: &b}, errors.New("B1 holds 3 free\nB2 would do"))
	report(Env{Stderr: &b}, silentError(3))
	report(Env{Stderr: &b}, nil)
	if got, want := b.String(), "tinful: B1 holds 3 free\ntinful: B2 would do\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// try runs an action as a command of the program.
func try(t *testing.T, env map[string]string, args []string, action func(*call) error) (stdout, stderr string, code int) {
	t.Helper()
	var out, errs bytes.Buffer
	world := Env{Stdout: &out, Stderr: &errs, Getenv: func(k string) string { return env[k] }, Now: time.Now}
	root := *program()
	root.Subcommands = append(slices.Clone(root.Subcommands), &command{Name: "xtry", Action: action, Most: many,
		Flags: []*line.Flag{{Name: "xfor", Usage: "`PART`", Kind: line.List}, line.ValueFlag("xqty", "`N`")}})
	code = report(world, run(world, &root, append([]string{"xtry"}, args...)))
	return out.String(), errs.String(), code
}

// A list is not cut at commas, 010 stays as typed, an error keeps its code: what
// urfave/cli does otherwise (style.md 8).
func TestFlagsReachTheCommand(t *testing.T) {
	var forParts, args []string
	var qty string
	_, stderr, code := try(t, nil, []string{"b230", "--xfor", "1,5", "-3", "--xfor=P1=2", "--xqty", "010"}, func(c *call) error {
		forParts, qty, args = c.List("xfor"), c.String("xqty"), c.Args()
		return cli.Exit(fmt.Errorf("b230: %w", store.ErrRefused), 9)
	})
	if diff := cmp.Diff([]string{"1,5", "P1=2", "010", "b230", "-3"}, append(append(forParts, qty), args...)); diff != "" {
		t.Error(diff)
	}
	if code != exitRefused || stderr != "tinful: b230: refused\n" {
		t.Errorf("code %d, %q", code, stderr)
	}
}

// Stdout is one object, {"tinful":1, ...}.
func TestPrintJSON(t *testing.T) {
	for _, tt := range []struct {
		v    any
		want string
	}{
		{struct{}{}, `{"tinful":1}`},
		{struct {
			Part string `json:"part"`
			Free int    `json:"free"`
		}{"P<1", 0}, `{"tinful":1,"part":"P<1","free":0}`},
		{map[string]any{"ok": false}, `{"tinful":1,"ok":false}`},
	} {
		out, _, _ := try(t, nil, nil, func(c *call) error { return c.PrintJSON(tt.v) })
		if out != tt.want+"\n" {
			t.Errorf("%s, want %s", out, tt.want)
		}
	}
}

// The last answer is kept by store and by person, and :2 is its second line.
func TestHand(t *testing.T) {
	env := map[string]string{"XDG_STATE_HOME": t.TempDir(), "XDG_DATA_HOME": t.TempDir(), "USER": "R"}
	ask := func(token string, args ...string) (got string, code int) {
		_, _, code = try(t, env, args, func(c *call) error {
			var err error
			got, err = c.answerLine(token)
			return err
		})
		return got, code
	}
	if _, code := ask(":1"); code != exitUsage {
		t.Errorf("without an answer: code %d", code)
	}
	want := hand{Job: "105", JobDay: "2031-09-01", Answer: []string{"B201", "B230"}}
	_, stderr, _ := try(t, env, nil, func(c *call) error {
		if err := c.saveHand(hand{Job: "104"}); err != nil {
			return err
		}
		if err := c.saveHand(want); err != nil {
			return err
		}
		got, err := c.loadHand()
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
		return err
	})
	if stderr != "" {
		t.Error(stderr)
	}
	if got, code := ask(":2"); got != "B230" || code != 0 {
		t.Errorf(":2 is %q, code %d", got, code)
	}
	if got, _ := ask("b7"); got != "b7" {
		t.Errorf("b7 became %q", got)
	}
	for _, args := range [][]string{{"--by", "H"}, {"--store", "other.db"}} {
		if _, code := ask(":2", args...); code != exitUsage {
			t.Errorf("%q sees the answer of another", args)
		}
	}
	for _, token := range []string{":3", ":0", ":x"} {
		if _, code := ask(token); code != exitUsage {
			t.Errorf("%s: code %d", token, code)
		}
	}
	files, _ := filepath.Glob(filepath.Join(env["XDG_STATE_HOME"], "tinful", "*"))
	if len(files) != 1 {
		t.Errorf("left behind: %q", files)
	}
}

// The folders: XDG base directory specification; Apple's file system guide; Known
// folders of Windows.
func TestFolders(t *testing.T) {
	home := t.TempDir()
	join := filepath.Join
	tests := []struct {
		goos        string
		env         map[string]string
		data, state string
	}{
		{"linux", map[string]string{"HOME": home}, join(home, ".local/share/tinful"), join(home, ".local/state/tinful")},
		{"linux", map[string]string{"HOME": home, "XDG_DATA_HOME": join(home, "d"), "XDG_STATE_HOME": join(home, "s")}, join(home, "d/tinful"), join(home, "s/tinful")},
		{"linux", map[string]string{"HOME": home, "XDG_DATA_HOME": "d"}, join(home, ".local/share/tinful"), join(home, ".local/state/tinful")},
		{"darwin", map[string]string{"HOME": home}, join(home, "Library/Application Support/tinful"), join(home, ".local/state/tinful")},
		{"windows", map[string]string{"LOCALAPPDATA": home}, join(home, "tinful"), join(home, "tinful/state")},
		{"linux", nil, "", ""},
		{"windows", nil, "", ""},
	}
	for _, tt := range tests {
		getenv := func(k string) string { return tt.env[k] }
		if got, err := dataFolder(tt.goos, getenv); got != tt.data || (err == nil) != (tt.data != "") {
			t.Errorf("%s %v: data %q, %v", tt.goos, tt.env, got, err)
		}
		if got, err := stateFolder(tt.goos, getenv); got != tt.state || (err == nil) != (tt.state != "") {
			t.Errorf("%s %v: state %q, %v", tt.goos, tt.env, got, err)
		}
	}
}
