package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store"
)

// A StripRow is one part on the sheet that is filled in while a camera is taken
// apart.
type StripRow struct {
	Camera, Seat, Part, Name, PerBody, Out, Hint string
}

// stripWords are the columns of the sheet that are clauses of a step, by the word
// of the clause.
var stripWords = [][2]string{
	{"Under", "under"}, {"Over", "over"}, {"Facing", "facing"}, {"Turns", "turns"}, {"Teeth", "teeth"}, {"Sealed", "sealed"},
	{"Tool", "tool"}, {"Wrong", "wrong"}, {"Went", "went"}, {"Picture", "picture"}, {"State", "state"}, {"Stop", "stop"}, {"Note", "note"},
}

// stripPrinted are the columns that paper has, the boxes last. Where the camera came
// apart before, how then stands in place of the seat.
var stripPrinted, stripBoxes = []string{"Seat", "Part", "Name", "Per body"}, []string{"Off", "Grade", "Found", "Note"}

func stripForm() form {
	f := form{sheet: "Strip", heads: []string{"Camera", "Step", "Seat", "Part", "Name", "Per body", "Out", "How last time", "Off", "Grade", "To", "Hole", "Hand", "Found"},
		wide:    map[string]float64{"Part": 7, "Name": 30, "Seat": 10, "How last time": 36, "Per body": 6, "Off": 8, "Grade": 12, "Found": 12, "Note": 28},
		numbers: []string{"Per body", "Out"}, boxes: stripBoxes,
		lists: map[string][]string{"Grade": store.Grades, "Hand": {"left", "right"}, "Found": {"missing", "damaged", "stuck", "replaced", "present"}}}
	for _, w := range stripWords {
		f.heads = append(f.heads, w[0])
	}
	return f
}

// WriteStrip writes the sheet of a camera to take apart, its parts in the order
// they are given; top is what stands over it. A file that is there is written over only
// with replace.
func WriteStrip(file string, top []string, rows []StripRow, replace bool) error {
	f := stripForm()
	f.top = top
	paper := slices.Concat(stripPrinted, stripBoxes)
	if slices.ContainsFunc(rows, func(r StripRow) bool { return r.Hint != "" }) {
		paper[0] = "How last time"
	}
	f.aside = slices.DeleteFunc(slices.Clone(f.heads), func(h string) bool { return slices.Contains(paper, h) })
	var cells [][]string
	for _, r := range rows {
		row := make([]string, len(f.heads))
		copy(row, []string{r.Camera, "", r.Seat, r.Part, r.Name, r.PerBody, r.Out, r.Hint})
		cells = append(cells, row)
	}
	return f.write(file, cells, replace)
}

// ReadStrip reads a filled sheet as notes, one line for each row that says
// something; lines gives the row of each line. Rows of one step stand together:
// their number is the same or, without numbers, their seat. Several layers in one
// cell are parted by semicolons. Errors wrap [store.ErrBadInput].
func ReadStrip(file string) (notes string, lines []int, err error) {
	rows, err := stripForm().read(file, "Part", "Off")
	if err != nil {
		return "", nil, err
	}
	var b strings.Builder
	step := ""
	for _, r := range rows {
		clauses := stripClauses(r.cells)
		if len(clauses) == 0 {
			continue
		}
		if camera := r.cells["Camera"]; camera != "" && step == "" {
			fmt.Fprintf(&b, "camera %s\n", quotedCell(camera))
			lines = append(lines, r.row)
		}
		if head := strings.Join(strings.Fields("step "+r.cells["Step"]+" "+r.cells["Seat"]), " "); head != step {
			step = head
			fmt.Fprintf(&b, "%s:\n", step)
			lines = append(lines, r.row)
		}
		fmt.Fprintf(&b, "%s\n", strings.Join(clauses, ", "))
		lines = append(lines, r.row)
	}
	return b.String(), lines, nil
}

// stripClauses turns the filled cells of a row into clauses.
func stripClauses(c map[string]string) []string {
	var out []string
	part := quotedCell(c["Part"])
	if c["Part"] == "" {
		part = quotedCell(c["Name"])
	}
	if n := c["Off"]; n != "" && n != "0" {
		out = append(out, "off "+n+" "+part)
		for _, w := range [][2]string{{"Grade", "grade"}, {"To", "to"}, {"Hole", "hole"}, {"Hand", "hand"}} {
			if text := c[w[0]]; text != "" {
				out = append(out, w[1]+" "+quotedCell(text))
			}
		}
	}
	if text := c["Found"]; text != "" {
		out = append(out, text+" "+part)
	}
	for _, w := range stripWords {
		for _, text := range strings.Split(c[w[0]], ";") {
			text = strings.TrimSpace(text)
			if text == "" {
				continue
			}
			if w[1] != "under" && w[1] != "over" {
				text = quotedCell(text)
			}
			out = append(out, w[1]+" "+text)
		}
	}
	return out
}

// quotedCell is a cell as one word of the notes.
func quotedCell(s string) string {
	if !strings.ContainsAny(s, " \t,\"#:") {
		return s
	}
	return `"` + strings.ReplaceAll(s, `"`, "'") + `"`
}
