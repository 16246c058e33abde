package commands

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store/words"
)

// Keys that end or skip.
const (
	enter     = '\r'
	interrupt = 3 // Ctrl-C in raw mode
	endOfText = 4 // Ctrl-D in raw mode
)

// An errStopped says that a question was broken off by Ctrl-C. Its Unwrap returns
// [context.Canceled].
type errStopped struct{}

func (errStopped) Error() string { return "abandoned: nothing is booked" }
func (errStopped) Unwrap() error { return context.Canceled }

// key asks a question that one key answers, and returns it in lower case. Where
// the input is a terminal the key is read as it is struck; elsewhere the first
// letter of a line stands for it, and an empty line for enter. It says of another key
// than those that are known that it is none, and asks again; the end of the input is 0.
func (c *call) key(question, known string) (byte, error) {
	for {
		tell.Prompt(c.Err, c.ErrWide, question)
		k, err := c.readKey()
		if err != nil || k == 0 || strings.IndexByte(known, k) >= 0 {
			return k, err
		}
		c.Warnf("%s is no answer here: %s", keyName(k), keyNames(known))
	}
}

// keyName is a key as people call it.
func keyName(k byte) string {
	switch {
	case k == enter:
		return "Enter"
	case k <= ' ' || k > '~':
		return "that key"
	}
	return string(rune(k))
}

// keyNames are keys to choose from.
func keyNames(keys string) string {
	out := tell.Each([]byte(keys), keyName)
	return words.Or(out)
}

// keyboard is the terminal that keys are read from, nil where there is none: the
// bench line reads lines from its own.
func keyboard(in io.Reader) *os.File {
	if l, ok := in.(*typedLines); ok {
		in = l.keys
	}
	if f, ok := in.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return f
	}
	return nil
}

func (c *call) readKey() (byte, error) {
	f := keyboard(c.env.Stdin)
	if f == nil {
		return c.lineKey()
	}
	was, err := term.MakeRaw(int(f.Fd()))
	if err != nil {
		return c.lineKey()
	}
	var b [1]byte
	n, err := f.Read(b[:])
	if rerr := term.Restore(int(f.Fd()), was); err == nil {
		err = rerr
	}
	if n == 0 {
		return 0, nil
	}
	k := strings.ToLower(string(b[:]))[0]
	switch k {
	case interrupt:
		fmt.Fprintln(c.Err)
		return 0, errStopped{}
	case endOfText:
		k = 0
	case '\n':
		k = enter
	}
	if k > ' ' && k <= '~' {
		fmt.Fprintf(c.Err, "%c", k)
	}
	fmt.Fprintln(c.Err)
	return k, err
}

// lineKey is the first letter of a line.
func (c *call) lineKey() (byte, error) {
	text, ended, err := c.readLine()
	switch {
	case err != nil:
		return 0, err
	case text != "":
		return strings.ToLower(text)[0], nil
	case ended:
		return 0, nil
	}
	return enter, nil
}

// plainly is an answer without the blanks around it; full-width letters and digits are
// those of the keyboard, as in a line.
func plainly(text string) string { return words.Narrow(strings.TrimSpace(text)) }

// readLine reads one line, blanks around it taken off, and tells whether the input
// ended before its end.
func (c *call) readLine() (text string, ended bool, err error) {
	var b strings.Builder
	for {
		var one [1]byte
		n, rerr := c.env.Stdin.Read(one[:])
		if n == 1 && one[0] == '\n' {
			return plainly(b.String()), false, nil
		}
		if n == 1 {
			b.WriteByte(one[0])
		}
		if b.Len() > line.Longest {
			return "", false, line.ErrLong
		}
		if rerr != nil {
			return plainly(b.String()), true, nil // a read that fails ends the input
		}
	}
}
