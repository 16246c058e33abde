package sheet

import "slices"

// A Field is one column of a sheet as it fills a record, for whoever fills one
// without a workbook.
type Field[R any] struct {
	Heading string
	Day     bool // its text is a calendar day, YYYY-MM-DD
	// Get returns the text of the cell, empty for nothing.
	Get func(*R) string
	// Set reads the text of a cell, which is not empty, into a field that is
	// empty. Its error says what is wrong with the text.
	Set func(*R, string) error
	// Fill, unless nil, gives a new record what an empty cell stands for.
	Fill func(*R)
}

// Fields returns the columns of the sheet that holds records R, in their order,
// without those that are only there so that a store can be made whole again, and
// nothing where no sheet holds them.
func Fields[R any]() []Field[R] {
	var out []Field[R]
	for _, t := range tables() {
		s, ok := t.(*sheetOf[R])
		if !ok {
			continue
		}
		for _, c := range s.columns {
			if c.book {
				continue
			}
			out = append(out, Field[R]{Heading: c.heading, Day: c.kind == asDay, Get: c.get, Set: c.set, Fill: c.filled})
		}
	}
	return slices.Clip(out)
}
