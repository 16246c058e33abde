package sheet

import "strconv"

// A ShoppingRow is one part on the list to buy and strip by.
type ShoppingRow struct {
	Part, Name, For string // For: models into which it goes, jobs that asked for it
	Pieces          int64
	From            string // the drawer, the parts camera, or who sold the last body that had it
	Do, Why         string
}

var shopping = form{sheet: "Buy and strip", heads: []string{"Part", "Name", "For", "Pieces", "From", "To do", "Why", "Done"},
	wide: map[string]float64{"Name": 32, "For": 24, "From": 24, "To do": 48, "Why": 60}}

// WriteShopping writes the list to buy and strip by, worst first, with a column to
// tick. A file that is there is written over only with replace.
func WriteShopping(file string, rows []ShoppingRow, replace bool) error {
	var cells [][]string
	for _, r := range rows {
		cells = append(cells, []string{r.Part, r.Name, r.For, strconv.FormatInt(r.Pieces, 10), r.From, r.Do, r.Why, ""})
	}
	return shopping.write(file, cells, replace)
}
