package sheet

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// The rules of a map by the columns that they are of.
type rules struct {
	values map[aim]map[string]string // what words mean, folded
	fixed  map[aim]string            // what empty cells hold
	filled map[aim]bool              // empty cells hold what stands above
	last   map[aim]string            // what stood there last
	each   bool                      // the cost is that of one piece
	price  *cell                     // the heading of a price of which nobody said how many it is of
}

func (m *Mapping) rules(t table) rules {
	out := rules{values: map[aim]map[string]string{}, fixed: map[aim]string{}, filled: map[aim]bool{}, last: map[aim]string{}}
	at := func(column string) aim {
		a, _ := aimOf(t, column) // which was checked
		return aim{sheet: a.sheet, col: a.col}
	}
	for _, v := range m.Values {
		a := at(v.Column)
		if out.values[a] == nil {
			out.values[a] = map[string]string{}
		}
		out.values[a][words.Fold(v.Word)] = v.Value
	}
	for _, c := range m.Fixed {
		out.fixed[at(c.Column)] = c.Heading
	}
	for _, c := range m.Fill {
		out.filled[at(c)] = true
	}
	return out
}

// fills says that the map fills a column of the table from above.
func (m *mapped) fills(a *area, i int) bool { return m.filled[aim{sheet: a.t.title(), col: i}] }

// complete gives empty cells of the row at hand what the map says they hold.
func (m *mapped) complete(a *area) {
	for at := range m.filled {
		switch i := at.col; {
		case at.sheet != a.t.title() || a.bad[i] != "":
		case a.text[i] == "":
			a.text[i] = m.last[at]
		default:
			m.last[at] = a.text[i]
		}
	}
	for at, text := range m.fixed {
		if at.sheet == a.t.title() && a.text[at.col] == "" && a.bad[at.col] == "" {
			if kind := namesA(a, at.col); kind != "" {
				text = m.nameOf(kind, text)
			}
			a.text[at.col] = text
		}
	}
}

// What is said of prices that may be of one piece or of all.
const (
	priceOfOne  = "is the price of one piece, and this is read as what all of them cost: read it as cost each"
	priceOpen   = "may be the price of one piece or of all: read it as cost each or as cost all"
	priceOfMany = "is the price of so many pieces: work out what one cost, or all"
	noPieces    = "is the price of one piece, and how many there are is not known"
)

// priced holds the heading of a cost against what it says of itself.
func (m *mapped) priced(row int, c cell, to aim) {
	if to.sheet != "Bags" || m.main.heads[to.col].name != "Cost" {
		return
	}
	m.each = to.each
	says := cellWords().priceOf(c.text)
	many := slices.ContainsFunc(words.Tokens(c.text), func(w string) bool { return allDigits(w) && w != "1" })
	switch {
	case says != "" && many:
		m.main.problem(row, c.col, c.text, priceOfMany)
	case says == "each" && !to.each && !to.all:
		m.main.problem(row, c.col, c.text, priceOfOne)
	case says == "price" && !to.each && !to.all:
		m.price = &cell{col: c.col, text: c.text, shown: fmt.Sprint(row)}
	}
}

// priceOfAll makes what all pieces of the row at hand cost of the price of one, and
// asks where the price may be either.
func (m *mapped) priceOfAll() {
	a := m.main
	cost := a.at("Cost")
	if cost < 0 || a.quantity < 0 || a.text[cost] == "" || a.bad[cost] != "" || a.bad[a.quantity] != "" {
		return
	}
	n, err := code.ParseSheetQty(a.text[a.quantity])
	switch {
	case m.each && (err != nil || a.text[a.quantity] == ""):
		a.bad[cost] = noPieces
	case m.each:
		a.text[cost] = times(a.text[cost], n.N)
	case m.price != nil && (err != nil || n.N != 1):
		row := 0
		_, _ = fmt.Sscan(m.price.shown, &row)
		a.problem(row, m.price.col, m.price.text, priceOpen)
		m.price = nil
	}
}

// times is an amount taken n times, to the cent, halves up; a text that is no amount
// is left to the column.
func times(amount string, n int64) string {
	v, ok := new(big.Rat).SetString(amount)
	if !ok || strings.ContainsAny(amount, "eE/_") {
		return amount
	}
	return v.Mul(v, new(big.Rat).SetInt64(n)).FloatString(2)
}

// goesDown are columns of which people write what stays the same but once.
var goesDown = []string{"Place", "Origin", "Name", "Class", "Seat", "Model", "From", "Lot"}

// A probe is what is looked at in a list before it is read: the days of every column,
// and which cells are blank in those that may go on from above.
type probe struct {
	days  map[int]*dayProof
	rows  int
	full  map[aim]int
	first map[aim]bool // the first row has it
}

// see looks at a row.
func (p *probe) see(m *mapped, r row) {
	p.rows++
	for _, a := range m.areas() {
		for _, c := range r.cells {
			i := a.under(c.col)
			if i < 0 {
				continue
			}
			at := aim{sheet: a.t.title(), col: i}
			if p.full[at]++; p.rows == 1 {
				p.first[at] = true
			}
			if c.kind != cellText || a.heads[i].kind != asDay {
				continue
			}
			if p.days[c.col] == nil {
				p.days[c.col] = &dayProof{}
			}
			p.days[c.col].prove(strings.TrimSpace(c.text), cellName(c.col, r.number))
		}
	}
}

// blank remarks upon columns that are mostly blank below a first value.
func (p *probe) blank(seen *mapped, m *mapped) {
	for _, a := range seen.areas() {
		if a.cols == nil {
			continue
		}
		for i, h := range a.heads {
			at := aim{sheet: a.t.title(), col: i}
			blank := p.rows - p.full[at]
			if !p.first[at] || p.rows < 4 || blank*2 < p.rows || m.filled[at] || m.fixed[at] != "" || !slices.Contains(goesDown, h.name) {
				continue
			}
			m.r.said(fmt.Sprintf("%s: %q is blank in %d of %d rows, as if what stands above went on there", a.name, strings.TrimSpace(a.names[a.cols[i]]), blank, p.rows))
			m.r.asks(AskFill)
		}
		if seen.parts == seen.main {
			return
		}
	}
}

// prove goes through a list once before it is read.
func (m *mapped) prove(again rowsAgain) error {
	r := &reader{Options: m.r.Options, load: newLoad(""), sheets: map[string]*sheetRows{}}
	r.Progress = func(int) {}
	seen, err := r.mapped(m.main.name)
	if err != nil {
		return err
	}
	seen.m, seen.span = m.m, m.span
	p := &probe{days: map[int]*dayProof{}, full: map[aim]int{}, first: map[aim]bool{}}
	seen.probe = p
	if err := again(r, seen.line); err != nil {
		return err
	}
	m.orders = map[int]dayProof{}
	for col, d := range p.days {
		m.orders[col] = *d
	}
	p.blank(seen, m)
	return nil
}

// goesOver reports cells that are merged with those below them, where the map does not
// say that these hold the same.
func (m *mapped) goesOver(merged []rect) {
	for _, box := range merged {
		for _, a := range m.areas() {
			if i := a.under(box.left - 1); i >= 0 && box.bottom > box.top && box.top > m.main.head && !m.fills(a, i) {
				a.problem(box.top, box.left-1, "", fmt.Sprintf(mergedDown, box))
				m.r.asks(AskFill)
			}
		}
	}
}

// mergedDown is said of cells that reach over several rows of data.
const mergedDown = "reaches over the merged cells %s, and only the first of these rows has it: let the map fill the column, or unmerge them"
