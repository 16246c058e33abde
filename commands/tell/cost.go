package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Cost tells what each part from a parts camera cost.
func Cost(s *Screen, split ask.Costing) {
	head := fmt.Sprintf("%s cost %s", split.Donor, split.Paid)
	if split.Frozen != "" {
		head += ", shared for good on " + split.Frozen
	}
	s.Println(head)
	t := s.WideTable("bag", ">pieces", "grade", ">value", ">works", ">share", "part")
	for _, x := range split.Shares {
		how := ""
		if x.ByProduct {
			how = ", small"
		}
		works := "0 %"
		if x.Chance > 0 {
			works = fmt.Sprintf("%.0f %%", 100*x.Chance)
		}
		t.Row(string(x.Bag), store.Amount(x.Quantity, x.Unit, false), x.Grade, x.Value.String(), works, x.Share.String(), strings.TrimSpace(string(x.Part)+" "+x.Called())+how)
	}
	t.Row("", "", "", split.Remains.String(), "", split.Carcass.String(), "stays in the body")
	s.Show(t)
	s.Println(Hang(fetchWords(split), s.Wide, 2))
	for _, n := range split.Notes {
		s.Println(Hang(n, s.Wide, 2))
	}
	s.Println("values and taxes: this is a record, the accountant decides")
}

func smallWords(s ask.Costing) string {
	if s.Small == 0 {
		return ""
	}
	return fmt.Sprintf(", of which small things took %s off the price first", s.Small)
}

// fetchWords says what the shares follow from.
func fetchWords(s ask.Costing) string {
	switch {
	case s.ByPieces:
		return "no value is noted for any of it: shared by pieces, a physical measure"
	case s.Loss:
		return fmt.Sprintf("this body cost more than its parts should fetch: it cost %s, they should fetch %s", s.Paid, s.Fetch) + smallWords(s)
	}
	if len(s.Shares) == 0 {
		return fmt.Sprintf("nothing has come out of it: as it stands it should fetch %s", s.Fetch)
	}
	return fmt.Sprintf("by value: all of it should fetch %s", s.Fetch) + smallWords(s)
}
