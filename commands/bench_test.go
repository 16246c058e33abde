package commands_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tinful/commands"
)

// A workshop is the program within the test, with a home of its own.
type workshop struct {
	env map[string]string
	now time.Time
}

// newWorkshop returns a workshop into which a folder of sheets is taken in. It is a
// Friday at six.
func newWorkshop(tb testing.TB, sheets string) workshop {
	tb.Helper()
	home := tb.TempDir()
	w := workshop{
		map[string]string{"TINFUL_STORE": filepath.Join(home, "w.db"), "TINFUL_BY": "R", "XDG_STATE_HOME": home, "XDG_DATA_HOME": home, "HOME": home},
		time.Date(2031, 9, 5, 18, 0, 0, 0, time.UTC),
	}
	if _, stderr, code := w.run("", "import", sheets); code != 0 {
		tb.Fatalf("import: %s", stderr)
	}
	return w
}

// run runs the program with something on its standard input.
func (w workshop) run(stdin string, args ...string) (stdout, stderr string, code int) {
	var out, errs bytes.Buffer
	code = commands.Run(append([]string{"tinful"}, args...), w.with(strings.NewReader(stdin), &out, &errs))
	return out.String(), errs.String(), code
}

func (w workshop) with(stdin io.Reader, stdout, stderr io.Writer) commands.Env {
	return commands.Env{Stdin: stdin, Stdout: stdout, Stderr: stderr,
		Now: func() time.Time { return w.now }, Getenv: func(key string) string { return w.env[key] }}
}

// A bagAnswer is what show says of a bag.
type bagAnswer struct {
	OnHand int    `json:"on_hand"`
	Held   int    `json:"held"`
	Place  string `json:"place"`
	Grade  string `json:"grade"`
}

func readBag(t *testing.T, answer string) bagAnswer {
	t.Helper()
	var got struct{ Bag bagAnswer }
	if err := json.Unmarshal([]byte(answer), &got); err != nil {
		t.Fatalf("%v: %s", err, answer)
	}
	return got.Bag
}

// Friday at six: two top screws, the release lever and the centre screw for job 107
// in fewer than forty keystrokes, Enter counted. The job is taken up again before
// (testdata/demo/jobs.csv closes it). B228 held 4, B218 and B215 one each
// (testdata/demo/bags.csv).
func TestFridayAtSix(t *testing.T) {
	w := newWorkshop(t, filepath.Join("..", "testdata", "demo"))
	if _, stderr, code := w.run("", "edit", "107", "--state", "in work"); code != 0 {
		t.Fatal(stderr)
	}
	lines := []string{"on 107", "fit p21 2", ":1", "fit p52 p34", "off"}
	keys := 0
	for _, l := range lines {
		keys += len(l) + 1
	}
	if keys >= 40 {
		t.Errorf("%d keystrokes, fewer than 40 are to do", keys)
	}
	stdout, stderr, code := w.run(strings.Join(lines, "\n") + "\n")
	if code != 0 || !strings.Contains(stderr, "line 2: 2 bags of P021") {
		t.Errorf("code %d, %s", code, stderr) // the list of bags is answered
	}
	if !strings.HasSuffix(stdout, "job 107 is put down\n") {
		t.Error(stdout)
	}
	for bag, want := range map[string]int{"B228": 2, "B218": 0, "B215": 0} {
		answer, _, _ := w.run("", "show", bag, "--json")
		if got := readBag(t, answer).OnHand; got != want {
			t.Errorf("%s holds %d, want %d", bag, got, want)
		}
	}
	book, _, _ := w.run("", "log", "-n", "2")
	want := "4  2031-09-05  R  fit p52 p34\n" +
		"    fitted 1 B218 release lever job 107\n" +
		"    fitted 1 B215 wind ratchet centre screw, LEFT-HAND, loosens clockwise job\n      107\n" +
		"3  2031-09-05  R  fit bag:B228 2\n" +
		"    fitted 2 B228 top plate screw, countersunk job 107\n"
	if diff := cmp.Diff(want, book); diff != "" {
		t.Error(diff)
	}
}

// Files of other systems: CRLF, a byte order mark, no line end at the end.
func TestLinesOfOtherSystems(t *testing.T) {
	w := newWorkshop(t, filepath.Join("..", "testdata", "demo"))
	stdout, stderr, code := w.run("\ufeffon 106\r\n# x\r\n\r\nfit b255 2\r\noff")
	want := "on job 106 (W3-A, customer 6)\n" +
		"B255 top plate screw, countersunk  6 -> 4   for job 106   undo: tinful undo 2\n" +
		"job 106 is put down\n"
	if stdout != want || code != 0 {
		t.Errorf("code %d\n%s%s", code, stdout, stderr)
	}
}

// weekEnd is what the week of testdata/bench/week.txt leaves in the bags it
// touches, worked out by hand from testdata/demo/bags.csv and moves.csv.
var weekEnd = map[string]bagAnswer{
	"B252": {0, 0, "K1", "ready"},    // 1, fitted as it was held
	"B250": {0, 0, "K1", "ready"},    // 1 - 1
	"B269": {6, 0, "N2", "ready"},    // 7 - 2 + 1
	"B284": {0, 0, "N4", "ready"},    // 1 - 1
	"B281": {0, 0, "K1", "ready"},    // 1 - 1
	"B290": {1, 0, "R2", "usable"},   // 1 - 1, taken back
	"B285": {0, 0, "R2", "ready"},    // 1 - 1
	"B286": {2, 2, "R5", "ready"},    // both held
	"B294": {50, 0, "R1", "new"},     // 25 + 25
	"B202": {1, 0, "K2", "ready"},    // 1 - 1 + 2, moved, 1 fitted
	"B239": {1, 0, "K2", "usable"},   // moved
	"B302": {0, 0, "Q1", "ready"},    // 2 from B283 and back
	"B283": {8, 0, "N2", "ready"},    // 8 - 2 + 2
	"B221": {1, 0, "R4", "rework"},   // graded
	"B222": {0, 0, "S1", "rework"},   // 1 - 1
	"B235": {1, 0, "R3", "ready"},    // lent and back
	"B248": {2, 0, "R1", "ready"},    // 1 + 1
	"B243": {2, 0, "R1", "ready"},    // lost and taken back
	"B209": {2, 0, "N1", "ready"},    // 5 - 2 - 1
	"B208": {1, 0, "N1", "usable"},   // 5 - 2 - 2
	"B228": {4, 0, "N1", "usable"},   // not touched
	"B201": {1, 0, "K1", "usable"},   // refused: the twin
	"B301": {37, 0, "T1", "unknown"}, // not touched
}

// weekLines are the lines of the week.
func weekLines(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "bench", "week.txt"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	if len(lines) < 60 {
		t.Errorf("%d lines are no week", len(lines))
	}
	return lines
}

// holdWeek looks at the bags after the week.
func holdWeek(t *testing.T, show func(bag string) string) {
	t.Helper()
	for bag, want := range weekEnd {
		if diff := cmp.Diff(want, readBag(t, show(bag))); diff != "" {
			t.Errorf("%s: %s", bag, diff)
		}
	}
}

// The week of a bench, through a pipe. What is refused on the way, and taken up with
// :1, is no mistake of the week.
// Who writes a line into a pipe may read its answer before the next one is written.
func TestPipeAnswersEachLine(t *testing.T) {
	w := newWorkshop(t, "../testdata/demo")
	in, typed := io.Pipe()
	answers, out := io.Pipe()
	go func() {
		commands.Run([]string{"tinful"}, w.with(in, out, io.Discard))
		out.Close()
	}()
	read := bufio.NewReader(answers)
	for _, x := range []struct{ line, want string }{{"me", "R books"}, {"today", "parts cameras standing"}, {"show b230", "B230"}, {"me H", "H books"}} {
		fmt.Fprintln(typed, x.line)
		for {
			text, err := read.ReadString('\n')
			if err != nil {
				t.Fatalf("%s: %v", x.line, err)
			}
			if strings.Contains(text, x.want) {
				break
			}
		}
	}
	typed.Close()
	if _, err := io.Copy(io.Discard, read); err != nil {
		t.Fatal(err)
	}
}

func TestWeekThroughAPipe(t *testing.T) {
	w := newWorkshop(t, filepath.Join("..", "testdata", "demo"))
	_, stderr, code := w.run(strings.Join(weekLines(t), "\n")+"\n", "--keep-going")
	if code != 4 {
		t.Errorf("code %d\n%s", code, stderr)
	}
	holdWeek(t, func(bag string) string {
		stdout, _, _ := w.run("", "show", bag, "--json")
		return stdout
	})
	if stdout, stderr, code := w.run("", "check"); code != 0 {
		t.Error(stdout, stderr)
	}
}

// The same week typed in a terminal of 80 columns and 24 lines: the screens before
// the lines that begin with "# screen" are those of testdata/bench, and the book at
// the end is that of the pipe.
func TestWeekInATerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("tmux is not installed")
	}
	demo := filepath.Join("..", "testdata", "demo")
	piped, w := newWorkshop(t, demo), newWorkshop(t, demo)
	typed := newBenchTypist(t, w.env["TINFUL_STORE"])
	for _, l := range weekLines(t) {
		if name, ok := strings.CutPrefix(l, "# screen "); ok {
			holdScreen(t, name, typed.screen())
		}
		typed.line(l)
		// An answer begins below its line: where that is in sight so is the best of it.
		if screen := typed.screen(); len(l) < 60 && !strings.Contains(screen, "> "+l+"\n") {
			t.Errorf("after %q the first of the answer is out of sight:\n%s", l, screen)
		}
	}
	typed.keys("C-d")
	typed.wait("is left", func(last string) bool { return last == "left with 0" })

	piped.run(strings.Join(weekLines(t), "\n")+"\n", "--keep-going")
	holdWeek(t, func(bag string) string {
		stdout, _, _ := w.run("", "show", bag, "--json")
		return stdout
	})
	book := func(w workshop) []string {
		stdout, _, _ := w.run("", "log", "-n", "1000")
		return strings.Split(stdout, "\n")
	}
	if diff := cmp.Diff(book(piped), book(w)); diff != "" {
		t.Errorf("the book of the pipe is not that of the terminal: %s", diff)
	}
}

// Ctrl-C at a question abandons the line and not the bench line, Ctrl-D ends the
// lines of -. B281 and B285 hold one each (testdata/demo/bags.csv).
func TestQuestionsInATerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("tmux is not installed")
	}
	w := newWorkshop(t, filepath.Join("..", "testdata", "demo"))
	typed := newBenchTypist(t, w.env["TINFUL_STORE"])
	asked := func(last string) bool { return strings.HasSuffix(last, "back):") }
	typed.line("on 105")
	typed.line("fit b281")
	typed.keys("done", "Enter")
	typed.wait("asks", asked)
	typed.keys("C-c")
	typed.wait("is back", isPrompt)
	if screen := typed.screen(); !strings.Contains(screen, "tinful: abandoned: nothing is booked\n105 F-L>") {
		t.Error(screen)
	}
	typed.keys("fit -", "Enter", "b285", "Enter", "C-d")
	typed.wait("has read the lines", func(last string) bool {
		return isPrompt(last) && strings.Contains(typed.screen(), "undo: tinful undo 3")
	})
	typed.line("b285")
	typed.keys("done", "Enter")
	typed.wait("asks", asked)
	typed.keys("y") // one key, without Enter
	typed.wait("asks of B285", func(last string) bool {
		return asked(last) && strings.Contains(typed.screen(), "\nB285 double-exposure interlock lever: was")
	})
	typed.keys("x")
	typed.wait("says that x is no answer", func(last string) bool {
		return asked(last) && strings.Contains(typed.screen(), "tinful: x is no answer here: y, n or u")
	})
	typed.keys("u")
	typed.wait("has put the job down", func(last string) bool { return last == "tinful>" })
	book, _, _ := w.run("", "log", "-n", "3")
	want := "4  2031-09-05  R  done\n" +
		"    unheld 1 B284 rewind fork screw, LEFT-HAND, loosens clockwise job 105\n" +
		"    returned 1 B285 double-exposure interlock lever job 105: not used\n" +
		"3  2031-09-05  R  fit -\n" +
		"    fitted 1 B285 double-exposure interlock lever job 105\n" +
		"2  2031-09-05  R  fit b281\n" +
		"    unheld 1 B281 interlock lever spring job 105\n" +
		"    fitted 1 B281 interlock lever spring job 105\n"
	if diff := cmp.Diff(want, book); diff != "" {
		t.Error(diff)
	}
	// A count keeps each answer at once. K2 holds B226, B227, B275 and B276.
	typed.keys("count k2", "Enter")
	typed.wait("asks for B226", func(last string) bool { return strings.HasSuffix(last, "from PC-02:") })
	typed.keys("1", "Enter")
	typed.wait("asks for B227", func(last string) bool {
		return strings.HasSuffix(last, "from PC-02:") && strings.Contains(typed.screen(), "\nB227")
	})
	typed.keys("C-c")
	typed.wait("is back from counting", isPrompt)
	if screen := typed.screen(); !strings.Contains(screen, "tinful: stopped: tinful count k2 goes on where it stopped") ||
		!strings.Contains(screen, "not counted: B227, B275, B276") {
		t.Error(screen)
	}
}

// holdScreen compares a screen with testdata/bench, or rewrites that.
func holdScreen(t *testing.T, name, screen string) {
	t.Helper()
	file := filepath.Join("..", "testdata", "bench", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(screen), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(screen, "\n")); diff != "" {
		t.Errorf("screen %s: %s", name, diff)
	}
}

// A benchTypist is a bench line in a terminal of its own.
type benchTypist struct {
	t      *testing.T
	socket string
}

// newBenchTypist opens a bench line on a store in tmux and waits for its prompt.
func newBenchTypist(t *testing.T, store string) benchTypist {
	t.Helper()
	dir, err := os.MkdirTemp("", "typed") // short: the name of a socket is
	if err != nil {
		t.Fatal(err)
	}
	b := bench{program: filepath.Join(dir, "tinful"), dir: dir, store: store}
	y := benchTypist{t, filepath.Join(dir, "tmux")}
	t.Cleanup(func() {
		_ = exec.Command("tmux", "-S", y.socket, "kill-server").Run()
		os.RemoveAll(dir)
	})
	b.build(t)
	y.tmux("-f", os.DevNull, "new-session", "-d", "-x", "80", "-y", "24",
		fmt.Sprintf("env TINFUL_STORE=%s TINFUL_BY=R TINFUL_CLOCK=2031-09-05T18:00:00Z HOME=%s XDG_STATE_HOME=%s NO_COLOR=1 %s; echo left with $?; sleep 60",
			store, dir, filepath.Join(dir, "state"), b.program))
	y.wait("is open", isPrompt)
	return y
}

func (y benchTypist) tmux(args ...string) string {
	y.t.Helper()
	out, err := exec.Command("tmux", append([]string{"-S", y.socket, "-u"}, args...)...).CombinedOutput()
	if err != nil {
		y.t.Fatalf("tmux %q: %v\n%s", args, err, out)
	}
	return string(out)
}

func (y benchTypist) screen() string { return y.tmux("capture-pane", "-p") }

func (y benchTypist) keys(keys ...string) { y.tmux(append([]string{"send-keys"}, keys...)...) }

// line types a line, sees it stand, enters it and waits for the next prompt.
func (y benchTypist) line(text string) {
	y.t.Helper()
	y.keys("-l", text)
	shown := "> " + text
	if len(text) > 50 {
		shown = text[len(text)-50:] // a long line is shown by its end
	}
	y.wait(fmt.Sprintf("shows %q", text), func(last string) bool { return strings.HasSuffix(last, shown) })
	y.keys("Enter")
	y.wait(fmt.Sprintf("is back after %q", text), isPrompt)
}

// isPrompt tells whether a line is a prompt behind which nothing is typed.
func isPrompt(last string) bool { return strings.HasSuffix(last, ">") }

// wait waits until the last line on the screen is as it should be. However slow the
// machine, the test waits; a minute is an error.
func (y benchTypist) wait(what string, is func(last string) bool) {
	y.t.Helper()
	for begun := time.Now(); time.Since(begun) < time.Minute; time.Sleep(5 * time.Millisecond) {
		lines := strings.Split(strings.TrimRight(y.screen(), "\n "), "\n")
		if is(strings.TrimRight(lines[len(lines)-1], " ")) {
			return
		}
	}
	y.t.Fatalf("the bench line never %s:\n%s", what, y.screen())
}

// BenchmarkBenchLine is one booking in an open bench line, from the line to its
// answer, with the job in hand.
func BenchmarkBenchLine(b *testing.B) {
	const bags = 20000
	b.Run(fmt.Sprintf("bags=%d", bags), func(b *testing.B) {
		w := newWorkshop(b, commands.ManyBags(b, bags, 20))
		in, lines := io.Pipe()
		answers, out := io.Pipe()
		go func() {
			commands.Run([]string{"tinful"}, w.with(in, out, io.Discard))
			out.Close()
		}()
		read := bufio.NewScanner(answers)
		say := func(line, until string) {
			fmt.Fprintln(lines, line)
			for read.Scan() {
				if strings.Contains(read.Text(), until) {
					return
				}
			}
			b.Fatalf("%q is not answered", line)
		}
		say("on 101", "on job 101")
		b.ReportAllocs()
		n := 0
		for b.Loop() {
			n++
			say(fmt.Sprintf("fit B%05d 1", n%bags), "undo: tinful undo")
		}
		lines.Close()
	})
}
