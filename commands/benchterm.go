package commands

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/peterh/liner"

	"tinful/commands/tell"
	"tinful/store"
)

// terminal is the bench line on a terminal, until it is left. Between two lines the
// terminal is as a command finds it in a shell: a question can be answered, and
// Ctrl-C ends the program.
func (b *benchLine) terminal() error {
	plain, err := liner.TerminalMode()
	if err != nil {
		return err
	}
	t := liner.NewLiner()
	defer t.Close()
	t.SetCtrlCAborts(true)
	t.SetBeep(false)
	t.SetTabCompletionStyle(liner.TabPrints)
	t.SetWordCompleter(b.tab)
	typing, err := liner.TerminalMode()
	if err != nil {
		return err
	}
	b.paged()
	b.env.Ask = func(question string) (string, error) { return b.asks(t, plain, typing, question) }
	b.env.Stdin = &typedLines{ask: b.env.Ask, keys: os.Stdin}
	b.greet()
	for _, text := range b.history() {
		t.AppendHistory(text)
	}
	for {
		b.env.copies.say(b.call())
		text, err := t.Prompt(b.prompt())
		switch {
		case errors.Is(err, liner.ErrPromptAborted):
			continue
		case errors.Is(err, io.EOF):
			_, err := fmt.Fprintln(b.env.Stdout)
			return err
		case err != nil:
			return err
		}
		if strings.TrimSpace(text) != "" {
			t.AppendHistory(text)
			b.remember(text)
		}
		if left, err := b.between(plain, typing, text); left || err != nil {
			return err
		}
	}
}

// asks asks a question on the terminal: Ctrl-C abandons the line that asks, Ctrl-D
// leaves the question open as Enter does.
func (b *benchLine) asks(t *liner.State, plain, typing liner.ModeApplier, question string) (string, error) {
	b.pages.flush()
	const room = 20 // for the answer behind the last line of the question
	lines := tell.Wrap(question, b.env.Width-room)
	for _, text := range lines[:len(lines)-1] {
		fmt.Fprintln(b.env.Stdout, text) // where the prompt goes
	}
	t.SetWordCompleter(nil)
	defer t.SetWordCompleter(b.tab)
	if err := typing.ApplyMode(); err != nil {
		return "", err
	}
	prompt := strings.Map(printable, lines[len(lines)-1])
	if prompt != "" {
		prompt += " "
	}
	answer, err := t.Prompt(prompt)
	if errors.Is(err, liner.ErrPromptAborted) {
		err = errStopped{} // questions are asked before anything is booked; where they are not, the command says what is kept
	}
	if errors.Is(err, io.EOF) {
		fmt.Fprintln(b.env.Stdout)
		if prompt != "" {
			err = nil
		}
	}
	return answer, errors.Join(err, plain.ApplyMode())
}

// typedLines are lines typed for - in the bench line, until Ctrl-D.
type typedLines struct {
	ask  func(question string) (string, error)
	keys io.Reader // the terminal, where one key is an answer
	rest []byte
}

func (l *typedLines) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		text, err := l.ask("")
		if err != nil {
			return 0, err
		}
		l.rest = []byte(text + "\n")
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}

// between runs a line with the terminal as it was found, and says whether the bench
// line is left.
func (b *benchLine) between(plain, typing liner.ModeApplier, text string) (left bool, err error) {
	if err := plain.ApplyMode(); err != nil {
		return false, err
	}
	if strings.TrimSpace(text) != "" && !strings.EqualFold(strings.TrimSpace(text), "more") {
		b.measured()
	}
	err = b.do(text)
	if errors.Is(err, errLeave) {
		return true, nil
	}
	report(b.env, err)
	return false, errors.Join(b.pages.end(), typing.ApplyMode())
}

// greet says whose bench it is and how to leave it, and at once when the store
// cannot be read.
func (b *benchLine) greet() {
	c := b.call()
	path, err := c.StorePath()
	if err == nil {
		c.Notef("%s at %s; help bench says more, Ctrl-D leaves", b.by, filepath.Base(path))
		err = c.view(func(v *store.View) error {
			if text := copyWarning(c, v); text != "" {
				c.Warnf("%s", text)
			}
			return nil
		})
	}
	if errors.Is(err, store.ErrNoStore) {
		c.Notef("no store is here yet: type demo for an invented workshop to try, template mine.xlsx for a workbook to fill in, import FILE for a list of your own")
		return
	}
	report(b.env, err)
}

// mostLines is how many lines of the history are kept.
const mostLines = 1000

// historyFile is the file of what a person has typed at a store.
func (b *benchLine) historyFile() (string, error) {
	file, err := b.call().handFile()
	return strings.TrimSuffix(file, ".json") + ".history", err
}

// history is what the person has typed before, the latest last. A longer history
// is cut to its latest lines. Without a file or a folder for it there is none.
func (b *benchLine) history() []string {
	file, err := b.historyFile()
	if err != nil {
		return nil
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	if len(lines) > mostLines {
		lines = lines[len(lines)-mostLines:]
		_ = replaceFile(file, []byte(strings.Join(lines, "\n")+"\n")) // else it is cut another time
	}
	return lines
}

// remember adds a line to the history at once, so that a second terminal and a
// killed program lose nothing. That it cannot be kept is said once.
func (b *benchLine) remember(text string) {
	file, err := b.historyFile()
	if err == nil {
		err = appendLine(file, text)
	}
	if err != nil && !b.silent {
		b.silent = true
		b.call().Notef("the history of this line is not kept: %v", err)
	}
}

// appendLine adds a line to a file that only its owner reads.
func appendLine(file, text string) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(text + "\n")
	return errors.Join(err, f.Close())
}
