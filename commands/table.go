package commands

import (
	"io"
	"strings"

	"github.com/mattn/go-runewidth"
)

// Sequences of ECMA-48, 8.3.117 (select graphic rendition).
const (
	bold   = "\x1b[1m"
	yellow = "\x1b[33m"
	plain  = "\x1b[0m"
)

// columnGap is the number of blanks between two columns.
const columnGap = 2

// A table prints rows in aligned columns. On a terminal the last column is wrapped
// to the width; elsewhere lines are as long as they need to be.
type table struct {
	head  []string // may be empty
	rows  [][]string
	right []bool // columns of numbers, aligned on the right
	width int    // columns of the terminal, 0 for no limit
	bold  bool   // the heading may be coloured
}

// table returns an empty table with headings, as wide as the terminal. A heading
// that begins with ">" is that of a column of numbers.
func (c *call) table(head ...string) *table {
	t := &table{width: c.env.Width, bold: c.colour()}
	for _, h := range head {
		text, right := strings.CutPrefix(h, ">")
		t.head, t.right = append(t.head, text), append(t.right, right)
	}
	return t
}

// row adds a row. Tabs and line ends in a cell become blanks.
func (t *table) row(cells ...string) {
	clean := make([]string, len(cells))
	for i, cell := range cells {
		clean[i] = strings.Join(strings.Fields(cell), " ")
	}
	t.rows = append(t.rows, clean)
}

// print writes the table, nothing when it has no rows.
func (t *table) print(w io.Writer) error {
	if len(t.rows) == 0 {
		return nil
	}
	widths := t.widths()
	var b strings.Builder
	if strings.Join(t.head, "") != "" {
		var heading strings.Builder
		t.line(&heading, widths, t.head)
		text := strings.TrimSuffix(heading.String(), "\n")
		if t.bold {
			text = bold + text + plain
		}
		b.WriteString(text + "\n")
	}
	for _, row := range t.rows {
		t.line(&b, widths, row)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// widths are the columns' widths: the widest cell of each.
func (t *table) widths() []int {
	var widths []int
	for _, row := range append([][]string{t.head}, t.rows...) {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], runewidth.StringWidth(cell))
		}
	}
	return widths
}

// line writes one row; a last cell that does not fit goes on below itself.
func (t *table) line(b *strings.Builder, widths []int, row []string) {
	var line strings.Builder
	indent := 0
	for i, cell := range row {
		if i == len(row)-1 && (i >= len(t.right) || !t.right[i]) {
			cell = strings.Join(wrap(cell, t.width-indent), "\n"+strings.Repeat(" ", indent))
			line.WriteString(cell)
			break
		}
		blanks := strings.Repeat(" ", widths[i]-runewidth.StringWidth(cell))
		if i < len(t.right) && t.right[i] {
			line.WriteString(blanks + cell)
		} else {
			line.WriteString(cell + blanks)
		}
		line.WriteString(strings.Repeat(" ", columnGap))
		indent += widths[i] + columnGap
	}
	b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
}

// wrap breaks a text between words into lines of at most width columns. A word
// longer than that stands alone; in less than 16 columns nothing is broken.
func wrap(text string, width int) []string {
	if width < 16 || runewidth.StringWidth(text) <= width {
		return []string{text}
	}
	var lines []string
	line := ""
	for _, word := range wordsOf(text) {
		if line != "" && runewidth.StringWidth(line)+1+runewidth.StringWidth(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// wordsOf are the words of a text; a sign of per cent stays with its number.
func wordsOf(text string) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		if n := len(out); n > 0 && strings.HasPrefix(word, "%") {
			out[n-1] += " " + word
		} else {
			out = append(out, word)
		}
	}
	return out
}

// hang breaks a text into lines of at most width columns, all but the first
// behind some blanks.
func hang(text string, width, blanks int) string {
	first := wrap(text, width)
	if len(first) == 1 {
		return text
	}
	rest := wrap(strings.Join(first[1:], " "), width-blanks)
	return first[0] + "\n" + strings.Repeat(" ", blanks) + strings.Join(rest, "\n"+strings.Repeat(" ", blanks))
}

// indented is a text behind some blanks, in lines of at most width columns; all
// but the first stand behind a few more.
func indented(text string, width, blanks, more int) string {
	pad := strings.Repeat(" ", blanks)
	return pad + strings.ReplaceAll(hang(text, width-blanks, more), "\n", "\n"+pad)
}

// warning is a text in the colour of warnings, when colours are allowed.
func (c *call) warning(text string) string {
	if !c.colour() {
		return text
	}
	return yellow + text + plain
}

// bold is a text that stands out where colours are wanted.
func (c *call) bold(text string) string {
	if !c.colour() {
		return text
	}
	return bold + text + plain
}
