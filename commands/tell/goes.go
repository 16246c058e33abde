package tell

import (
	"fmt"
	"strings"

	"tinful/store"
)

// Goes prints what a booking stated of a part, and what was stated before.
func Goes(s *Screen, res store.Result, p store.Part, said, before []store.Goes) {
	for i, g := range said {
		s.Println(Hang(fmt.Sprintf("%s %s  %s: %s", p.Code, p.Called(), g.Model, g.Words()), s.Columns(), 5))
		if was := before[i].Words(); len(before[i].Degrees) > 0 && was != g.Words() {
			s.Println(Indented("was "+was, s.Columns(), 2, 4))
		}
	}
	if res.Booking.Number == 0 {
		s.Println("nothing changed")
		return
	}
	s.Printf("undo: tinful undo %d\n", res.Booking.Number)
}

// GoesOf prints what is stated of a part.
func GoesOf(s *Screen, p store.Part, said []store.Goes) {
	s.Printf("%s %s\n", p.Code, p.Called())
	if len(said) == 0 {
		s.Println("nothing is recorded of where it goes")
		return
	}
	t := s.WideTable("model", "goes")
	for _, g := range said {
		t.Row(string(g.Model), g.Words())
	}
	s.Show(t)
}

// GoesAnswers are statements as JSON.
func GoesAnswers(said []store.Goes) []map[string]any {
	return Each(said, func(g store.Goes) map[string]any {
		return Known(map[string]any{
			"model": g.Model, "degree": strings.Join(g.Degrees, ";"), "per_body": g.PerBody, "where": g.Where, "from": g.From, "to": g.To,
			"operation": g.Operation, "evidence": g.Evidence, "by": g.By, "date": g.Date, "note": g.Note,
		})
	})
}
