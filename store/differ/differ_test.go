package differ

import (
	"strings"
	"testing"
)

func screw(bag, part, place string, book, counted int64, f Facts) Line {
	return Line{Bag: bag, Part: part, Place: place, Piece: "screw", Unit: "pc", Book: book, Counted: counted, Facts: f}
}

// The cases are those of the bench: two bags in one drawer, fitted and never
// booked, the bag counted twice, the unit that was there twice, the twin. The
// expected sentence is written out from the case.
func TestExplain(t *testing.T) {
	twin := func(l Line, c string) Line { l.Twin = c; return l }
	about := func(l Line) Line { l.About = true; return l }
	like := func(l Line, c string) Line { l.Like = []string{c}; return l }
	yarn := Line{Bag: "B300", Part: "P073", Place: "M1", Unit: "mm", Book: 4000, Counted: 4}
	tests := []struct {
		name  string
		lines []Line
		want  []string // the best reason of each line, "" for none
	}{
		{"one short, one over", []Line{screw("B230", "P026", "N1", 6, 5, Facts{}), screw("B210", "P026", "N1", 7, 8, Facts{})},
			[]string{"probably a mix with B210 (the same part, in the same place): that is over by 1, and the total agrees",
				"probably a mix with B230 (the same part, in the same place): that is short by 1, and the total agrees"}},
		{"about says less", []Line{about(screw("B230", "P026", "N1", 6, 5, Facts{})), screw("B210", "P026", "N1", 7, 8, Facts{})},
			[]string{"perhaps a mix with B210 (the same part, in the same place): that is over by 1, and the total about agrees",
				"perhaps a mix with B230 (the same part, in the same place): that is short by 1, and the total about agrees"}},
		{"looks alike", []Line{like(screw("B1", "P026", "N1", 6, 5, Facts{}), "P027"), screw("B2", "P027", "N1", 3, 4, Facts{})},
			[]string{"probably a mix with B2 (P027, which looks alike", "probably a mix with B1 (P026, which looks alike"}},
		{"other parts do not mix", []Line{screw("B1", "P026", "N1", 6, 5, Facts{}), screw("B2", "P021", "N1", 3, 4, Facts{})}, []string{"", ""}},
		{"three bags", []Line{screw("B1", "P1", "N1", 6, 4, Facts{}), screw("B2", "P1", "N1", 3, 4, Facts{}), screw("B3", "P1", "N1", 3, 4, Facts{})},
			[]string{"probably a mix among B1 and B2, B3", "probably a mix among B2 and B1, B3", "probably a mix among B3 and B1, B2"}},
		{"both short is no mix", []Line{screw("B1", "P1", "N1", 6, 5, Facts{}), screw("B2", "P1", "N1", 3, 2, Facts{})}, []string{"", ""}},
		{"the twin", []Line{twin(screw("B1", "P001", "K1", 1, 0, Facts{}), "P002"), screw("B2", "P002", "K1", 1, 2, Facts{})},
			[]string{"probably a mix with B2 (P002, the opposite-hand twin", "probably a mix with B1 (P001, the opposite-hand twin"}},
		{"fitted, never booked", []Line{screw("B208", "P021", "N1", 3, 2, Facts{Fitted: []Use{{Who: "107", N: 2}}})},
			[]string{"probably a third screw fitted on job 107 and not booked"}},
		{"two more", []Line{screw("B1", "P1", "N1", 3, 1, Facts{Fitted: []Use{{Who: "107", N: 2}}})}, []string{"probably 2 more screws fitted on job 107 and not booked"}},
		{"the latest job first", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Fitted: []Use{{Who: "101", N: 1}, {Who: "107", N: 1}}})},
			[]string{"probably a second screw fitted on job 107"}},
		{"a job that has all is least likely", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Fitted: []Use{{Who: "101", N: 1}, {Who: "107", N: 2, Full: true}}})},
			[]string{"probably a second screw fitted on job 101"}},
		{"a loss before a job that has all", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Fitted: []Use{{Who: "107", N: 2, Full: true}}, Losses: []Loss{{"lost", "2031-06-01", 1}}})},
			[]string{"perhaps a second screw lost beside the 1 of 2031-06-01 and not booked"}},
		{"all it has is a job that has all", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Fitted: []Use{{Who: "107", N: 2, Full: true}}})},
			[]string{"perhaps a third screw fitted on job 107 (it has all that its camera takes) and not booked"}},
		{"lost and here", []Line{screw("B1", "P1", "N1", 3, 4, Facts{Fitted: []Use{{Who: "107", N: 2}}, Losses: []Loss{{"lost", "2031-06-01", 1}}})},
			[]string{"probably what was booked as lost on 2031-06-01 (1) is here all the same"}},
		{"unsure", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Unsure: []Use{{Who: "105", Bag: "B2", N: 1}}})},
			[]string{"probably one screw booked from B2 on job 105 came out of this bag"}},
		{"held and gone", []Line{screw("B1", "P1", "N1", 1, 0, Facts{Held: []Use{{Who: "105", N: 1}}})}, []string{"perhaps what is held for job 105"}},
		{"booked twice", []Line{screw("B1", "P1", "N1", 1, 2, Facts{Doubles: []Double{{-1, "1 fitted on job 107, bookings 12 and 13"}}})},
			[]string{"probably booked twice: 1 fitted on job 107, bookings 12 and 13"}},
		{"booked twice is no reason the other way", []Line{screw("B1", "P1", "N1", 3, 2, Facts{Doubles: []Double{{-1, "x"}}})}, []string{""}},
		{"counted in two places", []Line{screw("B1", "P1", "K1", 2, 4, Facts{Seen: []Use{{Who: "M1", N: 2}}})},
			[]string{"probably counted in two places: 4 here and 2 in M1"}},
		{"counted in two places, each time right", []Line{screw("B1", "P1", "K1", 2, 2, Facts{Seen: []Use{{Who: "M1", N: 2}}})},
			[]string{"probably counted in two places: 2 here and 2 in M1"}},
		{"not found in one place, found in the other", []Line{screw("B1", "P1", "K1", 2, 2, Facts{Seen: []Use{{Who: "M1", N: 0}}})}, []string{""}},
		{"the twin is not counted", []Line{twin(screw("B1", "P001", "K1", 1, 2, Facts{Uncounted: []Unit{{"B2", "P002"}}}), "P002")},
			[]string{"perhaps a mix with B2 (P002, the opposite-hand twin, in the same place), which is not counted yet"}},
		{"a neighbour that is not counted stands back", []Line{screw("B1", "P1", "K1", 3, 2, Facts{Fitted: []Use{{Who: "107", N: 2}}, Uncounted: []Unit{{"B2", "P1"}}})},
			[]string{"probably a third screw fitted on job 107"}},
		{"met elsewhere", []Line{{Bag: "B1", Part: "P1", Place: "M1", Met: "K1", Book: 3, Counted: 1}}, []string{"probably the rest lies in M1, its own place"}},
		{"without a bag", []Line{screw("B1", "P1", "K1", 3, 2, Facts{Loose: []Use{{Who: "K1", N: 1}}})}, []string{"probably among what lay without a bag in K1: 1 of P1"}},
		{"in the unit", []Line{screw("B226", "P011", "K2", 1, 0, Facts{Units: []Unit{{"B238", "P078"}}})},
			[]string{"perhaps still in the unit B238 (P078), which contains it"}},
		{"lent and back", []Line{screw("B220", "P059", "R3", 0, 1, Facts{Lent: []Use{{Who: "another bench", N: 1}}})},
			[]string{"probably 1 lent to another bench is back and not booked"}},
		{"booked back, not come", []Line{screw("B220", "P059", "R3", 1, 0, Facts{Back: []Use{{Who: "another bench", N: 1}}})},
			[]string{"perhaps 1 lent to another bench was booked back and did not come"}},
		{"metres", []Line{yarn}, []string{"probably a slip of units: metres taken for millimetres"}},
		{"turned digits", []Line{screw("B1", "P1", "N1", 21, 12, Facts{})}, []string{"perhaps two digits changed places"}},
		{"agrees", []Line{screw("B1", "P1", "N1", 2, 2, Facts{Fitted: []Use{{Who: "107", N: 2}}})}, []string{""}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for i, rs := range Explain(tt.lines) {
				got := ""
				if len(rs) > 0 {
					got = rs[0].Text
				}
				if !strings.HasPrefix(got, tt.want[i]) || tt.want[i] == "" && got != "" {
					t.Errorf("%s: %q, want %q", tt.lines[i].Bag, got, tt.want[i])
				}
				for j := 1; j < len(rs); j++ {
					if rs[j].Score > rs[j-1].Score {
						t.Errorf("%q stands behind %q", rs[j].Text, rs[j-1].Text)
					}
				}
			}
		})
	}
}
