package sheet

import (
	"slices"
	"strings"

	"tinful/store"
)

// A Change is one field of a record that taking a workbook in changes, in the
// words of the sheets. Old is empty where nothing is noted yet.
type Change struct {
	Sheet string `json:"sheet"`
	Key   string `json:"key"` // the codes that tell the row: P001, or P001 W2-B
	Field string `json:"field"`
	Old   string `json:"old"`
	New   string `json:"new"`
}

// Counted is the field of a Change that is a reading: Old is what should lie there,
// and nothing of the record changes.
const Counted = "Counted"

// Changes lists what a plan changes, field by field, in the order of the sheets.
func Changes(p *store.Plan) []Change {
	out := []Change{}
	for c := range p.Changes() {
		i := slices.IndexFunc(tables(), func(t table) bool { return t.title() == c.Sheet })
		out = append(out, tables()[i].differ(c.Old, c.New)...)
	}
	for _, r := range p.Readings {
		out = append(out, Change{"Bags", string(r.Bag), Counted, showQuantity(r.Book, false), showQuantity(r.Qty.N, r.Qty.About)})
	}
	return out
}

// differ lists the columns in which two records of the sheet differ.
func (t *sheetOf[R]) differ(old, now any) []Change {
	o, n := old.(R), now.(R)
	var key []string
	for i := range t.columns {
		if c := &t.columns[i]; c.need || c.tells {
			if text := c.get(&n); text != "" {
				key = append(key, text)
			}
		}
	}
	var out []Change
	for i := range t.columns {
		c := &t.columns[i]
		if t.name == "Bags" && (c.heading == "Entry" || c.heading == "By") {
			continue // a record has neither
		}
		if was, is := c.get(&o), c.get(&n); was != is {
			out = append(out, Change{t.name, strings.Join(key, " "), c.heading, was, is})
		}
	}
	return out
}
