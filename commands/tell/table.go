package tell

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"

	"tinful/store/words"
)

// columnGap is the number of blanks between two columns.
const columnGap = 2

// A Table prints rows in aligned columns. On a terminal the last column is wrapped
// to the width; elsewhere lines are as long as they need to be.
type Table struct {
	Wide  int      // columns of the terminal, 0 for no limit
	head  []string // may be empty
	rows  packed
	made  iter.Seq[[]Cell] // in place of rows
	wides []int            // of the widest cells
	right []bool           // columns of numbers, aligned on the right
	bold  bool             // the heading may be coloured
	plain bool             // a fact a line
	below bool             // a last cell that has hardly any room stands beneath its row
}

// Table returns an empty table with headings, as wide as the terminal. A heading
// that begins with ">" is that of a column of numbers.
func (s *Screen) Table(head ...string) *Table {
	t := &Table{Wide: s.Wide, bold: s.Coloured, plain: s.Plain, below: s.Wide > 0}
	for _, h := range head {
		text, right := strings.CutPrefix(h, ">")
		t.head, t.right = append(t.head, text), append(t.right, right)
	}
	return t
}

// Row adds a row. Tabs and line ends in a cell become blanks.
func (t *Table) Row(cells ...string) {
	row := make([]Cell, 0, 16) // mostly on the stack
	for _, text := range cells {
		row = append(row, OneLine(text))
	}
	t.add(row)
}

// Keep adds a row whose cells keep their blanks.
func (t *Table) Keep(cells ...string) {
	t.add(cellsOf(cells))
}

// Long has a table make its rows when it is printed, for one that may have a hundred
// thousand. The widest is a row whose cells, but for the last, are as wide as any. A row is
// good until the next.
func (t *Table) Long(widest []Cell, rows iter.Seq[[]Cell]) {
	t.wides = widen(t.wides, widest)
	t.made = rows
}

// Across is how many columns a cell takes.
func Across(text string) int { return OneLine(text).wide }

// all yields the rows; one is good until the next.
func (t *Table) all() iter.Seq[[]Cell] {
	if t.made != nil {
		return t.made
	}
	return t.rows.all()
}

func (t *Table) add(row []Cell) {
	t.wides = widen(t.wides, row)
	t.rows.add(row)
}

// widen makes columns as wide as the cells of a row.
func widen(wides []int, row []Cell) []int {
	for i, c := range row {
		if i == len(wides) {
			wides = append(wides, 0)
		}
		wides[i] = max(wides[i], c.wide)
	}
	return wides
}

// OneLine is a cell of a text with one blank between its words.
func OneLine(text string) Cell {
	rest, before := text, uint64(0x80) // a blank
	for len(rest) >= 8 {
		x := words.Eight(rest)
		blanks := words.EightBlanks(x)
		if !words.EightPrinted(x) || blanks&(blanks<<8|before) != 0 {
			return oneLined(text)
		}
		before, rest = blanks>>56, rest[8:]
	}
	blank := before != 0
	for i := range len(rest) {
		c := rest[i]
		if c > ' ' && c < 0x7f {
			blank = false
			continue
		}
		if blank || c != ' ' {
			return oneLined(text)
		}
		blank = true
	}
	if blank && text != "" {
		return oneLined(text)
	}
	return Cell{text, len(text)}
}

func oneLined(text string) Cell {
	text = strings.Join(strings.Fields(text), " ")
	return Cell{text, width(text)}
}

// width is how many columns a text takes on a screen.
func width(text string) int {
	if words.Printed(text) < len(text) {
		return runewidth.StringWidth(text)
	}
	return len(text)
}

// Print writes the table, nothing when it has no rows.
func (t *Table) Print(w io.Writer) error {
	if t.Empty() {
		return nil
	}
	if t.plain {
		return t.facts(w)
	}
	head := cellsOf(t.head)
	widths := widen(slices.Clone(t.wides), head)
	narrow := t.narrow(widths)
	var b []byte
	if strings.Join(t.head, "") != "" {
		for _, part := range t.broken(widths, head) {
			b = t.line(b, widths, part)
		}
		b = bytes.TrimSuffix(b, []byte("\n"))
		if t.bold {
			b = []byte(bold + string(b) + reset)
		}
		b = append(b, '\n')
	}
	var err error
	for row := range t.all() {
		if !narrow {
			b = t.line(b, widths, row)
		} else {
			for _, part := range t.broken(widths, row) {
				b = t.line(b, widths, part)
			}
		}
		if len(b) >= atOnce && !t.bold {
			_, werr := w.Write(b)
			b, err = b[:0], cmp.Or(err, werr)
		}
	}
	_, werr := w.Write(b)
	return cmp.Or(err, werr)
}

// atOnce is how many bytes of a table are written at once, unless it is painted: what of a
// write has a colour decides of all of it.
const atOnce = 1 << 16

// facts writes each cell on a line of its own behind its heading, and an empty line
// between rows, for a reader by ear. Without headings a row is a line.
func (t *Table) facts(w io.Writer) error {
	var b strings.Builder
	headed := strings.Join(t.head, "") != ""
	first := true
	for row := range t.all() {
		if headed && !first {
			b.WriteString("\n")
		}
		if first = false; !headed {
			b.WriteString(strings.Join(Filled(texts(row)...), ": ") + "\n")
			continue
		}
		for j, text := range texts(row) {
			if text != "" && j < len(t.head) && t.head[j] != "" {
				text = t.head[j] + ": " + text
			}
			if text != "" {
				b.WriteString(text + "\n")
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func cellsOf(texts []string) []Cell {
	return Each(texts, func(text string) Cell { return Cell{text, width(text)} })
}

func texts(row []Cell) []string { return Each(row, func(c Cell) string { return c.text }) }

// narrow takes from the widest columns of text, the last apart, what the screen has no room
// for, then from headings that are wider than their numbers, and tells whether it did. No
// column is made narrower than its texts or headings can be broken in.
func (t *Table) narrow(widths []int) (narrowed bool) {
	room := t.Wide + columnGap
	for i, w := range widths {
		if !t.lastText(i, len(widths)) {
			room -= w + columnGap
		}
	}
	if !t.below || t.Wide <= 0 || room >= 0 {
		return false
	}
	floors := make([]int, len(widths))
	copy(floors, t.wides)
	for _, numbers := range []bool{false, true} {
		for i := range floors {
			if !numbers && !t.number(i) && i < len(widths)-1 {
				floors[i] = narrowest
			} else if numbers && t.number(i) {
				for _, word := range strings.Fields(t.head[i]) {
					floors[i] = max(floors[i], width(word))
				}
			}
		}
		for ; room < 0; room++ {
			widest := -1
			for i, w := range widths {
				if t.number(i) == numbers && (numbers || i < len(widths)-1) && w > floors[i] && (widest < 0 || w > widths[widest]) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			widths[widest]--
			narrowed = true
		}
	}
	return narrowed
}

// number tells whether column i is one of numbers.
func (t *Table) number(i int) bool { return i < len(t.right) && t.right[i] }

// lastText tells whether column i of a row of n is the last and holds text: it is broken,
// or stands beneath, by itself.
func (t *Table) lastText(i, n int) bool { return i == n-1 && !t.number(i) }

// broken is a row in as many as its cells have lines in columns of these widths.
func (t *Table) broken(widths []int, row []Cell) [][]Cell {
	cells, height, indent := make([][]string, len(row)), 1, 0
	for i, cell := range row {
		if cells[i] = folded(cell.text, widths[i]); t.lastText(i, len(row)) {
			cells[i] = Wrap(cell.text, t.Wide-indent) // without room it stands beneath as it is
		}
		height = max(height, len(cells[i]))
		indent += widths[i] + columnGap
	}
	rows := make([][]Cell, height)
	for k := range rows {
		rows[k] = make([]Cell, len(row))
		for i, lines := range cells {
			at := k
			if t.lastText(i, len(row)) && t.Wide-indent+widths[i]+columnGap < least {
				at -= height - 1 // beneath the last line
			}
			if at >= 0 && at < len(lines) {
				rows[k][i] = Cell{lines[at], width(lines[at])}
			}
		}
	}
	return rows
}

// line appends one row to a text; a last cell that does not fit goes on below itself, or
// on a terminal beneath the row where hardly any room is left for it.
func (t *Table) line(b []byte, widths []int, row []Cell) []byte {
	begin, indent := len(b), 0
	for i, cell := range row {
		if t.lastText(i, len(row)) {
			if room := t.Wide - indent; t.below && t.Wide > 0 && cell.text != "" && room < least && cell.wide > room {
				indent = beneath
				b = blanks(append(bytes.TrimRight(b, " "), '\n'), indent)
			}
			if room := t.Wide - indent; room < least || cell.wide <= room {
				b = append(b, cell.text...)
				break
			}
			for i, line := range Wrap(cell.text, t.Wide-indent) {
				if i > 0 {
					b = blanks(append(b, '\n'), indent)
				}
				b = append(b, line...)
			}
			break
		}
		room := widths[i] - cell.wide
		if t.number(i) {
			b = append(blanks(b, room), cell.text...)
		} else {
			b = blanks(append(b, cell.text...), room)
		}
		b = blanks(b, columnGap)
		indent += widths[i] + columnGap
	}
	for len(b) > begin && b[len(b)-1] == ' ' {
		b = b[:len(b)-1]
	}
	return append(b, '\n')
}

const manyBlanks = "                                                                "

func blanks(b []byte, n int) []byte {
	for ; n > len(manyBlanks); n -= len(manyBlanks) {
		b = append(b, manyBlanks...)
	}
	return append(b, manyBlanks[:max(0, n)]...)
}

const (
	least     = 16 // columns, in which a text can be broken
	narrowest = 10 // columns of a column of short texts, on a screen that is too narrow
	beneath   = 4  // blanks before what stands beneath a row
)

// Wrap breaks a text between words into lines of at most so many columns. A word
// longer than that stands alone; in less than 16 columns nothing is broken.
func Wrap(text string, columns int) []string {
	if columns < least {
		return []string{text}
	}
	return folded(text, columns)
}

// folded is [Wrap] in however few columns.
func folded(text string, columns int) []string {
	if width(text) <= columns {
		return []string{text}
	}
	var lines []string
	line := ""
	for _, word := range wordsOf(text) {
		if line != "" && width(line)+1+width(word) > columns {
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

// Hang breaks a text into lines of at most width columns, all but the first
// behind some blanks.
func Hang(text string, width, blanks int) string {
	first := Wrap(text, width)
	if len(first) == 1 {
		return first[0] // several blanks may be one
	}
	rest := Wrap(strings.Join(first[1:], " "), width-blanks)
	return first[0] + "\n" + strings.Repeat(" ", blanks) + strings.Join(rest, "\n"+strings.Repeat(" ", blanks))
}

// Indented is a text behind some blanks, in lines of at most width columns; all
// but the first stand behind a few more.
func Indented(text string, width, blanks, more int) string {
	pad := strings.Repeat(" ", blanks)
	return pad + strings.ReplaceAll(Hang(text, width-blanks, more), "\n", "\n"+pad)
}

// Empty tells whether the table has no rows.
func (t *Table) Empty() bool { return len(t.wides) == 0 }

// WideTable is a table as wide as the terminal, else [Width].
func (s *Screen) WideTable(head ...string) *Table {
	t := s.Table(head...)
	t.Wide = s.Columns()
	return t
}

// Show prints a table. What cannot be written is remembered by who made Out.
func (s *Screen) Show(t *Table) { _ = t.Print(s.Out) }

// Beneath prints a table with a sentence to each of its rows: on a terminal below the
// row, where there is room for it, elsewhere in a last column under title.
func (s *Screen) Beneath(t *Table, title string, sentences []string) {
	if s.Wide == 0 {
		t.head = append(t.head, title)
		rows, i := t.rows, 0
		t.rows = packed{}
		for row := range rows.all() {
			t.add(append(row, Cell{sentences[i], width(sentences[i])}))
			i++
		}
		s.Show(t)
		return
	}
	t.Wide = 0 // a row is one line
	var b strings.Builder
	_ = t.Print(&b) // a strings.Builder takes everything
	const indent = "      "
	for i, row := range strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n") {
		s.Println(row)
		if i > 0 && sentences[i-1] != "" {
			s.Println(indent + strings.Join(Wrap(sentences[i-1], s.Columns()-len(indent)), "\n"+indent))
		}
	}
}

// Headed prints a heading and a table below it, nothing for an empty table.
func (s *Screen) Headed(heading string, t *Table) {
	if !t.Empty() {
		s.Println(heading + ":")
		s.Show(t)
	}
}

// Listed prints a title and a table below it, nothing for an empty table.
func (s *Screen) Listed(title string, t *Table) {
	if t.Empty() {
		return
	}
	s.Printf("\n%s\n", title)
	s.Show(t)
}

// Fact adds a fact of one thing, nothing for an empty text.
func (t *Table) Fact(name, text string) {
	if text != "" {
		t.Row(name, text)
	}
}

// Section writes a title and, indented, a table; nothing for an empty table.
func (t *Table) Section(b *strings.Builder, title string) {
	if t.Empty() {
		return
	}
	if t.Wide > 2 {
		t.Wide -= 2
	}
	var rows strings.Builder
	_ = t.Print(&rows) // a strings.Builder takes everything
	fmt.Fprintf(b, "\n%s:\n", title)
	for line := range strings.Lines(rows.String()) {
		b.WriteString("  " + line)
	}
}
