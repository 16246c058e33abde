package commands_test

import (
	"encoding/hex"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"tinful/commands"
)

var update = flag.Bool("update", false, "rewrite the golden parts of the scripts")

func TestMain(m *testing.M) {
	testscript.Main(proven{m}, map[string]func(){
		"tinful": func() {
			env := commands.System(os.DirFS(os.Getenv("TINFUL_TESTDATA")), "demo")
			os.Exit(commands.Run(os.Args, env))
		},
	})
}

// The scripts run the program as it is typed, with a fixed clock and a home of
// their own.
func TestScripts(t *testing.T) {
	testdata, err := filepath.Abs(filepath.Join("..", "testdata"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           filepath.Join(testdata, "script"),
		UpdateScripts: *update,
		Cmds:          map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "bytes": writeBytes},
		Setup: func(env *testscript.Env) error {
			env.Setenv("TINFUL_TESTDATA", testdata)
			env.Setenv("TINFUL_CLOCK", "2031-09-01T10:00:00Z")
			env.Setenv("TINFUL_BY", "R")
			env.Setenv("HOME", filepath.Join(env.WorkDir, "home"))
			env.Setenv("LOCALAPPDATA", filepath.Join(env.WorkDir, "data"))
			env.Setenv("XDG_DATA_HOME", filepath.Join(env.WorkDir, "data"))
			env.Setenv("XDG_STATE_HOME", filepath.Join(env.WorkDir, "state"))
			return nil
		},
	})
}

// bytes FILE PIECE... writes a file of pieces, each in hex ('EF BB BF') or text with
// \r and \n in it.
func writeBytes(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 2 || neg {
		ts.Fatalf("usage: bytes FILE PIECE...")
	}
	var out []byte
	for _, p := range args[1:] {
		b, err := hex.DecodeString(strings.ReplaceAll(p, " ", ""))
		if err != nil || p != strings.ToUpper(p) {
			b = []byte(strings.NewReplacer(`\r`, "\r", `\n`, "\n").Replace(p))
		}
		out = append(out, b...)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), out, 0o644))
}

// exits CODE PROGRAM ARGS runs a program and holds its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGS")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	code := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		failed, ok := errors.AsType[*exec.ExitError](err)
		if !ok {
			ts.Fatalf("%v", err)
		}
		code = failed.ExitCode()
	}
	if code != want {
		ts.Fatalf("exit code %d, want %d", code, want)
	}
}
