package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// What a workbook says and taking it in passes over: Lost lists it, so that nothing
// vanishes without a word.
type Lost struct {
	Derived []Derived // columns that follow from the book and differ from it
	Cleared []string  // cells of an export that were cleared: "Bags B203 Note"
	Gone    []string  // records of an export whose rows are gone: "Bags B203"
	Since   uint64    // bookings of the store since the export
}

// A Derived is a cell that says otherwise than the book.
type Derived struct {
	Cell    string `json:"cell"` // Bags!P5
	Code    string `json:"code"`
	Heading string `json:"heading"`
	Says    string `json:"says"`
	Book    string `json:"book"`
}

// notSaid stands for an empty cell of a derived column, saysShort for the word in it.
const (
	notSaid   = math.MinInt32
	saysShort = math.MinInt32 + 1
	saysYes   = math.MinInt32 + 2
	notRead   = math.MinInt32 + 3
)

// A saying is what a derived column of words says of a code. It is looked at once.
type saying struct {
	read       int // of the derived columns
	code, text string
}

type sayingAt struct {
	a   *area
	row int
}

// derive notes the cells of the row at hand that are only there to be read.
func (a *area) derive() {
	for k, d := range a.read {
		if a.more[k] < 0 {
			continue
		}
		text := strings.TrimSpace(a.moreText[k])
		if d.text {
			a.say(k, d.names, text)
			continue
		}
		n := int32(notSaid)
		if q, err := code.ParseSheetQty(text); err == nil && q.N < math.MaxInt32 && q.N > notRead {
			n = int32(q.N)
		} else if strings.EqualFold(text, "short") {
			n = saysShort
		} else if strings.EqualFold(text, "yes") {
			n = saysYes
		} else if text != "" {
			n = notRead
		}
		if a.all.derived == nil {
			a.all.derived = map[string][]int32{}
		}
		a.all.derived[d.heading] = append(a.all.derived[d.heading], n)
	}
}

// say notes what a column of words says of the code in another column.
func (a *area) say(k int, column, text string) {
	key := saying{k, a.text[max(0, a.at(column))], text}
	if _, there := a.all.said[key]; there || text == "" || key.code == "" {
		return
	}
	if a.all.said == nil {
		a.all.said = map[saying]sayingAt{}
	}
	key.code, key.text = strings.Clone(key.code), strings.Clone(key.text)
	a.all.said[key] = sayingAt{a, a.row}
}

// Lost holds what was read against a view of the store it was taken into. src is what
// was exported of that store; nil where the workbook is no export of it. What changed
// is named elsewhere: no name and no measure beside it is held against it.
func (rep Report) Lost(v *store.View, load *store.Load, src Source, changed []Change) (out Lost, err error) {
	r := rep.read
	if r.Map != nil || r.AsCount {
		return out, nil
	}
	since := map[code.Code]bool{}
	if src != nil {
		out.Since = v.LastBooking() - rep.Stamp.Booking
		if since, err = touchedSince(v, rep.Stamp.Booking); err != nil {
			return out, err
		}
	}
	for _, title := range []string{"Parts", "Bags"} {
		if err := r.derivedOf(v, title, since, &out); err != nil {
			return out, err
		}
	}
	for _, t := range tables() {
		if err := r.saidOf(v, t, changed, &out); err != nil {
			return out, err
		}
	}
	if src == nil {
		return out, nil
	}
	for _, t := range tables() {
		if err := r.leftOf(t, load, src, &out); err != nil {
			return out, err
		}
	}
	return out, nil
}

// touchedSince are the bags and parts that bookings after number n have entries of.
func touchedSince(v *store.View, n uint64) (map[code.Code]bool, error) {
	out := map[code.Code]bool{}
	for n++; n <= v.LastBooking(); n++ {
		b, err := v.BookingNo(n)
		if err != nil {
			return nil, err
		}
		entries, err := v.EntriesIn(b)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			out[e.Bag], out[code.Code(e.To)] = true, true
			if bag, err := v.Bag(e.Bag); err == nil { // else its booking in was taken back
				out[bag.Part] = true
			}
		}
	}
	return out, nil
}

// derivedOf compares the derived cells of a sheet with the book.
func (r *reader) derivedOf(v *store.View, title string, since map[code.Code]bool, out *Lost) error {
	all := r.sheets[title]
	if all == nil || all.derived == nil || len(all.areas) > 1 {
		return nil
	}
	a := all.areas[0]
	for own, row := range all.codes.All() {
		i, there := all.rows.recordIn(row)
		if !there || since[own] {
			continue
		}
		for k, d := range a.read {
			heading := d.heading
			cells := all.derived[heading]
			if a.more[k] < 0 || i >= len(cells) || d.text {
				continue
			}
			book, err := derivedCell(v, title, heading, own, a.former)
			if err != nil {
				return err
			}
			if says := cells[i]; says != book && says != notSaid && (says != saysShort || book <= 0) {
				out.Derived = append(out.Derived, Derived{a.name + "!" + cellName(a.more[k], row), string(own), heading, showDerived(says), showDerived(book)})
			}
		}
	}
	slices.SortFunc(out.Derived, func(x, y Derived) int { return strings.Compare(x.Code, y.Code) })
	return nil
}

// saidOf compares the names and measures that stand in a sheet with those of the book.
func (r *reader) saidOf(v *store.View, t table, changed []Change, out *Lost) error {
	all := r.sheets[t.title()]
	if all == nil {
		return nil
	}
	k, first := knownOf(v), len(out.Derived)
	moved := map[string]bool{}
	for _, c := range changed {
		moved[c.Sheet+" "+c.Key] = true
	}
	for said, at := range all.said {
		d := toRead(t.title())[said.read]
		c, err := code.Parse(said.code)
		if err != nil || moved[d.names+"s "+string(c)] || moved[t.title()+" "+string(c)] {
			continue
		}
		book, err := k.says(d, string(c))
		if err != nil {
			return err
		}
		if book != "" && book != said.text {
			out.Derived = append(out.Derived, Derived{at.a.name + "!" + cellName(at.a.more[said.read], at.row), string(c), d.heading, words.Shown(clip(said.text)), book})
		}
	}
	slices.SortFunc(out.Derived[first:], func(x, y Derived) int {
		return cmp.Or(strings.Compare(x.Code, y.Code), strings.Compare(x.Cell, y.Cell))
	})
	return nil
}

// says is what the book says in a derived column of words: the name of a code, else the
// measures of a part.
func (k *known) says(d derived, c string) (string, error) {
	if d.names != "" {
		return k.name(d.names, c)
	}
	p, err := k.Part(code.Code(c))
	if errors.Is(err, store.ErrNotFound) {
		return "", nil
	}
	t, cells := partsTable().(*sheetOf[store.Part]), []string{}
	for i := range t.columns {
		cells = append(cells, t.columns[i].get(&p))
	}
	return measures(cells), err
}

// derivedCell is what the book says in a derived column.
func derivedCell(v *store.View, title, heading string, own code.Code, former bool) (int32, error) {
	if title == "Bags" {
		st, err := v.State(own)
		switch {
		case heading == "About there" && st.About:
			return saysYes, err
		case heading == "About there":
			return notSaid, err
		case former:
			return int32(st.OnHand()), err
		}
		return int32(st.InDrawer()), err
	}
	f, err := v.Figure(own)
	if err != nil || heading == "To take" {
		return int32(f.Free()), err
	}
	p, err := v.Part(own)
	if p.Keep != nil && f.Free() < *p.Keep {
		return int32(*p.Keep - f.Free()), err
	}
	return notSaid, err
}

func showDerived(n int32) string {
	switch n {
	case notSaid:
		return "(empty)"
	case saysShort:
		return "short"
	case saysYes:
		return "yes"
	case notRead:
		return "no number"
	}
	return strconv.Itoa(int(n))
}

// leftOf lists the cells of a sheet that are empty and the rows that are gone, of
// those that were exported.
func (r *reader) leftOf(t table, load *store.Load, src Source, out *Lost) error {
	title := t.title()
	all, heads := r.sheets[title], t.heads()
	if all == nil || len(all.areas) == 0 {
		if n, err := records(t, src); err != nil || n == 0 && slices.Contains(besides, title) {
			return err // it was left out
		}
		out.Gone = append(out.Gone, "the whole sheet "+title)
		return nil
	}
	if title == "Moves" {
		n, err := records(t, src)
		if gone := n - all.rows.n; gone > 0 && len(r.found) == 0 {
			out.Gone = append(out.Gone, fmt.Sprintf("%d of Moves", gone))
		}
		return err
	}
	here := map[string][]int{}
	key := func(cell func(int) string) string {
		var parts []string
		for j, h := range heads {
			if h.tells {
				parts = append(parts, cell(j))
			}
		}
		return strings.Join(parts, " ")
	}
	for i := range all.rows.n {
		k := key(func(j int) string { return t.show(load, i, j) })
		here[k] = append(here[k], i)
	}
	cols := all.areas[0].cols
	return t.each(src, func(cells []string) error {
		k := key(func(j int) string { return cells[j] })
		rows := here[k]
		if len(rows) == 0 {
			out.Gone = append(out.Gone, title+" "+strings.TrimSpace(k))
			return nil
		}
		here[k] = rows[1:]
		for j, text := range cells {
			if cols[j] >= 0 && text != "" && t.show(load, rows[0], j) == "" {
				out.Cleared = append(out.Cleared, fmt.Sprintf("%s %s %s", title, strings.TrimSpace(k), heads[j].name))
			}
		}
		return nil
	})
}
