package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Lying is the list that hangs on a cabinet: part, where, how many, in large letters.
func Lying(title string, all []ask.Lying) Report {
	t := ReportTable{Sheet: "Drawers", Title: "by name", Heads: []string{"part", "code", "where", ">how many"}}
	for _, l := range all {
		owner := ""
		if l.Theirs != "" {
			owner = "of " + l.Theirs
		}
		t.Rows = append(t.Rows, []string{strings.Join(Filled(l.Name, l.Left, owner), ", "), string(l.Part), string(l.Place), store.Amount(l.Pieces, l.Unit, l.About)})
	}
	return Report{Title: title, Tables: []ReportTable{t}, Large: true}
}

// FreeByModel is what is free, model by model.
func FreeByModel(all []ask.FreeIn) Report {
	t := ReportTable{Sheet: "Free", Title: "parts that go in, as it is said of them", Heads: []string{"model", "model name", "part", "name", "goes in", ">free", "unit", "about", "where"}}
	for _, l := range all {
		places := make([]string, len(l.Places))
		for i, p := range l.Places {
			places[i] = string(p)
		}
		about := ""
		if l.About {
			about = "yes"
		}
		t.Rows = append(t.Rows, []string{string(l.Model), l.ModelName, string(l.Part), strings.Join(Filled(l.Name, l.Left), ", "), strings.Join(l.Degrees, ", "),
			fmt.Sprint(l.Free), l.Unit, about, strings.Join(places, ", ")})
	}
	return Report{Title: "What is free, by model", Tables: []ReportTable{t}}
}

// SeenGrid is what was seen of each part on each parts camera. Its headings are those
// that import knows.
func SeenGrid(g ask.SeenGrid) Report {
	t := ReportTable{Sheet: "Seen", Title: "empty where nobody looked", Heads: []string{"Part", "Part name"}}
	for _, d := range g.Cameras {
		t.Heads = append(t.Heads, string(d))
	}
	for _, r := range g.Rows {
		t.Rows = append(t.Rows, append([]string{string(r.Part), r.Name}, r.Seen...))
	}
	return Report{Title: "What was seen on parts cameras", Tables: []ReportTable{t}, Bare: true}
}
