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
	wide:    map[string]float64{"Part": 7, "Name": 28, "For": 20, "Pieces": 7, "From": 20, "To do": 40, "Why": 44, "Done": 6},
	numbers: []string{"Pieces"}, boxes: []string{"Done"}}

// WriteShopping writes the list to buy and strip by, worst first, with a column to
// tick. A file that is there is written over only with replace.
func WriteShopping(file, title string, rows []ShoppingRow, replace bool) error {
	var cells [][]string
	for _, r := range rows {
		cells = append(cells, []string{r.Part, r.Name, r.For, strconv.FormatInt(r.Pieces, 10), r.From, r.Do, r.Why, ""})
	}
	f := shopping
	f.top = []string{title}
	return f.write(file, cells, replace)
}
