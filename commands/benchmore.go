package commands

import (
	"bytes"
	"fmt"
	"io"
	"os"

	"github.com/mattn/go-runewidth"
)

// A pager shows an answer up to the height of the screen and keeps the rest, so that
// what stands first, the best, stays in sight.
type pager struct {
	out           io.Writer
	width, height int // of the screen; a height of 0 shows everything
	left          int // lines that may still be shown
	rest          bytes.Buffer
}

// besides are the lines of a screen that are no answer: the line typed, the line that
// says how many are left, and the prompt.
const besides = 3

// begin readies the pager for an answer on a screen of so many columns and lines.
func (p *pager) begin(width, height int) {
	p.width, p.height = width, height
	p.left = max(height-besides, 1)
	p.rest.Reset()
}

// Write shows whole lines as long as there is room, and keeps the others.
func (p *pager) Write(b []byte) (int, error) {
	if p.height == 0 {
		return p.out.Write(b)
	}
	n := len(b)
	for p.left > 0 && p.rest.Len() == 0 && len(b) > 0 {
		text, rest, ended := bytes.Cut(b, []byte("\n"))
		if !ended {
			_, err := p.out.Write(b) // a prompt or the beginning of a line
			return n, err
		}
		p.left -= p.rows(text)
		if _, err := p.out.Write(b[:len(text)+1]); err != nil {
			return 0, err
		}
		b = rest
	}
	p.rest.Write(b)
	return n, nil
}

// rows is how many lines of the screen a text takes.
func (p *pager) rows(text []byte) int {
	return max(1, (runewidth.StringWidth(string(text))+p.width-1)/max(p.width, 1))
}

// end says how much of the answer is left.
func (p *pager) end() error {
	n := bytes.Count(p.rest.Bytes(), []byte("\n"))
	if n > 1 {
		_, err := fmt.Fprintf(p.out, "(%d more lines: Enter or more)\n", n)
		return err
	}
	_, err := p.rest.WriteTo(p.out) // it takes no more room than the number would
	return err
}

// next shows the next screen of the answer.
func (p *pager) next() error {
	rest := bytes.Clone(p.rest.Bytes())
	p.begin(p.width, p.height)
	_, err := p.Write(rest)
	return err
}

// flush shows all that is left: a question is asked about it.
func (p *pager) flush() {
	_, _ = p.rest.WriteTo(p.out) // a screen that takes nothing shows no question either
	p.left = max(p.height-besides, 1)
}

// drop forgets what was not shown.
func (p *pager) drop() {
	if p != nil {
		p.rest.Reset()
	}
}

// A noteCounter beside a pager writes at once what must be read, and counts its lines.
type noteCounter struct {
	out io.Writer
	p   *pager
}

func (w noteCounter) Write(b []byte) (int, error) {
	w.p.left -= bytes.Count(b, []byte("\n"))
	return w.out.Write(b)
}

// more goes on with an answer that was longer than the screen.
func (b *benchLine) more() error {
	if b.pages == nil || b.pages.rest.Len() == 0 {
		return nil
	}
	return b.pages.next()
}

// clear empties the screen: ECMA-48, 8.3.39 (erase in page) and 8.3.21 (cursor
// position). Elsewhere it does nothing.
func (b *benchLine) clear() error {
	b.pages.drop()
	if b.pages == nil {
		return nil
	}
	_, err := io.WriteString(b.pages.out, "\x1b[H\x1b[2J")
	return err
}

// paged puts a pager before what the bench line writes on a terminal.
func (b *benchLine) paged() {
	b.pages = &pager{out: b.env.Stdout}
	b.env.Stdout, b.env.Stderr = b.pages, noteCounter{b.env.Stderr, b.pages}
	b.measured()
}

// measured takes the size of the window, which may be another by now.
func (b *benchLine) measured() {
	b.env.Width, b.env.Height = sizeOf(os.Stdout)
	b.env.ErrWidth, _ = sizeOf(os.Stderr)
	b.pages.begin(b.env.Width, b.env.Height)
}
