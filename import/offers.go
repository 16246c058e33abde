package sheet

import (
	"slices"
	"strings"
)

// offerColumns are the headings of a list of offers.
var offerColumns = []string{"offer", "price", "model", "history"}

// An OfferRow is one row of a list of offers, as it stands there.
type OfferRow struct {
	Line                         int
	Offer, Price, Model, History string
}

// ReadOffers reads a list of bodies that could be bought: a workbook or a CSV file
// with the columns Offer, Price, Model and, if it is known,
// History, in any order. Empty rows are left out; ignored names the columns that
// were not read. The error wraps [store.ErrBadInput] or is that of the file.
func ReadOffers(path string) (rows []OfferRow, ignored []string, err error) {
	_, all, err := readGrid(path, "Offers")
	if err != nil {
		return nil, nil, err
	}
	if len(all) == 0 {
		return nil, nil, badInput("%s is empty", path)
	}
	at, ignored := offerHeadings(all[0])
	for _, need := range offerColumns[:3] {
		if at[need] < 0 {
			return nil, nil, badInput("%s has no column %s: it needs Offer, Price and Model", path, strings.ToUpper(need[:1])+need[1:])
		}
	}
	for i, cells := range all[1:] {
		if strings.Join(cells, "") == "" {
			continue
		}
		cell := func(name string) string {
			if c := at[name]; c >= 0 && c < len(cells) {
				return strings.TrimSpace(cells[c])
			}
			return ""
		}
		rows = append(rows, OfferRow{i + 2, cell("offer"), cell("price"), cell("model"), cell("history")})
	}
	return rows, ignored, nil
}

func offerHeadings(cells []string) (at map[string]int, ignored []string) {
	at = map[string]int{}
	for _, name := range offerColumns {
		at[name] = slices.IndexFunc(cells, func(c string) bool { return strings.EqualFold(strings.TrimSpace(c), name) })
	}
	for i, c := range cells {
		if c = strings.TrimSpace(c); c != "" && at[strings.ToLower(c)] != i {
			ignored = append(ignored, c)
		}
	}
	return at, ignored
}
