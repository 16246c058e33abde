package commands

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

func countSheet(c *call) error {
	var bags []ask.CountBag
	var cut uint64
	var day code.Day
	var named []string
	err := c.looks(func(l *lookup) {
		cut, day = l.LastEntry(), c.dayNow(l.View)
		for _, place := range placesNamed(l, c.Args()) {
			bags = append(bags, asked(l, ask.CountBags, place)...)
			named = append(named, strings.Join(tell.Filled(string(place), got(l, l.Place, place).Where), ", "))
		}
	})
	if err != nil {
		return err
	}
	if c.String("output") == "" {
		return printCountBags(c, bags)
	}
	return writeCountSheet(c, countTop(strings.Join(named, "; "), day), bags, cut)
}

func printCountBags(c *call, bags []ask.CountBag) error {
	switch {
	case c.JSON():
		return c.PrintJSON(map[string]any{"bags": append([]ask.CountBag{}, bags...)})
	case len(bags) == 0:
		c.Println("nothing to count there")
		return nil
	}
	t := c.Table("place", "bag", "counted", "part", "name")
	var tells []string
	for _, b := range bags {
		t.Row(string(b.Place), string(b.Bag), "______", string(b.Part), b.Called())
		tells = append(tells, strings.Join(tell.Filled(b.Tells, from(b.Origin)), ", "))
	}
	c.Beneath(t, "told by", tells)
	return nil
}

// countTop is what stands over a sheet to count with: where, on which day, and who.
func countTop(where string, day code.Day) []string {
	return []string{"Count of " + where, fmt.Sprintf("counted on ______________   by ______________   the book as of %s", day)}
}

// writeCountSheet writes the sheet that --output names.
func writeCountSheet(c *call, top []string, bags []ask.CountBag, cut uint64) error {
	file := c.String("output")
	rows := make([]sheet.CountRow, len(bags))
	for i, b := range bags {
		rows[i] = sheet.CountRow{Place: string(b.Place), Bag: string(b.Bag), Part: string(b.Part), Name: b.Called(), Tells: b.Tells, From: b.Origin, Unit: b.Unit, Cut: cut}
	}
	top = append(top, filledIn("tinful count enter --file "+file))
	err := sheet.WriteCount(file, top, rows, c.Bool("replace"))
	if err != nil {
		return err
	}
	return c.Answer(map[string]any{"file": file, "rows": len(rows)}, func() {
		c.Println(tell.Hang(fmt.Sprintf("%s written to %s: fill in the column Counted, then tinful count enter --file %s", tell.Many(len(rows), "bag"), file, file), c.Wide, 2))
	})
}

func countEnter(c *call) error {
	file := c.String("file")
	switch {
	case file != "" && len(c.Args()) > 0:
		return line.Usagef("count enter takes a line of bags or --file, not both")
	case file == "":
		if err := c.Want(1, -1); err != nil {
			return err
		}
	}
	var rows []sheet.CountRow
	if file != "" {
		var err error
		if rows, err = sheet.ReadCount(file); err != nil {
			return err
		}
		if len(rows) == 0 {
			return refusef("%s has nothing in its column Counted", filepath.Base(file))
		}
	}
	var counts map[code.Code]store.Count
	res, err := c.books(func(l *lookup, t *store.Tx) {
		var list []store.Given
		var cut uint64
		if file != "" {
			list, cut = sheetReadings(l, rows)
		} else {
			list = lineReadings(l)
		}
		if l.Err == nil {
			counts, l.Err = t.ReadAll(list, cut)
		}
	})
	if err != nil {
		return err
	}
	return printEntered(c, res, counts)
}

// lineReadings are the readings of the arguments.
func lineReadings(l *lookup) (out []store.Given) {
	pairs := got(l, line.ParsePairs, l.Args())
	place := l.flag("place")
	for _, p := range pairs {
		g := reading(l, p, place, "bag", "part")
		i := slices.IndexFunc(out, func(o store.Given) bool { return o.Bag == g.Bag && o.Part == g.Part })
		switch {
		case i < 0:
			out = append(out, g)
		case out[i].Qty != g.Qty:
			l.Keep(refusef("%s stands there twice, with %s and %s: nothing is booked", p.Token, out[i].Qty, g.Qty))
		}
	}
	return out
}

// reading is what was counted of a bag, or of a part whose pieces lay in place without
// a bag.
func reading(l *lookup, p line.Pair, place code.Code, kinds ...string) store.Given {
	g := store.Given{Seen: place}
	ref, unit := l.thing(p.Token, kinds...), "pc"
	switch {
	case ref.Kind == "bag":
		b := got(l, l.Bag, ref.Code)
		g.Bag, unit = b.Code, b.Unit
		if len(p.Check) > 0 && l.Err == nil {
			l.Err = l.IsPart(b, p.Check)
		}
	case place == "":
		l.Keep(refusef("%s is a part: count its bags, or say where pieces without a bag lay with --place", p.Token))
	}
	if ref.Kind != "bag" {
		g.Part = ref.Code
	}
	if p.Qty == "" {
		l.Keep(line.Usagef("%s: how many? write %s=5", p.Token, p.Token))
	}
	if l.Err == nil {
		g.Qty, l.Err = countQty(p.Qty, unit)
	}
	return g
}

// sheetReadings are the readings of a filled sheet, and up to which entry the book
// was when it was printed. Every cell that cannot be read is named.
func sheetReadings(l *lookup, rows []sheet.CountRow) (out []store.Given, cut uint64) {
	var bad []string
	cells := map[string]sheet.CountRow{}
	for _, r := range rows {
		if r.Cut != 0 && (cut == 0 || r.Cut < cut) {
			cut = r.Cut
		}
		var g store.Given
		err := l.over(l.View, func(l *lookup) { g = sheetReading(l, r) })
		key := fmt.Sprint(g.Bag, " ", g.Part, " ", g.Seen)
		if was, twice := cells[key]; err == nil && twice {
			err = fmt.Errorf("%s stands in %s already, with %s", cmp.Or(r.Bag, r.Part), was.Cell, was.Counted)
		}
		if err != nil {
			bad = append(bad, fmt.Sprintf("%s %q: %v", r.Cell, r.Counted, err))
			continue
		}
		cells[key] = r
		out = append(out, g)
	}
	if len(bad) > 0 {
		l.Keep(fmt.Errorf("%w, nothing is booked:\n%s", store.ErrBadInput, strings.Join(bad, "\n")))
	}
	return out, cut
}

// sheetReading is one row of a filled sheet.
func sheetReading(l *lookup, r sheet.CountRow) (g store.Given) {
	p, kinds := line.Pair{Token: r.Bag, Qty: r.Counted}, []string{"bag"}
	if r.Bag == "" {
		if p.Token = r.Part; r.Part == "" {
			l.Keep(errors.New("neither bag nor part is named"))
			return g
		}
		kinds = []string{"part"}
	}
	place := l.code(r.Place, "place")
	if bare := strings.TrimSpace(r.Counted); r.Unit == "mm" {
		if q, err := code.ParseSheetQty(bare); err == nil && q.N >= 0 {
			p.Qty += "mm" // the column says the unit
		}
	} else if q, err := code.ParseSheetQty(bare); err == nil && q.N >= 0 && !q.About {
		p.Qty = fmt.Sprint(q.N) // 5.0 is 5
	}
	return reading(l, p, place, kinds...)
}

// printEntered says what was entered and where to see what it means. The book's
// figure is not told: others may still count.
func printEntered(c *call, res store.Result, counts map[code.Code]store.Count) error {
	numbers := map[uint64]bool{}
	names := []string{}
	for _, n := range counts {
		if !numbers[n.Number] {
			numbers[n.Number], names = true, append(names, fmt.Sprint(n.Number))
		}
	}
	slices.Sort(names)
	if c.JSON() {
		return c.PrintJSON(struct {
			tell.BookedJSON
			Counts []string `json:"counts"`
		}{tell.BookedAnswer(res), names})
	}
	read := 0
	for _, e := range res.Entries {
		if e.What == store.Counted {
			read++
		}
		if e.To != "" {
			c.Notef("%s lies elsewhere by the book: tinful move %s %s, when it stays there", e.Bag, e.Bag, e.To)
		}
	}
	see := "tinful count show " + names[0]
	if len(names) > 1 {
		see = "tinful count list"
	}
	what := tell.Many(read, "bag") + " counted"
	if read == 0 {
		what = "pieces without a bag noted"
	}
	c.Printf("%s; %s tells what differs   undo: tinful undo %d\n", what, see, res.Booking.Number)
	return nil
}
