package tell

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/odds"
)

// Common tells which parts commonly go missing, ten unless all are asked for, then
// the rates by history.
func Common(s *Screen, out ask.OddsAnswer, all bool) {
	if out.Bodies == 0 {
		s.Println("Not looked at yet.")
		return
	}
	list := out.Common
	if !all {
		list = list[:min(len(list), ask.MostCommon)]
	}
	s.Println(s.Wrapped(fmt.Sprintf("Commonly missing, %s looked at so far:", bodies(out.Bodies))))
	for _, c := range list {
		s.Println(Hang(fmt.Sprintf("%s %s: %s.", c.Part, c.Called(), c.Why), s.Columns(), 4))
	}
	if n := len(out.Common) - len(list) + out.More; n > 0 {
		s.Printf("%s more missing somewhere, %d never\n", Many(n, "part"), out.Never)
	} else {
		s.Printf("%s never missing\n", Many(out.Never, "part"))
	}
	said := Each(out.Histories, func(h ask.HistoryOdds) string {
		return fmt.Sprintf("%s %d of %d (%s)", h.History, h.Missing, h.Looked, sharePercent(odds.Count{Missing: h.Missing, Looked: h.Looked}))
	})
	s.Println(s.Wrapped("Of all that was looked at: " + strings.Join(said, ", ") + "."))
}

func bodies(n int64) string {
	if n == 1 {
		return "1 body"
	}
	return fmt.Sprintf("%d bodies", n)
}

// Odds tells the rows of a part, or of a model.
func Odds(s *Screen, p store.Part, out ask.OddsAnswer) {
	if p.Code == "" {
		histories(s, out.Histories)
	} else {
		s.Printf("%s %s\n", p.Code, p.Called())
	}
	for _, r := range out.Odds {
		head := fmt.Sprintf("%s, %s", r.Model, r.History)
		if p.Code == "" {
			head = fmt.Sprintf("%s %s, %s", r.Part, r.Called(), head)
		}
		s.Println(Hang(head+": "+r.Why, s.Wide, 4))
	}
	if out.Left > 0 {
		s.Printf("and %d more, none of them missing: --all prints them\n", out.Left)
	}
	if len(out.Odds)+out.Left == 0 {
		s.Println("Not looked at yet.")
	}
}

// histories tells one line a history. Parts of one body are not independent, so the
// sum has no range.
func histories(s *Screen, list []ask.HistoryOdds) {
	t := s.Table()
	for _, h := range list {
		n := odds.Count{Missing: h.Missing, Looked: h.Looked}
		t.Row(h.History, fmt.Sprintf("%d of %d looked at were missing: %s, in %s", h.Missing, h.Looked, sharePercent(n), bodies(h.Bodies)))
	}
	s.Show(t)
	if len(list) > 0 {
		s.Println()
	}
}

// sharePercent is a rate; what was only not yet seen is called none.
func sharePercent(n odds.Count) string {
	switch n.Missing {
	case 0:
		return "none yet"
	case n.Looked:
		return "all so far"
	}
	return odds.Percent(n.Rate())
}

// Expected tells what experience expects of a part, apart, for each history that has
// not enough counts in any model; history is the only one asked for, or empty.
func Expected(s *Screen, p store.Part, history string, rows []ask.OddsRow) {
	var open []string
	for _, h := range store.Histories {
		enough := slices.ContainsFunc(rows, func(r ask.OddsRow) bool { return r.History == h && r.Enough })
		if !enough && (history == "" || history == h) {
			open = append(open, h)
		}
	}
	if text := odds.SayExpected(p.Seat, p.Class, p.Name, open); text != "" {
		s.Println(Hang(text, s.Wide, 4))
	}
}
