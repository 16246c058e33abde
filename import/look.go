package sheet

import (
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
	return form{sheet: "Seen", heads: []string{camera, "Part", "Name", "Seat", "Where", "Often", "Seen", "Note"},
		wide:  map[string]float64{"Name": 32, "Where": 32, "Often": 22, "Note": 32},
		lists: map[string][]string{"Seen": store.SeenWords}}
}

// WriteLook writes the sheet of a camera to look at: kind is donor or job. A row
// whose Seen stays empty was not looked at. A file that is there is written over
// only with replace.
func WriteLook(file, kind string, rows []LookRow, replace bool) error {
	var cells [][]string
	for _, r := range rows {
		cells = append(cells, []string{r.Camera, r.Part, r.Name, r.Seat, r.Where, r.Often, r.Seen, r.Note})
	}
	return lookForm(kind).write(file, cells, replace)
}

// ReadLook reads a filled sheet: the rows that say what was seen. It returns an
// error that wraps [store.ErrBadInput] for a file that is no such sheet.
func ReadLook(file, kind string) ([]LookRow, error) {
	f := lookForm(kind)
	rows, err := f.read(file, "Part", "Seen")
	if err != nil {
		return nil, err
	}
	var out []LookRow
	for _, r := range rows {
		c := r.cells
		if c["Seen"] == "" {
			continue
		}
		out = append(out, LookRow{Row: r.row, Camera: c[f.heads[0]], Part: c["Part"], Seen: c["Seen"], Note: c["Note"]})
	}
	return out, nil
}
