package commands

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// An endless row of questions in one pipe keeps nobody from booking, and sees what was
// booked.
func TestBookBetweenQuestions(t *testing.T) {
	w, home := hostileWorld(t)
	asks, lines := io.Pipe()
	answers := &bytes.Buffer{}
	ended := make(chan int)
	go func() {
		env := w.env
		env.Stdin, env.Stdout, env.Stderr = asks, answers, answers
		ended <- Run([]string{"tinful", "--keep-going"}, env)
	}()
	booked := make(chan string)
	go func() {
		for i := range 5 {
			other := newWorld(t, home)
			other.env.Getenv = w.env.Getenv
			code := Run([]string{"tinful", "edit", "b203", "--quiet", "--note", fmt.Sprint("shade ", i)}, other.env)
			booked <- fmt.Sprint(code, other.stderr)
		}
		close(booked)
	}()
	for waiting := true; waiting; {
		select {
		case said, more := <-booked:
			if waiting = more; more && said != "0 " {
				t.Errorf("a booking ended with %s", said)
			}
		default:
			fmt.Fprintln(lines, "show b203")
			fmt.Fprintln(lines, "find spring")
		}
	}
	fmt.Fprintln(lines, "show b203")
	lines.Close()
	if code := <-ended; code != exitOK {
		t.Errorf("exit code %d: %s", code, answers)
	}
	_, last, _ := strings.Cut(answers.String(), "shade 4")
	if last == "" {
		t.Errorf("the last booking was not seen:\n%s", answers)
	}
}

// What is booked in a line is seen by the next question of it, another store that is
// named is another one, and one that takes the name of the store is the one that is read.
func TestReaderFollows(t *testing.T) {
	w, home := hostileWorld(t)
	w.env.Stdin = strings.NewReader(strings.Join([]string{
		"show b203", "edit b203 --looks marked", "show b203", "low --store other.db", "show b203", "backup copy.db", "edit b203 --looks worn", "show b203",
		"restore copy.db --replace", "show b203", "undo", "show b203"}, "\n"))
	Run([]string{"tinful", "--keep-going"}, w.env)
	var looks []string
	for l := range strings.Lines(w.stdout.String()) {
		if f := strings.Fields(l); len(f) == 2 && f[0] == "looks" {
			looks = append(looks, f[1])
		}
	}
	if got := strings.Join(looks, " "); got != "marked marked worn marked" {
		t.Errorf("looks: %s\n%s%s", got, w.stdout, w.stderr)
	}
	if _, err := os.Stat(filepath.Join(home, "other.db")); err == nil {
		t.Error("a question made a store")
	}
}

// The hand of a pipe is kept when its lines have ended, as it stood at the last.
func TestHandOfAPipe(t *testing.T) {
	w, home := hostileWorld(t)
	w.env.Stdin = strings.NewReader("find spring\non 105\nfind screw\n")
	Run([]string{"tinful"}, w.env)
	files, _ := filepath.Glob(filepath.Join(home, "tinful", "*.json"))
	if len(files) != 1 {
		t.Fatal(files)
	}
	text, err := os.ReadFile(files[0])
	if err != nil || !strings.Contains(string(text), `"job":"105"`) || !strings.Contains(string(text), `"answer":["part:P`) {
		t.Errorf("%s %v", text, err)
	}
}
