package sheet

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"sync/atomic"

	"github.com/xuri/excelize/v2"
)

// A recordWriter writes the records of a table into a sheet and its continuations. What
// stands before and behind the rows of a sheet is written by excelize; the rows are made
// here, and packed on another goroutine while the next ones are made.
type recordWriter struct {
	sheetWriter
	t       table
	cols    []shown
	frames  []cellFrame // of the columns
	printed int         // how many of them paper has, from the left
	widths  []float64
	read    []derived
	left    int // records to come
	part    int
	digits  []byte // of the number of the row that is made
	cells   []byte // of that row
	made    []byte // rows that are not packed yet
	rows    *packing
	behind  []byte // the rows of the sheet
}

// sheets writes the records of t, in as many sheets as they take.
func (w *bookWriter) sheets(t table) {
	if w.err != nil || w.leftOut(t) {
		return
	}
	s := &recordWriter{sheetWriter: sheetWriter{bookWriter: w}, t: t, left: w.counts[t.title()], read: toRead(t.title())}
	known, _ := w.src.(figures)
	s.cols, s.printed = shownOf(t, known != nil)
	s.widths = widthsOf(s.cols, s.printed)
	for i, h := range s.cols {
		s.frames = append(s.frames, frameOf(i, s.looks.of(h)))
	}
	if w.known == nil {
		w.known = knownOf(known)
	}
	total := s.left
	s.next()
	err := t.each(w.src, func(cells []string) error {
		w.wrote()
		return s.add(cells)
	})
	s.end()
	w.keep(err)
	if s.left != 0 {
		w.keep(fmt.Errorf("%d records were counted and %d written", total, total-s.left))
	}
	if w.err != nil {
		w.err = fmt.Errorf("sheet %s: %w", t.title(), w.err)
	}
}

// next begins the next sheet with its headings. Records are a table, which a spreadsheet
// can sort and filter.
func (s *recordWriter) next() {
	s.end()
	s.part++
	s.name = partName(s.t, s.part)
	samples := s.samples[s.t.title()]
	rows := min(s.left+1+len(samples), s.maxRows)
	s.want[s.name] = rows
	var titles []any
	p, most := page{widths: s.widths, printed: s.printed}, 1
	for i, h := range s.cols {
		p.styles = append(p.styles, s.looks.of(h))
		titles = append(titles, excelize.Cell{StyleID: s.looks.heading, Value: h.name})
		most = max(most, lines(h.name, s.widths[i]))
	}
	s.begin(p, rows)
	s.dropDown(min(rows+spare, maxRows))
	s.row = 1
	s.setRow(titles, tall(most)...)
	for _, cells := range samples {
		s.sample(cells)
	}
	if s.err == nil {
		name := "tab" + s.t.title()
		if s.part > 1 {
			name += "_" + strconv.Itoa(s.part)
		}
		s.keep(s.sw.AddTable(&excelize.Table{Range: "A1:" + cellName(len(s.cols)-1, max(rows, 2)), Name: name, StyleName: "TableStyleLight1"}))
	}
	s.to.opens = true
	if s.flush(); s.err == nil {
		to, before, behind := s.to.opened()
		s.rows, s.behind = newPacking(to), behind
		s.made = append(s.made, before...)
	}
}

// sample writes a row for show.
func (s *recordWriter) sample(cells []string) {
	s.row++
	values, most := make([]any, len(s.cols)), 1
	for i, h := range s.cols {
		if h.from >= 0 && cells[h.from] != "" {
			values[i] = excelize.Cell{StyleID: s.looks.sample, Value: cells[h.from]}
			if i < s.printed {
				most = max(most, lines(cells[h.from], s.widths[i]))
			}
		}
	}
	s.setRow(values, tall(most)...)
}

// dropDown lets cells down to row last be chosen from a list: words from the sheet
// of lists, codes from the sheet that holds them. A word that no list has is asked
// about, a code is not: it may be new. What is short is coloured; the word says so, too.
func (s *recordWriter) dropDown(last int) {
	for i, h := range s.cols {
		from := ""
		if h.read >= 0 {
			continue
		}
		if len(h.words) > 0 {
			from = s.list(h.head)
		} else if in := namedIn()[h.name]; in != "" && (i > 0 || in != s.t.title()) {
			from = fmt.Sprintf("%s!$A$2:$A$%d", in, min(s.counts[in]+1+len(s.samples[in])+spare, s.maxRows))
		}
		if from == "" {
			continue
		}
		v := excelize.NewDataValidation(true)
		v.SetSqref(down(i, 2, last))
		v.SetSqrefDropList(from)
		if len(h.words) > 0 && h.name != "Degree" { // which takes two
			v.SetError(excelize.DataValidationErrorStyleWarning, h.name, "This word is none of the list.")
		}
		s.keep(s.f.AddDataValidation(s.name, v))
	}
	if i := slices.IndexFunc(s.cols, func(h shown) bool { return h.read >= 0 && h.name == "Short by" }); i >= 0 {
		s.keep(s.f.SetConditionalFormat(s.name, down(i, 2, last),
			[]excelize.ConditionalFormatOptions{{Type: "cell", Criteria: ">", Value: "0", Format: &s.looks.short}}))
	}
}

// add adds the row of a record.
func (s *recordWriter) add(cells []string) error {
	if s.row >= s.maxRows {
		s.next()
	}
	if s.err != nil || s.rows.failed.Load() {
		return errStopped
	}
	s.row++
	s.left--
	s.digits = strconv.AppendInt(s.digits[:0], int64(s.row), 10)
	s.cells = s.cells[:0]
	most := 1
	for i := range s.cols {
		h, text := &s.cols[i], ""
		if h.read < 0 {
			text = cells[h.from]
		} else if v, err := s.read[h.read].of(s.known, cells); err != nil {
			return err
		} else {
			text = v
		}
		if text == "" {
			continue
		}
		if n, ok := number(text, h.kind); ok {
			s.cells = s.frames[i].number(s.cells, s.digits, n)
			continue
		}
		if len(text) > longest {
			if err := fits(text); err != nil {
				return fmt.Errorf("%s, %s: %w", cells[0], h.name, err)
			}
		}
		if i < s.printed { // it goes on in a second line
			most = max(most, lines(text, s.widths[i]))
		}
		s.cells = s.frames[i].text(s.cells, s.digits, text)
	}
	s.made = append(append(append(s.made, `<row r="`...), s.digits...), '"')
	for _, o := range tall(most) {
		s.made = append(strconv.AppendFloat(append(s.made, ` ht="`...), o.Height, 'f', -1, 64), `" customHeight="1"`...)
	}
	s.made = append(append(append(s.made, '>'), s.cells...), "</row>"...)
	if len(s.made) >= rowsTogether {
		s.made = s.rows.add(s.made)
	}
	return nil
}

// end ends the sheet that rows are added to.
func (s *recordWriter) end() {
	if s.rows == nil {
		return
	}
	s.rows.add(append(s.made, s.behind...))
	s.keep(s.rows.end())
	s.rows, s.made = nil, nil
}

// A packing packs what is added to it while more is made.
type packing struct {
	to     chan []byte
	back   chan []byte // to be filled again
	failed atomic.Bool // what is added is thrown away
	ended  chan error
}

// rowsTogether is how many bytes of rows are packed at a time.
const rowsTogether = 64 << 10

// errStopped ends the reading of records that nobody writes any more: the packing says why.
var errStopped = errors.New("the rows before were not written")

func newPacking(to io.Writer) *packing {
	p := &packing{to: make(chan []byte, 4), back: make(chan []byte, 6), ended: make(chan error)}
	go func() {
		var err error
		for b := range p.to {
			if err == nil {
				_, err = to.Write(b)
				p.failed.Store(err != nil)
			}
			p.back <- b[:0]
		}
		p.ended <- err
	}()
	return p
}

// add adds bytes and returns a slice to make more in.
func (p *packing) add(b []byte) []byte {
	p.to <- b
	select {
	case b = <-p.back:
		return b
	default:
		return make([]byte, 0, rowsTogether+rowsTogether/4)
	}
}

// end waits until all is packed.
func (p *packing) end() error {
	close(p.to)
	return <-p.ended
}
