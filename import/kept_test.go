package sheet

import (
	"strings"
	"testing"
)

// Which rows of the workshop's own sheets are no data, by hand.
func TestRowsWithoutData(t *testing.T) {
	for _, tt := range []struct{ sheet, head, row, want string }{
		{"Bags", "Bag,Quantity,Cost", "Total,40,12.50", isTotal},
		{"Bags", "Bag,Quantity,Cost", "Summe Federn,40,", isTotal},
		{"Bags", "Bag,Quantity,Note", ",40,Total", isTotal},
		{"Bags", "Bag,Quantity,Owner", "Total,40,own", ""}, // what export writes of a bag called so
		{"Bags", "Bag,Quantity,Owner", "Total,,", isAlone},
		{"Bags", "Bag,Quantity,Owner", "Springs,,", isAlone},
		{"Bags", "Bag,Quantity,Owner", "B201,,", ""},
		{"Bags", "Bag,Quantity", "Springs,", ""},
		{"Bags", "Bag,Quantity,Owner", "B201,2,", ""},
		{"Parts", "Part,Name,Keep", "Total,,12", isTotal},
		{"Parts", "Part,Name,Keep", "Springs,,", ""},
		{"Parts", "Part,Wire mm,Keep", "Total,0.25,", ""}, // nobody adds up wire
		{"Moves", "Date,What,Bag,Quantity", "Total,,,12", ""},
	} {
		r := &reader{sheets: map[string]*sheetRows{}}
		tab, _ := tableNamed(tt.sheet)
		a := r.area(tab, 1, tt.sheet)
		why := ""
		take := func(r row) {
			if a.names == nil {
				a.headings(r)
				return
			}
			why = a.noData(r)
		}
		if err := r.lines(strings.NewReader(tt.head+"\n"+tt.row+"\n"), ',', tt.sheet, take); err != nil || why != tt.want {
			t.Errorf("%s %q under %q: %q, want %q (%v)", tt.sheet, tt.row, tt.head, why, tt.want, err)
		}
	}
}
