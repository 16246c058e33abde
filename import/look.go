package sheet

import (
	"slices"
	"strings"

	"tinful/store"
)

// A LookRow is one part on the sheet that is filled in beside a camera.
type LookRow struct {
	Row                            int    // in the file, from 1
	Camera                         string // the code of the donor or job
	Part, Name, Seat, Where, Often string // Often says how often cameras of its kind lack it
	Seen, Note                     string
}

func lookForm(kind string) form {
	camera := "Donor"
	if kind == "job" {
		camera = "Job"
	}
	f := form{sheet: "Seen", heads: []string{camera, "Part", "Name", "Seat", "Where", "Often", "Seen"},
		wide:  map[string]float64{"Part": 7, "Name": 30, "Where": 22, "Often": 14, "Note": 26},
		lists: map[string][]string{"Seen": store.SeenWords}, aside: []string{camera, "Seen"}}
	for _, word := range store.SeenWords {
		f.boxes, f.wide[seenHead(word)] = append(f.boxes, seenHead(word)), 9
	}
	f.heads, f.boxes = append(append(f.heads, f.boxes...), "Note"), append(f.boxes, "Note")
	return f
}

// seenHead is the heading of the box that is ticked for a word.
func seenHead(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// WriteLook writes the sheet of a camera to look at: kind is donor or job, top what
// stands over it. A box is ticked for what is seen of a part, or the word is written
// under Seen; a row without either was not looked at. A file that is there is written
// over only with replace.
func WriteLook(file, kind string, top []string, rows []LookRow, replace bool) error {
	f := lookForm(kind)
	f.top = top
	var cells [][]string
	for _, r := range rows {
		row := []string{r.Camera, r.Part, r.Name, r.Seat, r.Where, r.Often, r.Seen}
		cells = append(cells, append(append(row, make([]string, len(store.SeenWords))...), r.Note))
	}
	return f.write(file, cells, replace)
}

// ReadLook reads a filled sheet: the rows that say what was seen. It returns an
// error that wraps [store.ErrBadInput] for a file that is no such sheet.
func ReadLook(file, kind string) ([]LookRow, error) {
	f := lookForm(kind)
	rows, err := f.read(file, "Part", "Seen") // sheets of before have no boxes
	if err != nil {
		return nil, err
	}
	var out []LookRow
	for _, r := range rows {
		c, seen := r.cells, []string{}
		if c["Seen"] != "" {
			seen = append(seen, c["Seen"])
		}
		for _, word := range store.SeenWords {
			if tick := c[seenHead(word)]; tick != "" && !slices.Contains(crossNo, strings.ToLower(tick)) && !strings.EqualFold(c["Seen"], word) {
				seen = append(seen, word)
			}
		}
		if len(seen) == 0 {
			continue
		}
		out = append(out, LookRow{Row: r.row, Camera: c[f.heads[0]], Part: c["Part"], Seen: strings.Join(seen, " and "), Note: c["Note"]})
	}
	return out, nil
}
