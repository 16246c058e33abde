package sheet

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync/atomic"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"tinful/store"
	"tinful/store/code"
)

// sheafRows is how many rows go to the writer of a sheet together.
const sheafRows = 128

// A sheaf is some rows of a sheet, one after the other.
type sheaf struct {
	cells  []excelize.Cell
	values []any // nil, or the cell that stands there
	lines  [sheafRows]int
	rows   int
}

// A rowMaker turns records into rows of a sheet, while the rows before them are
// written elsewhere: the writer has the sheet for itself until stop has returned.
type rowMaker struct {
	cols    []shown
	widths  []float64
	printed int // columns whose texts go on in a second line
	styles  []int
	known   *known
	read    []derived
	to      chan *sheaf
	back    chan *sheaf // to be filled again
	done    chan struct{}
	failed  atomic.Bool // writing has: what follows is thrown away
	filled  *sheaf
}

// errStopped ends the reading of records that nobody writes any more: stop says why.
var errStopped = errors.New("the rows before were not written")

// newRowMaker starts writing into s.
func newRowMaker(s *sheetWriter, known *known) *rowMaker {
	m := &rowMaker{cols: s.cols, widths: s.widths, printed: s.printed, known: known, read: toRead(s.t.title()),
		to: make(chan *sheaf, 4), back: make(chan *sheaf, 6), done: make(chan struct{})}
	for _, h := range m.cols {
		m.styles = append(m.styles, s.looks.of(h))
	}
	go func() {
		defer close(m.done)
		for x := range m.to {
			for row := 0; row < x.rows && s.err == nil; row++ {
				s.write(x.values[row*len(m.cols):][:len(m.cols)], x.lines[row])
			}
			m.failed.Store(s.err != nil)
			x.rows = 0
			select {
			case m.back <- x:
			default:
			}
		}
	}()
	return m
}

// add adds the row of a record.
func (m *rowMaker) add(cells []string) error {
	if m.failed.Load() {
		return errStopped
	}
	x := m.sheaf()
	x.lines[x.rows] = 1
	for i := range m.cols {
		h := &m.cols[i]
		if h.read >= 0 {
			v, err := m.read[h.read].of(m.known, cells)
			if err != nil {
				return err
			}
			m.set(x, i, v)
			continue
		}
		c := cells[h.from]
		if len(c) > longest {
			if err := fits(c); err != nil {
				return fmt.Errorf("%s, %s: %w", cells[0], h.name, err)
			}
		}
		m.set(x, i, value(c, h.kind))
	}
	if x.rows++; x.rows == sheafRows {
		m.send()
	}
	return nil
}

// fits refuses a text that a cell cannot hold: excelize would cut it off.
func fits(text string) error {
	if n := len(utf16.Encode([]rune(text))); n > longest {
		return fmt.Errorf("the text has %d letters, and a cell of a workbook holds %d: shorten it, or export to a folder of CSV files: %w", n, longest, store.ErrRefused)
	}
	return nil
}

// sheaf is the one that is being filled.
func (m *rowMaker) sheaf() *sheaf {
	if m.filled == nil {
		select {
		case m.filled = <-m.back:
		default:
			m.filled = &sheaf{cells: make([]excelize.Cell, sheafRows*len(m.cols)), values: make([]any, sheafRows*len(m.cols))}
		}
	}
	return m.filled
}

// set fills a cell of the row at hand; nil leaves it out.
func (m *rowMaker) set(x *sheaf, col int, v any) {
	at := x.rows*len(m.cols) + col
	if text, ok := v.(string); ok && col < m.printed {
		x.lines[x.rows] = max(x.lines[x.rows], lines(text, m.widths[col]))
	}
	if x.values[at] = nil; v != nil {
		x.cells[at] = excelize.Cell{StyleID: m.styles[col], Value: v}
		x.values[at] = &x.cells[at]
	}
}

func (m *rowMaker) send() {
	if m.filled != nil {
		m.to <- m.filled
		m.filled = nil
	}
}

// stop waits until all rows are written: nothing more can be added.
func (m *rowMaker) stop() {
	m.send()
	close(m.to)
	<-m.done
}

// value is a number where the cell is one of at most 15 digits and reads back as
// the same, and a day as a number of days from 1899-12-30, else text. Codes are
// text.
func value(cell string, k kind) any {
	switch {
	case cell == "":
		return nil
	case k == asDay:
		if d, err := code.ISODay(cell); err == nil {
			return int(d) + firstSerial
		}
	case k == asNumber && strings.Trim(cell, "-0.123456789") == "" && digits(cell) <= 15:
		n, err := strconv.ParseFloat(cell, 64)
		if err == nil && strconv.FormatFloat(n, 'f', -1, 64) == bare(cell) {
			return n
		}
	}
	return cell
}

// firstSerial is 1970-01-01 counted in days from 1899-12-30.
const firstSerial = 25569

func digits(s string) (n int) {
	for _, c := range s {
		if c >= '0' && c <= '9' {
			n++
		}
	}
	return n
}

// bare returns a decimal number without the noughts after its last digit.
func bare(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
