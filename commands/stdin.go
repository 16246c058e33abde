package commands

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tinful/commands/line"
	sheet "tinful/import"
)

// fromLines stands among the arguments of a booking for lines of standard input.
const fromLines = "-"

// typedName is what sentences call standard input.
const typedName = "standard input"

// Standard input for one booking: a workshop's evening is a hundred lines.
const (
	mostStdin = 10_000   // lines
	mostText  = 16 << 20 // bytes
)

// typedText is all of standard input as text.
func (c *call) typedText() (string, error) {
	raw, err := io.ReadAll(io.LimitReader(c.env.Stdin, mostText+1))
	if err != nil {
		return "", err
	}
	text, note, err := sheet.DecodeText(typedName, raw)
	if note != "" {
		c.Notef("%s", note)
	}
	if err == nil && (len(raw) > mostText || strings.Count(text, "\n") > mostStdin) {
		err = tooMany()
	}
	return text, err
}

func tooMany() error {
	return line.Usagef("standard input has more than %d lines: book them in several parts", mostStdin)
}

// readBounded reads a line with its end. Of one that is too long the rest is passed over,
// and the error says so.
func readBounded(in *bufio.Reader) (string, error) {
	var text []byte
	for {
		piece, err := in.ReadSlice('\n')
		if len(text) <= line.Longest {
			text = append(text, piece...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
		case len(text) > line.Longest && (err == nil || errors.Is(err, io.EOF)):
			return "", line.ErrLong
		default:
			return string(text), err
		}
	}
}

// A stdinLine is one line of standard input that says something.
type stdinLine struct {
	number int // from 1, empty lines and remarks counted
	words  []string
}

// pairs are the things of a booking line with their numbers. Standard input is
// readOf once, and must be before the store is opened.
func (c *call) pairs() ([]line.Pair, error) {
	if c.typed != nil {
		return c.typed, nil
	}
	args := c.Args()
	at := slices.Index(args, fromLines)
	if at < 0 {
		pairs, err := line.ParsePairs(args)
		c.typed = pairs
		return pairs, err
	}
	before, err := line.ParsePairs(args[:at])
	if err != nil {
		return nil, err
	}
	after, err := line.ParsePairs(args[at+1:])
	if err != nil {
		return nil, err
	}
	lines, err := c.stdinLines(args)
	if err != nil {
		return nil, err
	}
	pairs := before
	for _, l := range lines {
		more, err := line.ParsePairs(l.words)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", l.number, err)
		}
		for _, p := range more {
			p.Line = l.number
			pairs = append(pairs, p)
		}
	}
	c.typed = append(pairs, after...)
	return c.typed, nil
}

// bagTokens are the bags of a line: its arguments, and for - a bag of each line of
// standard input.
func (c *call) bagTokens(args []string) ([]string, error) {
	at := slices.Index(args, fromLines)
	if at < 0 {
		return args, nil
	}
	lines, err := c.stdinLines(args)
	if err != nil {
		return nil, err
	}
	var tokens []string
	for _, l := range lines {
		if len(l.words) != 1 {
			return nil, line.Usagef("line %d: %s takes one bag a line, whole and without a number", l.number, c.Name)
		}
		tokens = append(tokens, l.words[0])
	}
	return slices.Replace(slices.Clone(args), at, at+1, tokens...), nil
}

// stdinLines reads standard input to its end, for the one - among the arguments.
// Empty lines and remarks (#) are left out.
func (c *call) stdinLines(args []string) ([]stdinLine, error) {
	if n := slices.Index(args, fromLines); slices.Contains(args[n+1:], fromLines) {
		return nil, line.Usagef("- is given twice, and standard input can be read once")
	}
	if c.env.Terminal {
		c.Notef("one thing a line, CODE N; Ctrl-D ends")
	}
	var out []stdinLine
	in := bufio.NewReader(c.env.Stdin)
	for number := 1; ; number++ {
		text, err := readBounded(in)
		if errors.Is(err, line.ErrLong) {
			return nil, fmt.Errorf("line %d: %w", number, err)
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		}
		if number > mostStdin && text != "" {
			return nil, tooMany()
		}
		if text = strings.TrimPrefix(text, "\ufeff"); !line.IsRemark(text) {
			words, err := line.Words(text)
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", number, err)
			}
			out = append(out, stdinLine{number, line.Narrow(words)})
		}
		if err != nil {
			break
		}
	}
	if len(out) == 0 {
		return nil, line.Usagef("- stands for lines of standard input, one thing a line, and there are none")
	}
	return out, nil
}
