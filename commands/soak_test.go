package commands_test

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// rounds is few, or many where TINFUL_SOAK is 1.
func rounds(few, many int) int {
	if os.Getenv("TINFUL_SOAK") == "1" {
		return many
	}
	return few
}

// A bench is the built program with a store of its own, and a clock where it is another.
type bench struct {
	program, dir, store, clock string
}

// newBench builds the program and takes the demo in. The bag X66 is booked in
// with plenty of P066, which goes into the F-L of job 105 (testdata/demo).
func newBench(t *testing.T) bench {
	t.Helper()
	if testing.Short() {
		t.Skip("takes seconds")
	}
	if runtime.GOOS == "windows" {
		t.Skip("a process is killed in another way there")
	}
	dir := t.TempDir()
	b := bench{program: filepath.Join(dir, "tinful"), dir: dir, store: filepath.Join(dir, "w.db")}
	b.build(t)
	b.must(t, "import", filepath.Join("..", "testdata", "demo"))
	b.must(t, "put", fmt.Sprint(plenty), "P066", "from", "bought", "--place", "R5", "--grade", "new", "--bag", "X66")
	return b
}

func (b bench) build(t *testing.T) {
	t.Helper()
	build := exec.Command("go", "build", "-o", b.program, "..")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
}

// plenty is how many pieces X66 holds at first.
const plenty = 100000

func (b bench) command(ctx context.Context, args ...string) (*exec.Cmd, *bytes.Buffer, *bytes.Buffer) {
	cmd := exec.CommandContext(ctx, b.program, args...)
	cmd.Env = append(os.Environ(), "TINFUL_STORE="+b.store, "TINFUL_BY=R", "TINFUL_CLOCK="+cmp.Or(b.clock, "2031-09-01T10:00:00Z"), "COLUMNS=400", // a folder's name parts no sentence

		"HOME="+b.dir, "XDG_STATE_HOME="+filepath.Join(b.dir, "state"), "XDG_DATA_HOME="+filepath.Join(b.dir, "data"))
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	return cmd, &stdout, &stderr
}

func (b bench) must(t *testing.T, args ...string) string {
	t.Helper()
	cmd, stdout, stderr := b.command(t.Context(), args...)
	if err := cmd.Run(); err != nil {
		t.Fatalf("tinful %s: %v\n%s%s", strings.Join(args, " "), err, stdout, stderr)
	}
	return stdout.String()
}

// onHand asks for a bag and returns what it holds.
func (b bench) onHand(t *testing.T, bag string) int {
	t.Helper()
	var answer struct {
		Bag struct {
			OnHand int `json:"on_hand"`
		} `json:"bag"`
	}
	if err := json.Unmarshal([]byte(b.must(t, "show", bag, "--json")), &answer); err != nil {
		t.Fatal(err)
	}
	return answer.Bag.OnHand
}

// fits books one piece after the other until ctx ends, and returns how many
// bookings were said to be done.
func (b bench) fits(ctx context.Context, t *testing.T) (acknowledged []string) {
	for ctx.Err() == nil {
		cmd, stdout, stderr := b.command(ctx, "fit", "X66", "1", "--job", "105")
		err := cmd.Run()
		if _, undo, ok := strings.Cut(stdout.String(), "undo: tinful undo "); ok && strings.Contains(undo, "\n") {
			number, _, _ := strings.Cut(undo, "\n")
			acknowledged = append(acknowledged, number)
		}
		if err != nil && ctx.Err() == nil {
			t.Errorf("fit: %v\n%s", err, stderr)
			return acknowledged
		}
	}
	return acknowledged
}

// bookings lists the numbers of the bookings in the book.
func (b bench) bookings(t *testing.T) []string {
	t.Helper()
	var answer struct {
		Bookings []struct {
			Booking uint64 `json:"booking"`
			Command string `json:"command"`
		} `json:"bookings"`
	}
	if err := json.Unmarshal([]byte(b.must(t, "log", "--json")), &answer); err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, l := range answer.Bookings {
		out = append(out, fmt.Sprint(l.Booking))
	}
	return out
}

// What was said to be booked is in the book, whenever the program is killed: at
// most the one booking that was under way is there without having been said.
func TestKilledWhileFitting(t *testing.T) {
	b := newBench(t)
	said, unsaid, begun := 0, 0, time.Now()
	n := rounds(12, 300)
	for round := range n {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(rand.Int64N(int64(200*time.Millisecond))))
		numbers := b.fits(ctx, t)
		cancel()
		b.must(t, "check")
		said += len(numbers)
		extra := plenty - b.onHand(t, "X66") - said - unsaid
		if extra < 0 || extra > 1 {
			t.Fatalf("round %d: %d bookings were said to be done, the book has %d more", round, said, extra)
		}
		unsaid += extra
		book, came := b.bookings(t), survived
		for _, number := range numbers {
			if !slices.Contains(book, number) {
				came = lost
			}
		}
		injured(t, "killed while fitting", came, "round ", round, ", of ", numbers)
	}
	t.Logf("%d rounds in %v: %d bookings said, %d booked and not said", n, time.Since(begun).Round(time.Millisecond), said, unsaid)
}

// A store that is being made is whole or not there, whenever the program is
// killed, and can be made after that.
func TestKilledWhileImporting(t *testing.T) {
	b := newBench(t)
	made := 0
	n := rounds(6, 100)
	for round := range n {
		b.store = filepath.Join(b.dir, fmt.Sprintf("new%d", round), "w.db")
		if err := os.Mkdir(filepath.Dir(b.store), 0o777); err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(rand.Int64N(int64(400*time.Millisecond))))
		cmd, _, _ := b.command(ctx, "import", filepath.Join("..", "testdata", "demo"))
		_ = cmd.Run()
		cancel()
		if _, err := os.Stat(b.store); err == nil {
			made++
			b.must(t, "check")
		}
		if out := b.must(t, "import", filepath.Join("..", "testdata", "demo")); !strings.Contains(out, "Goes") {
			t.Errorf("round %d: import says %s", round, out)
		}
		b.must(t, "check")
		injured(t, "killed while importing", survived)
	}
	t.Logf("%d rounds: %d stores were whole when the program was killed", n, made)
}

// Two at once wait for each other: both book all they were told, and the sums
// are right.
func TestTwoAtOnce(t *testing.T) {
	b := newBench(t)
	begun, each := time.Now(), rounds(20, 200)
	var wg sync.WaitGroup
	busy := make([]int, 2)
	for who := range busy {
		wg.Go(func() {
			for range each {
				cmd, _, stderr := b.command(t.Context(), "fit", "X66", "1", "--job", "105", "--by", fmt.Sprint("hand", who))
				err := cmd.Run()
				if failed, ok := errors.AsType[*exec.ExitError](err); ok && failed.ExitCode() == 6 {
					busy[who]++
				}
				if err != nil {
					t.Errorf("hand %d: %v\n%s", who, err, stderr)
				}
			}
		})
	}
	wg.Wait()
	if got, want := b.onHand(t, "X66"), plenty-2*each; got != want {
		t.Errorf("X66 holds %d, want %d", got, want)
	}
	b.must(t, "check")
	t.Logf("twice %d bookings in %v, busy %v", each, time.Since(begun).Round(time.Millisecond), busy)
}

// fitLine is a bench line that books one piece after the other: each line is
// written when the answer to the one before is there. It returns how long the
// longest answer took.
func (b bench) fitLine(t *testing.T, who string, n int) (longest time.Duration) {
	cmd, _, stderr := b.command(t.Context(), "--by", who)
	cmd.Stdout = nil
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Error(err)
		return 0
	}
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Error(err)
		return 0
	}
	answers := bufio.NewScanner(out)
	for i := range n {
		begun := time.Now()
		fmt.Fprintln(in, "fit X66 1 --job 105")
		if !answers.Scan() || !strings.HasPrefix(answers.Text(), "X66 ") {
			t.Errorf("%s, line %d is answered by %q\n%s", who, i+1, answers.Text(), stderr)
			break
		}
		longest = max(longest, time.Since(begun))
	}
	if err := errors.Join(in.Close(), cmd.Wait()); err != nil {
		t.Errorf("%s: %v\n%s", who, err, stderr)
	}
	return longest
}

// Two bench lines on one store wait for each other and not long: nothing is lost,
// and where the long form is run no line takes half a second.
func TestTwoBenchLinesAtOnce(t *testing.T) {
	b := newBench(t)
	each := rounds(30, 200)
	longest := make([]time.Duration, 2)
	var wg sync.WaitGroup
	for who := range 2 {
		wg.Go(func() { longest[who] = b.fitLine(t, fmt.Sprint("hand", who), each) })
	}
	wg.Wait()
	if got, want := b.onHand(t, "X66"), plenty-2*each; got != want {
		t.Errorf("X66 holds %d, want %d", got, want)
	}
	if got, want := len(b.bookings(t)), 2+2*each; got != want {
		t.Errorf("%d bookings in the book, want %d", got, want)
	}
	b.must(t, "check")
	t.Logf("twice %d lines, the longest took %v", each, longest)
	if os.Getenv("TINFUL_SOAK") == "1" && slices.Max(longest) > time.Second/2 {
		t.Errorf("a line took %v, half a second is the most", slices.Max(longest))
	}
}

// Two first commands at once: both make the store, one of them is too late and books in
// the other's. Nothing that was answered is lost.
func TestFirstCommandsAtOnce(t *testing.T) {
	if testing.Short() || runtime.GOOS == "windows" {
		t.Skip("takes seconds, and processes are started as elsewhere")
	}
	dir := t.TempDir()
	b := bench{program: filepath.Join(dir, "tinful"), dir: dir}
	b.build(t)
	const writers = 4
	for round := range rounds(8, 60) {
		b.store = filepath.Join(dir, fmt.Sprintf("first%d.db", round))
		var all sync.WaitGroup
		failed := make([]string, writers)
		for i := range writers {
			all.Go(func() {
				cmd, _, stderr := b.command(t.Context(), "add", "place", fmt.Sprintf("K%d", i))
				if err := cmd.Run(); err != nil {
					failed[i] = fmt.Sprint(err, stderr)
				}
			})
		}
		all.Wait()
		if said := strings.Join(failed, ""); said != "" {
			t.Fatalf("round %d: %s", round, said)
		}
		for i := range writers {
			b.must(t, "show", fmt.Sprintf("K%d", i))
		}
		b.must(t, "check")
		injured(t, "four first commands at once", survived)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.new*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// A branch that leads to itself, each of the demo once: a question that is lost in it ends
// with one sentence and 7, and is no trace and no hang.
func TestLostInACircle(t *testing.T) {
	b := newBench(t)
	whole, err := os.ReadFile(b.store)
	if err != nil {
		t.Fatal(err)
	}
	size, lost, tried := os.Getpagesize(), 0, 0
	for at := 2 * size; at < len(whole); at += size {
		if binary.NativeEndian.Uint16(whole[at+8:]) != 1 {
			continue // bbolt, internal/common/page.go: 1 is a branch
		}
		if tried++; tried > rounds(6, 100) {
			break
		}
		raw := bytes.Clone(whole)
		for child := range int(binary.NativeEndian.Uint16(raw[at+10:])) {
			binary.NativeEndian.PutUint64(raw[at+16+16*child+8:], uint64(at/size))
		}
		if err := os.WriteFile(b.store, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		for _, line := range [][]string{{"check"}, {"find", "cheese"}, {"export", filepath.Join(b.dir, "o.xlsx"), "--replace"}} {
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			cmd, _, stderr := b.command(ctx, line...)
			err := cmd.Run()
			cancel()
			if e, failed := errors.AsType[*exec.ExitError](err); failed && e.ExitCode() == 7 && strings.Count(stderr.String(), "\n") == 1 {
				lost++
			} else if err != nil {
				t.Errorf("page %d, %s: %v %.300s", at/size, line[0], err, stderr)
			} else if line[0] == "check" {
				break // a page that is free
			}
		}
	}
	if lost <= tried {
		t.Errorf("only %d were told of %d pages", lost, tried)
	}
}
