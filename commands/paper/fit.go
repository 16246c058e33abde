package paper

import (
	"math"
	"strings"
	"unicode/utf8"
)

// ellipsis ends a text that was cut off.
const ellipsis = "…"

// slack is how much of a width is used: the rest is for rounding.
const slack = 0.999

// cut is as much of a text as is at most w wide at a size, with an ellipsis where
// something is missing.
func (f *face) cut(s string, w, size float64) string {
	w = w * slack / size
	if f.width(s) <= w {
		return s
	}
	w -= f.width(ellipsis)
	end, had := 0, 0.0
	for i, r := range s {
		if had += f.width(string(r)); had > w {
			break
		}
		end = i + utf8.RuneLen(r)
	}
	if end == 0 && w < 0 {
		return ""
	}
	return strings.TrimRight(s[:end], " ") + ellipsis
}

// wrap breaks a text into at most n lines that are at most w wide at a size; the last
// ends with an ellipsis where something is missing. A word that is wider is broken.
// Marks says how good that is: one for no word broken, one for nothing missing.
func (f *face) wrap(s string, w, size float64, n int) (lines []string, marks int) {
	room := w * slack / size
	unbroken, missing := 1, 0
	words := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' })
	for len(words) > 0 && len(lines) < n-1 {
		now := words[0]
		words = words[1:]
		if f.width(now) > room {
			head := f.head(now, room)
			if head == now {
				break // not one letter has room
			}
			now, words, unbroken = head, append([]string{now[len(head):]}, words...), 0
		}
		for len(words) > 0 && f.width(now+" "+words[0]) <= room {
			now, words = now+" "+words[0], words[1:]
		}
		lines = append(lines, now)
	}
	if rest := strings.Join(words, " "); rest != "" {
		last := f.cut(rest, w, size)
		if last != "" {
			lines = append(lines, last)
		}
		if last != rest {
			missing = 1
		}
	}
	return lines, unbroken + 1 - missing
}

// head is as much of the beginning of a word as is at most w wide, the word itself
// where not one letter is.
func (f *face) head(s string, w float64) string {
	had := 0.0
	for i, r := range s {
		if had += f.width(string(r)); had > w {
			if i == 0 {
				break
			}
			return s[:i]
		}
	}
	return s
}

// A row is a text with how large it wants to be among others.
type row struct {
	text   string
	weight float64 // of the size of all
	lines  int     // at most
	bold   bool
	bar    bool    // white on black
	less   float64 // width that something beside it takes, in its own size
}

// A set row is a row as it will be printed.
type setRow struct {
	row
	size  float64
	broke []string
}

// leading is from line to line, in ems; barLeading of a row that is white on black.
const (
	leading    = 1.2
	barLeading = 1.35
)

func (r setRow) height() float64 {
	if r.bar {
		return r.size*barLeading*float64(len(r.broke)) + r.size*0.2
	}
	return r.size * leading * float64(len(r.broke))
}

// setRows gives rows the largest size at which all of them have room whole, but none
// above most or below least; a row is cut, or a word broken, only where it would be at
// the least size too, and what still has no room is left out, the last first. No row is larger than
// the one before.
func (d *Doc) setRows(rows []row, w, h, least, most float64) []setRow {
	for i := range rows {
		rows[i].text = d.printable(rows[i].text)
	}
	for n := len(rows); n > 0; n-- {
		small, best := d.rowsAt(rows[:n], w, least/2, least) // all at the least size
		if total(small) > h {
			continue
		}
		lo, hi := least/2, most
		for range 24 {
			mid := (lo + hi) / 2
			if set, marks := d.rowsAt(rows[:n], w, mid, least); total(set) > h || marks < best {
				hi = mid
			} else {
				lo = mid
			}
		}
		small, _ = d.rowsAt(rows[:n], w, lo, least)
		return small
	}
	return nil
}

// rowsAt sets rows at a size, and says how good that is: see wrap.
func (d *Doc) rowsAt(rows []row, w, unit, least float64) (out []setRow, marks int) {
	above := unit * 10
	for _, r := range rows {
		f := d.fonts.regular
		if r.bold || r.bar {
			f = d.fonts.bold
		}
		size := min(above, max(least, unit*r.weight))
		room := w - r.less*size
		if r.bar {
			room -= 0.6 * size
		}
		lines, good := f.wrap(r.text, room, size, r.lines)
		if len(lines) == 0 {
			continue
		}
		// One line is better than two that are hardly larger.
		if one := room * slack / f.width(r.text); one < size && one >= max(least, size*0.88) {
			size, lines, good = one, []string{r.text}, 2
		}
		marks += good
		above = size
		out = append(out, setRow{r, size, lines})
	}
	return out, marks
}

func total(rows []setRow) (h float64) {
	for _, r := range rows {
		h += r.height()
	}
	return h
}

// printRows prints rows from the top of a box down.
func (d *Doc) printRows(rows []setRow, x, y, w float64) {
	for _, r := range rows {
		f, in, step := d.fonts.regular, black, r.size*leading
		if r.bold || r.bar {
			f = d.fonts.bold
		}
		left, base := x, y+r.size*0.92
		if r.bar {
			d.fill(box(x, y, w, r.height()-r.size*0.2), black)
			in, step, left, base = white, r.size*barLeading, x+r.size*0.3, y+r.size*1.02
		}
		for i, text := range r.broke {
			d.text(left, base+float64(i)*step, r.size, f, text, in)
		}
		y += r.height()
	}
}

// one prints a text on one line in a width: it shrinks to least, then it is cut.
func (d *Doc) one(x, y, w, size, least float64, f *face, s string, in ink) {
	s = d.printable(s)
	if wide := f.width(s); wide > 0 {
		size = min(size, math.Max(least, w*slack/wide))
	}
	d.text(x, y, size, f, f.cut(s, w, size), in)
}
