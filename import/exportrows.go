package sheet

import (
	"errors"
	"fmt"
	"slices"
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
	rows   int
}

// A rowMaker turns records into rows of a sheet, while the rows before them are
// written elsewhere: the writer has the sheet for itself until stop has returned.
type rowMaker struct {
	heads  []head
	styles []int
	known  figures // nil where there are no columns that are only there to be read
	bags   bool    // of bags, not of parts
	keep   int     // the column that says how many should be there
	wide   int
	to     chan *sheaf
	back   chan *sheaf // to be filled again
	done   chan error
	failed atomic.Bool // writing has: what follows is thrown away
	filled *sheaf
}

// errStopped ends the reading of records that nobody writes any more: stop says why.
var errStopped = errors.New("the rows before were not written")

// newRowMaker starts writing into s.
func newRowMaker(s *sheetWriter, known figures) *rowMaker {
	m := &rowMaker{heads: s.heads, wide: s.width(), bags: s.t.title() == "Bags",
		to: make(chan *sheaf, 4), back: make(chan *sheaf, 6), done: make(chan error, 1)}
	if len(s.more) > 0 {
		m.known = known
	}
	for i, h := range m.heads {
		m.styles = append(m.styles, s.looks.of(h))
		if h.name == "Keep" {
			m.keep = i
		}
	}
	for range s.more {
		m.styles = append(m.styles, s.looks.derived)
	}
	go func() {
		var err error
		for x := range m.to {
			for row := range slices.Chunk(x.values[:x.rows*m.wide], m.wide) {
				if err == nil {
					err = s.write(row)
				}
			}
			m.failed.Store(err != nil)
			x.rows = 0
			select {
			case m.back <- x:
			default:
			}
		}
		m.done <- err
	}()
	return m
}

// add adds the row of a record.
func (m *rowMaker) add(cells []string) error {
	if m.failed.Load() {
		return errStopped
	}
	x := m.sheaf()
	for i, c := range cells {
		if len(c) > longest {
			if err := fits(c); err != nil {
				return fmt.Errorf("%s, %s: %w", cells[0], m.heads[i].name, err)
			}
		}
		m.set(x, i, value(c, m.heads[i].kind))
	}
	if m.known != nil {
		if err := m.derive(x, cells); err != nil {
			return err
		}
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
			m.filled = &sheaf{cells: make([]excelize.Cell, sheafRows*m.wide), values: make([]any, sheafRows*m.wide)}
		}
	}
	return m.filled
}

// set fills a cell of the row at hand; nil leaves it out.
func (m *rowMaker) set(x *sheaf, col int, v any) {
	at := x.rows*m.wide + col
	if x.values[at] = nil; v != nil {
		x.cells[at] = excelize.Cell{StyleID: m.styles[col], Value: v}
		x.values[at] = &x.cells[at]
	}
}

// derive fills the columns that are only there to be read.
func (m *rowMaker) derive(x *sheaf, cells []string) error {
	own, i := code.Code(cells[0]), len(m.heads)
	if m.bags {
		st, err := m.known.State(own)
		m.set(x, i, int(st.InDrawer()))
		m.set(x, i+1, nil)
		if st.About {
			m.set(x, i+1, "yes")
		}
		return err
	}
	f, err := m.known.Figure(own)
	m.set(x, i, int(f.Free()))
	keep, none := strconv.ParseInt(cells[m.keep], 10, 64)
	m.set(x, i+1, nil)
	if none == nil && f.Free() < keep {
		m.set(x, i+1, int(keep-f.Free()))
	}
	return err
}

func (m *rowMaker) send() {
	if m.filled != nil {
		m.to <- m.filled
		m.filled = nil
	}
}

// stop waits until all rows are written. It returns the first error of writing;
// nothing more can be added.
func (m *rowMaker) stop() error {
	m.send()
	close(m.to)
	return <-m.done
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
