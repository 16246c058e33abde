package commands

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// inDemo runs lines in the demo workshop, each with a world that change may change.
func inDemo(t *testing.T, change func(*Env)) func(args ...string) (stdout, stderr string, code int) {
	t.Helper()
	home := t.TempDir()
	run := func(change func(*Env), args ...string) (string, string, int) {
		var out, errs bytes.Buffer
		env := Env{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs,
			Now: func() time.Time { return time.Date(2031, 9, 1, 10, 0, 0, 0, time.UTC) },
			Getenv: func(name string) string {
				return map[string]string{"TINFUL_BY": "R", "TINFUL_STORE": filepath.Join(home, "w.db"), "XDG_STATE_HOME": home}[name]
			},
			Demo: os.DirFS(filepath.Join("..", "testdata", "demo"))}
		change(&env)
		code := Run(append([]string{"tinful"}, args...), env)
		return out.String(), errs.String(), code
	}
	if _, errs, code := run(func(*Env) {}, "import", filepath.Join("..", "testdata", "demo")); code != 0 {
		t.Fatal(errs)
	}
	return func(args ...string) (string, string, int) { return run(change, args...) }
}

// A booking opens the store once, be it refused or not: names, what is short and what
// is likely to run out come with it. The bags are those of testdata/demo/bags.csv.
func TestBookingOpensOnce(t *testing.T) {
	n := 0
	run := inDemo(t, func(env *Env) { env.opened = func() { n++ } })
	for _, tt := range []struct {
		line string
		code int
	}{
		{"fit b283 2 --job 105", exitOK},
		{"fit counter pawl spring --job 106", exitOK},
		{"fit p4 --job 106", exitRefused}, // two bags would do
		{"fit b320 --job 105", exitNotFound},
		{"fit b230 --job 106", exitRefused}, // it does not go in
		{"hold b283 --job 105", exitOK},
		{"unhold b283 --job 105", exitOK},
		{"return b283 --job 105", exitOK},
		{"lend b283 --to H", exitOK},
		{"lost b283", exitOK},
		{"lost p6 --job 105", exitOK}, // a piece of the customer's camera
		{"found b283", exitOK},
		{"scrap b283 --why bent", exitOK},
		{"sell b209 --for 1.00 --to H", exitOK},
		{"move b283 K2", exitOK},
		{"split b230 2", exitOK},
		{"join b302 b230", exitOK},
		{"grade b230 rework --why worn", exitOK},
		{"put 2 P003 from PC-01", exitOK},
		{"put 1 P080 from PC-07", exitRefused}, // nobody knows where
		{"made p6 --from wire", exitOK},
		{"old p8 broken --job 105", exitOK},
		{"arrived w1b 22418 customer 1, counter stuck", exitOK},
		{"arrived w1b 22418 customer 1, counter stuck", exitRefused}, // it is here already
		{"fit b268 --job 109", exitOK},
		{"done 109", exitRefused}, // nobody says whether it was tested
		{"done 109 --tested", exitOK},
		{"bought w2b 47731 22 post 4", exitOK},
		{"look pc8 missing p64", exitOK},
		{"look pc8 --history meddled", exitOK},
		{"measure p3 --wire 0.153", exitOK},
		{"goes p57 w1-a --evidence tried", exitOK},
		{"edit 105 --note case", exitOK},
		{"add place K9 springs", exitOK},
		{"want p57 --job 103", exitOK},
		{"cost pc-03 --freeze", exitOK},
		{"count enter b208=2", exitOK},
		{"count close", exitRefused}, // a difference is open
		{"count close --accept b208", exitOK},
	} {
		n = 0
		if _, errs, code := run(strings.Fields(tt.line)...); code != tt.code {
			t.Errorf("%s: code %d, want %d: %s", tt.line, code, tt.code, errs)
		}
		if n != 1 {
			t.Errorf("%s opened the store %d times", tt.line, n)
		}
	}
}
