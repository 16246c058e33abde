package commands_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// countState is what a count says of itself.
type countState struct {
	Count struct {
		Open  bool `json:"open"`
		Lines []struct {
			Bag        string `json:"bag"`
			Difference int64  `json:"difference"`
		} `json:"lines"`
	} `json:"count"`
}

// countLines asks for the latest count of a place, nothing where there is none.
func (b bench) countLines(t *testing.T, place string) countState {
	t.Helper()
	var answer countState
	cmd, stdout, _ := b.command(t.Context(), "count", "show", place, "--json")
	if cmd.Run() != nil {
		return answer
	}
	if err := json.Unmarshal(stdout.Bytes(), &answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

// A sheet is taken in whole or not at all, whenever the program is killed, and
// the count goes on.
func TestKilledWhileEntering(t *testing.T) {
	b := newBench(t)
	sheet := filepath.Join(b.dir, "count.csv")
	b.must(t, "count", "sheet", "k1", "k2", "k3", "k4", "-o", sheet)
	text, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.Count(string(text), "\n") - 1
	filled := strings.ReplaceAll(string(text), ",pc,,,", ",pc,1,,")
	if err := os.WriteFile(sheet, []byte(filled), 0o666); err != nil {
		t.Fatal(err)
	}
	entered := 0
	n := rounds(6, 200)
	for round := range n {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(rand.Int64N(int64(40*time.Millisecond))))
		cmd, stdout, _ := b.command(ctx, "count", "enter", "--file", sheet)
		said := cmd.Run() == nil && strings.Contains(stdout.String(), "counted")
		cancel()
		b.must(t, "check")
		got := len(b.countLines(t, "k1").Count.Lines)
		if got != 0 && got != rows || said && got != rows {
			t.Fatalf("round %d: %d of %d readings are there, said to be done: %v", round, got, rows, said)
		}
		injured(t, "killed while a sheet is taken in", survived)
		if got == rows {
			entered++
			b.must(t, "undo")
		}
	}
	b.must(t, "count", "enter", "--file", sheet)
	if got := len(b.countLines(t, "k1").Count.Lines); got != rows {
		t.Errorf("after all that %d of %d readings are there", got, rows)
	}
	b.must(t, "check")
	t.Logf("%d rounds: %d sheets were in the book when the program was killed", n, entered)
}

// Somebody counts a bag while another process takes pieces out of it: the count
// agrees, whenever the pieces were looked at, and closing it changes nothing.
func TestCountingWhileFitting(t *testing.T) {
	b := newBench(t)
	ctx, cancel := context.WithCancel(t.Context())
	var wg sync.WaitGroup
	var fitted []string
	wg.Go(func() { fitted = b.fits(ctx, t) })
	sheet := filepath.Join(b.dir, "count.csv")
	n := rounds(6, 60)
	for round := range n {
		b.must(t, "count", "sheet", "r5", "-o", sheet, "--replace")
		printed, err := os.ReadFile(sheet)
		if err != nil {
			t.Fatal(err)
		}
		var filled []string
		for line := range strings.Lines(string(printed)) {
			if strings.Contains(line, ",X66,") {
				line = strings.Replace(line, ",pc,,,", fmt.Sprintf(",pc,%d,,", b.onHand(t, "X66")), 1) // what lies there now
			}
			filled = append(filled, line)
		}
		if err := os.WriteFile(sheet, []byte(strings.Join(filled, "")), 0o666); err != nil {
			t.Fatal(err)
		}
		b.must(t, "count", "enter", "--file", sheet, "--by", "H")
		for _, l := range b.countLines(t, "r5").Count.Lines {
			if l.Difference != 0 {
				t.Errorf("round %d: %s differs by %d", round, l.Bag, l.Difference)
			}
		}
		b.must(t, "count", "close", "r5", "--by", "H")
	}
	cancel()
	wg.Wait()
	b.must(t, "check")
	if extra := plenty - b.onHand(t, "X66") - len(fitted); extra < 0 || extra > 1 {
		t.Errorf("%d were said to be fitted, the book has %d more", len(fitted), extra)
	}
	t.Logf("%d counts while %d pieces were fitted", n, len(fitted))
}
