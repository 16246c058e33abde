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
	err := c.view(func(v *store.View) error {
		places, err := placesNamed(c, v, c.Args())
		cut, day = v.LastEntry(), c.dayNow(v)
		for _, place := range places {
			here, berr := ask.CountBags(v, place)
			at, perr := v.Place(place)
			err = errors.Join(err, berr, perr)
			bags, named = append(bags, here...), append(named, strings.Join(tell.Filled(string(place), at.Where), ", "))
		}
		return err
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
		t.Row(string(b.Place), string(b.Bag), "______", string(b.Part), b.Name)
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
		rows[i] = sheet.CountRow{Place: string(b.Place), Bag: string(b.Bag), Part: string(b.Part), Name: b.Name, Tells: b.Tells, From: b.Origin, Unit: b.Unit, Cut: cut}
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
	res, err := c.book(false, func(t *store.Tx) (err error) {
		var list []store.Given
		var cut uint64
		if file != "" {
			list, cut, err = sheetReadings(c, &t.View, rows)
		} else {
			list, err = lineReadings(c, &t.View)
		}
		if err == nil {
			counts, err = t.ReadAll(list, cut)
		}
		return err
	})
	if err != nil {
		return err
	}
	return printEntered(c, res, counts)
}

// lineReadings are the readings of the arguments.
func lineReadings(c *call, v *store.View) ([]store.Given, error) {
	pairs, err := line.ParsePairs(c.Args())
	if err != nil {
		return nil, err
	}
	place, err := c.code(v, c.String("place"), "place")
	if err != nil {
		return nil, err
	}
	var out []store.Given
	for _, p := range pairs {
		g, err := reading(c, v, p, place, "bag", "part")
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(out, func(o store.Given) bool { return o.Bag == g.Bag && o.Part == g.Part })
		switch {
		case i < 0:
			out = append(out, g)
		case out[i].Qty != g.Qty:
			return nil, refusef("%s stands there twice, with %s and %s: nothing is booked", p.Token, out[i].Qty, g.Qty)
		}
	}
	return out, nil
}

// reading is what one pair of a line says was counted: a bag, or pieces of a part
// without one, met in a place.
func reading(c *call, v *store.View, p line.Pair, place code.Code, kinds ...string) (store.Given, error) {
	g := store.Given{Seen: place}
	ref, err := c.thing(v, p.Token, kinds...)
	if err != nil {
		return g, err
	}
	unit := "pc"
	if ref.Kind == "bag" {
		b, err := v.Bag(ref.Code)
		if err != nil {
			return g, err
		}
		g.Bag, unit = b.Code, b.Unit
		if len(p.Check) > 0 {
			if err := v.IsPart(b, p.Check); err != nil {
				return g, err
			}
		}
	} else if g.Part = ref.Code; place == "" {
		return g, refusef("%s is a part: count its bags, or say where pieces without a bag lay with --place", p.Token)
	}
	if p.Qty == "" {
		return g, line.Usagef("%s: how many? write %s=5", p.Token, p.Token)
	}
	g.Qty, err = countQty(p.Qty, unit)
	return g, err
}

// sheetReadings are the readings of a filled sheet, and up to which entry the book
// was when it was printed. Every cell that cannot be read is named.
func sheetReadings(c *call, v *store.View, rows []sheet.CountRow) ([]store.Given, uint64, error) {
	var out []store.Given
	var cut uint64
	var bad []string
	cells := map[string]sheet.CountRow{}
	for _, r := range rows {
		if r.Cut != 0 && (cut == 0 || r.Cut < cut) {
			cut = r.Cut
		}
		g, err := sheetReading(c, v, r)
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
		return nil, 0, fmt.Errorf("%w, nothing is booked:\n%s", store.ErrBadInput, strings.Join(bad, "\n"))
	}
	return out, cut, nil
}

// sheetReading is one row of a filled sheet.
func sheetReading(c *call, v *store.View, r sheet.CountRow) (store.Given, error) {
	p, kinds := line.Pair{Token: r.Bag, Qty: r.Counted}, []string{"bag"}
	if r.Bag == "" {
		if p.Token = r.Part; r.Part == "" {
			return store.Given{}, errors.New("neither bag nor part is named")
		}
		kinds = []string{"part"}
	}
	place, err := c.code(v, r.Place, "place")
	if err != nil {
		return store.Given{}, err
	}
	if bare := strings.TrimSpace(r.Counted); r.Unit == "mm" {
		if q, err := code.ParseSheetQty(bare); err == nil && q.N >= 0 {
			p.Qty += "mm" // the column says the unit
		}
	} else if q, err := code.ParseSheetQty(bare); err == nil && q.N >= 0 && !q.About {
		p.Qty = fmt.Sprint(q.N) // 5.0 is 5
	}
	return reading(c, v, p, place, kinds...)
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
